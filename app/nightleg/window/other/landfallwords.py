"""A landfall in the window's words: its answer in the form, and its row of the log. No Qt here."""

from __future__ import annotations

from typing import TYPE_CHECKING

from nightleg.flight.model import Flight, Landfall
from nightleg.flight.solution import Solution
from nightleg.sky.ephemeris import EphemerisRangeError
from nightleg.units.angles import write_angle
from nightleg.units.times import write_clock
from nightleg.window.parts import Row
from nightleg.window.words import NONE, direction

if TYPE_CHECKING:
    from nightleg.flight.landfall import LandfallResult


def landfall_by_id(flight: Flight, solution: Solution, id: str) -> LandfallResult:
    """A landfall of a solved flight. Raises StopIteration for an id there is not."""
    from nightleg.flight.landfall import landfall  # few flights have any

    return landfall(flight, solution, next(one for one in flight.landfalls if one.id == id))


def landfall_answer(flight: Flight, solution: Solution, id: str) -> tuple[str, list[Row]]:
    """When to turn and at what altitude, what to steer before and after, and presets about that time."""
    found = landfall_by_id(flight, solution, id)
    if found.to_turn is None or found.down is None or found.turn_deg is None:
        return NONE, []
    way = "right" if found.turn_deg >= 0.0 else "left"
    rows = [
        Row("Steer", direction(found.to_turn.heading_deg), f"{found.to_turn.distance_nm:.0f} NM to the turn"),
        Row("Aim-off", f"{found.aim_off_nm:.0f} NM {found.side}", f"1σ along the line {found.sigma_nm:.1f} NM"),
        Row("Then", direction(found.down.heading_deg), f"turn {way}; there at {write_clock(found.down.end)}"),
    ]
    for row in found.table[1::3]:
        at = f"Hc {write_angle(row.hc)}"
        rows.append(Row(f"Preset {write_clock(row.time)}", write_angle(row.preset), f"{at}, Zn {direction(row.zn)}"))
    return f"turn {way} at {write_clock(found.to_turn.end)}, Ho {write_angle(found.hc)}", rows


def landfall_row(flight: Flight, solution: Solution, wanted: Landfall) -> tuple[str, str]:
    """What is planned, in words for the log, and what there is to say of it."""
    from nightleg.flight.landfall import landfall

    what = f"{wanted.body} at {wanted.destination}, aim off {wanted.side}"
    try:
        found = landfall(flight, solution, wanted)
    except EphemerisRangeError as error:
        return what, str(error)
    if found.to_turn is not None:
        what = f"{what} {found.aim_off_nm:.0f} NM, turn {write_clock(found.to_turn.end)}"
    return what, "; ".join(one for one in found.warnings if not one.startswith("Sun:"))
