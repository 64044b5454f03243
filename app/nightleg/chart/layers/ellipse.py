"""Error ellipses of the fixes: 50 % filled lightly, 95 % about it."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

from PySide6.QtCore import QPointF
from PySide6.QtGui import QPainter, QPainterPath

from nightleg.chart.layers.base import Array, Layer, LegendEntry
from nightleg.chart.marks import ChartScene
from nightleg.chart.paths import Bundle, bundle, clip_polygon, path, split, stroke, to_px
from nightleg.chart.pens import colour, pen
from nightleg.chart.symbols import fill_and_line
from nightleg.chart.themes import Theme
from nightleg.chart.viewport import Rect
from nightleg.fix.ellipse import outline

if TYPE_CHECKING:
    from nightleg.chart.sheet import Sheet


def _outer(scene: ChartScene) -> Bundle:
    return bundle(outline(*fix.position, fix.ellipse95) for fix in scene.fixes if fix.current and fix.ellipse95)


def _inner(scene: ChartScene) -> Bundle:
    return bundle(outline(*fix.position, fix.ellipse50) for fix in scene.fixes if fix.current and fix.ellipse50)


def _past(scene: ChartScene) -> Bundle:
    return bundle(outline(*fix.position, fix.ellipse95) for fix in scene.fixes if not fix.current and fix.ellipse95)


class EllipseLayer(Layer):
    """Both ellipses of the current fix; of earlier ones the outer alone, thin."""

    name = "ellipse"
    z = 55

    def paint(self, painter: QPainter, sheet: Sheet) -> None:
        """From the outermost inward."""
        theme = sheet.theme
        stroke(painter, sheet.lines("past ellipses", _past), pen(theme, "ellipse_past"))
        painter.fillPath(_filled(sheet, "outer", _outer(sheet.scene)), colour(theme, "fix", 0.12))
        painter.fillPath(_filled(sheet, "inner", _inner(sheet.scene)), colour(theme, "fix", 0.18))
        stroke(painter, sheet.lines("outer ellipse", _outer), pen(theme, "ellipse95"))
        stroke(painter, sheet.lines("inner ellipse", _inner), pen(theme, "ellipse50"))

    def ink(self, sheet: Sheet) -> Iterable[Array]:
        """The outlines."""
        yield from sheet.lines("outer ellipse", _outer)
        yield from sheet.lines("past ellipses", _past)

    def legend(self, sheet: Sheet) -> Iterable[LegendEntry]:
        """What the two hold."""
        if sheet.lines("outer ellipse", _outer) or sheet.lines("past ellipses", _past):
            yield LegendEntry("error ellipses, 50 % and 95 %", _sample, 35)


def _filled(sheet: Sheet, key: str, places: Bundle) -> QPainterPath:
    def make() -> QPainterPath:
        rect = sheet.view.frame.grown(12.0)
        return path((clip_polygon(run, rect) for run in split(to_px(sheet.view, places))), closed=True)

    return sheet.kept(f"filled {key}", make)


def _sample(painter: QPainter, rect: Rect, theme: Theme) -> None:
    middle = QPointF((rect.left + rect.right) / 2.0, (rect.top + rect.bottom) / 2.0)
    outer, inner = QPainterPath(), QPainterPath()
    outer.addEllipse(middle, rect.width * 0.46, 8.0 * theme.scale)
    inner.addEllipse(middle, rect.width * 0.22, 4.0 * theme.scale)
    fill_and_line(painter, outer, theme, "fix", 0.12, "ellipse95")
    fill_and_line(painter, inner, theme, "fix", 0.18, "ellipse50")
