"""The ghost of a fix: its line and its ellipse as one explanation would have them, in dots, with a lozenge."""

from __future__ import annotations

from collections.abc import Iterable
from functools import partial
from typing import TYPE_CHECKING

from PySide6.QtCore import QPointF, QRectF
from PySide6.QtGui import QPainter, QPainterPath, QPen, QPolygonF

from nightleg.chart.box import Box
from nightleg.chart.ghosts import GhostMark
from nightleg.chart.labels import Request, around
from nightleg.chart.layers.base import Array, Layer, LegendEntry
from nightleg.chart.lettering import request, style
from nightleg.chart.marks import ChartScene
from nightleg.chart.paths import Bundle, bundle, of_runs, stroke
from nightleg.chart.pens import colour, pen
from nightleg.chart.strokes import Strokes
from nightleg.chart.symbols import dot, paint_sample_line
from nightleg.chart.themes import Theme
from nightleg.chart.viewport import Rect
from nightleg.fix.ellipse import outline
from nightleg.units.positions import Position

if TYPE_CHECKING:
    from nightleg.chart.sheet import Sheet

LOZENGE_PX = 9.0


def _lines(scene: ChartScene) -> tuple[tuple[Position, ...], ...]:
    return () if scene.ghost is None else scene.ghost.lines


def _ellipses(scene: ChartScene) -> tuple[GhostMark, ...]:
    ghost = scene.ghost
    return () if ghost is None or ghost.ellipse95 is None or ghost.position is None else (ghost,)


def _outlines(ghosts: tuple[GhostMark, ...]) -> Bundle:
    shapes = [(ghost.position, ghost.ellipse95) for ghost in ghosts]
    return bundle(outline(*place, shape) for place, shape in shapes if place is not None and shape is not None)


_LINES: Strokes[tuple[Position, ...]] = Strokes("ghost lines", _lines, of_runs)
_ELLIPSES = Strokes("ghost ellipses", _ellipses, _outlines)


class GhostLayer(Layer):
    """Above the fixes, so that it is seen where it lies upon one."""

    name = "ghost"
    z = 72
    strokes = (_LINES, _ELLIPSES)

    def paint(self, painter: QPainter, sheet: Sheet) -> None:
        """Line, ellipse, lozenge."""
        theme = sheet.theme
        stroke(painter, sheet.lines(_LINES), pen(theme, "ghost_line"))
        stroke(painter, sheet.lines(_ELLIPSES), pen(theme, "ghost_ellipse"))
        at = _at(sheet)
        if at is not None:
            paint_ghost(painter, *at, theme)

    def ink(self, sheet: Sheet) -> Iterable[Array]:
        """Line and ellipse."""
        yield from sheet.lines(_LINES)
        yield from sheet.lines(_ELLIPSES)

    def obstacles(self, sheet: Sheet) -> Iterable[Box]:
        """The lozenge."""
        at, side = _at(sheet), 2.0 * (LOZENGE_PX + 1.0) * sheet.theme.scale
        return [] if at is None else [Box(*at, side, side)]

    def labels(self, sheet: Sheet) -> Iterable[Request]:
        """What would be so, and where the fix would be."""
        ghost, at, theme = sheet.scene.ghost, _at(sheet), sheet.theme
        if ghost is not None and at is not None:
            words = (ghost.text, style(theme, "fix", bold=True)), (ghost.detail, style(theme, "fix", small=True))
            places = partial(around, *at, clear_px=(LOZENGE_PX + 12.0) * theme.scale, first_deg=45.0)
            yield request(words, places, 95.0, key="ghost", align=-1, step=0.35)

    def legend(self, sheet: Sheet) -> Iterable[LegendEntry]:
        """What is no plot but a trial."""
        if sheet.lines(_LINES):
            yield LegendEntry("line as it would be", _sample_line, 27)
        if _at(sheet) is not None:
            yield LegendEntry("fix as it would be, 95 %", _sample_fix, 36)


def _at(sheet: Sheet) -> tuple[float, float] | None:
    ghost = sheet.scene.ghost
    if ghost is None or ghost.position is None:
        return None
    ((x, y),) = sheet.view.points([ghost.position])
    return (x, y) if sheet.view.frame.grown(-2.0).holds(x, y) else None


def paint_ghost(painter: QPainter, x: float, y: float, theme: Theme) -> None:
    """A lozenge with a dot in it, filled with ground so that lines stop at it."""
    size = LOZENGE_PX * theme.scale
    shape = QPainterPath()
    corners = [QPointF(x, y - size), QPointF(x + size, y), QPointF(x, y + size), QPointF(x - size, y)]
    shape.addPolygon(QPolygonF([*corners, corners[0]]))
    shape.closeSubpath()
    painter.strokePath(shape, QPen(colour(theme, "ground"), 5.0 * theme.scale))
    painter.fillPath(shape, colour(theme, "ground"))
    painter.strokePath(shape, pen(theme, "fix"))
    painter.fillPath(dot(x, y, 2.2 * theme.scale), colour(theme, "fix"))


def _sample_line(painter: QPainter, rect: Rect, theme: Theme) -> None:
    paint_sample_line(painter, QRectF(rect.left, rect.top, rect.width, rect.height), pen(theme, "ghost_line"))


def _sample_fix(painter: QPainter, rect: Rect, theme: Theme) -> None:
    middle = QPointF((rect.left + rect.right) / 2.0, (rect.top + rect.bottom) / 2.0)
    shape = QPainterPath()
    shape.addEllipse(middle, rect.width * 0.46, 9.0 * theme.scale)
    painter.strokePath(shape, pen(theme, "ghost_ellipse"))
    paint_ghost(painter, middle.x(), middle.y(), theme.scaled(0.7))
