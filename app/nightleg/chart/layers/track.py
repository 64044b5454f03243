"""The DR track with its ticked positions."""

from __future__ import annotations

from collections.abc import Iterable
from functools import partial
from typing import TYPE_CHECKING

import numpy as np
from PySide6.QtGui import QPainter, QPainterPath

from nightleg.chart.box import Box
from nightleg.chart.labels import Request, around
from nightleg.chart.layers.base import Array, Layer, LegendEntry
from nightleg.chart.lettering import request, style
from nightleg.chart.marks import RunMark, Tick
from nightleg.chart.paths import of_runs, path, stroke
from nightleg.chart.pens import colour, pen
from nightleg.chart.strokes import Strokes
from nightleg.chart.symbols import TICK_PX, dot, half_circle
from nightleg.chart.themes import Theme
from nightleg.chart.viewport import Rect

if TYPE_CHECKING:
    from nightleg.chart.sheet import Sheet

_LEAST_SPACING_PX = 30.0

Shown = tuple[float, float, float, Tick, RunMark]
"""A tick on the picture: px, direction there, the tick, its run."""


CURRENT_RUNS = Strokes(
    "current runs", lambda scene: tuple(run.points for run in scene.runs if run.current and not run.open), of_runs
)
"""The runs flown to and from the fix that matters now, but for what is still being flown or typed."""

OPEN_RUNS = Strokes("open runs", lambda scene: tuple(run.points for run in scene.runs if run.open), of_runs)
"""The run that is being flown, and what rests on what is being typed."""

PAST_RUNS = Strokes(
    "past runs", lambda scene: tuple(run.points for run in scene.runs if not run.current and not run.open), of_runs
)
"""The runs before."""


class TrackLayer(Layer):
    """Runs of the track in ink; each ticked position is a dot in a half circle on the track."""

    name = "track"
    title = "DR track"
    z = 50
    strokes = (CURRENT_RUNS, OPEN_RUNS, PAST_RUNS)

    def paint(self, painter: QPainter, sheet: Sheet) -> None:
        """The open runs and their ticks."""
        stroke(painter, sheet.lines(OPEN_RUNS), pen(sheet.theme, "track"))
        self._paint_ticks(painter, sheet, True)

    def _paint_ticks(self, painter: QPainter, sheet: Sheet, open: bool) -> None:
        theme = sheet.theme
        halves, dots = QPainterPath(), QPainterPath()
        for x, y, direction_deg, _, run in shown_ticks(sheet):
            if run.open is open:
                halves.addPath(half_circle(x, y, TICK_PX * theme.scale, direction_deg))
                dots.addPath(dot(x, y, 2.0 * theme.scale))
        if not halves.isEmpty():
            painter.fillPath(halves, colour(theme, "ground"))
            painter.strokePath(halves, pen(theme, "symbol"))
            painter.fillPath(dots, colour(theme, "ink"))

    def settled(self, sheet: Sheet) -> tuple[object, ...]:
        """The runs before, thin, and the current ones that are not open."""
        return tuple(run for run in sheet.scene.runs if not run.open), _ticks(sheet)[0]

    def paint_settled(self, painter: QPainter, sheet: Sheet) -> None:
        """The same, with their ticks."""
        stroke(painter, sheet.lines(PAST_RUNS), pen(sheet.theme, "track_past"))
        stroke(painter, sheet.lines(CURRENT_RUNS), pen(sheet.theme, "track"))
        self._paint_ticks(painter, sheet, False)

    def ink(self, sheet: Sheet) -> Iterable[Array]:
        """The track itself."""
        return [run for kind in self.strokes for run in sheet.lines(kind)]

    def obstacles(self, sheet: Sheet) -> Iterable[Box]:
        """The ticks."""
        side = 2.0 * TICK_PX * sheet.theme.scale
        return [Box(x, y, side, side) for x, y, *_ in shown_ticks(sheet)]

    def labels(self, sheet: Sheet) -> Iterable[Request]:
        """The clock at each tick; whole and half hours come first where there is little room."""
        theme = sheet.theme
        lettering = style(theme, "ink", small=True)
        for x, y, direction_deg, tick, run in shown_ticks(sheet):
            square = (direction_deg + 90.0) % 360.0
            upward = square if square > 270.0 or square < 90.0 else (square + 180.0) % 360.0
            yield request(
                ((tick.text, lettering),),
                partial(around, x, y, clear_px=(TICK_PX + 4.0) * theme.scale, first_deg=upward),
                40.0 - 4.0 * tick.rank + (6.0 if run.current else 0.0),
                key=f"tick {tick.text}",
            )

    def legend(self, sheet: Sheet) -> Iterable[LegendEntry]:
        """The track with a tick on it."""
        if any(True for _ in self.ink(sheet)):
            yield LegendEntry("DR track, DR positions", _sample, 10, lettered=True)


def shown_ticks(sheet: Sheet) -> list[Shown]:
    """Ticks in the frame."""
    return _ticks(sheet)[1]


def _ticks(sheet: Sheet) -> tuple[int, list[Shown]]:
    """How fine the ticks are, and those in the frame."""
    of = tuple((run.ticks, run.current, run.open) for run in sheet.scene.runs)
    return sheet.remembered("ticks", of, lambda: _find(sheet))


def _find(sheet: Sheet) -> tuple[int, list[Shown]]:
    ticks = [(tick, run) for run in sheet.scene.runs for tick in run.ticks]
    if not ticks:
        return -1, []
    view = sheet.view
    lats, lons = np.array([tick.position for tick, _ in ticks]).T
    x, y = view.to_px(lats, lons)
    directions = np.array([tick.track_deg for tick, _ in ticks]) - view.projection.convergence_deg(lats, lons)
    ranks = np.array([tick.rank for tick, _ in ticks])
    rank = _finest_rank(x, y, ranks, _LEAST_SPACING_PX * sheet.theme.scale)
    frame = view.frame
    inside = (x > frame.left) & (x < frame.right) & (y > frame.top) & (y < frame.bottom) & (ranks <= rank)
    return rank, [(float(x[i]), float(y[i]), float(directions[i]), *ticks[i]) for i in np.flatnonzero(inside)]


def _finest_rank(x: Array, y: Array, ranks: Array, spacing_px: float) -> int:
    """How fine the ticks may be without crowding: the spacing in the middle of each rank decides."""
    for rank in (2, 1, 0):
        chosen = ranks <= rank
        steps = np.hypot(np.diff(x[chosen]), np.diff(y[chosen]))
        steps = steps[np.isfinite(steps)]
        if steps.size == 0 or float(np.median(steps)) >= spacing_px:
            return rank
    return -1


def _sample(painter: QPainter, rect: Rect, theme: Theme) -> None:
    y, x = (rect.top + rect.bottom) / 2.0 + 2.0, (rect.left + rect.right) / 2.0
    painter.strokePath(path([np.array(((rect.left, y), (rect.right, y)))]), pen(theme, "track"))
    shape = half_circle(x, y, TICK_PX * theme.scale, 90.0)
    painter.fillPath(shape, colour(theme, "ground"))
    painter.strokePath(shape, pen(theme, "symbol"))
    painter.fillPath(dot(x, y, 2.0 * theme.scale), colour(theme, "ink"))
