"""Lines of the log on turns, the air plot, the way ahead, times due, speed lines and heading instruments."""

from __future__ import annotations

from collections.abc import Iterator

from nightleg.air.turn import radius_nm
from nightleg.commands.figures import clip, clock, direction, place, signed, winds
from nightleg.commands.terminal import plain
from nightleg.flight.airplot import air_position
from nightleg.flight.arrival import Arrival, arrivals
from nightleg.flight.instruments import instruments
from nightleg.flight.linenames import line_check
from nightleg.flight.model import Flight
from nightleg.flight.onward import Onward, onward, onward_of_fix
from nightleg.flight.solution import DrState, FixResult, HeadingResult, LineResult, SightResult, Solution
from nightleg.flight.working_heading import instrument_words
from nightleg.flight.working_wind import check_words, speed_words
from nightleg.units.times import gmt_s, instant, write_clock

HOLD = "\u00a0"  # a space at which no line is broken


def of_state(flight: Flight, solution: Solution, state: DrState) -> Iterator[str]:
    """What stands under a row of the DR: a turn, and for the DR of now air position, way ahead, instruments."""
    if not solution.plots:
        return
    plot, time_s = solution.plot_at(state.time), gmt_s(state.time)
    turn = plot.turning(time_s)
    if turn is not None:
        leg = plot.leg(time_s)
        yield (
            f"turn from TH {direction(turn.from_deg)} by {abs(turn.by_deg):.0f}° to the "
            f"{'right' if turn.by_deg > 0.0 else 'left'}, bank {turn.bank_deg:g}°, radius "
            f"{float(radius_nm(leg.tas_kt, turn.bank_deg)):.1f} NM, till "
            f"{clock(instant(leg.start_s + turn.duration_s), always_seconds=True)}"
        )
    if state.kind != "now":
        return
    air = air_position(plot, time_s)
    if air is not None:
        yield f"air position {place(air)}"
    point = onward(flight, solution, state.time)
    if point is not None:
        yield ahead_words(point)
    yield from map(arrival_words, arrivals(flight, solution, state.time))
    for one in instruments(flight, solution, state.time):
        yield instrument_words(one)


def of_fix(flight: Flight, solution: Solution, fix: FixResult) -> Iterator[str]:
    """The air position at a fix, and what to steer in the wind that it found."""
    plot = solution.plot_of_fix.get(fix.id)
    if fix.wind_kt is not None and plot is not None:
        air = air_position(plot, gmt_s(fix.time))
        if air is not None:
            yield f"air position {place(air)}"
    point = onward_of_fix(flight, solution, fix)
    if point is not None and point.state is not None:
        yield f"DR ahead at {clock(point.state.time)} {place(point.state.position)}; {ahead_words(point)}"


def of_line(flight: Flight, solution: Solution, line: SightResult | LineResult) -> Iterator[str]:
    """What a speed line or a course line checks by itself."""
    check = line_check(flight, solution, line)
    if check is not None:
        yield check_words(check)


def of_check(flight: Flight, found: HeadingResult) -> str:
    """A heading check."""
    given = next(check for check in flight.heading_checks if check.id == found.id)
    body = clip(plain(found.body), 16)
    again = "; set right after it" if given.reset else ""
    return (
        f"heading by {body}: TH {direction(found.true_heading_deg)}, shown {direction(given.shown_deg)} "
        f"({given.shown}), error {signed(found.error_deg)}° ± {given.sigma_deg:.1f}{again}"
    )


def ahead_words(point: Onward) -> str:
    """`to GANNET 354.9 NM, TC 149.4, TH 151.9 by wind 310/26 of f1, GS 225, ETA 2015 ± 2.0 min, ± 13.4 NM across`."""
    state = point.state
    blown = "" if state is None else f" by wind {winds(state.wind_from_deg, state.wind_kt)}"
    found = f" of {plain(point.wind_of)}" if point.wind_of else ""
    way = f"past {clip(plain(point.name), 30)}, back" if point.passed else f"to {clip(plain(point.name), 30)}"
    head = f"{way} {point.distance_nm:.1f} NM, TC {direction(point.bearing_deg)}"
    if point.heading_deg is None or point.gs_kt is None:
        return f"{head}: the wind{blown[8:]}{found} is too strong for that course"
    eta = "" if point.eta is None else f", ETA {write_clock(point.eta)}"
    sure = "" if point.eta_sigma_min is None else f"{HOLD}±{HOLD}{point.eta_sigma_min:.1f}{HOLD}min"
    across = "" if point.cross_sigma_nm is None else f", ±{HOLD}{point.cross_sigma_nm:.1f}{HOLD}NM across"
    return f"{head}, TH {direction(point.heading_deg)}{blown}{found}, GS {point.gs_kt:.0f}{eta}{sure}{across}"


def arrival_words(one: Arrival) -> str:
    """`due 2340 at LIMA, 253.9 NM: GS 386 kt, TAS 373 kt, TH 207.6; …`."""
    sure = "" if one.sigma_min is None else f"{HOLD}±{HOLD}{one.sigma_min:.1f}{HOLD}min"
    head = f"due {clock(one.due)}{sure} at {clip(plain(one.waypoint), 30)}, {one.distance_nm:.1f} NM"
    if one.gs_kt is None:
        return f"{head}: {one.words}"
    return f"{head}: GS {one.gs_kt:.0f} kt, {speed_words(one)}, TH {direction(one.heading_deg)}; {one.words}"
