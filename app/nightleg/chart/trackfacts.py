"""What there is to say of the track, the route, the wind and the land, and where on the track an instant lies."""

from __future__ import annotations

import math
from collections.abc import Iterator
from datetime import datetime

import numpy as np

from nightleg.chart.marks import ChartScene, RunMark
from nightleg.earth.geodesic import inverse
from nightleg.earth.rhumb import rhumb_inverse
from nightleg.flight.model import Flight, WindOfFix
from nightleg.flight.solution import DrState, Solution
from nightleg.units.angles import write_bearing
from nightleg.units.positions import Position, write_position
from nightleg.units.times import write_clock


def tick_facts(scene: ChartScene, when: datetime) -> Iterator[str]:
    """A DR position passed: its time, place and leg."""
    tick = next((tick for run in reversed(scene.runs) for tick in run.ticks if tick.time == when), None)
    if tick is None:
        return
    yield f"{tick.text} DR"
    yield write_position(tick.position)
    yield from _leg_facts(scene, when)


def track_facts(scene: ChartScene, when: datetime) -> Iterator[str]:
    """A point of the track: the leg it belongs to."""
    place = track_place(scene, when)
    if place is None:
        return
    yield "DR track"
    yield f"{write_clock(when)} {write_position(place)}"
    yield from _leg_facts(scene, when)


def route_facts(scene: ChartScene, number: int) -> Iterator[str]:
    """A leg of the planned route: from where to where, course and distance."""
    route = scene.route
    if route is None or not 0 <= number < len(route.legs):
        return
    name, end = route.waypoints[number]
    before, start = route.waypoints[number - 1] if number else ("start", route.legs[0][0])
    yield f"planned route, {before} to {name}"
    planned = scene.flight.waypoints if scene.flight is not None else ()
    if number < len(planned) and planned[number].path == "great_circle":
        distance_nm, course_deg = (float(v) for v in inverse(*start, *end)[:2])
        line, told = "great circle", " at first"
    else:
        distance_nm, course_deg = (float(v) for v in rhumb_inverse(*start, *end))
        line, told = "rhumb line", ""
    if math.isfinite(distance_nm) and math.isfinite(course_deg):
        yield f"{line}, course {write_bearing(course_deg)}{told}, {distance_nm:.1f} NM"


def wind_facts(scene: ChartScene) -> Iterator[str]:
    """The wind held: where from, how strong, and who says so."""
    state = _state_at(scene.solution, scene.now)
    if scene.wind is None or state is None:
        return
    yield scene.wind.text
    yield f"from {write_bearing(state.wind_from_deg)} at {state.wind_kt:.0f} kt"
    leg = wind_leg(scene.flight, scene.now)
    if scene.flight is None or leg is None:
        return
    wind = scene.flight.legs[leg].wind
    if isinstance(wind, WindOfFix):
        fix = next((fix for fix in scene.flight.fixes if fix.id == wind.fix), None)
        at = f" of {write_clock(fix.time)}" if fix is not None and fix.time is not None else ""
        yield f"found at fix {wind.fix}{at}"
    else:
        yield f"entered with leg {leg + 1}, {write_clock(scene.flight.legs[leg].time)}"


def dr_now(scene: ChartScene) -> tuple[Position, str] | None:
    """Where the aircraft is by the DR, and what that is called: at the very time of a fix it is the fix."""
    if scene.dr is None:
        return None
    fix = next((fix for fix in scene.fixes if fix.id == scene.dr.before), None)
    return (scene.dr.position, "DR") if fix is None else (fix.position, "fix")


def land_facts(scene: ChartScene, place: Position) -> Iterator[str]:
    """Land, where it was pointed at; the outlines have no names."""
    yield "land"
    yield write_position(place)
    dr = dr_now(scene)
    if dr is not None:
        distance_nm, course_deg = (float(v) for v in rhumb_inverse(*dr[0], *place))
        if math.isfinite(distance_nm) and math.isfinite(course_deg):
            yield f"{write_bearing(course_deg)}  {distance_nm:.1f} NM from the {dr[1]}"


