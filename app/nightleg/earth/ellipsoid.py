"""The WGS 84 ellipsoid and its radii, in nautical miles."""

from __future__ import annotations

from typing import Any

import numpy as np

A_M = 6378137.0  # equatorial radius, NIMA TR8350.2
F = 1.0 / 298.257223563  # flattening, NIMA TR8350.2
E2 = F * (2.0 - F)
N = F / (2.0 - F)  # third flattening
NM_M = 1852.0  # international nautical mile
A_NM = A_M / NM_M


def meridian_radius_nm(lat_deg: Any) -> Any:
    """Radius of curvature along the meridian, NM, at geodetic latitudes in degrees (any shape)."""
    s = np.sin(np.radians(lat_deg))
    return A_NM * (1.0 - E2) / (1.0 - E2 * s * s) ** 1.5


def normal_radius_nm(lat_deg: Any) -> Any:
    """Radius of curvature across the meridian (prime vertical), NM, at geodetic latitudes in degrees."""
    s = np.sin(np.radians(lat_deg))
    return A_NM / np.sqrt(1.0 - E2 * s * s)
