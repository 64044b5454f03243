"""A line of latitude: by meridian passage, by Polaris, or by any other means."""

from __future__ import annotations

from typing import Any

import numpy as np
from msgspec import Struct

from nightleg.earth.ellipsoid import meridian_radius_nm, normal_radius_nm
from nightleg.fix.lines.base import Array


class LatitudeLine(Struct, frozen=True):
    """The parallel of `latitude` degrees."""

    latitude: float
    sigma_nm: float

    def offset_nm(self, lat: Any, lon: Any) -> Array:
        """North of the place is positive."""
        lat = np.asarray(lat, dtype=float)
        middle = (lat + self.latitude) / 2.0
        return np.asarray(np.radians(self.latitude - lat) * meridian_radius_nm(middle) + 0.0 * np.asarray(lon))

    def normal_deg(self, lat: Any, lon: Any) -> Array:
        """Always north."""
        return np.zeros(np.broadcast(lat, lon).shape)

    def points(self, lat: float, lon: float, half_length_nm: float, count: int) -> tuple[Array, Array]:
        """A run of the parallel."""
        radius = max(float(normal_radius_nm(self.latitude)) * np.cos(np.radians(self.latitude)), 1e-9)
        reach = min(180.0, float(np.degrees(half_length_nm / radius)))
        lons = lon + np.linspace(-reach, reach, count)
        return np.full(count, self.latitude), np.asarray((lons + 180.0) % 360.0 - 180.0)
