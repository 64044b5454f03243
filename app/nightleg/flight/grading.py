"""What a person plotted by hand, held against the solution, or where it is revealed against the truth.

An answer for a place (a fix, the DR, a line of position) is held against the truth where there is one for its time;
all else a person may have written is held against the solution. Limits are those of the flight's `[grading]`, whose
defaults are the training grades of 14 CFR part 63, appendix A. The solution itself never uses any of it.
"""

from __future__ import annotations

import math
from datetime import datetime

from nightleg.air.reckoning import last_plot
from nightleg.air.wind import turn_from_to
from nightleg.flight.grade import Against, Grade, Part, apart, graded, not_graded
from nightleg.flight.grading_lines import line_grade, sight_grade
from nightleg.flight.model import Flight, Plotted, Truth, Wind
from nightleg.flight.solution import DrState, FixResult, HeadingResult, Solution
from nightleg.flight.truth import truth_at
from nightleg.units.positions import Position
from nightleg.units.times import gmt_s


def grades(flight: Flight, solution: Solution, truth: Truth | None = None) -> tuple[Grade, ...]:
    """Every record of `[[plotted]]` graded, in the order of the file; with `truth` where that is revealed."""
    return tuple(_grade(flight, solution, work, truth) for work in flight.plotted)


def _grade(flight: Flight, solution: Solution, work: Plotted, truth: Truth | None) -> Grade:
    for fix in solution.fixes:
        if fix.id == work.of:
            return _fix(flight, solution, work, fix, truth)
    for sight in solution.sights:
        if sight.id == work.of:
            return sight_grade(flight, solution, work, sight, truth)
    for line in solution.lines:
        if line.id == work.of:
            return line_grade(flight, solution, work, line, truth)
    for check in solution.heading_checks:
        if check.id == work.of:
            return _check(flight, work, check)
    return _dr(flight, solution, work, truth)


def _fix(flight: Flight, solution: Solution, work: Plotted, fix: FixResult, truth: Truth | None) -> Grade:
    time = work.time or fix.time
    warnings: list[str] = []
    place, parts = None, []
    if work.position is not None:
        right, against = _right(truth, time, _fix_at(solution, fix, time))
        if right is None:
            warnings.append("the fix has no position to hold this one against")
        else:
            place = apart(right, work.position, against)
            parts.append(Part("position", place.error_nm, "NM", flight.grading.fix_nm))
    if work.wind is not None:
        if fix.wind_from_deg is None or fix.wind_kt is None:
            warnings.append("the fix found no wind to hold this one against")
        else:
            parts.append(_wind(work.wind, fix.wind_from_deg, fix.wind_kt))
    if work.heading_deg is not None or work.eta is not None:
        from nightleg.flight.onward import onward_of_fix  # few flights have such answers

        point = onward_of_fix(flight, solution, fix)
        _onward(flight, work, point.heading_deg if point else None, point.eta if point else None, parts, warnings)
    warnings += not_graded(work, ("position", "wind", "heading_deg", "eta"), "a fix")
    return graded(work, "fix", time, place, parts, warnings)


def _fix_at(solution: Solution, fix: FixResult, when: datetime) -> Position | None:
    """The fix, carried by the DR's motion where the answer is for another time."""
    if fix.position is None or when == fix.time:
        return fix.position
    plot = solution.plot_at(fix.time) if when > fix.time else solution.plot_of_fix[fix.id]
    lat, lon = plot.carry(*fix.position, gmt_s(fix.time), gmt_s(when))
    return _known(float(lat), float(lon))


def _dr(flight: Flight, solution: Solution, work: Plotted, truth: Truth | None) -> Grade:
    """The DR; at the time of an adopted fix the one that ran up to it."""
    time = work.time or work.entered
    if time is None:
        return graded(work, "dr", None, None, [], ["for no time: give time, the GMT that the answer is for"])
    if time < flight.start.time:
        return graded(work, "dr", time, None, [], ["for a time before the start of the flight"])
    state = _dr_state(solution, time)
    if _known(*state.position) is None:
        return graded(work, "dr", time, None, [], ["the DR ends before that time, over a pole"])
    warnings: list[str] = []
    place, parts = None, []
    if work.position is not None:
        right, against = _right(truth, time, state.position)
        place = apart(right or state.position, work.position, against)
        parts.append(Part("position", place.error_nm, "NM", flight.grading.fix_nm))
    if work.wind is not None:
        parts.append(_wind(work.wind, state.wind_from_deg, state.wind_kt))
    if work.heading_deg is not None or work.eta is not None:
        from nightleg.flight.onward import ahead

        point = ahead(flight, state)
        heading_deg = point.heading_deg if point else state.heading_deg
        _onward(flight, work, heading_deg, point.eta if point else None, parts, warnings)
    warnings += not_graded(work, ("position", "wind", "heading_deg", "eta"), "the DR")
    return graded(work, "dr", time, place, parts, warnings)


def _dr_state(solution: Solution, time: datetime) -> DrState:
    from nightleg.flight.state import dr_state

    return dr_state("now", last_plot(solution.plots, gmt_s(time), before=True), gmt_s(time))


def _check(flight: Flight, work: Plotted, check: HeadingResult) -> Grade:
    parts = []
    if work.hc is not None:
        parts.append(Part("Hc", (work.hc - check.hc) * 60.0, "′"))
    if work.zn_deg is not None:
        parts.append(Part("Zn", float(turn_from_to(check.zn, work.zn_deg)), "°"))
    if work.heading_deg is not None:
        error_deg = float(turn_from_to(check.true_heading_deg, work.heading_deg))
        parts.append(Part("heading", error_deg, "°", flight.grading.heading_deg))
    warnings = not_graded(work, ("hc", "zn_deg", "heading_deg"), "a heading check")
    return graded(work, "heading check", work.time or check.time, None, parts, warnings)


def _right(truth: Truth | None, time: datetime, found: Position | None) -> tuple[Position | None, Against]:
    """The place to hold an answer against, and what it is."""
    true = truth_at(truth, time)
    return (true, "truth") if true is not None else (found, "solution")


def _wind(answer: Wind, from_deg: float, kt: float) -> Part:
    """A wind against the one found or held: the size of the vector between them."""
    angle = math.radians(answer.from_deg - from_deg)
    return Part("wind", math.hypot(answer.kt * math.cos(angle) - kt, answer.kt * math.sin(angle)), "kt")


def _onward(
    flight: Flight,
    work: Plotted,
    heading_deg: float | None,
    eta: datetime | None,
    parts: list[Part],
    warnings: list[str],
) -> None:
    """Heading to steer to the next waypoint, and the ETA there."""
    if work.heading_deg is not None:
        if heading_deg is None:
            warnings.append("there is no heading to a waypoint to hold this one against")
        else:
            error_deg = float(turn_from_to(heading_deg, work.heading_deg))
            parts.append(Part("heading", error_deg, "°", flight.grading.heading_deg))
    if work.eta is not None:
        if eta is None:
            warnings.append("there is no ETA at a waypoint to hold this one against")
        else:
            late_min = (gmt_s(work.eta) - gmt_s(eta)) / 60.0
            parts.append(Part("ETA", late_min, "min", flight.grading.eta_minutes))


def _known(lat: float, lon: float) -> Position | None:
    return Position(lat, lon) if math.isfinite(lat) and math.isfinite(lon) else None
