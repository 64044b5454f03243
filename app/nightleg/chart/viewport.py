"""What part of the Earth a picture shows, and where on the picture a place comes to lie."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from nightleg.earth.projection import Projection
from nightleg.units.positions import Position

Array = NDArray[np.float64]


class Rect(NamedTuple):
    """An upright rectangle in px, y downward."""

    left: float
    top: float
    right: float
    bottom: float

    @property
    def width(self) -> float:
        """Width, px."""
        return self.right - self.left

    @property
    def height(self) -> float:
        """Height, px."""
        return self.bottom - self.top

    def grown(self, px: float) -> Rect:
        """The rectangle with every side moved outward by `px` (inward if negative)."""
        return Rect(self.left - px, self.top - px, self.right + px, self.bottom + px)

    def holds(self, x: float, y: float) -> bool:
        """Whether the point lies inside or on the edge."""
        return self.left <= x <= self.right and self.top <= y <= self.bottom


class Margins(NamedTuple):
    """Room around the chart, px: for the title, the degrees at the edges, the caution."""

    left: float = 0.0
    top: float = 0.0
    right: float = 0.0
    bottom: float = 0.0


NO_MARGINS = Margins()


@dataclass(frozen=True)
class Viewport:
    """A projection, the place at the middle of the chart, and how many NM of the plane a px spans.

    Sizes are logical px; a device with more of them has `device_pixel_ratio` > 1.
    """

    projection: Projection
    x_nm: float
    y_nm: float
    nm_per_px: float
    width_px: int
    height_px: int
    margins: Margins = NO_MARGINS
    device_pixel_ratio: float = 1.0

    def __post_init__(self) -> None:
        """Refuse a view of nothing. Raises ValueError."""
        if not (math.isfinite(self.x_nm) and math.isfinite(self.y_nm) and self.nm_per_px > 0.0):
            raise ValueError(
                f"a view needs a finite middle and NM per px above 0: {self.x_nm}, {self.y_nm}, {self.nm_per_px}"
            )
        if self.frame.width < 1.0 or self.frame.height < 1.0:
            raise ValueError(f"a picture of {self.width_px} by {self.height_px} px leaves no room for a chart")

    @property
    def frame(self) -> Rect:
        """The part of the picture that the chart fills."""
        m = self.margins
        return Rect(m.left, m.top, self.width_px - m.right, self.height_px - m.bottom)

    @property
    def middle_px(self) -> tuple[float, float]:
        """The middle of the chart, px."""
        frame = self.frame
        return (frame.left + frame.right) / 2.0, (frame.top + frame.bottom) / 2.0

    @property
    def centre(self) -> Position:
        """The place at the middle of the chart."""
        lat, lon = self.projection.inverse(self.x_nm, self.y_nm)
        return Position(float(lat), float(lon))

    def plane_to_px(self, x_nm: Any, y_nm: Any) -> tuple[Array, Array]:
        """Picture coordinates of points of the projection's plane."""
        cx, cy = self.middle_px
        return np.asarray(cx + (x_nm - self.x_nm) / self.nm_per_px), np.asarray(
            cy - (y_nm - self.y_nm) / self.nm_per_px
        )

    def to_px(self, lat: Any, lon: Any, *, wrap: bool = True) -> tuple[Array, Array]:
        """Picture coordinates of places; NaN for those the projection cannot show."""
        return self.plane_to_px(*self.projection.forward(lat, lon, wrap=wrap))

    def point(self, place: Position) -> tuple[float, float]:
        """Picture coordinates of one place."""
        x, y = self.to_px(place.lat, place.lon)
        return float(x), float(y)

    def points(self, places: Sequence[Position]) -> list[tuple[float, float]]:
        """Picture coordinates of several places."""
        if not places:
            return []
        x, y = self.to_px(*np.array(places, dtype=np.float64).T)
        return list(zip(x.tolist(), y.tolist(), strict=True))

    def to_position(self, x_px: Any, y_px: Any) -> tuple[Array, Array]:
        """Latitudes and longitudes of points of the picture; NaN where there is no place."""
        cx, cy = self.middle_px
        return self.projection.inverse(
            self.x_nm + (np.asarray(x_px, dtype=np.float64) - cx) * self.nm_per_px,
            self.y_nm - (np.asarray(y_px, dtype=np.float64) - cy) * self.nm_per_px,
        )

    def true_nm_per_px(self) -> float:
        """NM on the Earth that one px spans at the middle of the chart."""
        factor = float(self.projection.scale(*self.centre))
        return self.nm_per_px / factor if math.isfinite(factor) and factor > 0.0 else self.nm_per_px

    def direction_deg(self, place: Position, azimuth_deg: float) -> float:
        """Direction on the picture, from up clockwise, of a true direction at a place."""
        convergence = float(self.projection.convergence_deg(place.lat, place.lon))
        return azimuth_deg - (convergence if math.isfinite(convergence) else 0.0)

    def zoomed(self, factor: float, x_px: float, y_px: float) -> Viewport:
        """The view enlarged `factor` times with the place under (x_px, y_px) held still."""
        cx, cy = self.middle_px
        keep = 1.0 - 1.0 / factor
        return replace(
            self,
            x_nm=self.x_nm + (x_px - cx) * self.nm_per_px * keep,
            y_nm=self.y_nm - (y_px - cy) * self.nm_per_px * keep,
            nm_per_px=self.nm_per_px / factor,
        )

    def panned(self, dx_px: float, dy_px: float) -> Viewport:
        """The view with the chart moved right and down by so many px."""
        return replace(self, x_nm=self.x_nm - dx_px * self.nm_per_px, y_nm=self.y_nm + dy_px * self.nm_per_px)


def frame_points(
    projection: Projection,
    lats: Any,
    lons: Any,
    size_px: tuple[int, int],
    *,
    margins: Margins = NO_MARGINS,
    padding_px: float = 40.0,
    least_nm: float = 60.0,
    device_pixel_ratio: float = 1.0,
) -> Viewport:
    """The view that shows all those places with `padding_px` to spare, and at least `least_nm` across.

    Places the projection cannot show are left out; with none left the view stands on the projection's own middle.
    """
    x, y = projection.forward(np.asarray(lats, dtype=np.float64), np.asarray(lons, dtype=np.float64))
    shown = np.isfinite(x) & np.isfinite(y)
    x, y = x[shown], y[shown]
    if x.size == 0:
        mid_lat = sum(projection.lat_limits_deg) / 2.0
        x, y = (np.atleast_1d(v) for v in projection.forward(mid_lat, projection.lon_0_deg))
    x_mid, y_mid = (float(x.min() + x.max()) / 2.0, float(y.min() + y.max()) / 2.0)
    width = size_px[0] - margins.left - margins.right
    height = size_px[1] - margins.top - margins.bottom
    padding = min(padding_px, width / 4.0, height / 4.0)
    scale = float(projection.scale(*projection.inverse(x_mid, y_mid)))
    least = least_nm * (scale if math.isfinite(scale) else 1.0)
    nm_per_px = max(
        float(np.ptp(x)) / (width - 2.0 * padding),
        float(np.ptp(y)) / (height - 2.0 * padding),
        least / min(width, height),
    )
    return Viewport(projection, x_mid, y_mid, nm_per_px, *size_px, margins, device_pixel_ratio)
