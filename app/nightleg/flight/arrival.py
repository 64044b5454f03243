"""Controlled time of arrival: the speed that a time of arrival asks for along the planned route, in the wind in use.

The airspeed is one for the whole way; the ground speed is the way over the time left. A great circle is cut into pieces
of at most 60 NM, each with its own course.
"""

from __future__ import annotations

import math
from datetime import datetime, timedelta

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from nightleg.air.speeds import cas_from_tas, mach_from_tas
from nightleg.air.wind import heading_to_make
from nightleg.earth.atmosphere import speed_of_sound_kt, temperature_c
from nightleg.fix.joint import sigma_along
from nightleg.flight.legs import Speed, held_legs
from nightleg.flight.model import Flight, Waypoint
from nightleg.flight.onward import next_waypoint, trust_at, way_to
from nightleg.flight.solution import DrState, Solution
from nightleg.flight.state import dr_state
from nightleg.units.positions import Position
from nightleg.units.times import gmt_s

Array = NDArray[np.float64]

FASTEST_MACH = 0.95  # the airspeed formulae are those of subsonic flight
SLOWEST_SHARE = 0.5  # of the airspeed held: what no aircraft at cruise flies is no way to lose time
_PIECE_NM = 60.0


class Arrival(Struct, frozen=True):
    """A time of arrival asked for, and what it takes. Speeds are None where it cannot be kept; `words` then say why."""

    waypoint: str
    due: datetime
    now: datetime
    distance_nm: float
    left_h: float
    gs_kt: float | None  # over the whole way
    tas_kt: float | None
    mach: float | None
    cas_kt: float | None
    speed: Speed  # the form in which the leg gives its speed
    heading_deg: float | None  # to the next waypoint, at the airspeed asked for
    eta: datetime | None  # at the airspeed held
    early_min: float | None  # that before the time due; late is negative
    sigma_min: float | None
    reachable: bool
    words: str
    state: DrState


def arrivals(flight: Flight, solution: Solution, when: datetime | None = None) -> tuple[Arrival, ...]:
    """What each time due asks for, from the DR at an instant (default: now); no waypoint behind is told."""
    if not solution.plots or not any(point.due for point in flight.waypoints):
        return ()
    when = max(when or solution.now, flight.start.time)
    state = dr_state("now", solution.plot_at(when), gmt_s(when))
    first = next_waypoint(flight, state.position)
    if first is None:
        return ()
    made = []
    for number in range(first, len(flight.waypoints)):
        due = flight.waypoints[number].due
        if due is not None:
            made.append(_arrival(flight, solution, state, flight.waypoints[first : number + 1], due))
    return tuple(made)


def _arrival(flight: Flight, solution: Solution, state: DrState, route: tuple[Waypoint, ...], due: datetime) -> Arrival:
    distances, courses = pieces(state.position, route)
    total, left_h = float(np.sum(distances)), (due - state.time).total_seconds() / 3600.0
    plot = solution.plot_at(state.time)
    leg = plot.leg(gmt_s(state.time))
    at_h = hours(distances, courses, state.tas_kt, state.wind_from_deg, state.wind_kt)
    eta = state.time + timedelta(hours=at_h) if at_h < 1000.0 else None
    outside_c = leg.temperature_c if leg.temperature_c is not None else float(temperature_c(leg.altitude_ft))
    fastest_kt = FASTEST_MACH * float(speed_of_sound_kt(outside_c))
    tas_kt, words = _asked(distances, courses, state, left_h, fastest_kt)
    heading = sigma = None
    if tas_kt is not None:
        course = way_to(state.position, route[0])[1]  # the first piece's own is that of its middle
        heading = float(heading_to_make(course, tas_kt, state.wind_from_deg, state.wind_kt)[0])
        _, last_gs = heading_to_make(courses[-1], tas_kt, state.wind_from_deg, state.wind_kt)
        trust = trust_at(flight, solution, state.time)
        cov = trust.joint.after((gmt_s(due) - trust.time_s) / 3600.0)
        sigma = 60.0 * sigma_along(cov, float(courses[-1])) / float(last_gs)
    return Arrival(
        waypoint=route[-1].name,
        due=due,
        now=state.time,
        distance_nm=total,
        left_h=left_h,
        gs_kt=total / left_h if tas_kt is not None else None,
        tas_kt=tas_kt,
        mach=_or_none(mach_from_tas, tas_kt, leg.altitude_ft, outside_c),
        cas_kt=_or_none(cas_from_tas, tas_kt, leg.altitude_ft, outside_c),
        speed=held_legs(flight)[plot.leg_index(gmt_s(state.time))].speed,
        heading_deg=heading,
        eta=eta,
        early_min=(due - eta).total_seconds() / 60.0 if eta else None,
        sigma_min=sigma,
        reachable=tas_kt is not None,
        words=words,
        state=state,
    )


