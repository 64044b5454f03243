"""Azimuth stubs: from the position a sight was reduced from to its line, toward or away from the body."""

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


_STUBS = Strokes("stubs", lambda scene: tuple(line.stub for line in scene.lines if line.current and line.used), of_runs)


class SightsLayer(Layer):
    """The stubs of the fix that matters now."""

    name = "sights"
    title = "Azimuths"
    z = 45
    strokes = (_STUBS,)

    def paint(self, painter: QPainter, sheet: Sheet) -> None:
        """All stubs in one."""
        stroke(painter, sheet.lines(_STUBS), pen(sheet.theme, "stub"))

    def ink(self, sheet: Sheet) -> Iterable[Array]:
        """The stubs."""
        return sheet.lines(_STUBS)

    def legend(self, sheet: Sheet) -> Iterable[LegendEntry]:
        """What the dashes are."""
        if sheet.lines(_STUBS):
            yield LegendEntry("azimuth, from DR to line", _sample, 24)


def _sample(painter: QPainter, rect: Rect, theme: Theme) -> None:
    paint_sample_line(painter, QRectF(rect.left, rect.top, rect.width, rect.height), pen(theme, "stub"))
