"""Workings of what follows from the wind: the way ahead, times due, speed and course lines, the air plot."""

from __future__ import annotations

from datetime import datetime

from nightleg.flight.airplot import air_position
from nightleg.flight.arrival import Arrival, arrivals
from nightleg.flight.linenames import LineCheck, line_check
from nightleg.flight.model import Flight
from nightleg.flight.onward import Onward, ahead, onward_of_fix, trust_at
from nightleg.flight.solution import DrState, FixResult, LineResult, SightResult, Solution
from nightleg.flight.state import dr_state
from nightleg.flight.working_step import Step, Working
from nightleg.units.angles import MINUS, write_bearing
from nightleg.units.positions import write_position
from nightleg.units.times import gmt_s, instant, write_clock

AHEAD = "ahead"
"""Whose numbers those of the way ahead are."""

_TRUST = "position and wind with the errors they share, carried to the waypoint; a wind that changes is not in it"


def ahead_working(flight: Flight, solution: Solution, state: DrState) -> Working | None:
    """From the DR to the next waypoint, and what times due ask for; None where no route is planned."""
    point = ahead(flight, state, trust_at(flight, solution, state.time))
    if point is None:
        return None
    steps = (*ahead_steps(flight, point), *arrival_steps(arrivals(flight, solution, state.time)))
    return Working(
        of=AHEAD,
        title=f"{'back to' if point.passed else 'to'} {point.name}, {write_clock(state.time, seconds=True)} GMT",
        steps=steps,
    )


def ahead_at(flight: Flight, solution: Solution, when: datetime) -> Working | None:
    """The way ahead from the DR at an instant; None where no route is planned."""
    when = max(when, flight.start.time)
    return ahead_working(flight, solution, dr_state("now", solution.plot_at(when), gmt_s(when)))


def fix_ahead_steps(flight: Flight, solution: Solution, fix: FixResult) -> tuple[Step, ...]:
    """What to steer in the wind just found, from a DR ahead of the fix."""
    point = onward_of_fix(flight, solution, fix)
    if point is None or point.state is None:
        return ()
    place = Step(
        f"DR ahead at {write_clock(point.state.time, seconds=True)}",
        write_position(point.state.position),
        "from the fix, in the wind found, to the time of the work",
        (("next", point.name),),
        "ten minutes after the fix, or now (common practice)",
    )
    return (place, *ahead_steps(flight, point))


def line_working(flight: Flight, solution: Solution, line: LineResult) -> Working:
    """A line that is no altitude: where it lies from the DR, and what it checks by itself."""
    title = f"{line.kind} line, {write_clock(line.time)} GMT"
    if line.offset_nm is None or line.normal_deg is None or line.sigma_nm is None:
        return Working(of=line.id, title=title, steps=(Step("line", "refused", source="; ".join(line.warnings)),))
    offset = Step(
        "offset from the DR",
        f"{abs(line.offset_nm):.1f} NM",
        "to the nearest point of the line",
        (
            ("toward", write_bearing(line.normal_deg if line.offset_nm >= 0.0 else line.normal_deg + 180.0, 1)),
            ("1σ", f"{line.sigma_nm:.1f} NM"),
        ),
        "WGS 84",
    )
    return Working(of=line.id, title=title, steps=(offset, *line_steps(flight, solution, line)))


def ahead_steps(flight: Flight, point: Onward) -> tuple[Step, ...]:
    """Distance, course, heading to steer, ETA with its uncertainty."""
    state = point.state
    planned = next((one for one in flight.waypoints if one.name == point.name), None)
    if planned is None or state is None:
        return ()
    line = "great circle" if planned.path == "great_circle" else "rhumb line"
    way = (("DR", write_position(state.position)), (point.name, write_position(planned.position)))
    wind_name = f"wind of {point.wind_of}" if point.wind_of else "wind"
    course = ("course", write_bearing(point.bearing_deg, 1))
    air = (course, ("TAS", f"{state.tas_kt:.0f} kt"), (wind_name, _wind(state.wind_from_deg, state.wind_kt)))
    steps = [
        Step("distance", f"{point.distance_nm:.1f} NM", f"along the {line} that is planned", way, "WGS 84"),
        Step("course", write_bearing(point.bearing_deg, 1), f"at the DR, along the {line}", way, "WGS 84"),
    ]
    if point.heading_deg is None:
        steps.append(Step("heading to steer", "none", "the wind is too strong for that course", air, "wind triangle"))
    else:
        how = "sin(drift to allow) = wind speed·sin(wind from − course)/TAS; heading = course + that"
        steps.append(Step("heading to steer", write_bearing(point.heading_deg, 1), how, air, "wind triangle"))
    if point.eta is not None:
        gs = ("ground speed on that course", f"{point.gs_kt:.0f} kt" if point.gs_kt else "—")
        inputs = (("now", write_clock(state.time, seconds=True)), ("distance", f"{point.distance_nm:.1f} NM"), gs)
        steps.append(Step("ETA", write_clock(point.eta, seconds=True), "now + distance/ground speed", inputs))
        steps += _sigma_steps(point, gs)
    return tuple(steps)


