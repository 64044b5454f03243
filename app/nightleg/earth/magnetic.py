"""Magnetic variation by the International Geomagnetic Reference Field, 14th generation, 1900 to 2030.

The field is the gradient of a sum of spherical harmonics to degree 13 with Schmidt's normalisation; the coefficients
(IAGA Working Group V-MOD, https://doi.org/10.5281/zenodo.14012302) are linear in time between epochs five years apart.
The sum is written in Legendre functions divided by sin θ, so that the poles need no case of their own.
"""

from __future__ import annotations

from datetime import UTC, datetime
from functools import lru_cache
from typing import Any, NamedTuple

import numpy as np
import numpy.typing as npt

from nightleg.earth.ellipsoid import A_M, E2
from nightleg.resources import resource
from nightleg.units.errors import EntryError

FIRST_YEAR, LAST_YEAR = 1900.0, 2030.0
_REFERENCE_KM = 6371.2  # radius the coefficients refer to
_DEGREE = 13
_FT_KM = 0.0003048

_n, _m = np.meshgrid(np.arange(_DEGREE + 1.0), np.arange(_DEGREE + 1.0), indexing="ij")
_root = np.sqrt(np.maximum(_n**2 - _m**2, 1.0))
# Recursion over the degree n at order m < n, and along the diagonal (Schmidt's normalisation).
_UP = (2.0 * _n - 1.0) / _root
_BACK = np.sqrt(np.maximum((_n - 1.0) ** 2 - _m**2, 0.0)) / _root
_DIAGONAL = np.sqrt(1.0 - 0.5 / np.maximum(np.arange(_DEGREE + 1.0), 1.0))
# dP/dθ at order m from the functions at orders m - 1 and m + 1.
_LOWER = 0.5 * np.sqrt(np.maximum((_n + _m) * (_n - _m + 1.0), 0.0)) * np.where(_m == 1, np.sqrt(2.0), 1.0)
_HIGHER = 0.5 * np.sqrt(np.maximum((_n - _m) * (_n + _m + 1.0), 0.0)) * np.where(_m == 0, np.sqrt(2.0), 1.0)


class _Model(NamedTuple):
    years: npt.NDArray[np.float64]  # (epochs,)
    g: npt.NDArray[np.float64]  # (epochs, 14, 14), nT
    h: npt.NDArray[np.float64]


@lru_cache(maxsize=1)
def _model() -> _Model:
    lines = resource("magnetic", "igrf14.shc").read_text(encoding="ascii").splitlines()
    rows = [line.split() for line in lines if line and not line.startswith("#")]
    years = np.array(rows[1], dtype=np.float64)
    g, h = np.zeros((2, len(years), _DEGREE + 1, _DEGREE + 1))
    for row in rows[2:]:
        n, m = int(row[0]), int(row[1])
        (g if m >= 0 else h)[:, n, abs(m)] = np.array(row[2:], dtype=np.float64)
    return _Model(years, g, h)


@lru_cache(maxsize=64)
def _coefficients(year: float) -> tuple[npt.NDArray[np.float64], npt.NDArray[np.float64]]:
    years, g, h = _model()
    i = min(int(np.searchsorted(years, year, side="right")), len(years) - 1) - 1
    part = (year - years[i]) / (years[i + 1] - years[i])
    return g[i] + part * (g[i + 1] - g[i]), h[i] + part * (h[i + 1] - h[i])


def decimal_year(when: datetime) -> float:
    """The instant as a year and its decimal part. Raises ValueError for a datetime without a zone."""
    if when.utcoffset() is None:
        raise ValueError(f"{when.isoformat()} has no zone: GMT times carry UTC")
    utc = when.astimezone(UTC)
    start = datetime(utc.year, 1, 1, tzinfo=UTC)
    days = 366 if (utc.year % 4 == 0 and utc.year % 100 != 0) or utc.year % 400 == 0 else 365
    return utc.year + (utc - start).total_seconds() / (days * 86400.0)


def valid(when: datetime) -> bool:
    """True where the model holds: 1900-01-01 to 2030-01-01."""
    return FIRST_YEAR <= decimal_year(when) <= LAST_YEAR


