"""The worked solution of each sight, in the order of the work: time to Hc, reading to Ho, intercept."""

from __future__ import annotations

from collections.abc import Iterator

from nightleg.commands.figures import angle, clip, clock, direction, intercept, latitude, longitude, signed, turn
from nightleg.commands.terminal import plain
from nightleg.flight.model import Flight
from nightleg.flight.solution import SightResult, Solution
from nightleg.sky.catalogue import is_star

_NAME, _VALUE = 24, 14  # columns


def working(solution: Solution, flight: Flight | None = None) -> str:
    """The working of every sight, earliest first; empty for a flight without sights.

    With the `flight`, the latitude by Polaris or by meridian passage follows where a sight gives one.
    """
    sights = sorted(solution.sights, key=lambda sight: sight.time)
    blocks = ([*_lines(sight), *(_latitude(flight, solution, sight) if flight else ())] for sight in sights)
    return "".join("\n" + "\n".join(block) + "\n" for block in blocks)


def _latitude(flight: Flight, solution: Solution, sight: SightResult) -> Iterator[str]:
    from nightleg.flight.working_latitude import EXACT, PASSAGE, latitude_steps

    short = {PASSAGE: "Latitude by passage", EXACT: "Latitude, exact line"}
    for step in latitude_steps(flight, solution, sight):
        value, _, when = step.value.removesuffix(" GMT").partition(" at ")
        note = f"rule {step.inputs[0][1]}" if step.name == EXACT else when
        yield _row(short.get(step.name, step.name[0].upper() + step.name[1:]), value, note)


def _lines(sight: SightResult) -> Iterator[str]:
    yield f"Working of {clip(plain(sight.id), 30)}: {clip(plain(sight.body), 40)}"
    place = "assumed position" if sight.assumed else "DR"
    yield _row("GMT", clock(sight.time, always_seconds=True), f"watch {clock(sight.watch_time, always_seconds=True)}")
    yield _row("GHA Aries", turn(sight.gha_aries))
    if is_star(sight.body):
        yield _row("SHA", turn((sight.gha - sight.gha_aries) % 360.0))
    yield _row("GHA", turn(sight.gha))
    yield _row("Longitude", longitude(sight.reduced_from.lon), place)
    yield _row("LHA", turn(sight.lha))
    yield _row("Dec", latitude(sight.dec))
    yield _row("Latitude", latitude(sight.reduced_from.lat), place)
    yield _row("Hc", angle(sight.hc))
    yield _row("Zn", f"{direction(sight.zn)}°")
    yield _row("Motion of the body", f"{signed(sight.body_motion_arcmin_per_min, 2)}′/min")
    yield _row("Motion of the aircraft", f"{signed(sight.observer_motion_arcmin_per_min, 2)}′/min")
    readings = "" if sight.n_readings == 1 else f"mean of {sight.n_readings} readings"
    yield _row("Hs", angle(sight.hs), readings)
    for correction in sight.corrections:
        name = clip(plain(correction.name), _NAME - 3)
        yield _row(f"  {name}", f"{signed(correction.arcmin, 2)}′", plain(correction.detail))
    yield _row("Ho", angle(sight.ho))
    yield _row("Intercept", intercept(sight.intercept_nm), f"Zn {direction(sight.zn)}°")


def _row(name: str, value: str, note: str = "") -> str:
    return f"  {name:<{_NAME}}{value:>{_VALUE}}   {clip(note, 100 - _NAME - _VALUE - 5)}".rstrip()
