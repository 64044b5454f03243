"""Landfalls as the chart draws them."""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import TYPE_CHECKING

from nightleg.chart.marks import LandfallMark
from nightleg.chart.route import leg
from nightleg.chart.words import one_line
from nightleg.flight.model import Flight
from nightleg.flight.solution import Solution
from nightleg.sky.ephemeris import EphemerisRangeError
from nightleg.units.angles import write_angle, write_bearing
from nightleg.units.positions import Position
from nightleg.units.times import write_clock

if TYPE_CHECKING:
    from nightleg.flight.landfall import LandfallResult

_KEPT = timedelta(minutes=30)  # after it was expected a landfall stays on the chart of the moment


def landfall_marks(flight: Flight, solution: Solution, until: datetime | None) -> tuple[LandfallMark, ...]:
    """All that are still to come, or every one where no time is set."""
    if not flight.landfalls:
        return ()
    from nightleg.flight.landfall import landfalls  # few flights have any

    try:
        found = landfalls(flight, solution)
    except EphemerisRangeError:
        return ()
    return tuple(_mark(one) for one in found if until is None or until <= one.expected + _KEPT)


def _mark(found: LandfallResult) -> LandfallMark:
    reached = found.to_turn.end if found.to_turn else found.expected
    way: tuple[Position, ...] = ()
    words: tuple[str, ...] = ()
    if found.turn is not None and found.down is not None and found.turn_deg is not None:
        way = leg(found.dr, found.turn, "great_circle")  # from there the line itself is the way
        side = "right" if found.turn_deg >= 0.0 else "left"
        words = (
            f"{write_clock(reached)} turn {side} to {write_bearing(found.down.heading_deg)}",
            f"at Ho {write_angle(found.hc)}",
        )
    return LandfallMark(
        id=found.id,
        text=one_line(f"{write_clock(reached)} landfall {found.body}"),
        line=found.line,
        way=way,
        turn=found.turn,
        turn_text=words,
    )
