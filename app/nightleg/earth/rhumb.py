"""Rhumb lines (lines of constant true track) on the WGS 84 ellipsoid.

A rhumb line is straight in isometric latitude ψ against longitude, and its length is that of its rise in rectifying
latitude μ over the cosine of the track. Both latitudes are taken as series or closed forms that give *differences* to
full relative accuracy, so that courses near east and west need no case of their own:

- φ ↔ μ: Fourier series in the third flattening n to order 6 (C. F. F. Karney, "Transverse Mercator with an accuracy of
  a few nanometers", J. Geodesy 85, 2011, after Bessel and Helmert), with
  sin 2kφ₂ − sin 2kφ₁ = 2·cos k(φ₁ + φ₂)·sin k(φ₂ − φ₁);
- ψ = atanh(sin φ) − e·atanh(e·sin φ) (J. P. Snyder, "Map Projections: A Working Manual", USGS Professional Paper 1395,
  1987, chapter 7), with φm the mean latitude
  ψ₂ − ψ₁ = 2·atanh(sin(Δφ/2)/cos φm) − e·atanh(2e·sin(Δφ/2)·cos φm/(1 − e²·sin φ₁·sin φ₂)).

Within some 6 m of a pole the longitude of a rhumb line has no use: such elements come out as nan. `check` says so in
words before the fact.
"""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import numpy.typing as npt

from nightleg.earth.ellipsoid import A_NM, E2, N
from nightleg.units.errors import EntryError

_E = math.sqrt(E2)
RECTIFYING_NM = A_NM / (1.0 + N) * (1.0 + N**2 / 4.0 + N**4 / 64.0 + N**6 / 256.0)  # mean radius of the meridian
POLE_RAD = math.pi / 2.0 - 1e-6  # nearer to a pole than this (6 m) counts as at the pole
_NOTHING_RAD = 1e-100  # stands for a difference of latitude of zero: ratios of differences keep their limits

_K = np.arange(1.0, 7.0)
_TO_MU = np.array(
    [
        -3 / 2 * N + 9 / 16 * N**3 - 3 / 32 * N**5,
        15 / 16 * N**2 - 15 / 32 * N**4 + 135 / 2048 * N**6,
        -35 / 48 * N**3 + 105 / 256 * N**5,
        315 / 512 * N**4 - 189 / 512 * N**6,
        -693 / 1280 * N**5,
        1001 / 2048 * N**6,
    ]
)
_TO_PHI = np.array(
    [
        3 / 2 * N - 27 / 32 * N**3 + 269 / 512 * N**5,
        21 / 16 * N**2 - 55 / 32 * N**4 + 6759 / 4096 * N**6,
        151 / 96 * N**3 - 417 / 128 * N**5,
        1097 / 512 * N**4 - 15543 / 2560 * N**6,
        8011 / 2560 * N**5,
        293393 / 61440 * N**6,
    ]
)


def _difference(coefficients: npt.NDArray[np.float64], total: Any, delta: Any) -> Any:
    """delta + Σ c_k·(sin 2k x₂ − sin 2k x₁), from x₁ + x₂ and x₂ − x₁: exact also where they are nearly equal."""
    terms = np.cos(total[..., None] * _K) * np.sin(delta[..., None] * _K)
    return delta + terms @ (2.0 * coefficients)


def _isometric_difference(phi1: Any, phi2: Any, dphi: Any) -> Any:
    half = np.sin(0.5 * dphi)
    across = np.cos(0.5 * (phi1 + phi2))
    lean = (2.0 * _E) * half * across / (1.0 - E2 * np.sin(phi1) * np.sin(phi2))
    return 2.0 * np.arctanh(half / across) - _E * np.arctanh(lean)


def _latitude(lat_deg: npt.ArrayLike) -> Any:
    """Radians, with nan at and beyond the poles."""
    phi = np.radians(np.asarray(lat_deg, dtype=np.float64))
    return np.where(np.abs(phi) < POLE_RAD, phi, np.nan)