def leg_at(flight: Flight | None, when: datetime) -> int | None:
    """Number, from 0, of the leg flown at an instant."""
    if flight is None or not flight.legs:
        return None
    return max(sum(leg.time <= when for leg in flight.legs) - 1, 0)


def wind_leg(flight: Flight | None, when: datetime) -> int | None:
    """Number of the leg that the wind held at an instant was entered with; None where it was with none."""
    last = leg_at(flight, when)
    if flight is None or last is None:
        return None
    return next((number for number in range(last, -1, -1) if flight.legs[number].wind is not None), None)


def leg_row(flight: Flight | None, number: int | None) -> tuple[str, str]:
    """Kind and id of the log's row of a leg: the one held from the start on is told with the start."""
    if flight is None or number is None:
        return "", ""
    if flight.legs[number].time <= flight.start.time:
        return "start", "start"
    return "leg", str(number + 1)


def leg_span(flight: Flight, number: int) -> tuple[datetime, datetime | None]:
    """From when to when a leg is held; None: to the end."""
    later = flight.legs[number + 1].time if number + 1 < len(flight.legs) else None
    return max(flight.legs[number].time, flight.start.time), later


def _leg_facts(scene: ChartScene, when: datetime) -> Iterator[str]:
    """The leg held at an instant: its times, course, speed and length as far as it is flown."""
    flight, state = scene.flight, _state_at(scene.solution, when)
    number = leg_at(flight, when)
    if flight is None or state is None or number is None:
        return
    begin, end = leg_span(flight, number)
    yield f"leg {number + 1}, {write_clock(begin)} " + (f"to {write_clock(end)}" if end is not None else "on")
    course = "" if state.track_deg is None else f"track {write_bearing(state.track_deg)}, "
    yield f"{course}ground speed {state.gs_kt:.0f} kt"
    yield f"heading {write_bearing(state.heading_deg)}, TAS {state.tas_kt:.0f} kt, {_wind_words(state)}"
    flown_nm = sum(_length_nm(run) for run in track_between(scene, begin, end))
    if flown_nm > 0.0:
        yield f"{flown_nm:.0f} NM of it {'flown' if end is None or end > scene.now else 'in all'}"


def _wind_words(state: DrState) -> str:
    return f"wind {write_bearing(state.wind_from_deg).removesuffix('°')}/{state.wind_kt:02.0f}"


def _length_nm(run: tuple[Position, ...]) -> float:
    lats, lons = np.array(run).T
    return float(np.nansum(rhumb_inverse(lats[:-1], lons[:-1], lats[1:], lons[1:])[0]))


def _state_at(solution: Solution | None, when: datetime) -> DrState | None:
    if solution is None:
        return None
    return next((state for state in reversed(solution.dr) if state.time <= when), None)


def track_place(scene: ChartScene, when: datetime) -> Position | None:
    """Where the DR track is at an instant: after a fix of that time."""
    run = next((run for run in reversed(scene.runs) if run.times and run.times[0] <= when <= run.times[-1]), None)
    if run is None or len(run.points) < 2:
        return None
    number = min(max(sum(time <= when for time in run.times) - 1, 0), len(run.times) - 2)
    begin, end = run.times[number], run.times[number + 1]
    share = (when - begin) / (end - begin) if end > begin else 0.0
    return between(run.points[number], run.points[number + 1], share)


def track_between(scene: ChartScene, begin: datetime, end: datetime | None) -> list[tuple[Position, ...]]:
    """The parts of the track from one instant to another (None: to its end)."""

    def part(run: RunMark) -> tuple[Position, ...]:
        inside = [
            place
            for place, time in zip(run.points, run.times, strict=True)
            if time >= begin and (end is None or time <= end)
        ]
        return tuple(inside)

    parts = [part(run) for run in scene.runs if run.times]
    return [run for run in parts if len(run) >= 2]


def between(start: Position, end: Position, share: float) -> Position:
    """A place between two near ones."""
    east = (end.lon - start.lon + 180.0) % 360.0 - 180.0
    lon = (start.lon + share * east + 180.0) % 360.0 - 180.0
    return Position(start.lat + share * (end.lat - start.lat), lon)
