"""What the kind of a line was worked out by, in words: for chart, form and log."""

from __future__ import annotations

from msgspec import Struct

from nightleg.fix.lines.base import PositionLine
from nightleg.fix.lines.bearings import BearingLine, RadialLine
from nightleg.fix.lines.pressure import PressureLine
from nightleg.fix.lines.ranges import RangeLine
from nightleg.flight.solution import LineResult
from nightleg.units.angles import write_bearing
from nightleg.units.positions import Position, write_position


class Fact(Struct, frozen=True):
    """A figure with its name, and what it is in more words."""

    name: str
    value: str
    detail: str = ""


def from_dr(line: LineResult) -> str:
    """Where a line lies: `12.3 NM, 352° from the DR`; empty where it is refused."""
    if line.offset_nm is None or line.normal_deg is None:
        return ""
    size = f"{abs(line.offset_nm):.1f}"
    if float(size) == 0.0:
        return "0.0 NM, through the DR"
    toward_deg = line.normal_deg if line.offset_nm > 0.0 else line.normal_deg + 180.0
    return f"{size} NM, {write_bearing(toward_deg % 360.0)} from the DR"


def line_facts(line: LineResult) -> tuple[Fact, ...]:
    """Its 1σ, which way it runs, and what its kind was worked out by; none where it is refused."""
    if line.normal_deg is None or line.sigma_nm is None:
        return ()
    one, other = sorted(((line.normal_deg + 90.0) % 360.0, (line.normal_deg - 90.0) % 360.0))
    return (
        Fact("1σ", f"{line.sigma_nm:.1f} NM", "across the line"),
        Fact("Line runs", f"{write_bearing(one)}–{write_bearing(other)}", "at the DR"),
        *shape_facts(line.shape),
    )


def shape_facts(shape: PositionLine | None) -> tuple[Fact, ...]:
    """The direction, distance or displacement that the line was laid off by."""
    if isinstance(shape, PressureLine):
        side = "right" if shape.right_nm >= 0.0 else "left"
        return (
            Fact(
                "Displacement",
                f"{abs(shape.right_nm):.1f} NM {side}",
                f"of the air path {write_bearing(shape.path_deg)}",
            ),
            Fact("Air position", write_position(Position(shape.air_lat, shape.air_lon))),
        )
    if isinstance(shape, BearingLine):
        return (Fact("True bearing", write_bearing(shape.bearing_deg, 1), "great circle at the aircraft"),)
    if isinstance(shape, RadialLine):
        return (Fact("True radial", write_bearing(shape.radial_deg, 1), "great circle at the station"),)
    if isinstance(shape, RangeLine):
        return (Fact("Along the ground", f"{shape.range_nm:.1f} NM", "about the station"),)
    return ()
