"""What an explanation of a disagreement would make of a fix, to be drawn beside the fix as it is."""

from __future__ import annotations

from msgspec import Struct

from nightleg.fix.ellipse import Ellipse
from nightleg.units.positions import Position


class GhostMark(Struct, frozen=True):
    """Lines as they would be and the fix that they would give; `position` is None where they give none."""

    text: str
    lines: tuple[tuple[Position, ...], ...]
    position: Position | None
    detail: str = ""
    ellipse95: Ellipse | None = None
