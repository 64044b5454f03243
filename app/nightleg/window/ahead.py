"""The way ahead as the window shows it. No Qt here."""

from __future__ import annotations

from datetime import datetime

import numpy as np

from nightleg.earth.local import between
from nightleg.flight.arrival import Arrival, arrivals
from nightleg.flight.model import Flight
from nightleg.flight.onward import Onward as Ahead
from nightleg.flight.onward import ahead
from nightleg.flight.solution import Solution
from nightleg.flight.working_wind import speed_words
from nightleg.units.angles import write_bearing
from nightleg.units.positions import Position, write_position
from nightleg.units.times import write_clock

__all__ = ["Ahead", "ahead", "due_words", "way"]


def due_words(flight: Flight, solution: Solution, when: datetime) -> tuple[str, str]:
    """The next time due as a caption and in words: `due 2340  LIMA`, `GS 386 TAS 373`; both empty where none is."""
    found = arrivals(flight, solution, when)
    if not found:
        return "", ""
    one = next((one for one in found if one.left_h > 0.0), found[-1])
    caption = f"due {write_clock(one.due)}  {one.waypoint}"
    if one.gs_kt is None or one.tas_kt is None:
        return caption, "passed" if one.left_h <= 0.0 else "cannot be kept"
    return caption, f"GS {one.gs_kt:.0f} TAS {one.tas_kt:.0f}"


def asked_words(one: Arrival) -> str:
    """What a time due asks for: `GS 386, Mach 0.636, TH 208°`, or why it cannot be kept."""
    if one.gs_kt is None or one.heading_deg is None:
        return one.words
    speed = speed_words(one).rpartition(", ")[2].removesuffix(" kt")  # in the form of the leg
    return f"GS {one.gs_kt:.0f}, {speed}, TH {write_bearing(one.heading_deg)}"


def way(start: Position, end: Position) -> str:
    """A place in words, with bearing and distance of the great circle to it: `41°12.4′N 031°08.7′W   081°  12.4 NM`."""
    north, east = (float(part) for part in between(*start, *end))
    return (
        f"{write_position(end)}   {write_bearing(np.degrees(np.arctan2(east, north)))}  {np.hypot(north, east):.1f} NM"
    )
