"""Lines of position plotted by hand, held against the solution or the truth.

How far a line lies off is measured along its normal, toward which a sight's body or a line's positive offset lies. One
minute of altitude is 1 NM, as it is plotted.
"""

from __future__ import annotations

import math
from datetime import datetime

from nightleg.air.wind import turn_from_to
from nightleg.flight.grade import Grade, Part, Place, graded, not_graded
from nightleg.flight.model import Flight, Plotted, Truth
from nightleg.flight.solution import LineResult, SightResult, Solution
from nightleg.flight.truth import truth_at
from nightleg.sight.reduction import altitude, altitude_azimuth
from nightleg.units.positions import Position
from nightleg.units.times import gmt_s


def sight_grade(flight: Flight, solution: Solution, work: Plotted, sight: SightResult, truth: Truth | None) -> Grade:
    """A sight worked by hand.

    Its line is that of the intercept (or Ho − Hc) laid off along Zn from `position`, by default from where the solution
    reduces the sight; of Ho alone, its circle of equal altitude; of a position alone, a point of the line at `time`.
    """
    warnings: list[str] = []
    at = work.position if work.position is not None and not _is_point(work) else sight.reduced_from
    hc, zn = (float(value) for value in altitude_azimuth(*at, sight.gha, sight.dec))
    parts = []
    if work.ho is not None and sight.ho is not None:
        parts.append(Part("Ho", (work.ho - sight.ho) * 60.0, "′"))
    if work.hc is not None:
        parts.append(Part("Hc", (work.hc - hc) * 60.0, "′"))
    if work.zn_deg is not None:
        parts.append(Part("Zn", float(turn_from_to(zn, work.zn_deg)), "°"))

    def carried(place: Position, when: datetime) -> Position:
        return _carried(solution, sight.fix, place, when, sight.time)

    when = work.time or sight.time
    line_deg = None
    if _is_point(work) and work.position is not None:
        point = carried(work.position, when)
        high, normal = altitude_azimuth(*point, sight.gha, sight.dec)
        line_deg, zn = float(high), float(normal)
    elif _intercept_nm(work) is not None or work.ho is not None:
        line_deg, when = _line_altitude(work, hc, zn), sight.time
    place = None
    if line_deg is not None:
        true = truth_at(truth, when)
        right_deg = sight.ho if true is None else float(altitude(*carried(true, when), sight.gha, sight.dec))
        if right_deg is None:
            warnings.append("the reading is refused, so there is no line to hold this one against")
        else:
            place = _place((line_deg - right_deg) * 60.0, zn, true is not None)
    if place is not None:
        parts.append(Part("line", place.error_nm, "NM", flight.grading.shot_arcmin))
    warnings += not_graded(work, ("position", "ho", "hc", "zn_deg", "intercept_nm"), "a sight")
    return graded(work, "sight", work.time or sight.time, place, parts, warnings, flight.grading.line_minutes)


def line_grade(flight: Flight, solution: Solution, work: Plotted, line: LineResult, truth: Truth | None) -> Grade:
    """Another line: `position` is a point of it at `time`."""
    warnings: list[str] = []
    place, parts = None, []
    when = work.time or line.time
    if work.position is not None:
        if line.shape is None:
            warnings.append("the solution has no such line to hold this one against")
        else:
            point = _carried(solution, line.fix, work.position, when, line.time)
            # an offset says how far the line lies from a place, so its negative how far the place lies from the line
            true, off_nm = truth_at(truth, when), -float(line.shape.offset_nm(*point))
            if true is not None:
                off_nm += float(line.shape.offset_nm(*_carried(solution, line.fix, true, when, line.time)))
            place = _place(off_nm, float(line.shape.normal_deg(*point)), true is not None)
    if place is not None:
        parts.append(Part("line", place.error_nm, "NM", flight.grading.fix_nm))
    warnings += not_graded(work, ("position",), "such a line")
    return graded(work, "line", when, place, parts, warnings, flight.grading.line_minutes)


def _is_point(work: Plotted) -> bool:
    """Whether the position is a point of the line, and not where an altitude is laid off from."""
    return work.position is not None and work.ho is None and work.hc is None and work.intercept_nm is None


def _intercept_nm(work: Plotted) -> float | None:
    if work.intercept_nm is not None:
        return work.intercept_nm
    return None if work.ho is None or work.hc is None else (work.ho - work.hc) * 60.0


def _line_altitude(work: Plotted, hc: float, zn: float) -> float:
    """The body's altitude, degrees, at the foot of the line: Hc and Zn there are those of where it is laid off from."""
    laid_nm = _intercept_nm(work)
    if laid_nm is None:
        return work.ho or 0.0
    astray = 0.0 if work.zn_deg is None else math.radians(work.zn_deg - zn)
    high, run = math.radians(hc), math.radians(laid_nm / 60.0)
    sine = math.sin(high) * math.cos(run) + math.cos(high) * math.sin(run) * math.cos(astray)
    return math.degrees(math.asin(min(1.0, max(-1.0, sine))))


def _place(off_nm: float, normal_deg: float, true: bool) -> Place | None:
    """The place of a line that lies `off_nm` along its normal; None where its answer cannot be carried to its time."""
    if not math.isfinite(off_nm):
        return None
    toward = normal_deg if off_nm > 0.0 else (normal_deg + 180.0) % 360.0
    return Place(abs(off_nm), toward if off_nm != 0.0 else None, "truth" if true else "solution")


def _carried(solution: Solution, fix: str | None, place: Position, when: datetime, to: datetime) -> Position:
    """A place carried by the DR's motion from the time of an answer to that of its line."""
    if when == to:
        return place
    plot = solution.plot_of_fix[fix] if fix in solution.plot_of_fix else solution.plot_at(to)
    lat, lon = plot.carry(*place, gmt_s(when), gmt_s(to))
    return Position(float(lat), float(lon))
