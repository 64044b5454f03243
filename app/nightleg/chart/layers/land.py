"""Land and its coast, in the resolution that suits the scale."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING

import numpy as np
from PySide6.QtCore import Qt
from PySide6.QtGui import QPainter, QPainterPath

from nightleg.chart.layers.base import Array, Layer
from nightleg.chart.layers.graticule import seen
from nightleg.chart.paths import clip_lines, clip_polygon, path, smooth, stroke
from nightleg.chart.pens import colour, pen
from nightleg.chart.viewport import Viewport
from nightleg.earth.land import Level, level_for, outlines
from nightleg.earth.projection import Projection

if TYPE_CHECKING:
    from nightleg.chart.sheet import Sheet

_MM_PER_PX = 25.4 / 96.0
_BEYOND_PX = 8.0
_LEAST_PX = 0.4  # a smaller island is not seen


class LandLayer(Layer):
    """A tint little darker than the ground, a thin coast."""

    name = "land"
    title = "Land"
    z = 10

    def paint(self, painter: QPainter, sheet: Sheet) -> None:
        """The tint, then the coast."""
        tint, coast = sheet.kept("land", lambda: _shapes(sheet))
        painter.fillPath(tint, colour(sheet.theme, "land"))
        stroke(painter, coast, pen(sheet.theme, "coast"))


def level_of(view: Viewport) -> Level:
    """The resolution that suits a view."""
    return level_for(view.true_nm_per_px() / _MM_PER_PX)


def _shapes(sheet: Sheet) -> tuple[QPainterPath, list[Array]]:
    """The tint as one path (land is what an odd number of rings hold) and the runs of the coast."""
    view = sheet.view
    level = level_of(view)
    south, north, west, east = seen(sheet)
    rect = view.frame.grown(_BEYOND_PX)
    once = view.projection.kind == "polar"  # there, a turn of 360° comes back to the same place
    found = zip(*outlines(level).rings_in(south, north, west, east, once=once), strict=True)
    tints: list[Array] = []
    coast: list[Array] = []
    for ring in (_projected(level, int(index), float(shift_deg), view.projection) for index, shift_deg in found):
        if ring is None:
            continue
        (left, right), (top, bottom) = view.plane_to_px(ring.x_nm, ring.y_nm)
        apart = right < rect.left or left > rect.right or bottom < rect.top or top > rect.bottom
        if apart or max(right - left, bottom - top) < _LEAST_PX:
            continue
        points = np.column_stack(view.plane_to_px(ring.plane[:, 0], ring.plane[:, 1]))
        if left >= rect.left and right <= rect.right and top >= rect.top and bottom <= rect.bottom:
            tints.append(points)
            coast += ring.shores(points)
        else:
            inside = clip_polygon(points, rect)
            if len(inside) >= 3:
                tints.append(inside)
                coast += [part for shore in ring.shores(points) for part in clip_lines(shore, rect)[0]]
    tint = path(smooth(tints), closed=True)
    tint.setFillRule(Qt.FillRule.OddEvenFill)
    return tint, smooth(coast)


@dataclass(frozen=True, eq=False)
class _Ring:
    """A ring in the plane (n, 2), NM, the ends of its extent (2), and where no coast leads to the next point."""

    plane: Array
    x_nm: Array  # least, most
    y_nm: Array  # most, least: as down the picture
    seams: list[int]

    def shores(self, points: Array) -> list[Array]:
        """The ring (n, 2), wherever its points now lie, as runs of coast."""
        closed = np.concatenate((points, points[:1]))
        return [closed] if not self.seams else np.split(closed, [seam + 1 for seam in self.seams])


@lru_cache(maxsize=4096)
def _projected(level: Level, index: int, shift_deg: float, projection: Projection) -> _Ring | None:
    """A ring in the plane; kept, since panning and zooming need it again and again. None where nothing is shown."""
    lat, lon, seam = outlines(level).ring(index, shift_deg)
    low, high = projection.lat_limits_deg
    x, y = projection.forward(np.clip(lat, low, high), lon, wrap=False)
    plane = np.column_stack((x, y))
    good = np.isfinite(plane).all(axis=1)
    if np.count_nonzero(good) < 3:
        return None
    plane = plane[good]
    least, most = plane.min(axis=0), plane.max(axis=0)
    seams = np.flatnonzero(seam[good]).tolist()
    return _Ring(plane, np.array((least[0], most[0])), np.array((most[1], least[1])), seams)
