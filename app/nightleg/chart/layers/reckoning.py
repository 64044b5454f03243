"""The DR position of the moment and the circle that holds half of its errors."""

from __future__ import annotations

from collections.abc import Iterable
from functools import partial
from typing import TYPE_CHECKING

from PySide6.QtCore import QPointF
from PySide6.QtGui import QPainter

from nightleg.chart.box import Box
from nightleg.chart.labels import Request, around
from nightleg.chart.layers.base import Array, Layer, LegendEntry
from nightleg.chart.lettering import request, style
from nightleg.chart.marks import ChartScene
from nightleg.chart.paths import Bundle, bundle, stroke
from nightleg.chart.pens import pen
from nightleg.chart.strokes import Strokes
from nightleg.chart.symbols import DR_PX, paint_dr
from nightleg.chart.themes import Theme
from nightleg.chart.viewport import Rect
from nightleg.fix.ellipse import Ellipse, outline
from nightleg.units.positions import Position

if TYPE_CHECKING:
    from nightleg.chart.sheet import Sheet


def _outlines(circles: tuple[tuple[Position, float], ...]) -> Bundle:
    return bundle(outline(*middle, Ellipse(radius, radius, 0.0), 121) for middle, radius in circles)


def _of(scene: ChartScene) -> tuple[tuple[Position, float], ...]:
    dr = scene.dr
    return ((dr.position, dr.circle50_nm),) if dr is not None and dr.circle50_nm else ()


_CIRCLE = Strokes("dr circle", _of, _outlines)


class ReckoningLayer(Layer):
    """The DR: a half circle with its dot, the dotted 50 % circle about it."""

    name = "dr"
    title = "DR position"
    z = 65
    strokes = (_CIRCLE,)

    def paint(self, painter: QPainter, sheet: Sheet) -> None:
        """The circle below the symbol."""
        if sheet.scene.dr is None:
            return
        stroke(painter, sheet.lines(_CIRCLE), pen(sheet.theme, "circle"))
        x, y, direction_deg = _where(sheet)
        paint_dr(painter, x, y, direction_deg, sheet.theme)

    def ink(self, sheet: Sheet) -> Iterable[Array]:
        """The circle."""
        return sheet.lines(_CIRCLE)

    def obstacles(self, sheet: Sheet) -> Iterable[Box]:
        """The symbol."""
        if sheet.scene.dr is not None:
            x, y, _ = _where(sheet)
            side = 2.0 * (DR_PX + 1.0) * sheet.theme.scale
            yield Box(x, y, side, side)

    def labels(self, sheet: Sheet) -> Iterable[Request]:
        """The time."""
        dr, theme = sheet.scene.dr, sheet.theme
        if dr is None:
            return
        x, y, _ = _where(sheet)
        lettering = style(theme, "ink", bold=True)
        words = (dr.name, lettering)
        yield request(
            (words,), partial(around, x, y, clear_px=(DR_PX + 5.0) * theme.scale, first_deg=225.0), 85.0, key="dr"
        )

    def legend(self, sheet: Sheet) -> Iterable[LegendEntry]:
        """The circle; the track explains the symbol."""
        if sheet.lines(_CIRCLE):
            yield LegendEntry("DR, circle of 50 %", _sample, 15)


def _where(sheet: Sheet) -> tuple[float, float, float]:
    dr = sheet.scene.dr
    if dr is None:
        raise ValueError("the scene has no DR position")
    track_deg = 90.0 if dr.track_deg is None else dr.track_deg

    def find() -> tuple[float, float, float]:
        return *sheet.view.point(dr.position), sheet.view.direction_deg(dr.position, track_deg)

    return sheet.remembered("dr place", (dr.position, track_deg), find)


def _sample(painter: QPainter, rect: Rect, theme: Theme) -> None:
    x, y = (rect.left + rect.right) / 2.0, (rect.top + rect.bottom) / 2.0
    painter.setPen(pen(theme, "circle"))
    painter.drawEllipse(QPointF(x, y), 9.0 * theme.scale, 9.0 * theme.scale)
    painter.setPen(pen(theme, "symbol"))
    painter.drawPoint(QPointF(x, y))
