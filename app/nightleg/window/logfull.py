"""The full log: every column that navigators keep, for every row. No Qt here."""

from __future__ import annotations

from datetime import timedelta
from functools import lru_cache

from nightleg.air.speeds import cas_from_tas
from nightleg.flight.legs import HeldLeg
from nightleg.flight.model import Flight
from nightleg.flight.solution import DrState, SightResult, Solution
from nightleg.flight.state import dr_state
from nightleg.units.positions import write_position
from nightleg.units.times import gmt_s, write_clock
from nightleg.window.ahead import ahead
from nightleg.window.logentries import COLUMNS, LogEntry, held_at, held_of
from nightleg.window.words import NONE, direction, drift, wind

FULL = (
    "time",
    "entry",
    "position",
    "TC",
    "drift",
    "TH",
    "var",
    "MH",
    "dev",
    "CH",
    "altitude",
    "temp",
    "CAS/Mach",
    "TAS",
    "wind",
    "GS",
    "next",
    "distance",
    "to run",
    "ETA",
    "reading",
    "limb",
    "Ho",
    "Hc",
    "Zn",
    "intercept",
    "shots",
    "use",
    "note",
)
"""All columns; the first two stay in sight."""

FIXED = 2
MEANINGS = {
    "time": "GMT",
    "TC": "true course: the track",
    "TH": "true heading",
    "var": "magnetic variation, east positive",
    "MH": "magnetic heading",
    "dev": "deviation of the compass, east positive",
    "CH": "compass heading",
    "temp": "temperature outside, °C; in brackets that of the standard atmosphere",
    "altitude": "pressure altitude, ft",
    "GS": "ground speed, kt",
    "next": "the waypoint that comes next",
    "distance": "distance to run to it, NM",
    "to run": "time to run to it, at the ground speed of the moment",
    "use": "whether a shot is used, and whether the DR goes on from a fix",
}
"""What the short headings stand for."""


def full_cells(flight: Flight, solution: Solution, entry: LogEntry) -> tuple[str, ...]:
    """The text of every column of FULL in a row."""
    columns = dict(zip(COLUMNS, entry.cells, strict=True))
    texts = {"time": columns["time"], "entry": columns["entry"], "note": columns["note"]}
    if entry.kind == "remark":
        texts["note"] = columns["reading"]
    elif entry.kind == "sight":
        texts |= {name: columns[name] for name in ("reading", "Ho", "Hc", "Zn", "intercept", "use")}
        texts |= _of_sight(solution, flight, entry.id)
    elif entry.kind == "fix":
        texts |= {"position": columns["reading"], "shots": columns["Hc"], "use": columns["use"]}
        texts |= _motion(flight, solution, entry)
        texts["position"] = columns["reading"]
    elif entry.kind in ("start", "leg", "now"):
        texts |= _motion(flight, solution, entry)
        texts["note"] = ""
    else:
        texts |= {"reading": columns["reading"], "use": columns["use"]}
    return tuple(texts.get(name, "") for name in FULL)


def _of_sight(solution: Solution, flight: Flight, id: str) -> dict[str, str]:
    result: SightResult | None = next((one for one in solution.sights if one.id == id), None)
    limb = next((one.limb for one in flight.sights if one.id == id), "")
    return {"limb": limb, "position": "" if result is None else write_position(result.dr)}


def _motion(flight: Flight, solution: Solution, entry: LogEntry) -> dict[str, str]:
    """What is held and made good from an instant on."""
    time_s = gmt_s(entry.time)
    state = dr_state("now", solution.plot_at(entry.time), time_s)
    held = held_of(flight)[held_at(flight, entry.time)]
    texts = {
        "position": write_position(state.position),
        "TC": direction(state.track_deg),
        "drift": drift(state.drift_deg),
        "TH": direction(state.heading_deg),
        "altitude": f"{state.altitude_ft:.0f}",
        "temp": _temperature(held),
        "CAS/Mach": _indicated(held, state),
        "TAS": f"{state.tas_kt:.0f}",
        "wind": wind(state.wind_from_deg, state.wind_kt),
        "GS": f"{state.gs_kt:.0f}",
    }
    return texts | _compass(solution, held, state) | _ahead(flight, state)


def _temperature(held: HeldLeg) -> str:
    if held.temperature_c is not None:
        return f"{held.temperature_c:.0f}".replace("-", "−")
    from nightleg.earth.atmosphere import temperature_c

    return f"({float(temperature_c(held.altitude_ft)):.0f})".replace("-", "−")


def _indicated(held: HeldLeg, state: DrState) -> str:
    if held.speed == "mach":
        return f"M {held.speed_value:g}"
    try:
        cas_kt = float(cas_from_tas(state.tas_kt, state.altitude_ft, held.temperature_c))
    except ValueError:  # faster than the formula for subsonic flight goes
        return NONE
    return f"{cas_kt:.0f}"


def signed(deg: float) -> str:
    """Variation or deviation: `−3.3°`, `+1.5°`."""
    text = f"{deg:+.1f}°".replace("-", "−")
    return "0.0°" if text[1:] == "0.0°" else text


@lru_cache(maxsize=512)
def variation_at(held: HeldLeg, lat: float, lon: float) -> float | None:
    """Magnetic variation at the start of a leg; None where the model does not reach."""
    try:
        return held.variation(lat, lon)
    except ValueError:
        return None


def leg_variation(solution: Solution, held: HeldLeg) -> float | None:
    """The variation that a leg is flown with: that of the place where it begins, or the flight does."""
    begin_s = max(held.start_s, gmt_s(solution.dr[0].time))
    plot = next((one for one in reversed(solution.plots) if one.time_s <= begin_s), solution.plots[0])
    lat, lon = plot.position(begin_s)
    return variation_at(held, float(lat), float(lon))


def _compass(solution: Solution, held: HeldLeg, state: DrState) -> dict[str, str]:
    variation = leg_variation(solution, held)
    if variation is None:
        return {"var": NONE, "MH": NONE, "CH": NONE, "dev": signed(held.deviation_deg)}
    return {
        "var": signed(variation),
        "MH": direction((state.heading_deg - variation) % 360.0),
        "dev": signed(held.deviation_deg),
        "CH": direction((state.heading_deg - variation - held.deviation_deg) % 360.0),
    }


def _ahead(flight: Flight, state: DrState) -> dict[str, str]:
    point = ahead(flight, state)
    if point is None:
        return {}
    texts = {"next": point.name, "distance": f"{point.distance_nm:.0f}"}
    if point.eta is not None:
        texts |= {"ETA": write_clock(point.eta), "to run": hours(point.eta - state.time)}
    return texts


def hours(duration: timedelta) -> str:
    """A time to run as `1:26`."""
    minutes = round(duration.total_seconds() / 60.0)
    return f"{minutes // 60}:{minutes % 60:02d}"
