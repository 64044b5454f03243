"""The view that frames what matters: not the whole ocean, but the fix being worked and the way to and from it."""

from __future__ import annotations

from typing import Literal

import numpy as np
from numpy.typing import NDArray

from nightleg.chart.gridsheet import sheet_for
from nightleg.chart.marks import ChartScene
from nightleg.chart.viewport import NO_MARGINS, Margins, Viewport, frame_points
from nightleg.earth.local import between
from nightleg.earth.projection import Projection
from nightleg.fix.ellipse import Ellipse, outline
from nightleg.units.positions import Position

Array = NDArray[np.float64]
Extent = Literal["plot", "flight"]

_NEAR_NM = 150.0  # what lies further from the middle of the plot does not widen it
_AROUND_FIX_NM = 42.0  # room about the fix, so that its lines are seen to cross


def fit(
    scene: ChartScene,
    size_px: tuple[int, int],
    *,
    margins: Margins = NO_MARGINS,
    extent: Extent = "plot",
    current: Projection | None = None,
    device_pixel_ratio: float = 1.0,
) -> Viewport:
    """A view of the plot (the fix that matters now and what is near it), or of the whole flight.

    `current` is the projection in use, kept while it serves.
    """
    places = _plot(scene) if extent == "plot" else _flight(scene)
    lats, lons = np.array(places or [Position(0.0, 0.0)], dtype=np.float64).T
    projection = sheet_for(lats, lons, current, scene.grid)
    padding = 0.07 * min(size_px)
    return frame_points(
        projection, lats, lons, size_px, margins=margins, padding_px=padding, device_pixel_ratio=device_pixel_ratio
    )


def _plot(scene: ChartScene) -> list[Position]:
    """Places that the plot must show."""
    fix, dr = scene.current_fix, scene.dr
    lines = [line for line in scene.lines if line.current and line.used]
    feet = [line.stub[0] for line in lines if line.stub]
    middle = fix.position if fix else dr.position if dr and not feet else feet[-1] if feet else scene.start
    if middle is None:
        return []
    places: list[Position] = []
    if fix is not None and fix.ellipse95 is not None:
        places += _ring(fix.position, max(fix.ellipse95.semi_major_nm, _AROUND_FIX_NM))
    else:
        places += _ring(middle, _AROUND_FIX_NM)
    near = [point for run in scene.runs if run.current for point in run.points]
    near += [other.position for other in scene.fixes] + feet
    if scene.route:
        near += [point for _, point in scene.route.waypoints]
    near += [landfall.turn for landfall in scene.landfalls if landfall.turn is not None]
    places += _within(near, middle, _NEAR_NM)
    if dr is not None:
        places += _within(_ring(dr.position, dr.circle50_nm or 0.0), middle, 3.0 * _NEAR_NM)
    return places


def _flight(scene: ChartScene) -> list[Position]:
    """Places of the whole flight."""
    places = [point for run in scene.runs for point in run.points]
    places += [fix.position for fix in scene.fixes]
    if scene.route:
        places += [point for leg in scene.route.legs for point in leg]
    for landfall in scene.landfalls:
        places += landfall.way
    if scene.dr:
        places.append(scene.dr.position)
    if scene.start:
        places.append(scene.start)
    return [*places, *scene.truth]


def _ring(middle: Position, radius_nm: float) -> list[Position]:
    lats, lons = outline(middle.lat, middle.lon, Ellipse(radius_nm, radius_nm, 0.0), 17)
    return [Position(float(lat), float(lon)) for lat, lon in zip(lats, lons, strict=True)]


def _within(places: list[Position], middle: Position, limit_nm: float) -> list[Position]:
    if not places:
        return []
    lats, lons = np.array(places, dtype=np.float64).T
    north, east = between(middle.lat, middle.lon, lats, lons)
    close = np.hypot(north, east) <= limit_nm
    return [place for place, keep in zip(places, close.tolist(), strict=True) if keep]
