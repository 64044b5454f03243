"""The air plot: where heading and airspeed alone lead from the last fix, beside the DR track. Off until asked for."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime
from functools import lru_cache
from typing import TYPE_CHECKING

from PySide6.QtCore import QPointF, QRectF
from PySide6.QtGui import QPainter, QPainterPath

from nightleg.air.reckoning import Reckoning
from nightleg.chart.layers.base import Array, Layer, LegendEntry
from nightleg.chart.marks import ChartScene
from nightleg.chart.paths import of_runs, stroke
from nightleg.chart.pens import pen
from nightleg.chart.strokes import Strokes
from nightleg.chart.symbols import paint_sample_line
from nightleg.chart.themes import Theme
from nightleg.chart.viewport import Rect
from nightleg.units.positions import Position

if TYPE_CHECKING:
    from nightleg.chart.sheet import Sheet

_CROSS_PX = 4.5
_CROSS_MINUTES = 30

_Run = tuple[Position, ...]


def _plotted(scene: ChartScene) -> tuple[tuple[_Run, ...], _Run]:
    """The runs of the air plot, and its positions at whole and half hours and at the end of each run."""
    solution = scene.solution
    if solution is None or not solution.plots:
        return (), ()
    from nightleg.flight.plotting import end_of  # the flight's room is large; the chart's own tests run without it

    last = solution.dr[-1].kind == "now"
    return _made(solution.plots, scene.now if last else None, end_of(solution))


@lru_cache(maxsize=8)
def _made(plots: tuple[Reckoning, ...], now: datetime | None, end_s: float) -> tuple[tuple[_Run, ...], _Run]:
    from nightleg.flight.airplot import air_runs
    from nightleg.units.times import gmt_s

    runs = air_runs(plots, end_s if now is None else gmt_s(now), _CROSS_MINUTES)
    marks = [point.position for run in runs for point in (*run.ticks, run.points[-1])]
    return tuple(tuple(point.position for point in run.points) for run in runs), tuple(dict.fromkeys(marks))


_RUNS = Strokes("air plot", lambda scene: _plotted(scene)[0], of_runs)


class AirPlotLayer(Layer):
    """Runs of the air plot, thin and dashed, with a cross at each half hour and at each end."""

    name = "air plot"
    title = "Air plot"
    z = 45
    shown_at_first = False
    strokes = (_RUNS,)

    def paint(self, painter: QPainter, sheet: Sheet) -> None:
        """The runs and their crosses."""
        stroke(painter, sheet.lines(_RUNS), pen(sheet.theme, "air"))
        crosses, side = QPainterPath(), _CROSS_PX * sheet.theme.scale
        for place in _plotted(sheet.scene)[1]:
            x, y = (float(v) for v in sheet.view.to_px(place.lat, place.lon))
            if abs(x) < 1e5 and abs(y) < 1e5:  # nan is not
                crosses.moveTo(QPointF(x - side, y))
                crosses.lineTo(QPointF(x + side, y))
                crosses.moveTo(QPointF(x, y - side))
                crosses.lineTo(QPointF(x, y + side))
        painter.strokePath(crosses, pen(sheet.theme, "symbol"))

    def ink(self, sheet: Sheet) -> Iterable[Array]:
        """The runs."""
        return sheet.lines(_RUNS)

    def legend(self, sheet: Sheet) -> Iterable[LegendEntry]:
        """What the line is."""
        if sheet.lines(_RUNS):
            yield LegendEntry("air plot, air positions", _sample, 12)


def _sample(painter: QPainter, rect: Rect, theme: Theme) -> None:
    paint_sample_line(painter, QRectF(rect.left, rect.top, rect.width, rect.height), pen(theme, "air"))
    x, y, side = (rect.left + rect.right) / 2.0, (rect.top + rect.bottom) / 2.0, _CROSS_PX * theme.scale
    painter.setPen(pen(theme, "symbol"))
    painter.drawLine(QPointF(x - side, y), QPointF(x + side, y))
    painter.drawLine(QPointF(x, y - side), QPointF(x, y + side))
