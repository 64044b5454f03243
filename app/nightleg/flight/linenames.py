"""Speed lines and course lines: what one line of position says of the ground speed or of the track by itself.

A line nearly across the track tells how far the aircraft has come: a speed line. A line nearly along the track tells
how far it is off to a side: a course line. Each is held against the DR since the last adopted fix.
"""

from __future__ import annotations

import math
from datetime import datetime
from typing import Literal

from msgspec import Struct
from msgspec.structs import replace

from nightleg.air.reckoning import Reckoning
from nightleg.earth.local import between
from nightleg.fix.joint import sigma_along
from nightleg.flight.model import Flight
from nightleg.flight.solution import LineResult, SightResult, Solution
from nightleg.sight.reduction import altitude_azimuth
from nightleg.units.positions import Position
from nightleg.units.times import gmt_s, instant

WITHIN_DEG = 20.0  # of the track, or of abeam (common practice, no source): then a third of a cross error enters
LEAST_H = 0.1  # since the last fix: sooner, no speed or course comes of a line


class LineCheck(Struct, frozen=True):
    """What a speed line or a course line checks. Values are None where the time since the last fix is too short."""

    id: str
    kind: Literal["speed", "course"]
    time: datetime
    since: datetime
    angle_deg: float  # between the line and across the track (speed line), or along it (course line)
    track_deg: float
    offset_nm: float  # how far ahead of the DR (speed line) or right of it (course line) the line crosses
    offset_sigma_nm: float
    run_nm: float  # the DR's way over the ground since then
    gs_kt: float | None = None
    gs_sigma_kt: float | None = None
    dr_gs_kt: float | None = None
    course_deg: float | None = None  # made good since then
    course_sigma_deg: float | None = None
    dr_course_deg: float | None = None


def line_check(flight: Flight, solution: Solution, line: SightResult | LineResult) -> LineCheck | None:
    """What a line checks; None where it lies between, where nothing moves, and before the last adopted fix."""
    if not solution.plots:
        return None
    facts = _facts(flight, line)
    time_s = gmt_s(line.time)
    plot = solution.plot_of_fix[line.fix] if line.fix in solution.plot_of_fix else solution.plot_at(line.time)
    if facts is None or not line.used or time_s <= plot.time_s:
        return None
    if plot.turning(time_s) is not None or plot.gs_kt(time_s) <= 0.0:
        return None
    normal_deg, offset_nm, sigma_nm = facts
    if line.dr is None:
        return None
    track_deg = plot.track(time_s)
    off_deg = (normal_deg - track_deg + 180.0) % 360.0 - 180.0
    from_along = min(abs(off_deg), 180.0 - abs(off_deg))
    if WITHIN_DEG < from_along < 90.0 - WITHIN_DEG:
        return None
    return _checked(line, plot, line.dr, track_deg, (off_deg, offset_nm, sigma_nm), from_along <= WITHIN_DEG)


def _checked(
    line: SightResult | LineResult,
    plot: Reckoning,
    dr: Position,
    track_deg: float,
    facts: tuple[float, float, float],
    speed: bool,
) -> LineCheck:
    off_deg, offset_nm, sigma_nm = facts
    toward = math.radians(off_deg if speed else off_deg - 90.0)
    crossing_nm = offset_nm / math.cos(toward)
    time_s = gmt_s(line.time)
    hours = float(plot.hours(time_s))
    north, east = (float(x) for x in between(plot.lat, plot.lon, *dr))
    straight_nm, course_deg = math.hypot(north, east), math.degrees(math.atan2(east, north)) % 360.0
    run_nm = plot.run_nm(time_s)
    # the other coordinate of the DR enters as far as the line is not quite across or along
    side_nm = sigma_along(plot.covariance(time_s), track_deg + (90.0 if speed else 0.0))
    crossing_sigma = math.hypot(sigma_nm / math.cos(toward), side_nm * math.tan(toward))
    begun_nm = sigma_along(plot.cov_nm2, track_deg + (0.0 if speed else 90.0))
    whole = math.hypot(crossing_sigma, begun_nm)
    common = LineCheck(
        id=line.id,
        kind="speed" if speed else "course",
        time=line.time,
        since=instant(plot.time_s),
        angle_deg=abs(math.degrees(toward)) if abs(math.degrees(toward)) <= 90.0 else 180.0 - abs(math.degrees(toward)),
        track_deg=track_deg,
        offset_nm=crossing_nm,
        offset_sigma_nm=crossing_sigma,
        run_nm=run_nm,
    )
    if hours < LEAST_H or run_nm <= 1.0:
        return common
    if speed:
        return replace(common, gs_kt=(run_nm + crossing_nm) / hours, gs_sigma_kt=whole / hours, dr_gs_kt=run_nm / hours)
    if straight_nm <= 1.0:
        return common
    to_side = math.radians(track_deg + 90.0)
    made_n, made_e = north + crossing_nm * math.cos(to_side), east + crossing_nm * math.sin(to_side)
    return replace(
        common,
        course_deg=math.degrees(math.atan2(made_e, made_n)) % 360.0,
        course_sigma_deg=math.degrees(whole / straight_nm),
        dr_course_deg=course_deg,
    )


def _facts(flight: Flight, line: SightResult | LineResult) -> tuple[float, float, float] | None:
    """Direction of a positive offset, the offset from the DR, and its 1σ (NM)."""
    if isinstance(line, LineResult):
        if line.normal_deg is None or line.offset_nm is None or line.sigma_nm is None:
            return None
        return line.normal_deg, line.offset_nm, line.sigma_nm
    if line.ho is None:
        return None
    # from the DR, also where the sight is laid off from an assumed position
    hc, zn = (float(x) for x in altitude_azimuth(*line.dr, line.gha, line.dec))
    rate = (line.body_motion_arcmin_per_min + line.observer_motion_arcmin_per_min) / 60.0
    sigma = math.hypot(line.sigma_arcmin, flight.sextant.common_sigma_arcmin, flight.watch.sigma_s * rate)
    return zn, 60.0 * (line.ho - hc), sigma
