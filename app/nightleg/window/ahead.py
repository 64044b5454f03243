"""The way ahead as the window shows it. No Qt here."""

from __future__ import annotations

import numpy as np

from nightleg.earth.local import between
from nightleg.flight.onward import Onward as Ahead
from nightleg.flight.onward import ahead
from nightleg.units.angles import write_bearing
from nightleg.units.positions import Position, write_position

__all__ = ["Ahead", "ahead", "way"]


def way(start: Position, end: Position) -> str:
    """A place in words, with bearing and distance of the great circle to it: `41°12.4′N 031°08.7′W   081°  12.4 NM`."""
    north, east = (float(part) for part in between(*start, *end))
    return (
        f"{write_position(end)}   {write_bearing(np.degrees(np.arctan2(east, north)))}  {np.hypot(north, east):.1f} NM"
    )
