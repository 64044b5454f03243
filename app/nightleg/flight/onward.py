"""The way ahead: the waypoint that comes next, how far it is, what to steer, when it is reached, and how sure that is.

It is worked from the DR of the moment of work, not from the fix behind it. With the wind found at the fix that the plot
begins with, position and wind share errors (`fix.joint`); a wind held from elsewhere errs by itself. The wind is taken
to stay: its change on the way is in no covariance.
"""

from __future__ import annotations

import math
from datetime import datetime, timedelta
from functools import lru_cache
from itertools import pairwise

import numpy as np
from msgspec import Struct
from msgspec.structs import replace

from nightleg.air.motion import wind_vector
from nightleg.air.reckoning import Reckoning
from nightleg.air.wind import heading_to_make
from nightleg.earth.local import between
from nightleg.earth.rhumb import rhumb_inverse
from nightleg.fix.joint import Joint, found, held, sigma_along
from nightleg.flight.legs import held_legs
from nightleg.flight.model import Flight, Waypoint, WindOfFix
from nightleg.flight.solution import DrState, FixResult, Matrix, Solution
from nightleg.flight.state import dr_state
from nightleg.units.positions import Position
from nightleg.units.times import gmt_s

SAME_WIND_KT = 1.0  # a leg's wind is that of a fix, written by hand, if it is as near as whole degrees and knots tell
WORK_MIN = 10.0  # from the time of a fix until what it gives is steered by (common practice, no source)


class Trust(Struct, frozen=True):
    """What a DR rests on: position and wind with their covariances at `time_s`; the fix that found the wind, if one."""

    joint: Joint
    time_s: float
    wind_of: str | None = None


class Onward(Struct, frozen=True):
    """The next waypoint.

    `heading_deg` (true) makes the course to it good in the wind; None where the wind is too strong for that. `eta` is
    that of the ground speed then made, None where there is none. `after` names the waypoint behind it. The rest, 1σ
    each, is None where it was not asked for or there is no ETA. `passed`: it is the last of the route and lies behind;
    what the rest says is then the way back to it.
    """

    name: str
    distance_nm: float
    bearing_deg: float
    heading_deg: float | None
    eta: datetime | None
    after: str | None = None
    gs_kt: float | None = None
    eta_sigma_min: float | None = None
    along_sigma_nm: float | None = None
    cross_sigma_nm: float | None = None
    cov_nm2: Matrix | None = None  # of the position at the waypoint
    wind_of: str | None = None  # the fix that found the wind; None: the wind held
    state: DrState | None = None  # the DR it is worked from
    passed: bool = False


def ahead(flight: Flight, state: DrState, trust: Trust | None = None) -> Onward | None:
    """The waypoint at the end of the planned leg that the position is nearest to; None where none is planned.

    Distance and course are those of the rhumb line, or of the great circle on a leg that is planned so.
    """
    number = next_waypoint(flight, state.position)
    if number is None:
        return None
    point = flight.waypoints[number]
    distance, course = way_to(state.position, point)
    if not np.isfinite(distance):
        return None
    heading, gs_kt = (float(v) for v in heading_to_make(course, state.tas_kt, state.wind_from_deg, state.wind_kt))
    if not np.isfinite(gs_kt):
        gs_kt = 0.0
    try:
        eta = state.time + timedelta(hours=distance / gs_kt) if gs_kt > 0.0 else None
    except OverflowError:
        eta = None
    after = flight.waypoints[number + 1].name if number + 1 < len(flight.waypoints) else None
    passed = after is None and _is_past_the_end(flight, state.position)
    if eta is None or trust is None:
        return Onward(
            point.name,
            distance,
            course,
            heading if np.isfinite(heading) else None,
            eta,
            after,
            gs_kt or None,
            state=state,
            passed=passed,
        )
    cov = trust.joint.after((gmt_s(eta) - trust.time_s) / 3600.0)
    along_nm = sigma_along(cov, course)
    return Onward(
        name=point.name,
        distance_nm=distance,
        bearing_deg=course,
        heading_deg=heading,
        eta=eta,
        after=after,
        gs_kt=gs_kt,
        eta_sigma_min=60.0 * along_nm / gs_kt,
        along_sigma_nm=along_nm,
        cross_sigma_nm=sigma_along(cov, course + 90.0),
        cov_nm2=((float(cov[0, 0]), float(cov[0, 1])), (float(cov[1, 0]), float(cov[1, 1]))),
        wind_of=trust.wind_of,
        state=state,
        passed=passed,
    )


def next_waypoint(flight: Flight, here: Position) -> int | None:
    """The number of the waypoint at the end of the planned leg that a position is nearest to."""
    if not flight.waypoints:
        return None
    ends = [flight.start.position, *(point.position for point in flight.waypoints)]
    off = [_off_leg_nm(here, a, b) for a, b in pairwise(ends)]
    # At a turn two legs are equally near: the later one is flown next.
    return max((i for i, distance in enumerate(off) if distance <= min(off) + 0.5), default=0)


def way_to(here: Position, point: Waypoint) -> tuple[float, float]:
    """Distance (NM) and true course from here by the path that is planned to a waypoint."""
    if point.path == "great_circle":
        from nightleg.earth.geodesic import inverse  # brings PROJ, which most flights do without

        distance, bearing, _ = (float(v) for v in inverse(*here, *point.position))
    else:
        distance, bearing = (float(v) for v in rhumb_inverse(*here, *point.position))
    return distance, bearing