@np.errstate(invalid="ignore")  # inf in gives nan out, quietly
def rhumb_direct(
    lat: npt.ArrayLike, lon: npt.ArrayLike, track_deg: npt.ArrayLike, distance_nm: npt.ArrayLike
) -> tuple[Any, Any]:
    """The point reached from (lat, lon) on a constant true track: (lat, lon), degrees, any shapes that broadcast.

    A negative distance goes backward along the same line. Longitude comes out in −180…180. nan where the line starts
    at, reaches or passes a pole.
    """
    phi1 = _latitude(lat)
    track = np.radians(np.asarray(track_deg, dtype=np.float64))
    arc = np.asarray(distance_nm, dtype=np.float64) / RECTIFYING_NM
    dmu = arc * np.cos(track)
    dmu = np.where(dmu == 0.0, _NOTHING_RAD, dmu)
    mu1 = phi1 + np.sin(phi1[..., None] * (2.0 * _K)) @ _TO_MU
    total = 2.0 * mu1 + dmu
    dmu = np.where(np.abs(mu1 + dmu) < POLE_RAD, dmu, np.nan)
    dphi = _difference(_TO_PHI, total, dmu)
    phi2 = phi1 + dphi
    dlon = np.degrees(arc * np.sin(track) * (_isometric_difference(phi1, phi2, dphi) / dmu))
    end = np.asarray(lon, dtype=np.float64) + dlon
    lat2, lon2 = np.degrees(phi2), end - 360.0 * np.rint(end / 360.0)
    return (lat2 if lat2.shape == lon2.shape else lat2 + np.zeros_like(lon2)), lon2


@np.errstate(invalid="ignore")
def rhumb_inverse(
    lat1: npt.ArrayLike, lon1: npt.ArrayLike, lat2: npt.ArrayLike, lon2: npt.ArrayLike
) -> tuple[Any, Any]:
    """Length and track of the shorter rhumb line between two points: (distance_nm, track_deg in 0 up to 360).

    Any shapes that broadcast. Between points exactly half a turn of longitude apart the way is that of the sign of
    lon2 − lon1, so there and back are one line. Equal points give distance 0 and track 0; a pole gives nan.
    """
    phi1, phi2 = _latitude(lat1), _latitude(lat2)
    turn = np.asarray(lon2, dtype=np.float64) - np.asarray(lon1, dtype=np.float64)
    dlon = np.radians(turn - 360.0 * np.rint(turn / 360.0))
    dphi = phi2 - phi1
    same = dphi == 0.0
    dphi = np.where(same, _NOTHING_RAD, dphi)
    dmu = _difference(_TO_MU, phi1 + phi2, dphi)
    dpsi = _isometric_difference(phi1, phi2, dphi)
    distance = RECTIFYING_NM * np.hypot(np.where(same, 0.0, dmu), dlon * (dmu / dpsi))
    track = np.degrees(np.arctan2(dlon, dpsi)) % 360.0
    return distance, np.where(track == 360.0, 0.0, track)[()]


def check(lat: npt.ArrayLike, track_deg: npt.ArrayLike, distance_nm: npt.ArrayLike) -> None:
    """Raise EntryError, in words, where `rhumb_direct` would give nan: a line that starts at or runs over a pole."""
    end, _ = rhumb_direct(lat, 0.0, track_deg, distance_nm)
    bad = np.argwhere(np.isnan(np.atleast_1d(end)))
    if not len(bad):
        return
    shape = np.atleast_1d(end).shape
    at, course, run = (float(np.broadcast_to(v, shape)[tuple(bad[0])]) for v in (lat, track_deg, distance_nm))
    raise EntryError(
        f"a constant track of {course:.1f}° for {run:.1f} NM from latitude {at:.4f}° runs into a pole or is no line; "
        "keep clear of the poles, or use a great circle"
    )
