"""Land and its coast, in the resolution that suits the scale."""

from __future__ import annotations

from functools import lru_cache
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray
from PySide6.QtCore import Qt
from PySide6.QtGui import QPainter, QPainterPath

from nightleg.chart.layers.base import Array, Layer
from nightleg.chart.layers.graticule import seen
from nightleg.chart.paths import clip_lines, clip_polygon, path, smooth, stroke, thinned
from nightleg.chart.pens import colour, pen
from nightleg.earth.land import Level, level_for, outlines
from nightleg.earth.projection import Projection

if TYPE_CHECKING:
    from nightleg.chart.sheet import Sheet

_MM_PER_PX = 25.4 / 96.0
_BEYOND_PX = 8.0


class LandLayer(Layer):
    """A tint little darker than the ground, a thin coast."""

    name = "land"
    z = 10

    def paint(self, painter: QPainter, sheet: Sheet) -> None:
        """The tint, then the coast."""
        tint, coast = sheet.kept("land", lambda: _shapes(sheet))
        painter.fillPath(tint, colour(sheet.theme, "land"))
        stroke(painter, coast, pen(sheet.theme, "coast"))


def _shapes(sheet: Sheet) -> tuple[QPainterPath, list[Array]]:
    """The tint as one path (land is what an odd number of rings hold) and the runs of the coast."""
    view = sheet.view
    level = level_for(view.true_nm_per_px() / _MM_PER_PX)
    south, north, west, east = seen(sheet)
    rect = view.frame.grown(_BEYOND_PX)
    rings, coast = [], []
    for index, shift_deg in zip(*outlines(level).rings_in(south, north, west, east), strict=True):
        plane, seam = _projected(level, int(index), float(shift_deg), view.projection)
        points = np.column_stack(view.plane_to_px(plane[:, 0], plane[:, 1]))
        inside = clip_polygon(points, rect)
        if len(inside) < 3:
            continue
        rings.append(thinned([inside])[0])
        closed = np.concatenate((points, points[:1]))
        closed = np.insert(closed, np.flatnonzero(seam) + 1, np.nan, axis=0)
        coast += clip_lines(closed, rect)[0]
    tint = path(rings, closed=True)
    tint.setFillRule(Qt.FillRule.OddEvenFill)
    return tint, smooth(coast)


@lru_cache(maxsize=512)
def _projected(level: Level, index: int, shift_deg: float, projection: Projection) -> tuple[Array, NDArray[np.bool_]]:
    """A ring in the plane (n, 2), NM, and its seams; kept, since panning and zooming need it again and again."""
    lat, lon, seam = outlines(level).ring(index, shift_deg)
    low, high = projection.lat_limits_deg
    x, y = projection.forward(np.clip(lat, low, high), lon, wrap=False)
    plane = np.column_stack((x, y))
    good = np.isfinite(plane).all(axis=1)
    return plane[good], seam[good]