def variation_deg(lat: npt.ArrayLike, lon: npt.ArrayLike, altitude_ft: npt.ArrayLike, when: datetime) -> Any:
    """Magnetic variation, degrees, east positive, −180 to 180, at positions (any shapes that broadcast) at one instant.

    At a geographic pole it is reckoned from the meridian `lon`. Raises EntryError when `when` is outside 1900 to 2030.
    """
    if not valid(when):
        raise EntryError(
            f"magnetic variation is known here from 1900 to 2030, not for {when:%Y-%m-%d}; use true headings there"
        )
    north, east, _ = field_nt(lat, lon, altitude_ft, decimal_year(when))
    return np.degrees(np.arctan2(east, north))


def field_nt(lat: npt.ArrayLike, lon: npt.ArrayLike, altitude_ft: npt.ArrayLike, year: float) -> tuple[Any, Any, Any]:
    """The field, nT: (north, east, down) at geodetic positions (any shapes that broadcast) in a decimal year.

    Altitude, feet, counts from the ellipsoid. Raises EntryError outside 1900 to 2030.
    """
    if not FIRST_YEAR <= year <= LAST_YEAR:
        raise EntryError(f"the Earth's magnetic field is known here from 1900 to 2030, not for {year:g}")
    phi, lam, km = np.broadcast_arrays(
        np.radians(np.asarray(lat, dtype=np.float64)),
        np.radians(np.asarray(lon, dtype=np.float64)),
        np.asarray(altitude_ft, dtype=np.float64) * _FT_KM,
    )
    shape = phi.shape
    phi, lam, km = phi.ravel(), lam.ravel(), km.ravel()
    # Geodetic to geocentric: distance from the axis, height over the equator's plane.
    normal = A_M / 1000.0 / np.sqrt(1.0 - E2 * np.sin(phi) ** 2)
    axis, height = (normal + km) * np.cos(phi), (normal * (1.0 - E2) + km) * np.sin(phi)
    r = np.hypot(axis, height)
    sin, cos = axis / r, height / r  # of the colatitude

    p, p_over_sin, slope = _legendre(sin, cos)
    g, h = _coefficients(float(year))
    angle = np.arange(_DEGREE + 1.0)[:, None] * lam
    cosines, sines = np.cos(angle), np.sin(angle)
    along = g[:, :, None] * cosines + h[:, :, None] * sines
    across = _m[:, :, None] * (g[:, :, None] * sines - h[:, :, None] * cosines)
    n = np.arange(_DEGREE + 1.0)[:, None]
    fall = (_REFERENCE_KM / r) ** (n + 2.0)
    north = np.einsum("nmp,nmp,np->p", along, slope, fall)
    east = np.einsum("nmp,nmp,np->p", across, p_over_sin, fall)
    down = -np.einsum("nmp,nmp,np->p", along, p, fall * (n + 1.0))

    tilt = phi - np.arctan2(height, axis)  # geodetic less geocentric latitude
    x = north * np.cos(tilt) + down * np.sin(tilt)
    z = down * np.cos(tilt) - north * np.sin(tilt)
    return x.reshape(shape)[()], east.reshape(shape)[()], z.reshape(shape)[()]


def _legendre(sin: Any, cos: Any) -> tuple[Any, Any, Any]:
    """P, P/sin θ (for m > 0) and dP/dθ by degree and order, each (14, 14, points), from the colatitude."""
    q = np.zeros((_DEGREE + 1, _DEGREE + 2, sin.size))  # P at m = 0, P/sin θ above
    q[0, 0] = 1.0
    q[1, 0], q[1, 1] = cos, 1.0
    for n in range(2, _DEGREE + 1):
        q[n, :n] = _UP[n, :n, None] * cos * q[n - 1, :n] - _BACK[n, :n, None] * q[n - 2, :n]
        q[n, n] = _DIAGONAL[n] * sin * q[n - 1, n - 1]
    p = q * sin
    p[:, 0] = q[:, 0]
    slope = -_HIGHER[:, :, None] * p[:, 1:]
    slope[:, 1:] += _LOWER[:, 1:, None] * p[:, :-2]
    return p[:, :-1], q[:, :-1], slope
