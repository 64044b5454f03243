"""The wind from drifts read on two or more headings.

Flying heading h at airspeed V with drift δ (right positive), air and wind together have no part across the track:
w·n = V·sin δ, with n the unit vector to the right of the track h + δ. Two headings give the wind, more are met by
weighted least squares.
"""

from __future__ import annotations

from typing import Any

import numpy as np
from msgspec import Struct

from nightleg.air.motion import wind_named

LEAST_SPREAD_DEG = 45.0  # headings nearer to each other than this give the wind too poorly (air-navigation practice)


class DriftWind(Struct, frozen=True):
    """The wind found, and its covariance in kt² (north, east)."""

    from_deg: float
    kt: float
    cov_kt2: tuple[tuple[float, float], tuple[float, float]]
    residuals_deg: tuple[float, ...]  # drift read less drift by that wind


def wind_by_drifts(heading_deg: Any, tas_kt: Any, drift_deg: Any, sigma_deg: Any) -> DriftWind:
    """The wind from n drifts, arrays (n,). Raises ValueError, in words, for too few or too like headings."""
    h, v = np.radians(np.asarray(heading_deg, dtype=float)), np.asarray(tas_kt, dtype=float)
    d, s = np.radians(np.asarray(drift_deg, dtype=float)), np.radians(np.asarray(sigma_deg, dtype=float))
    if h.size < 2:
        raise ValueError("the wind by drift needs drifts on two headings or more")
    spread = spread_deg(heading_deg)
    if spread < LEAST_SPREAD_DEG:
        raise ValueError(
            f"the headings are at most {spread:.0f}° apart across the wind: it takes {LEAST_SPREAD_DEG:.0f}° or more"
        )
    normals = np.stack([-np.sin(h + d), np.cos(h + d)], axis=-1)
    across = v * np.sin(d)
    along = np.stack([np.cos(h + d), np.sin(h + d)], axis=-1)
    wind = np.zeros(2)
    for _ in range(3):
        # a drift read wrong by a little moves the line by the ground speed times that
        ground_kt = v * np.cos(d) + along @ wind
        weight = 1.0 / np.maximum(np.abs(ground_kt) * s, 1e-6) ** 2
        normal = normals.T @ (weight[:, None] * normals)
        wind = np.linalg.solve(normal, normals.T @ (weight * across))
    cov = np.linalg.inv(normal)
    north, east = v * np.cos(h) + wind[0], v * np.sin(h) + wind[1]
    made = np.degrees(np.arctan2(east, north) - h)
    left = (np.asarray(drift_deg, dtype=float) - made + 180.0) % 360.0 - 180.0
    from_deg, kt = wind_named(float(wind[0]), float(wind[1]))
    return DriftWind(
        from_deg,
        kt,
        ((float(cov[0, 0]), float(cov[0, 1])), (float(cov[1, 0]), float(cov[1, 1]))),
        tuple(float(x) for x in left),
    )


def spread_deg(heading_deg: Any) -> float:
    """The widest angle, 0 to 90, between any two of the lines that the headings lie along."""
    h = np.asarray(heading_deg, dtype=float)
    apart = np.abs((h[:, None] - h[None, :] + 90.0) % 180.0 - 90.0)
    return float(np.max(apart))
