"""Error ellipses of the fixes: 50 % filled lightly, 95 % about it."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

import numpy as np
from PySide6.QtCore import QPointF
from PySide6.QtGui import QPainter, QPainterPath

from nightleg.chart.layers.base import Array, Layer, LegendEntry
from nightleg.chart.marks import FixMark
from nightleg.chart.paths import Bundle, bundle, clip_polygon, path, split, stroke, to_px
from nightleg.chart.pens import colour, pen
from nightleg.chart.strokes import Strokes
from nightleg.chart.symbols import fill_and_line
from nightleg.chart.themes import Theme
from nightleg.chart.viewport import Rect
from nightleg.fix.ellipse import Ellipse, outline
from nightleg.units.positions import Position

if TYPE_CHECKING:
    from nightleg.chart.sheet import Sheet


Placed = tuple[Position, Ellipse]


def _outlines(ellipses: tuple[Placed, ...]) -> Bundle:
    return bundle(outline(*position, ellipse) for position, ellipse in ellipses)


def _of(fixes: Iterable[FixMark], *, inner: bool = False) -> tuple[Placed, ...]:
    found = ((fix.position, fix.ellipse50 if inner else fix.ellipse95) for fix in fixes)
    return tuple((position, ellipse) for position, ellipse in found if ellipse is not None)


_OUTER = Strokes("outer ellipse", lambda scene: _of(fix for fix in scene.fixes if fix.current), _outlines)
_INNER = Strokes("inner ellipse", lambda scene: _of((f for f in scene.fixes if f.current), inner=True), _outlines)
_PAST = Strokes("past ellipses", lambda scene: _of(fix for fix in scene.fixes if not fix.current), _outlines)


class EllipseLayer(Layer):
    """Both ellipses of the current fix; of earlier ones the outer alone, thin."""

    name = "ellipse"
    title = "Error ellipses"
    z = 55
    strokes = (_OUTER, _INNER, _PAST)

    def paint(self, painter: QPainter, sheet: Sheet) -> None:
        """From the outermost inward."""
        theme = sheet.theme
        painter.fillPath(_filled(sheet, _OUTER), colour(theme, "fix", 0.12))
        painter.fillPath(_filled(sheet, _INNER), colour(theme, "fix", 0.18))
        stroke(painter, sheet.lines(_OUTER), pen(theme, "ellipse95"))
        stroke(painter, sheet.lines(_INNER), pen(theme, "ellipse50"))

    def settled(self, sheet: Sheet) -> tuple[object, ...]:
        """Ellipses of earlier fixes."""
        return _PAST.select(sheet.scene)

    def paint_settled(self, painter: QPainter, sheet: Sheet) -> None:
        """The same."""
        stroke(painter, sheet.lines(_PAST), pen(sheet.theme, "ellipse_past"))

    def ink(self, sheet: Sheet) -> Iterable[Array]:
        """The outlines."""
        yield from sheet.lines(_OUTER)
        yield from sheet.lines(_PAST)

    def legend(self, sheet: Sheet) -> Iterable[LegendEntry]:
        """What the two hold."""
        if sheet.lines(_OUTER) or sheet.lines(_PAST):
            yield LegendEntry("error ellipses, 50 % and 95 %", _sample, 35)


def _filled(sheet: Sheet, kind: Strokes[Placed]) -> QPainterPath:
    of, runs = kind.select(sheet.scene), sheet.lines(kind)

    def make() -> QPainterPath:
        if len(runs) == len(of) and all(np.array_equal(run[0], run[-1]) for run in runs):  # none is clipped
            return path(runs)
        rect = sheet.view.frame.grown(12.0)
        return path((clip_polygon(run, rect) for run in split(to_px(sheet.view, _outlines(of)))), closed=True)

    return sheet.remembered(f"filled {kind.name}", of, make)


def _sample(painter: QPainter, rect: Rect, theme: Theme) -> None:
    middle = QPointF((rect.left + rect.right) / 2.0, (rect.top + rect.bottom) / 2.0)
    outer, inner = QPainterPath(), QPainterPath()
    outer.addEllipse(middle, rect.width * 0.46, 8.0 * theme.scale)
    inner.addEllipse(middle, rect.width * 0.22, 4.0 * theme.scale)
    fill_and_line(painter, outer, theme, "fix", 0.12, "ellipse95")
    fill_and_line(painter, inner, theme, "fix", 0.18, "ellipse50")