def pieces(here: Position, route: tuple[Waypoint, ...]) -> tuple[Array, Array]:
    """The planned way from a position through waypoints: lengths (NM) and true courses of its pieces."""
    distances: list[float] = []
    courses: list[float] = []
    for point in route:
        whole, course = way_to(here, point)
        if point.path == "rhumb":
            distances.append(whole)
            courses.append(course)
        else:
            from nightleg.earth.geodesic import direct

            count = max(math.ceil(whole / _PIECE_NM), 1)
            middles = (np.arange(count) + 0.5) * whole / count
            _, _, along = direct(here.lat, here.lon, course, middles)
            distances += [whole / count] * count
            courses += [float(a) % 360.0 for a in np.atleast_1d(along)]
        here = point.position
    return np.array(distances), np.array(courses)


def hours(distances_nm: Array, courses_deg: Array, tas_kt: float, wind_from_deg: float, wind_kt: float) -> float:
    """Time for a way at one airspeed in one wind; inf where the wind is too strong for a part of it."""
    if tas_kt <= 0.0:
        return math.inf
    _, gs = heading_to_make(courses_deg, tas_kt, wind_from_deg, wind_kt)
    took = np.where(distances_nm > 0.0, distances_nm / gs, 0.0)
    return math.inf if bool(np.any(np.isnan(took))) else float(np.sum(took))


def _asked(
    distances: Array, courses: Array, state: DrState, left_h: float, fastest_kt: float
) -> tuple[float | None, str]:
    """The airspeed that keeps the time, and in words what is to be done; no airspeed where it cannot be kept."""
    if left_h <= 0.0:
        return None, "the time has passed"
    if not np.all(np.isfinite(distances)):
        return None, "no way by rhumb line leads there"
    blown = state.wind_from_deg, state.wind_kt
    slowest_kt = SLOWEST_SHARE * state.tas_kt
    if hours(distances, courses, fastest_kt, *blown) > left_h:
        late_min = 60.0 * (hours(distances, courses, fastest_kt, *blown) - left_h)
        late = f"{late_min:.0f} min late" if math.isfinite(late_min) else "not at all"
        return None, f"cannot be kept: even at Mach {FASTEST_MACH:g}, TAS {fastest_kt:.0f} kt, one arrives {late}"
    if slowest_kt > 0.0 and hours(distances, courses, slowest_kt, *blown) < left_h:
        lose_min = 60.0 * (left_h - hours(distances, courses, slowest_kt, *blown))
        return None, (
            f"cannot be kept by speed: even at half the airspeed held, TAS {slowest_kt:.0f} kt, one arrives "
            f"{lose_min:.0f} min early; lose time by a longer way"
        )
    low, high = max(slowest_kt, 1e-3), fastest_kt
    for _ in range(60):
        middle = (low + high) / 2.0
        low, high = (middle, high) if hours(distances, courses, middle, *blown) > left_h else (low, middle)
    change = high - state.tas_kt
    if abs(change) < 0.5:
        return high, "the airspeed held keeps it"
    return high, f"fly {abs(change):.0f} kt TAS {'faster' if change > 0.0 else 'slower'}"


def _or_none(convert: object, tas_kt: float | None, altitude_ft: float, outside_c: float) -> float | None:
    if tas_kt is None or not callable(convert):
        return None
    try:
        return float(convert(tas_kt, altitude_ft, outside_c))
    except ValueError:
        return None
