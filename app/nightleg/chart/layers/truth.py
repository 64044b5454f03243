"""The track really flown, shown only when asked for."""

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


def _track(scene: ChartScene) -> Bundle:
    return of_positions(scene.truth) if scene.truth else of_positions()


class TruthLayer(Layer):
    """The truth as a line of its own."""

    name = "truth"
    z = 35

    def paint(self, painter: QPainter, sheet: Sheet) -> None:
        """The track."""
        stroke(painter, sheet.lines("truth", _track), pen(sheet.theme, "truth"))

    def ink(self, sheet: Sheet) -> Iterable[Array]:
        """The track."""
        return sheet.lines("truth", _track)

    def legend(self, sheet: Sheet) -> Iterable[LegendEntry]:
        """What the line is."""
        if sheet.lines("truth", _track):
            yield LegendEntry("track really flown", _sample, 45)


def _sample(painter: QPainter, rect: Rect, theme: Theme) -> None:
    paint_sample_line(painter, QRectF(rect.left, rect.top, rect.width, rect.height), pen(theme, "truth"))
