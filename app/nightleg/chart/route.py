"""The planned route as the chart draws it: legs run along their rhumb line or great circle."""

from __future__ import annotations

import math
from functools import lru_cache

import numpy as np
from msgspec import Struct

from nightleg.chart.words import one_line
from nightleg.earth.geodesic import along
from nightleg.earth.rhumb import rhumb_direct, rhumb_inverse
from nightleg.flight.model import Flight, Path, Waypoint
from nightleg.units.positions import Position

_STEP_NM = 20.0  # close enough that a great circle's bow looks smooth at any scale of the chart


class RouteMark(Struct, frozen=True):
    """Legs as runs of points, and the named points they lead to."""

    legs: tuple[tuple[Position, ...], ...]
    waypoints: tuple[tuple[str, Position], ...]


def route(flight: Flight) -> RouteMark | None:
    """The route from the start through the waypoints; None where none is planned."""
    return _route(flight.start.position, flight.waypoints) if flight.waypoints else None


@lru_cache(maxsize=8)
def _route(start: Position, waypoints: tuple[Waypoint, ...]) -> RouteMark:
    legs, here = [], start
    for point in waypoints:
        legs.append(leg(here, point.position, point.path))
        here = point.position
    return RouteMark(tuple(legs), tuple((one_line(point.name), point.position) for point in waypoints))


def leg(start: Position, end: Position, path: Path) -> tuple[Position, ...]:
    """Points along one leg, both ends among them."""
    if path == "great_circle":
        lats, lons = along(start.lat, start.lon, end.lat, end.lon, _STEP_NM)
    else:
        distance, track = (float(v) for v in rhumb_inverse(start.lat, start.lon, end.lat, end.lon))
        if not math.isfinite(distance):  # an end on a pole: every meridian is a rhumb line there
            return start, end
        steps = np.linspace(0.0, distance, max(2, math.ceil(distance / _STEP_NM) + 1))
        lats, lons = rhumb_direct(start.lat, start.lon, track, steps)
    inner = zip(lats[1:-1], lons[1:-1], strict=True)
    return (start, *(Position(float(lat), float(lon)) for lat, lon in inner), end)
