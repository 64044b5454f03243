"""The way ahead: the waypoint that comes next, how far it is, when it is reached, what to steer. No Qt here."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta
from itertools import pairwise

import numpy as np

from nightleg.air.wind import heading_to_make
from nightleg.earth.local import between
from nightleg.earth.rhumb import rhumb_inverse
from nightleg.flight.model import Flight, Waypoint
from nightleg.flight.solution import DrState
from nightleg.units.angles import write_bearing
from nightleg.units.positions import Position, write_position


@dataclass(frozen=True, slots=True)
class Ahead:
    """The next waypoint.

    `heading_deg` (true) makes the course to it good in the wind held; None where the wind is too strong for that. `eta`
    is that of the ground speed then made, None where there is none. `after` names the waypoint behind it.
    """

    name: str
    distance_nm: float
    bearing_deg: float
    heading_deg: float | None
    eta: datetime | None
    after: str | None = None


def ahead(flight: Flight, state: DrState) -> Ahead | None:
    """The waypoint at the end of the planned leg that the position is nearest to; None where none is planned.

    Distance and course are those of the rhumb line, or of the great circle on a leg that is planned so.
    """
    if not flight.waypoints:
        return None
    ends = [flight.start.position, *(point.position for point in flight.waypoints)]
    here = state.position
    off = [_off_leg_nm(here, a, b) for a, b in pairwise(ends)]
    # At a turn two legs are equally near: the later one is flown next.
    number = max((i for i, distance in enumerate(off) if distance <= min(off) + 0.5), default=0)
    point = flight.waypoints[number]
    distance, course = _course(here, point)
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
    return Ahead(point.name, distance, course, heading if np.isfinite(heading) else None, eta, after)


def _course(here: Position, point: Waypoint) -> tuple[float, float]:
    """Distance (NM) and true course from here by the path that is planned to a waypoint."""
    if point.path == "great_circle":
        from nightleg.earth.geodesic import inverse  # brings PROJ, which most flights do without

        distance, bearing, _ = (float(v) for v in inverse(*here, *point.position))
    else:
        distance, bearing = (float(v) for v in rhumb_inverse(*here, *point.position))
    return distance, bearing


def _off_leg_nm(here: Position, start: Position, end: Position) -> float:
    """Distance from a leg, taken as straight in the plane about the position: enough to tell legs apart."""
    (north_a, north_b), (east_a, east_b) = between(
        *here, np.array([start.lat, end.lat]), np.array([start.lon, end.lon])
    )
    along_n, along_e = north_b - north_a, east_b - east_a
    length2 = along_n**2 + along_e**2
    share = 0.0 if length2 == 0.0 else float(np.clip(-(north_a * along_n + east_a * along_e) / length2, 0.0, 1.0))
    return float(np.hypot(north_a + share * along_n, east_a + share * along_e))


def way(start: Position, end: Position) -> str:
    """A place in words, with bearing and distance of the great circle to it: `41°12.4′N 031°08.7′W   081°  12.4 NM`."""
    north, east = (float(part) for part in between(*start, *end))
    return (
        f"{write_position(end)}   {write_bearing(np.degrees(np.arctan2(east, north)))}  {np.hypot(north, east):.1f} NM"
    )
