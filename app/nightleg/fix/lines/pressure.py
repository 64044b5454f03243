"""The pressure line: how far the wind has carried the aircraft across its air path, from two readings of D.

D is true altitude less pressure altitude. Flying along one pressure level, its slope across the path is the geostrophic
wind along it and, along the path, the wind across: Z = -(g/(2Ω sin L))·(D₂ - D₁)/ETAS, to the right of the straight
path from where the first reading was taken to the present air position. With D in feet and ETAS in knots the constant
comes to 21.5 NM (handbooks use 21.47, and give the sign of the drift correction). The line runs along that path.
"""

from __future__ import annotations

from typing import Any

import numpy as np
from msgspec import Struct

from nightleg.earth.local import between, offset
from nightleg.fix.lines.base import Array

G_M_S2 = 9.80665
EARTH_ROTATION_RAD_S = 7.292115e-5  # WGS 84
# (g·ft)/(2Ω·kt) in NM, about 21.51
Z_CONSTANT_NM = G_M_S2 * 0.3048 / (2.0 * EARTH_ROTATION_RAD_S) / (1852.0 / 3600.0) / 1852.0
LEAST_LATITUDE_DEG = 20.0  # nearer to the equator the wind no longer follows the pressure


def displacement_right_nm(d1_ft: float, d2_ft: float, etas_kt: float, latitude_deg: float) -> float:
    """Displacement to the right of the straight air path, NM; `latitude_deg` is the signed middle latitude.

    Raises ValueError within 20° of the equator and where the air path has no length.
    """
    if abs(latitude_deg) < LEAST_LATITUDE_DEG:
        raise ValueError(
            f"no pressure line at {abs(latitude_deg):.0f}° of latitude: within {LEAST_LATITUDE_DEG:.0f}° of the "
            "equator the wind does not follow the pressure"
        )
    if etas_kt <= 0.0:
        raise ValueError("no pressure line: the air path since the first reading has no length")
    return -Z_CONSTANT_NM / float(np.sin(np.radians(latitude_deg))) * (d2_ft - d1_ft) / etas_kt


class PressureLine(Struct, frozen=True):
    """The line parallel to the air path's direction, `right_nm` to the right of the air position."""

    air_lat: float
    air_lon: float
    path_deg: float
    right_nm: float
    sigma_nm: float

    def offset_nm(self, lat: Any, lon: Any) -> Array:
        """To the right of the path is positive."""
        north, east = between(self.air_lat, self.air_lon, lat, lon)
        a = np.radians(self.path_deg)
        return np.asarray(self.right_nm - (east * np.cos(a) - north * np.sin(a)))

    def normal_deg(self, lat: Any, lon: Any) -> Array:
        """To the right of the path."""
        return np.full(np.broadcast(lat, lon).shape, (self.path_deg + 90.0) % 360.0)

    def points(self, lat: float, lon: float, half_length_nm: float, count: int) -> tuple[Array, Array]:
        """A run of the line about the place."""
        north, east = between(self.air_lat, self.air_lon, lat, lon)
        a = np.radians(self.path_deg)
        along = float(north * np.cos(a) + east * np.sin(a)) + np.linspace(-half_length_nm, half_length_nm, count)
        return offset(
            self.air_lat,
            self.air_lon,
            along * np.cos(a) - self.right_nm * np.sin(a),
            along * np.sin(a) + self.right_nm * np.cos(a),
        )
