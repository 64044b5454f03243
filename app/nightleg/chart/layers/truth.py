"""The track really flown, shown only when asked for."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

from PySide6.QtCore import QRectF
from PySide6.QtGui import QPainter

from nightleg.chart.layers.base import Array, Layer, LegendEntry
from nightleg.chart.paths import of_runs, stroke
from nightleg.chart.pens import pen
from nightleg.chart.strokes import Strokes
from nightleg.chart.symbols import paint_sample_line
from nightleg.chart.themes import Theme
from nightleg.chart.viewport import Rect

if TYPE_CHECKING:
    from nightleg.chart.sheet import Sheet


_TRACK = Strokes("truth", lambda scene: (scene.truth,) if scene.truth else (), of_runs)


class TruthLayer(Layer):
    """The truth as a line of its own."""

    name = "truth"
    title = "Track really flown"
    z = 35
    strokes = (_TRACK,)

    def settled(self, sheet: Sheet) -> tuple[object, ...]:
        """The track."""
        return _TRACK.select(sheet.scene)

    def paint_settled(self, painter: QPainter, sheet: Sheet) -> None:
        """The track."""
        stroke(painter, sheet.lines(_TRACK), pen(sheet.theme, "truth"))

    def ink(self, sheet: Sheet) -> Iterable[Array]:
        """The track."""
        return sheet.lines(_TRACK)

    def legend(self, sheet: Sheet) -> Iterable[LegendEntry]:
        """What the line is."""
        if sheet.lines(_TRACK):
            yield LegendEntry("track really flown", _sample, 45)


def _sample(painter: QPainter, rect: Rect, theme: Theme) -> None:
    paint_sample_line(painter, QRectF(rect.left, rect.top, rect.width, rect.height), pen(theme, "truth"))