def _sigma_steps(point: Onward, gs: tuple[str, str]) -> list[Step]:
    if point.eta_sigma_min is None or point.along_sigma_nm is None or point.cross_sigma_nm is None:
        return []
    source = "C + h·(X + Xᵀ) + h²·W, h hours since the fix"
    along, cross = f"{point.along_sigma_nm:.1f} NM", f"{point.cross_sigma_nm:.1f} NM"
    how = "1σ along the course at the waypoint/ground speed"
    return [
        Step("1σ of the ETA", f"{point.eta_sigma_min:.1f} min", how, (("along the course", along), gs), source),
        Step("1σ across the course", f"{cross} at the waypoint", _TRUST, source=source),
    ]


def arrival_steps(found: tuple[Arrival, ...]) -> tuple[Step, ...]:
    """What every time due asks for."""
    steps = []
    for one in found:
        given = (
            ("distance along the route", f"{one.distance_nm:.1f} NM"),
            ("time left", f"{60.0 * one.left_h:.1f} min"),
            ("wind", _wind(one.state.wind_from_deg, one.state.wind_kt)),
        )
        due = f"{write_clock(one.due)} at {one.waypoint}"
        if one.gs_kt is None or one.tas_kt is None or one.heading_deg is None:
            steps.append(Step(f"due {due}", "not to be kept", one.words, given))
            continue
        steps.append(Step(f"due {due}", f"GS {one.gs_kt:.0f} kt", "distance/time left", given))
        how = "one airspeed for all of the way, through the wind triangle of each piece of it"
        steps.append(Step(f"speed for {one.waypoint}", speed_words(one), how, given, "wind triangle"))
        steps.append(Step(f"heading for {one.waypoint}", write_bearing(one.heading_deg, 1), "at that airspeed"))
    return tuple(steps)


def speed_words(one: Arrival) -> str:
    """The airspeed asked for, in the form of the leg too: `TAS 431 kt, Mach 0.734`."""
    if one.tas_kt is None:
        return "—"
    form = ""
    if one.speed == "mach" and one.mach is not None:
        form = f", Mach {one.mach:.3f}"
    elif one.speed == "cas" and one.cas_kt is not None:
        form = f", CAS {one.cas_kt:.0f} kt"
    return f"TAS {one.tas_kt:.0f} kt{form}"


def line_steps(flight: Flight, solution: Solution, line: SightResult | LineResult) -> tuple[Step, ...]:
    """What a line checks by itself, where it is a speed line or a course line."""
    check = line_check(flight, solution, line)
    if check is None:
        return ()
    place = "ahead of" if check.offset_nm >= 0.0 else "behind"
    if check.kind == "course":
        place = "right of" if check.offset_nm >= 0.0 else "left of"
    across = "across" if check.kind == "speed" else "along"
    given = (
        ("track", write_bearing(check.track_deg, 1)),
        ("line off that", f"{check.angle_deg:.1f}°"),
        ("way since then", f"{check.run_nm:.1f} NM"),
    )
    name = f"{check.kind} line"
    value = f"{abs(check.offset_nm):.1f} ± {check.offset_sigma_nm:.1f} NM {place} the DR"
    how = f"a line within 20° of {across} the track; offset/cos of the angle off it"
    steps = [Step(name, value, how, given, "common practice for the bound")]
    if check.gs_kt is not None:
        steps.append(
            Step(
                "ground speed made good",
                f"{check.gs_kt:.0f} ± {check.gs_sigma_kt:.0f} kt since {write_clock(check.since)}",
                "(way of the DR + offset)/time; the error at the beginning is in its 1σ",
                (("by the DR", f"{check.dr_gs_kt:.0f} kt"),),
            )
        )
    if check.course_deg is not None and check.dr_course_deg is not None:
        made = write_bearing(check.course_deg, 1)
        steps.append(
            Step(
                "track made good",
                f"{made} ± {check.course_sigma_deg:.1f}° since {write_clock(check.since)}",
                "from the last fix to the DR put on the line",
                (("by the DR", write_bearing(check.dr_course_deg, 1)),),
            )
        )
    return tuple(steps)


def check_words(check: LineCheck) -> str:
    """One line of the log: `speed line: GS 402 ± 11 kt since 2200, 3.1 ± 2.6 NM ahead of the DR`."""
    sides = ("ahead of", "behind") if check.kind == "speed" else ("right of", "left of")
    off = f"{abs(check.offset_nm):.1f} ± {check.offset_sigma_nm:.1f} NM {sides[check.offset_nm < 0.0]} the DR"
    made = ""
    if check.gs_kt is not None:
        made = f"GS {check.gs_kt:.0f} ± {check.gs_sigma_kt:.0f} kt since {write_clock(check.since)}, "
    elif check.course_deg is not None:
        made = (
            f"track made good {write_bearing(check.course_deg, 1)} ± {check.course_sigma_deg:.1f}° "
            f"since {write_clock(check.since)}, "
        )
    return f"{check.kind} line: {made}{off}"


def air_step(solution: Solution, fix: FixResult) -> tuple[Step, ...]:
    """The air position at a fix, from which the wind is measured."""
    plot = solution.plot_of_fix.get(fix.id)
    if plot is None or (found := air_position(plot, gmt_s(fix.time))) is None:
        return ()
    how = f"heading and TAS alone since {write_clock(instant(plot.time_s))}; wind = (fix {MINUS} this)/time"
    return (Step("air position", write_position(found), how, source="air plot"),)


def _wind(from_deg: float, kt: float) -> str:
    return f"{write_bearing(from_deg).rstrip('°')}/{kt:.0f}"
