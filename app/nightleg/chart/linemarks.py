"""Small marks that stand on lines of position and tell their kinds apart."""

from __future__ import annotations

import math
from dataclasses import dataclass

from PySide6.QtGui import QPainterPath

Points = tuple[tuple[float, float], ...]


@dataclass(frozen=True, slots=True)
class LineSign:
    """A mark as runs of points: each along the line and to the right of its run, in sizes of the mark."""

    runs: tuple[Points, ...]
    closed: bool = False

    def path(self, x: float, y: float, direction_deg: float, size: float) -> QPainterPath:
        """The mark at (x, y) px, on a line of that direction from up clockwise; `size` in px."""
        a = math.radians(direction_deg)
        ux, uy = math.sin(a), -math.cos(a)
        made = QPainterPath()
        for run in self.runs:
            for number, (along, right) in enumerate(run):
                at = x + size * (along * ux - right * uy), y + size * (along * uy + right * ux)
                if number:
                    made.lineTo(*at)
                else:
                    made.moveTo(*at)
            if self.closed:
                made.closeSubpath()
        return made


DIAMOND = LineSign((((1.0, 0.0), (0.0, 0.75), (-1.0, 0.0), (0.0, -0.75)),), closed=True)
AHEAD = LineSign((((-0.7, 0.8), (0.7, 0.0), (-0.7, -0.8)),))
"""An open arrow head, the way that the line runs."""
BACK = LineSign((((0.7, 0.8), (-0.8, 0.0), (0.7, -0.8)),), closed=True)
"""A closed arrow head, against the way that the line runs."""
TO_THE_RIGHT = LineSign((((0.0, 0.0), (0.0, 1.4)),))
"""A tick to the right of the way that the line runs."""
ACROSS = LineSign((((-0.3, -0.8), (-0.3, 0.8)), ((0.3, -0.8), (0.3, 0.8))))
"""Two ticks across the line."""
