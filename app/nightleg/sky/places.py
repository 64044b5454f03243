"""Apparent geocentric places of date, quickly: GHA, declination, distance.

The places are Skyfield's from DE421 (see `blocks`), interpolated over each day of GMT. Interpolation differs from
Skyfield's own answer by less than 0.001", save for a star or planet within half a degree of the Sun's centre, where the
bending of light changes quickly (0.01" there; tests/sky/test_places.py).
GHA is apparent sidereal time less right ascension, so it rests on UT1 by the rules of `timescale`; the motion of the
pole on the Earth's surface (0.5" at most) is left out.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from msgspec import Struct
from numpy.typing import ArrayLike, NDArray

from nightleg.sky.blocks import ARIES, NODES, block, blocks
from nightleg.sky.ephemeris import EARTH_EQUATOR_KM, RADIUS_KM, EphemerisRangeError, check_range, covers
from nightleg.sky.timescale import DAY_S, label_era_rad

__all__ = ["EphemerisRangeError", "Places", "covers", "gha_aries_deg", "places", "places_of"]

Floats = NDArray[np.float64]

_FEW = 300  # times, below which numpy's calls cost more than its arithmetic
_CHUNK = 4096  # times whose coefficients are gathered at once


class Places(Struct, frozen=True):
    """Geocentric places; every array has the shape of the times asked for."""

    gha_deg: Floats  # 0 to 360, west
    dec_deg: Floats
    distance_km: Floats  # infinite for stars
    radius_km: Floats  # for the semidiameter; 0 for stars

    @property
    def sd_arcmin(self) -> Floats:
        """Geocentric semidiameter, 0 for stars."""
        return np.asarray(np.rad2deg(np.arcsin(self.radius_km / self.distance_km)) * 60.0)

    @property
    def hp_arcmin(self) -> Floats:
        """Equatorial horizontal parallax, 0 for stars."""
        return np.asarray(np.rad2deg(np.arcsin(EARTH_EQUATOR_KM / self.distance_km)) * 60.0)


def _day_and_x(label_s: Floats) -> tuple[NDArray[np.int64], Floats]:
    """The day of each time and its place in that day, from -1 to 1."""
    days = np.floor(label_s / DAY_S)
    return days.astype(np.int64), (label_s - days * DAY_S) * (2.0 / DAY_S) - 1.0


def _polynomial(coefficients: Floats, x: Floats) -> Floats:
    """The polynomial (NODES, 3) at x (m,): shape (3, m)."""
    if x.size < _FEW:
        return np.asarray(coefficients.T @ _powers(x))
    value = coefficients[NODES - 1, :, None] * x
    for power in range(NODES - 2, 0, -1):
        value += coefficients[power, :, None]
        value *= x
    value += coefficients[0, :, None]
    return np.asarray(value)


def _powers(x: Floats) -> Floats:
    """1, x, x^2 ... in rows."""
    rows = np.empty((NODES, x.size))
    rows[0] = 1.0
    rows[1:] = x
    return np.asarray(np.multiply.accumulate(rows, axis=0))


def _polynomial_each(each: list[Floats], which: NDArray[np.int64], x: Floats) -> Floats:
    """As `_polynomial`, the i-th x with the block each[which[i]]."""
    value = np.empty((3, x.size))
    if x.size > _FEW * len(each):
        order = np.argsort(which, kind="stable")
        ends = np.cumsum(np.bincount(which, minlength=len(each)))
        for number, group in enumerate(np.split(order, ends[:-1])):
            value[:, group] = _polynomial(each[number], x[group])
        return value
    stack = np.array(each)
    for start in range(0, x.size, _CHUNK):
        part = slice(start, start + _CHUNK)
        value[:, part] = np.einsum("nm,mnc->cm", _powers(x[part]), stack[which[part]])
    return value


def _vectors(body: str, label_s: Floats) -> Floats:
    """Interpolated components (3, m) of one body at flat times (m,)."""
    # nan fails the check of the range, whichever end it comes out at.
    earliest_s, latest_s = float(label_s.min()), float(label_s.max())
    check_range(earliest_s, latest_s)
    first = int(earliest_s // DAY_S)
    if latest_s < (first + 1) * DAY_S:
        return _polynomial(block(body, first), (label_s - first * DAY_S) * (2.0 / DAY_S) - 1.0)
    days, x = _day_and_x(label_s)
    unique = sorted(set(days.tolist()))
    return _polynomial_each(blocks([(body, day) for day in unique]), np.searchsorted(unique, days), x)


def _gha_and_dec(vector: Floats, label_s: Floats) -> tuple[Floats, Floats]:
    x, y, z = vector
    return _turn_deg(label_era_rad(label_s) - np.arctan2(y, x)), np.asarray(np.rad2deg(np.arctan2(z, np.hypot(x, y))))


def _turn_deg(angle_rad: Floats) -> Floats:
    """Degrees from 0 to below 360."""
    angle_deg = np.mod(np.rad2deg(angle_rad), 360.0)
    # The remainder of a tiny negative number rounds to 360 itself.
    angle_deg[angle_deg >= 360.0] = 0.0
    return np.asarray(angle_deg)


def places(body: str, gmt_s: ArrayLike) -> Places:
    """Places of one body (a canonical name) at `gmt_s`, a scalar or an array of any shape.

    Raises EphemerisRangeError outside the ephemeris, KeyError for a name that is not the catalogue's.
    """
    label_s = np.asarray(gmt_s, dtype=np.float64)
    flat_s = label_s.reshape(-1)
    radius_km = RADIUS_KM.get(body, 0.0)
    if flat_s.size == 0:
        empty = np.zeros(label_s.shape)
        return Places(empty, empty, empty, empty)
    vector = _vectors(body, flat_s)
    gha_deg, dec_deg = _gha_and_dec(vector, flat_s)
    distance_km = np.sqrt(np.einsum("im,im->m", vector, vector)) if radius_km else np.full(flat_s.shape, np.inf)
    shape = label_s.shape
    return Places(gha_deg.reshape(shape), dec_deg.reshape(shape), distance_km.reshape(shape), np.full(shape, radius_km))


def places_of(bodies: Sequence[str], gmt_s: ArrayLike) -> Places:
    """Places of many bodies, the i-th (a canonical name) at the i-th time: `gmt_s` has shape (len(bodies),).

    Raises as `places`, and ValueError when the lengths differ.
    """
    label_s = np.asarray(gmt_s, dtype=np.float64)
    if label_s.shape != (len(bodies),):
        raise ValueError(f"one time for each body is needed: {len(bodies)} bodies, times of shape {label_s.shape}")
    if not bodies:
        empty = np.zeros(0)
        return Places(empty, empty, empty, empty)
    check_range(float(label_s.min()), float(label_s.max()))
    days, x = _day_and_x(label_s)
    index: dict[tuple[str, int], int] = {}
    which = np.array([index.setdefault(key, len(index)) for key in zip(bodies, days.tolist(), strict=True)])
    vector = _polynomial_each(blocks(index), which, x)
    gha_deg, dec_deg = _gha_and_dec(vector, label_s)
    radius_km = np.array([RADIUS_KM.get(body, 0.0) for body in bodies])
    distance_km = np.where(radius_km > 0.0, np.sqrt(np.einsum("im,im->m", vector, vector)), np.inf)
    return Places(gha_deg, dec_deg, distance_km, radius_km)


def gha_aries_deg(gmt_s: ArrayLike) -> Floats:
    """GHA of Aries, the apparent sidereal time of Greenwich, in degrees 0 to 360; shape of `gmt_s`.

    Raises EphemerisRangeError outside the ephemeris.
    """
    label_s = np.asarray(gmt_s, dtype=np.float64)
    flat_s = label_s.reshape(-1)
    if flat_s.size == 0:
        return np.zeros(label_s.shape)
    turn_rad = _vectors(ARIES, flat_s)[0]
    return _turn_deg(label_era_rad(flat_s) + turn_rad).reshape(label_s.shape)
