"""Where the aircraft really was, as far as a flight's truth tells."""

from __future__ import annotations

from datetime import datetime
from itertools import pairwise

from nightleg.flight.model import Truth
from nightleg.units.positions import Position
from nightleg.units.times import gmt_s


def truth_at(truth: Truth | None, when: datetime) -> Position | None:
    """The true position at an instant, degrees; None without a truth and where its track does not reach.

    Between two points of the track the aircraft keeps its speed along the geodesic on WGS 84.
    """
    if truth is None:
        return None
    points = sorted(truth.track, key=lambda point: point.time)
    for point in points:
        if point.time == when:
            return point.position
    for before, after in pairwise(points):
        if before.time < when < after.time:
            from nightleg.earth.geodesic import direct, inverse  # a library that few runs need

            share = (gmt_s(when) - gmt_s(before.time)) / (gmt_s(after.time) - gmt_s(before.time))
            distance_nm, course_deg, _ = inverse(*before.position, *after.position)
            lat, lon, _ = direct(*before.position, course_deg, share * distance_nm)
            return Position(float(lat), float(lon))
    return None
