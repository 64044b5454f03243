"""What must be said of a landfall: the Sun's filters first, then what makes its line of no use."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from nightleg.flight.model import Landfall
from nightleg.flight.reduce import SUN_CAUTION
from nightleg.flight.shots import Kit
from nightleg.sight.reduction import altitude_azimuth
from nightleg.sky.places import places
from nightleg.units.angles import write_bearing
from nightleg.units.positions import Position
from nightleg.units.times import gmt_s, write_clock

if TYPE_CHECKING:
    from nightleg.flight.landfall import Aim, LandfallResult, Run

LEAST_CROSSING_DEG = 30.0  # between the line and the way to the destination (common practice, no source)
OFF_EXPECTED_MIN = 10.0
_BY_DAY = ("Sun", "Moon", "Venus")
FT_M = 0.3048


def cautions(
    kit: Kit,
    wanted: Landfall,
    there: Position,
    altitude_ft: float,
    aim: Aim,
    course_deg: float,
    to_turn: Run | None,
    passed: bool,
) -> tuple[str, ...]:
    """In the order in which they matter."""
    said = [SUN_CAUTION] if wanted.body == "Sun" else []
    crossing = abs(math.degrees(math.asin(math.sin(math.radians(aim.line_deg - course_deg)))))
    if crossing < LEAST_CROSSING_DEG:
        said.append(
            f"useless: {wanted.body} at {write_bearing(aim.zn)} makes a line within {crossing:.0f}° of the way to the "
            f"destination, {write_bearing(course_deg)}, so it gives no moment to turn; take a body ahead or astern"
        )
    if aim.hc < 0.0:
        said.append(f"useless: {wanted.body} is {-aim.hc:.0f}° below the horizon of the destination then")
    elif not kit.sextant.lowest_deg <= aim.hc <= kit.sextant.highest_deg:
        limits = f"{kit.sextant.lowest_deg:g}° to {kit.sextant.highest_deg:g}°"
        said.append(f"{wanted.body} stands {aim.hc:.0f}° high then, outside what the instrument reaches, {limits}")
    if wanted.body not in _BY_DAY:
        said += _daylight(wanted, there, altitude_ft)
    if wanted.aim_off_nm is not None and wanted.aim_off_nm <= 2.0 * aim.sigma_nm:
        said.append(
            f"an aim-off of {wanted.aim_off_nm:.0f} NM is not more than 2σ of the DR along the line, "
            f"{2.0 * aim.sigma_nm:.0f} NM: the destination may lie on the other side"
        )
    if to_turn is None:
        said.append("no heading leads to the turn: the wind is stronger than the airspeed, or it is a day away")
    elif abs((to_turn.end - wanted.time).total_seconds()) > OFF_EXPECTED_MIN * 60.0:
        said.append(
            f"by the DR the line is reached at {write_clock(to_turn.end)}, not near the time expected, "
            f"{write_clock(wanted.time)}: the table is for that"
        )
    if passed:
        said.append("its time has passed: it is worked from the last fix, or the start, before it")
    return tuple(said)


def _daylight(wanted: Landfall, there: Position, altitude_ft: float) -> list[str]:
    """A star by day: the Sun's upper limb is on the horizon of an aircraft at -50′ less the dip (NGA Pub. 9)."""
    sun = places("Sun", gmt_s(wanted.time))
    sun_deg = float(altitude_azimuth(*there, sun.gha_deg, sun.dec_deg)[0])
    if sun_deg < -(50.0 + 2.12 * math.sqrt(max(altitude_ft, 0.0) * FT_M)) / 60.0:
        return []
    return [f"the Sun is up at the destination then: {wanted.body} will hardly be seen"]


def landfall_words(found: LandfallResult) -> tuple[str, ...]:
    """A landfall in a few lines: what to steer, when to turn, which way."""
    head = (
        f"{found.body} {write_bearing(found.zn)}, Hc {found.hc:.1f}° at {found.name}; aim off "
        f"{found.aim_off_nm:.0f} NM to the {found.side} (DR 1σ along the line {found.sigma_nm:.1f} NM)"
    )
    if found.to_turn is None or found.down is None or found.turn_deg is None:
        return (head,)
    way = "right" if found.turn_deg >= 0.0 else "left"
    return (
        head,
        f"from {write_clock(found.begin)} steer {write_bearing(found.to_turn.heading_deg)} true, "
        f"{found.to_turn.distance_nm:.0f} NM to the turn at {write_clock(found.to_turn.end)}, when Ho = Hc",
        f"turn {way} {abs(found.turn_deg):.0f}° to {write_bearing(found.down.heading_deg)} true, "
        f"{found.down.distance_nm:.0f} NM down the line, there at {write_clock(found.down.end)}",
    )
