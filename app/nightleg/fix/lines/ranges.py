"""A range from a station: a circle on the ground."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
from msgspec import Struct

from nightleg.earth.geodesic import direct, inverse
from nightleg.fix.lines.base import Array

FT_NM = 0.3048 / 1852.0


def ground_range_nm(slant_nm: float, height_ft: float) -> float:
    """The distance along the ground of a slant range, for a height above the station.

    Raises ValueError where the height alone is more than the range.
    """
    height_nm = height_ft * FT_NM
    if abs(height_nm) > slant_nm:
        raise ValueError(
            f"a slant range of {slant_nm:.1f} NM cannot be shorter than the height above the station, "
            f"{abs(height_nm):.1f} NM"
        )
    return math.sqrt(slant_nm**2 - height_nm**2)


class RangeLine(Struct, frozen=True):
    """The circle of `range_nm` on the ground about a station."""

    station_lat: float
    station_lon: float
    range_nm: float
    sigma_nm: float

    def offset_nm(self, lat: Any, lon: Any) -> Array:
        """Toward the station is positive."""
        distance_nm, _, _ = inverse(lat, lon, self.station_lat, self.station_lon)
        return np.asarray(distance_nm - self.range_nm)

    def normal_deg(self, lat: Any, lon: Any) -> Array:
        """The bearing of the station."""
        return np.asarray(inverse(lat, lon, self.station_lat, self.station_lon)[1])

    def points(self, lat: float, lon: float, half_length_nm: float, count: int) -> tuple[Array, Array]:
        """An arc about the point nearest to the place; the whole circle where it is shorter."""
        _, bearing, _ = inverse(self.station_lat, self.station_lon, lat, lon)
        reach = 180.0 if math.pi * self.range_nm <= half_length_nm else math.degrees(half_length_nm / self.range_nm)
        lats, lons, _ = direct(
            self.station_lat, self.station_lon, bearing + np.linspace(-reach, reach, count), self.range_nm
        )
        return np.asarray(lats), np.asarray(lons)
