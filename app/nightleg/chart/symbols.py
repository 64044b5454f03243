"""Symbols of positions, as published plotting practice draws them, and small pieces of drawing shared by layers.

A fix is a dot in a circle, a DR position a dot in a half circle, an estimated or most probable position a dot in a
square, a fix by other means (radio, visual, satellite) a dot in a triangle: NGA Pub. 9, The American Practical
Navigator, on labelling positions. A point of the planned route is the four-pointed star of ICAO Annex 4, appendix 2
(from memory).
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray
from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QPainter, QPainterPath, QPen, QPolygonF

from nightleg.chart.marks import Symbol
from nightleg.chart.pens import colour, pen
from nightleg.chart.themes import PenName, Role, Theme

Array = NDArray[np.float64]

FIX_PX = 8.0
DR_PX = 8.5
TICK_PX = 6.0
STAR_PX = 8.0


def half_circle(x: float, y: float, radius: float, direction_deg: float) -> QPainterPath:
    """A half circle standing on a line of that direction (from up clockwise), on the side that looks up the page."""
    made = QPainterPath()
    direction_deg %= 360.0
    # Qt counts arcs from the right, counter-clockwise; the arc goes over the upper side of the line.
    from_deg = 90.0 - direction_deg if 0.0 < direction_deg <= 180.0 else 270.0 - direction_deg
    rect = QRectF(x - radius, y - radius, 2.0 * radius, 2.0 * radius)
    made.arcMoveTo(rect, from_deg)
    made.arcTo(rect, from_deg, 180.0)
    return made


def dot(x: float, y: float, radius: float) -> QPainterPath:
    """A small disc."""
    made = QPainterPath()
    made.addEllipse(QPointF(x, y), radius, radius)
    return made


def outline(symbol: Symbol, x: float, y: float, size: float) -> QPainterPath:
    """The outline of a fix's symbol; `size` is the radius of the circle of a fix."""
    made = QPainterPath()
    if symbol == "fix":
        made.addEllipse(QPointF(x, y), size, size)
    elif symbol == "estimated":
        half = size * 0.92
        made.addRect(QRectF(x - half, y - half, 2.0 * half, 2.0 * half))
    else:
        reach = size * 1.35
        corners = [QPointF(x + reach * math.sin(a), y - reach * math.cos(a)) for a in np.radians((0.0, 120.0, 240.0))]
        made.addPolygon(QPolygonF([*corners, corners[0]]))
        made.closeSubpath()
    return made


def paint_fix(painter: QPainter, symbol: Symbol, x: float, y: float, theme: Theme, *, strong: bool = True) -> None:
    """A fix: its outline filled with ground, so that lines stop at it, and the dot."""
    scale = theme.scale * (1.0 if strong else 0.8)
    shape = outline(symbol, x, y, FIX_PX * scale)
    halo = QPen(colour(theme, "ground"), 5.0 * scale)
    painter.strokePath(shape, halo)
    painter.fillPath(shape, colour(theme, "ground"))
    line = pen(theme, "fix")
    if not strong:
        line.setWidthF(line.widthF() * 0.75)
    painter.strokePath(shape, line)
    painter.fillPath(dot(x, y, 2.6 * scale), colour(theme, "fix"))


def paint_dr(painter: QPainter, x: float, y: float, direction_deg: float, theme: Theme) -> None:
    """The DR position of the moment."""
    scale = theme.scale
    shape = half_circle(x, y, DR_PX * scale, direction_deg)
    painter.fillPath(shape, colour(theme, "ground"))
    line = pen(theme, "symbol")
    line.setWidthF(2.2 * scale)
    painter.strokePath(shape, line)
    painter.fillPath(dot(x, y, 3.0 * scale), colour(theme, "ink"))


def star(x: float, y: float, size: float) -> QPainterPath:
    """A four-pointed star."""
    made = QPainterPath()
    angles = np.radians(np.arange(0.0, 360.0, 45.0))
    reach = np.where(np.arange(8) % 2 == 0, size, size * 0.36)
    points = [QPointF(x + r * math.sin(a), y - r * math.cos(a)) for a, r in zip(angles, reach, strict=True)]
    made.addPolygon(QPolygonF([*points, points[0]]))
    made.closeSubpath()
    return made


def arrow_head(x: float, y: float, direction_deg: float, size: float) -> QPainterPath:
    """A slender arrow head with its point at (x, y), toward a direction from up clockwise."""
    a = math.radians(direction_deg)
    ux, uy = math.sin(a), -math.cos(a)
    back_x, back_y = x - ux * size, y - uy * size
    half = size * 0.32
    made = QPainterPath()
    made.addPolygon(
        QPolygonF(
            [
                QPointF(x, y),
                QPointF(back_x - uy * half, back_y + ux * half),
                QPointF(back_x + uy * half, back_y - ux * half),
                QPointF(x, y),
            ]
        )
    )
    made.closeSubpath()
    return made


def paint_sample_line(painter: QPainter, rect: QRectF, line: QPen) -> None:
    """A level sample of a line for the legend."""
    painter.setPen(line)
    painter.drawLine(QPointF(rect.left(), rect.center().y()), QPointF(rect.right(), rect.center().y()))


def fill_and_line(
    painter: QPainter, shape: QPainterPath, theme: Theme, fill: Role, alpha: float, line: PenName
) -> None:
    """A closed shape with a clear fill and an outline."""
    painter.fillPath(shape, colour(theme, fill, alpha))
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.strokePath(shape, pen(theme, line))
