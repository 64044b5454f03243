"""Error ellipses of a position and the circle that holds half of it.

A covariance here is 2 × 2 in NM², north then east. Chi-square limits for two degrees of freedom are exact:
-2·ln(1 - p), so 1.386 at 50 % and 5.991 at 95 %.
"""

from __future__ import annotations

import math
from functools import lru_cache
from typing import Any

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

Array = NDArray[np.float64]


class Ellipse(Struct, frozen=True):
    """An ellipse about a position; `azimuth_deg` is that of the major axis, 0 to 180 true."""

    semi_major_nm: float
    semi_minor_nm: float
    azimuth_deg: float


def chi2_two_dof(share: float) -> float:
    """The chi-square value (2 degrees of freedom) that a given share stays below."""
    return -2.0 * math.log1p(-share)


def ellipse(cov_nm2: Any, share: float) -> Ellipse:
    """The ellipse that holds `share` (0 to 1) of a bivariate normal error with that covariance."""
    (n2, c), (_, e2) = np.asarray(cov_nm2, dtype=float)
    mean, half, cross = (n2 + e2) / 2.0, (n2 - e2) / 2.0, c
    spread = math.hypot(half, cross)
    k = chi2_two_dof(share)
    azimuth_deg = math.degrees(0.5 * math.atan2(cross, half)) % 180.0
    return Ellipse(math.sqrt(k * (mean + spread)), math.sqrt(k * max(mean - spread, 0.0)), azimuth_deg)


def sigma_per_axis_nm(cov_nm2: Any) -> float:
    """1σ per axis (rms of the two axes), NM."""
    cov = np.asarray(cov_nm2, dtype=float)
    return math.sqrt((cov[0, 0] + cov[1, 1]) / 2.0)


def inside(cov_nm2: Array, error_nm: Array, share: float) -> NDArray[np.bool_]:
    """Whether errors (…, 2), north and east in NM, lie inside the ellipse of `share`; covariances (…, 2, 2)."""
    weighted = np.linalg.solve(cov_nm2, error_nm[..., None])[..., 0]
    return np.asarray(np.sum(error_nm * weighted, axis=-1) <= chi2_two_dof(share))


def cep_nm(cov_nm2: Any) -> float:
    """Radius of the circle about the position that holds half of the errors (circular error probable), NM.

    The probability inside a circle is integrated over the bearing and solved for one half; it agrees with the common
    rule 0.589·(σ₁ + σ₂) within 2.3 % for axis ratios of 0.3 and more.
    """
    axes = ellipse(cov_nm2, 1.0 - math.exp(-0.5))  # chi-square 1: the axes are the two sigmas
    s1, s2 = axes.semi_major_nm, axes.semi_minor_nm
    if s1 == 0.0:
        return 0.0
    if s2 < 1e-4 * s1:  # a line: half of a one-dimensional normal lies within 0.6745 sigma
        return 0.674489750196082 * s1
    # Over the eccentric angle t the integrand is smooth: P(R) = 1 - (2/π)·∫ exp(-R²/(2(s1²cos²t + s2²sin²t))) dt over a
    # quarter turn. Evenly spaced points converge the faster the rounder the ellipse.
    points = 64 if s2 > 0.2 * s1 else 4000
    t = (np.arange(points) + 0.5) * (math.pi / 2.0 / points)
    spread2 = (s1 * np.cos(t)) ** 2 + (s2 * np.sin(t)) ** 2
    radius = 0.589 * (s1 + s2)
    for _ in range(20):
        outside = np.exp(-(radius**2) / (2.0 * spread2))
        miss = (float(np.mean(outside)) - 0.5) / float(np.mean(outside * radius / spread2))
        radius += miss
        if abs(miss) < 1e-12 * s1:
            break
    return radius


def outline(lat: float, lon: float, shape: Ellipse, points: int = 97) -> tuple[Array, Array]:
    """The ellipse as a closed run of latitudes and longitudes (degrees) about a position."""
    from nightleg.earth.local import offset

    along, across = np.array(((shape.semi_major_nm,), (shape.semi_minor_nm,))) * _unit_circle(points)
    az = math.radians(shape.azimuth_deg)
    north = along * math.cos(az) - across * math.sin(az)
    east = along * math.sin(az) + across * math.cos(az)
    return offset(lat, lon, north, east)


@lru_cache(maxsize=8)
def _unit_circle(points: int) -> Array:
    """Cosines and sines (2, points) of angles once around."""
    t = np.linspace(0.0, 2.0 * np.pi, points)
    return np.array((np.cos(t), np.sin(t)))
