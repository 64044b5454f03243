"""Azimuth stubs: from the position a sight was reduced from to its line, toward or away from the body."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

from PySide6.QtCore import QRectF
from PySide6.QtGui import QPainter

from nightleg.chart.layers.base import Array, Layer, LegendEntry
from nightleg.chart.marks import ChartScene
from nightleg.chart.paths import Bundle, of_positions, stroke
from nightleg.chart.pens import pen
from nightleg.chart.symbols import paint_sample_line
from nightleg.chart.themes import Theme
from nightleg.chart.viewport import Rect

if TYPE_CHECKING:
    from nightleg.chart.sheet import Sheet


def _stubs(scene: ChartScene) -> Bundle:
    return of_positions(*(line.stub for line in scene.lines if line.current and line.used))


class SightsLayer(Layer):
    """The stubs of the fix that matters now."""

    name = "sights"
    z = 45

    def paint(self, painter: QPainter, sheet: Sheet) -> None:
        """All stubs in one."""
        stroke(painter, sheet.lines("stubs", _stubs), pen(sheet.theme, "stub"))

    def ink(self, sheet: Sheet) -> Iterable[Array]:
        """The stubs."""
        return sheet.lines("stubs", _stubs)

    def legend(self, sheet: Sheet) -> Iterable[LegendEntry]:
        """What the dashes are."""
        if sheet.lines("stubs", _stubs):
            yield LegendEntry("azimuth, from DR to line", _sample, 24)


def _sample(painter: QPainter, rect: Rect, theme: Theme) -> None:
    paint_sample_line(painter, QRectF(rect.left, rect.top, rect.width, rect.height), pen(theme, "stub"))
