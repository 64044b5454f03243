"""Azimuth stubs: from the position a sight was reduced from to its line, toward or away from the body.

That position is the DR, or an assumed one, which is marked with a cross of its own.
"""

from __future__ import annotations

from collections.abc import Iterable
from functools import partial
from typing import TYPE_CHECKING

from PySide6.QtCore import QRectF
from PySide6.QtGui import QPainter, QPainterPath

from nightleg.chart.box import Box
from nightleg.chart.labels import Request, around
from nightleg.chart.layers.base import Array, Layer, LegendEntry
from nightleg.chart.lettering import request, style
from nightleg.chart.marks import SIGHT_LINE, ChartScene
from nightleg.chart.paths import of_runs, stroke
from nightleg.chart.pens import pen
from nightleg.chart.strokes import Strokes
from nightleg.chart.symbols import paint_sample_line
from nightleg.chart.themes import Theme
from nightleg.chart.viewport import Rect
from nightleg.units.positions import Position

if TYPE_CHECKING:
    from nightleg.chart.sheet import Sheet


_CROSS_PX = 5.0

_STUBS = Strokes(
    "stubs",
    lambda scene: tuple(line.stub for line in scene.of_kind(SIGHT_LINE) if line.current and line.used),
    of_runs,
)


class SightsLayer(Layer):
    """The stubs of the fix that matters now."""

    name = "sights"
    title = "Azimuths"
    z = 45
    strokes = (_STUBS,)

    def paint(self, painter: QPainter, sheet: Sheet) -> None:
        """All stubs in one, then the assumed positions."""
        stroke(painter, sheet.lines(_STUBS), pen(sheet.theme, "stub"))
        crosses, size = QPainterPath(), _CROSS_PX * sheet.theme.scale
        for x, y in _assumed_px(sheet):
            crosses.moveTo(x - size, y)
            crosses.lineTo(x + size, y)
            crosses.moveTo(x, y - size)
            crosses.lineTo(x, y + size)
        if not crosses.isEmpty():
            painter.strokePath(crosses, pen(sheet.theme, "line", dash_px=()))

    def ink(self, sheet: Sheet) -> Iterable[Array]:
        """The stubs."""
        return sheet.lines(_STUBS)

    def obstacles(self, sheet: Sheet) -> Iterable[Box]:
        """The assumed positions."""
        side = 2.0 * (_CROSS_PX + 1.0) * sheet.theme.scale
        return [Box(x, y, side, side) for x, y in _assumed_px(sheet)]

    def labels(self, sheet: Sheet) -> Iterable[Request]:
        """What the crosses are."""
        lettering = style(sheet.theme, "line", small=True)
        for number, (x, y) in enumerate(_assumed_px(sheet)):
            places = partial(around, x, y, clear_px=(_CROSS_PX + 2.0) * sheet.theme.scale)
            yield request((("AP", lettering),), places, 50.0, key=f"assumed {number}")

    def legend(self, sheet: Sheet) -> Iterable[LegendEntry]:
        """What the dashes are."""
        if sheet.lines(_STUBS):
            whence = "DR or AP" if _assumed(sheet.scene) else "DR"
            yield LegendEntry(f"azimuth, from {whence} to line", _sample, 24)


def _assumed(scene: ChartScene) -> tuple[Position, ...]:
    """Assumed positions of the stubs shown, each once."""
    lines = (line for line in scene.of_kind(SIGHT_LINE) if line.assumed and line.current and line.used and line.stub)
    return tuple(dict.fromkeys(line.stub[0] for line in lines))


def _assumed_px(sheet: Sheet) -> list[tuple[float, float]]:
    """Those in the frame, px."""
    places = _assumed(sheet.scene)
    if not places:
        return []
    found = sheet.remembered("assumed positions", places, lambda: sheet.view.points(places))
    return [point for point in found if sheet.view.frame.holds(*point)]


def _sample(painter: QPainter, rect: Rect, theme: Theme) -> None:
    paint_sample_line(painter, QRectF(rect.left, rect.top, rect.width, rect.height), pen(theme, "stub"))