def _is_past_the_end(flight: Flight, here: Position) -> bool:
    """Whether the last waypoint lies behind a position, seen along the leg that leads to it."""
    start, end = [flight.start.position, *(point.position for point in flight.waypoints)][-2:]
    return _along_leg(here, start, end)[0] > 1.0


def _off_leg_nm(here: Position, start: Position, end: Position) -> float:
    """Distance from a leg, taken as straight in the plane about the position: enough to tell legs apart."""
    share, (north, east), (along_n, along_e) = _along_leg(here, start, end)
    share = float(np.clip(share, 0.0, 1.0))
    return float(np.hypot(north + share * along_n, east + share * along_e))


def _along_leg(
    here: Position, start: Position, end: Position
) -> tuple[float, tuple[float, float], tuple[float, float]]:
    """The share of a leg at which a position stands abeam of it (0 for a leg of no length); in the plane about the
    position, north and east in NM, where the leg starts, and the leg itself.
    """
    (north_a, north_b), (east_a, east_b) = between(
        *here, np.array([start.lat, end.lat]), np.array([start.lon, end.lon])
    )
    along_n, along_e = float(north_b - north_a), float(east_b - east_a)
    length2 = along_n**2 + along_e**2
    share = 0.0 if length2 == 0.0 else -(float(north_a) * along_n + float(east_a) * along_e) / length2
    return share, (float(north_a), float(east_a)), (along_n, along_e)


def origin_fix(solution: Solution, plot: Reckoning) -> FixResult | None:
    """The adopted fix that a plot begins with."""
    return next((fix for fix in solution.fixes if fix.adopted and gmt_s(fix.time) == plot.time_s), None)


def joint_of(solution: Solution, fix: FixResult) -> Joint | None:
    """Position and wind after a fix, with the errors they share; None where it found no wind."""
    plot = solution.plot_of_fix.get(fix.id)
    if plot is None or fix.cov_nm2 is None or fix.wind_kt is None:
        return None
    dr_cov = fix.dr_cov_nm2 if fix.prior else None
    return found(fix.cov_nm2, plot.cov_nm2, float(plot.hours(gmt_s(fix.time))), dr_cov)


def trust_at(flight: Flight, solution: Solution, when: datetime) -> Trust:
    """What the DR at an instant rests on, in the wind that it holds.

    Where that is the wind found at the fix behind, but taken up some time after it, the way by which the DR is off the
    one that has held it all along counts as an error of the position.
    """
    time_s = gmt_s(when)
    plot = solution.plot_at(when)
    fix = origin_fix(solution, plot)
    joint = joint_of(solution, fix) if fix is not None else None
    if fix is None or joint is None or fix.wind_from_deg is None or fix.wind_kt is None:
        return Trust(held(plot.cov_nm2, plot.wind_sigma_kt), plot.time_s)
    leg = plot.leg(time_s)
    blows, blew = wind_vector(leg.wind_from_deg, leg.wind_kt), wind_vector(fix.wind_from_deg, fix.wind_kt)
    named = held_legs(flight)[plot.leg_index(time_s)].wind == WindOfFix(fix=fix.id)
    if named or math.hypot(blows[0] - blew[0], blows[1] - blew[1]) <= SAME_WIND_KT:
        there, here = plot.with_wind(*blew).position(time_s), plot.position(time_s)
        off = np.array(between(*here, *there), dtype=float)
        place = np.asarray(joint.place_nm2) + np.outer(off, off)
        moved = ((float(place[0, 0]), float(place[0, 1])), (float(place[1, 0]), float(place[1, 1])))
        return Trust(replace(joint, place_nm2=moved), plot.time_s, fix.id)
    return Trust(held(plot.cov_nm2, plot.wind_sigma_kt), plot.time_s)


def onward(flight: Flight, solution: Solution, when: datetime | None = None) -> Onward | None:
    """The way ahead at an instant (default: the solution's now), in the wind that the DR holds then."""
    when = when or solution.now
    if not flight.waypoints or not solution.plots or when < flight.start.time:
        return None
    plot = solution.plot_at(when)
    return ahead(flight, dr_state("now", plot, gmt_s(when)), trust_at(flight, solution, when))


def onward_of_fix(flight: Flight, solution: Solution, fix: FixResult) -> Onward | None:
    """The way ahead in the wind just found at a fix, from a DR ahead of it at the time of work.

    That is the solution's now where it lies between this fix and the next one adopted, else ten minutes after the fix
    (the next fix, if that comes sooner). None where the fix is not adopted, found no wind, or no route is planned.
    """
    joint = joint_of(solution, fix)
    if not flight.waypoints or not fix.adopted or joint is None or fix.wind_from_deg is None or fix.wind_kt is None:
        return None
    time_s = gmt_s(fix.time)
    plot = next((plot for plot in solution.plots if plot.time_s == time_s), None)
    if plot is None:
        return None
    until_s = min((other.time_s for other in solution.plots if other.time_s > time_s), default=math.inf)
    now_s = gmt_s(solution.now)
    last = solution.dr[-1].kind == "now"
    work_s = now_s if last and time_s <= now_s < until_s else min(time_s + 60.0 * WORK_MIN, until_s)
    return _in_found_wind(flight, plot, fix.wind_from_deg, fix.wind_kt, Trust(joint, time_s, fix.id), work_s)


@lru_cache(maxsize=256)
def _in_found_wind(
    flight: Flight, plot: Reckoning, from_deg: float, kt: float, trust: Trust, work_s: float
) -> Onward | None:
    return ahead(flight, dr_state("now", plot.with_wind(*wind_vector(from_deg, kt)), work_s), trust)
