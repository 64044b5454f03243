"""One geodesic between two points and the points along it, by Karney's series, without a library.

C. F. F. Karney, "Algorithms for geodesics", J. Geodesy 87, 2013: equations 8 to 25. The longitude is solved for by
simple iteration, which converges everywhere but between points that are nearly opposite; there is no line here for
those. To the sixth order in the flattening the series are good to some nanometres.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from nightleg.earth.ellipsoid import A_M, NM_M, F

Array = NDArray[np.float64]

_N = F / (2.0 - F)  # third flattening
_EP2 = F * (2.0 - F) / (1.0 - F) ** 2  # second eccentricity squared
_B_NM = A_M * (1.0 - F) / NM_M
_LONGEST_RAD = math.radians(170.0)  # on the auxiliary sphere
_ROUNDS = 40


class Line(Struct, frozen=True):
    """A geodesic that begins at a point; angles on the auxiliary sphere in radians."""

    lon_deg: float  # where it begins
    sin_a0: float  # sine and cosine of the azimuth where it crosses the equator
    cos_a0: float
    sigma_rad: float  # from that crossing to the beginning
    omega_rad: float  # longitude on the auxiliary sphere, from the crossing to the beginning
    eps: float
    distance_nm: float

    def points(self, distance_nm: Array) -> tuple[Array, Array]:
        """Latitudes, and longitudes within 180 degrees, at distances (n,) from the beginning."""
        tau = self.sigma_rad + _series(_c1(self.eps), self.sigma_rad) + distance_nm / (_B_NM * _a1(self.eps))
        sigma = tau + _series(_c1_back(self.eps), tau)
        sin, cos = np.sin(sigma), np.cos(sigma)
        omega = np.arctan2(self.sin_a0 * sin, cos) - self.omega_rad
        run = sigma - self.sigma_rad
        lon = self.lon_deg + np.degrees(omega - _lag(self.sin_a0, self.eps, self.sigma_rad, sigma, run))
        lat = np.arctan2(self.cos_a0 * sin, (1.0 - F) * np.hypot(self.sin_a0, self.cos_a0 * cos))
        return np.degrees(lat), np.asarray((lon + 180.0) % 360.0 - 180.0)


def between(lat1: float, lon1: float, lat2: float, lon2: float) -> Line | None:
    """The shortest geodesic from one point to another; None where they are the same, nearly opposite, or no places."""
    if not (abs(lat1) <= 90.0 and abs(lat2) <= 90.0 and math.isfinite(lon1) and math.isfinite(lon2)):
        return None
    sin_u1, cos_u1, r1 = _reduced(lat1)
    sin_u2, cos_u2, r2 = _reduced(lat2)
    # From the difference of the latitudes, so that short lines keep their digits.
    climb = (1.0 - F) * math.sin(math.radians(lat2 - lat1)) / (r1 * r2)
    lon_rad = omega = math.radians(math.remainder(lon2 - lon1, 360.0))
    for _ in range(_ROUNDS):
        across = cos_u2 * math.sin(omega)
        ahead = climb + 2.0 * sin_u1 * cos_u2 * math.sin(0.5 * omega) ** 2
        sin_run = math.hypot(across, ahead)
        run = math.atan2(sin_run, sin_u1 * sin_u2 + cos_u1 * cos_u2 * math.cos(omega))
        if sin_run == 0.0 or run > _LONGEST_RAD:
            return None
        sin_a1, cos_a1 = across / sin_run, ahead / sin_run
        sin_a0, cos_a0 = sin_a1 * cos_u1, math.hypot(cos_a1, sin_a1 * sin_u1)
        sigma = math.atan2(sin_u1, cos_a1 * cos_u1)
        k2 = cos_a0**2 * _EP2
        eps = k2 / (2.0 * (1.0 + math.sqrt(1.0 + k2)) + k2)
        before, omega = omega, lon_rad + _lag(sin_a0, eps, sigma, sigma + run, run)
        if abs(omega - before) < 1e-15:
            c1 = _c1(eps)
            whole = run + float(_series(c1, sigma + run) - _series(c1, sigma))
            omega1 = math.atan2(sin_a0 * sin_u1, cos_a1 * cos_u1)
            return Line(lon1, sin_a0, cos_a0, sigma, omega1, eps, _B_NM * _a1(eps) * whole)
    return None


def _reduced(lat_deg: float) -> tuple[float, float, float]:
    """Sine and cosine of the reduced latitude, and what both were divided by."""
    sin, cos = (1.0 - F) * math.sin(math.radians(lat_deg)), math.cos(math.radians(lat_deg))
    r = math.hypot(sin, cos)
    return sin / r, cos / r, r


def _series(coefficients: Sequence[float], angle: Any) -> Any:
    """The sum of c[k] sin(2 k angle), k from 1. Numbers stay numbers."""
    sin: Any = math.sin if isinstance(angle, float) else np.sin
    return sum(c * sin(2.0 * k * angle) for k, c in enumerate(coefficients, start=1))


def _lag(sin_a0: float, eps: float, sigma1: float, sigma2: Any, run: Any) -> Any:
    """By how much the longitude, radians, runs behind that on the auxiliary sphere (equation 8)."""
    c3 = _c3(eps)
    return F * sin_a0 * _a3(eps) * (run + _series(c3, sigma2) - _series(c3, sigma1))


def _a1(eps: float) -> float:
    e2 = eps * eps
    return (1.0 + e2 * (1 / 4 + e2 * (1 / 64 + e2 / 256))) / (1.0 - eps)


def _c1(eps: float) -> tuple[float, ...]:
    e2 = eps * eps
    return (
        eps * (-1 / 2 + e2 * (3 / 16 - e2 / 32)),
        e2 * (-1 / 16 + e2 * (1 / 32 - e2 * 9 / 2048)),
        eps * e2 * (-1 / 48 + e2 * 3 / 256),
        e2 * e2 * (-5 / 512 + e2 * 3 / 512),
        eps * e2 * e2 * (-7 / 1280),
        e2**3 * (-7 / 2048),
    )


def _c1_back(eps: float) -> tuple[float, ...]:
    """Of the series that goes back from distance to angle."""
    e2 = eps * eps
    return (
        eps * (1 / 2 + e2 * (-9 / 32 + e2 * 205 / 1536)),
        e2 * (5 / 16 + e2 * (-37 / 96 + e2 * 1335 / 4096)),
        eps * e2 * (29 / 96 - e2 * 75 / 128),
        e2 * e2 * (539 / 1536 - e2 * 2391 / 2560),
        eps * e2 * e2 * 3467 / 7680,
        e2**3 * 38081 / 61440,
    )


def _a3(eps: float) -> float:
    n = _N
    return 1.0 - eps * (
        (1 / 2 - n / 2)
        + eps
        * (
            (1 / 4 + n / 8 - n * n * 3 / 8)
            + eps * ((1 / 16 + n * 3 / 16 + n * n / 16) + eps * ((3 / 64 + n / 32) + eps * 3 / 128))
        )
    )


def _c3(eps: float) -> tuple[float, ...]:
    n, e2 = _N, eps * eps
    e3, e4, e5 = eps * e2, e2 * e2, eps * e2 * e2
    return (
        (1 - n) / 4 * eps
        + (1 - n * n) / 8 * e2
        + (3 + 3 * n - n * n) / 64 * e3
        + (5 + 2 * n) / 128 * e4
        + 3 / 128 * e5,
        (2 - 3 * n + n * n) / 32 * e2 + (3 - 2 * n - 3 * n * n) / 64 * e3 + (3 + n) / 128 * e4 + 5 / 256 * e5,
        (5 - 9 * n + 5 * n * n) / 192 * e3 + (9 - 10 * n) / 384 * e4 + 7 / 512 * e5,
        (7 - 14 * n) / 512 * e4 + 7 / 512 * e5,
        21 / 2560 * e5,
    )
