"""Turns between the legs of a plot: the arc onto a leg that gives a bank, and what is said of corners left sharp."""

from __future__ import annotations

import math
from collections.abc import Sequence
from datetime import datetime

from msgspec.structs import replace

from nightleg.air.motion import LegMotion
from nightleg.air.reckoning import Reckoning
from nightleg.air.turn import radius_nm, turn_between
from nightleg.flight.legs import HeldLeg
from nightleg.units.times import instant, write_clock

HIGHEST_DEG = 85.0  # beyond this true headings turn so fast with the place that an arc by them means little
USUAL_BANK_DEG = 25.0  # common practice for transport aircraft, no source
WORTH_SAYING_NM = 1.0  # a corner that a turn at the usual bank would move by less is no matter


def rounded(leg: LegMotion, bank_deg: float, before: Reckoning) -> LegMotion:
    """A leg's motion with the turn onto it, from the heading that the plot `before` holds at its beginning."""
    lat, _ = before.position(leg.start_s)
    if not abs(float(lat)) <= HIGHEST_DEG:  # nan is not
        return leg
    turn = turn_between(before.heading(leg.start_s), leg.heading_deg, leg.tas_kt, bank_deg)
    return leg if turn is None else replace(leg, turn=turn)


def moved_nm(by_deg: float, tas_kt: float, bank_deg: float) -> float:
    """How far a rounded corner puts the aircraft from where the sharp one would, in the air mass, NM."""
    by = abs(math.radians(by_deg))
    return float(radius_nm(tas_kt, bank_deg)) * math.hypot(1.0 - math.cos(by), by - math.sin(by))


def turn_notes(held: Sequence[HeldLeg], plots: Sequence[Reckoning]) -> tuple[str, ...]:
    """What is to be said of corners: one note on sharp ones that matter, and one on banks near a pole."""
    if not plots:
        return ()
    sharp: list[tuple[float, int, float]] = []
    polar: list[int] = []
    legs, start_s = plots[-1].legs, plots[0].time_s
    for i in range(1, len(legs)):
        leg, before = legs[i], legs[i - 1]
        by_deg = (leg.heading_deg - before.heading_deg + 180.0) % 360.0 - 180.0
        if leg.turn is not None or leg.start_s <= start_s or leg.tas_kt <= 0.0 or abs(by_deg) < 1.0:
            continue
        if held[i].bank_deg > 0.0:
            polar.append(i + 1)
        else:
            sharp.append((moved_nm(by_deg, leg.tas_kt, USUAL_BANK_DEG), i + 1, abs(by_deg)))
    notes = []
    if sharp and max(sharp)[0] >= WORTH_SAYING_NM:
        off_nm, number, by_deg = max(sharp)
        notes.append(
            f"corners are sharp: a turn with {USUAL_BANK_DEG:.0f}° of bank would put the DR {off_nm:.1f} NM elsewhere "
            f"on leg {number} ({by_deg:.0f}°); bank_deg rounds them"
        )
    if polar:
        numbers = ", ".join(map(str, polar))
        notes.append(f"the turn onto leg {numbers} is near a pole, beyond 85° of latitude: its corner is left sharp")
    return tuple(notes)


def turn_caution(plot: Reckoning, begin_s: float, end_s: float) -> str:
    """The warning for a shot taken from `begin_s` to `end_s`, gmt_s, while the aircraft turns; empty if it does not."""
    for leg in plot.legs:
        if leg.turn is not None and leg.start_s < end_s and begin_s < leg.start_s + leg.turn.duration_s:
            over = write_clock(_at(leg.start_s + leg.turn.duration_s), seconds=True)
            return (
                f"shot in a turn, {write_clock(_at(leg.start_s), seconds=True)} to {over}: the bubble shows no "
                "vertical there, and the reading is worth nothing; shoot before or after"
            )
    return ""


def _at(time_s: float) -> datetime:
    return instant(round(time_s))
