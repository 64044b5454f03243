"""What lies under the cursor, in words."""

from __future__ import annotations

import math

from nightleg.earth.rhumb import rhumb_inverse
from nightleg.units.angles import write_bearing
from nightleg.units.positions import Position, write_position


def read_out(place: Position | None, dr: Position | None, name: str = "DR") -> str:
    """A place with its bearing and distance from the DR by rhumb line: `41°12.4′N 031°08.7′W   081°  12.4 NM …`.

    `name`: what there is at the DR, where it is a fix.

    Empty where there is no place under the cursor.
    """
    if place is None:
        return ""
    words = write_position(place)
    if dr is None:
        return words
    distance_nm, bearing_deg = (float(v) for v in rhumb_inverse(*dr, *place))
    if not (math.isfinite(distance_nm) and math.isfinite(bearing_deg)):
        return words
    return f"{words}   {write_bearing(bearing_deg)}  {distance_nm:.1f} NM from the {name}"
