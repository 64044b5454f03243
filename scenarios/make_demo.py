"""Make the demo flight: fly it in the real air, look through the sextant, write down what was read.

    python3 scenarios/make_demo.py

The text of the flight file, as the navigator kept it, stands in demo.flight.template.toml beside this script; what
that leaves open ($s1, $wind_f2, $track ...) is filled in here. The aircraft flies the headings and airspeeds of the
legs, by compass, through winds that the navigator does not know. Each reading is the altitude that the instrument
shows at the true place and time, plus a drawn error, rounded as an instrument is read. Run again, it gives the same
file byte for byte.
"""

from __future__ import annotations

import random
from datetime import UTC, datetime, timedelta
from pathlib import Path
from string import Template

from msgspec.structs import replace

from nightleg.air.motion import LegMotion
from nightleg.air.reckoning import Reckoning
from nightleg.earth.local import offset
from nightleg.flight.legs import held_legs
from nightleg.flight.model import Flight, Sight, Wind
from nightleg.flight.parse import flight_of
from nightleg.flight.shots import observe, ready, sky_of
from nightleg.flight.solve import solve
from nightleg.sight.chain import compute, preset_deg
from nightleg.units.times import gmt_s, write_instant

HERE = Path(__file__).parent
TEMPLATE = HERE / "demo.flight.template.toml"
OUTPUT = HERE / "demo.flight.toml"

SEED = 20261040  # of sixty tried, one whose fixes fall well: it shows the work, it proves nothing about coverage
SHOT_SIGMA_ARCMIN = 2.0  # of a two-minute average
LOOK_SIGMA_ARCMIN = 3.5  # of one reading of a series
READ_TO_ARCMIN = 0.5
UNSTEADY = {"s3": -13.0}  # arcmin: what rough air did to a shot that the log sets aside
START_OFF_NM = (0.5, -0.7)  # north, east: the true start from the one logged

# The winds really blown, each from the time of a fix to the next.
WINDS = (
    (datetime(2026, 10, 18, 17, 50, tzinfo=UTC), Wind(from_deg=306.0, kt=28.0)),
    (datetime(2026, 10, 18, 18, 30, tzinfo=UTC), Wind(from_deg=262.0, kt=36.0)),
    (datetime(2026, 10, 18, 20, 0, tzinfo=UTC), Wind(from_deg=253.0, kt=41.0)),
    (datetime(2026, 10, 18, 21, 0, tzinfo=UTC), Wind(from_deg=236.0, kt=35.0)),
)
END = datetime(2026, 10, 18, 22, 10, tzinfo=UTC)
TRACK_STEP = timedelta(minutes=10)
NO_READING = "45 00.0"
NO_TRACK = '  ["2026-10-18T17:50:00Z", 0.0, 0.0],'  # in the template until the flight is flown


def true_plot(flight: Flight) -> Reckoning:
    """The track really flown: compass headings and airspeeds of the legs in the real winds.

    The compass follows the variation of the place; it is taken anew every ten minutes.
    """
    held = held_legs(flight)
    changes = {gmt_s(moment) for moment in track_times(flight)}
    changes |= {leg.start_s for leg in held} | {gmt_s(begins) for begins, _ in WINDS}
    times = sorted(changes)
    start = flight.start.position
    lat, lon = (float(x) for x in offset(start.lat, start.lon, *START_OFF_NM))
    flown: list[LegMotion] = []
    plot: Reckoning | None = None
    for begin_s, end_s in zip(times, [*times[1:], gmt_s(END) + 3600.0], strict=True):
        if plot is None:
            at_lat, at_lon = lat, lon
        else:
            at_lat, at_lon = (float(x) for x in plot.position(begin_s))
        leg = replace([leg for leg in held if leg.start_s <= begin_s][-1], start_s=begin_s)
        wind = [wind for begins, wind in WINDS if gmt_s(begins) <= begin_s][-1]
        flown.append(leg.motion(end_s, wind, leg.variation(at_lat, at_lon)))
        plot = Reckoning(tuple(flown), gmt_s(flight.start.time), lat, lon, ((0.0, 0.0), (0.0, 0.0)), 0.0)
    if plot is None:
        raise ValueError("a flight has a leg")
    return plot


def track_times(flight: Flight) -> list[datetime]:
    """Every ten minutes from the start to the end."""
    count = int((END - flight.start.time) / TRACK_STEP)
    return [flight.start.time + i * TRACK_STEP for i in range(count + 1)]


def looks(flight: Flight) -> dict[str, Sight]:
    """Every single reading to be made, by its name in the template, as a sight of its own."""
    found: dict[str, Sight] = {}
    for sight in flight.sights:
        if not sight.readings:
            found[sight.id] = sight
        for letter, one in zip("abcdefgh", sight.readings, strict=False):
            single = replace(sight, id=sight.id + letter, time=one.time, hs=one.hs)
            found[single.id] = replace(single, readings=(), duration_s=0.0)
    waiting = flight.next_sight
    if waiting is not None:
        found["next"] = Sight(id="next", body=waiting.body, time=waiting.time, hs=waiting.hs)
    return found


def readings(flight: Flight, plot: Reckoning) -> dict[str, str]:
    """What was read, by the names of the template, in degrees and minutes."""
    every = looks(flight)
    shots = [ready(flight.watch, flight.start.time, sight) for sight in every.values()]
    observed = observe(flight.sextant, shots, sky_of(shots), plot)
    lat, lon = plot.position([shot.time_s for shot in shots])
    shown = preset_deg(observed, compute(observed, lat, lon), lat, table=flight.sextant.table)
    chance = random.Random(SEED)
    read = {}
    for name, exact_deg, shot in zip(every, shown, shots, strict=True):
        sigma_arcmin = SHOT_SIGMA_ARCMIN if shot.sight.duration_s else LOOK_SIGMA_ARCMIN
        error_arcmin = chance.gauss(0.0, sigma_arcmin) + UNSTEADY.get(name, 0.0)
        halves = round((float(exact_deg) * 60.0 + error_arcmin) / READ_TO_ARCMIN)
        whole, minutes = divmod(halves * READ_TO_ARCMIN, 60.0)
        read[name] = f"{whole:.0f} {minutes:04.1f}"
    return read


def track(flight: Flight, plot: Reckoning) -> str:
    """The rows of the true track."""
    rows = []
    for moment in track_times(flight):
        lat, lon = (float(x) for x in plot.position(gmt_s(moment)))
        altitude_ft = plot.leg(gmt_s(moment)).altitude_ft
        rows.append(f'    ["{write_instant(moment)}", {lat:.5f}, {lon:.5f}, {altitude_ft:.0f}],')
    return "\n".join(rows)


def made() -> str:
    """The text of the demo flight."""
    template = Template(TEMPLATE.read_text(encoding="utf-8"))
    names = {name: NO_READING for name in template.get_identifiers()} | {"track": NO_TRACK, "wind_f2": ""}
    draft = flight_of(template.substitute(names))
    plot = true_plot(draft)
    filled = names | readings(draft, plot) | {"track": track(draft, plot)}
    solution = solve(flight_of(template.substitute(filled)))
    found = solution.fix("f2")
    filled["wind_f2"] = f"{found.wind_from_deg:03.0f}/{found.wind_kt:.0f}"
    return template.substitute(filled)


if __name__ == "__main__":
    OUTPUT.write_text(made(), encoding="utf-8", newline="\n")
