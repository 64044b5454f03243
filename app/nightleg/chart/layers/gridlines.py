"""The grid of a polar or Lambert chart: lines parallel to its reference meridian, from which directions are counted.

They are straight and parallel where the chart is the grid's own; on any other there is no such grid to draw.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from functools import partial
from typing import TYPE_CHECKING

import numpy as np
from PySide6.QtCore import QRectF
from PySide6.QtGui import QPainter

from nightleg.chart.crossings import step_arcmin
from nightleg.chart.labels import Request, along
from nightleg.chart.layers.base import Array, Layer, LegendEntry
from nightleg.chart.lettering import request, style
from nightleg.chart.paths import clip_lines, stroke
from nightleg.chart.pens import pen
from nightleg.chart.symbols import arrow_head, paint_sample_line
from nightleg.chart.themes import Theme
from nightleg.chart.viewport import Rect, Viewport
from nightleg.flight.grids import constant
from nightleg.flight.model import Grid

if TYPE_CHECKING:
    from nightleg.chart.sheet import Sheet

_APART_PX = 170.0  # least distance of neighbouring lines
_HEAD_PX = 9.0
_SAME_N = 1e-6


class GridLinesLayer(Layer):
    """Lines of pairs of dots, with a head at their end toward grid north."""

    name = "grid"
    title = "Grid"
    z = 22

    def paint(self, painter: QPainter, sheet: Sheet) -> None:
        """Lines, then heads."""
        runs = grid_lines(sheet)
        line = pen(sheet.theme, "grid")
        stroke(painter, runs, line)
        for run in runs:
            (x0, y0), (x1, y1) = run[0], run[-1]
            toward = math.degrees(math.atan2(x1 - x0, y0 - y1))
            inner = 26.0 * sheet.theme.scale / max(math.hypot(x1 - x0, y1 - y0), 1.0)
            x, y = x1 + (x0 - x1) * inner, y1 + (y0 - y1) * inner
            painter.fillPath(arrow_head(x, y, toward, _HEAD_PX * sheet.theme.scale), line.color())

    def labels(self, sheet: Sheet) -> Iterable[Request]:
        """Grid north along each line."""
        lettering = style(sheet.theme, "muted", small=True)
        for number, run in enumerate(grid_lines(sheet)):
            places = partial(along, run, clear_px=3.0 * sheet.theme.scale, shares=(0.9, 0.8, 0.1, 0.2, 0.65))
            yield request((("grid north", lettering),), places, 8.0, key=f"grid line {number}", step=0.5)

    def legend(self, sheet: Sheet) -> Iterable[LegendEntry]:
        """What the lines are."""
        if grid_lines(sheet):
            yield LegendEntry("grid north", _sample, 60)


def grid_lines(sheet: Sheet) -> list[Array]:
    """The lines in the frame, px, each from grid south to grid north; none where the chart is not the grid's own."""
    grid = sheet.scene.grid
    return sheet.remembered("grid lines", (grid,), lambda: _lines(sheet.view, grid, sheet.theme.scale))


def grid_north_deg(view: Viewport, grid: Grid) -> float | None:
    """The direction of grid north on the picture, from up clockwise; None where the chart is not the grid's own."""
    n, middle = view.projection.n, view.centre
    if not math.isfinite(middle.lat) or abs(n - constant(grid, math.copysign(1.0, n))) > _SAME_N or n == 0.0:
        return None
    return n * (view.projection.lon_0_deg - grid.reference_deg)


def _lines(view: Viewport, grid: Grid | None, scale: float) -> list[Array]:
    toward_deg = None if grid is None else grid_north_deg(view, grid)
    if toward_deg is None or grid is None:
        return []
    a = math.radians(toward_deg)
    north, right = np.array([math.sin(a), -math.cos(a)]), np.array([math.cos(a), math.sin(a)])
    frame = view.frame
    middle = np.array(view.middle_px)
    reach = math.hypot(frame.width, frame.height)
    # counted from the reference meridian, which the line through the apex of the chart is
    apex = np.array(view.to_px(math.copysign(90.0, view.projection.n), view.projection.lon_0_deg))
    step = step_arcmin(_APART_PX * scale * view.true_nm_per_px()) / view.nm_per_px
    off = float((middle - apex) @ right)
    first, last = math.ceil((off - reach / 2.0) / step), math.floor((off + reach / 2.0) / step)
    runs = []
    for k in range(first, last + 1):
        foot = middle + right * (k * step - off)
        runs.append(np.array([foot - north * reach, foot + north * reach]))
    if not runs:
        return []
    gap = np.full((1, 2), np.nan)
    return clip_lines(np.concatenate([part for run in runs for part in (run, gap)]), frame)[0]


def _sample(painter: QPainter, rect: Rect, theme: Theme) -> None:
    line = pen(theme, "grid")
    paint_sample_line(painter, QRectF(rect.left, rect.top, rect.width, rect.height), line)
    head = arrow_head(rect.right, (rect.top + rect.bottom) / 2.0, 90.0, _HEAD_PX * theme.scale)
    painter.fillPath(head, line.color())
