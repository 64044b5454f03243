"""A turn at a constant bank: the arc that rounds the corner between two legs.

In the air mass the aircraft flies a circle of radius V²/(g·tan bank), V its true airspeed, at a constant turn rate;
the wind drifts the whole circle, so over the ground the path is no circle. Without wind the radius is
GS²/(68 625·tan bank) NM with the speed in kt (from g = 9.80665 m/s², 1 NM = 1852 m).
"""

from __future__ import annotations

import math
from typing import Any

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from nightleg.earth.ellipsoid import normal_radius_nm
from nightleg.earth.rhumb import rhumb_direct

Array = NDArray[np.float64]

_G_M_S2 = 9.80665  # standard acceleration of free fall
_KT_M_S = 1852.0 / 3600.0
LEAST_TURN_DEG = 0.01  # less than this is no turn
# Gauss-Legendre quadrature of 8 points, exact to a millimetre over half a turn (Abramowitz and Stegun, table 25.4);
# written out, since numpy's module for them is a slow import
_HALF_NODES = np.array([0.18343464249564978, 0.525532409916329, 0.7966664774136267, 0.9602898564975362])
_HALF_WEIGHTS = np.array([0.36268378337836166, 0.3137066458778869, 0.22238103445337443, 0.10122853629037706])
_NODES = np.concatenate([-_HALF_NODES[::-1], _HALF_NODES])
_WEIGHTS = np.concatenate([_HALF_WEIGHTS[::-1], _HALF_WEIGHTS])


class Turn(Struct, frozen=True):
    """A turn from one true heading by a signed angle (right positive), from the beginning of its leg on."""

    from_deg: float
    by_deg: float
    bank_deg: float
    duration_s: float

    @property
    def rate_deg_per_s(self) -> float:
        """How fast the heading turns, right positive."""
        return self.by_deg / self.duration_s

    def heading_deg(self, after_s: float) -> float:
        """True heading so long after its beginning."""
        return (self.from_deg + self.by_deg * min(max(after_s / self.duration_s, 0.0), 1.0)) % 360.0


def radius_nm(tas_kt: Any, bank_deg: Any) -> Any:
    """Radius of the turn in the air mass, NM."""
    return (np.asarray(tas_kt) * _KT_M_S) ** 2 / (_G_M_S2 * np.tan(np.radians(bank_deg))) / 1852.0


def rate_deg_per_s(tas_kt: float, bank_deg: float) -> float:
    """How fast the heading turns, degrees a second."""
    return math.degrees(_G_M_S2 * math.tan(math.radians(bank_deg)) / (tas_kt * _KT_M_S))


def turn_between(from_deg: float, to_deg: float, tas_kt: float, bank_deg: float) -> Turn | None:
    """The turn the shorter way (half a circle: to the right); None where there is none to fly."""
    by_deg = (to_deg - from_deg + 180.0) % 360.0 - 180.0
    if by_deg == -180.0:
        by_deg = 180.0
    if abs(by_deg) < LEAST_TURN_DEG or tas_kt <= 0.0 or bank_deg <= 0.0:
        return None
    return Turn(from_deg, by_deg, bank_deg, abs(by_deg) / rate_deg_per_s(tas_kt, bank_deg))


def carry_in_turn(
    turn: Turn, tas_kt: float, wind_kt: tuple[float, float], lat: Any, lon: Any, from_s: Any, to_s: Any
) -> tuple[Array, Array]:
    """Points moved along the arc between two times after its beginning, s. Broadcasts; there and back is exact.

    `wind_kt` holds the north and east components of the air's motion. The way north is exact along the meridian, the
    way east is integrated over the parallels that are crossed.
    """
    lat, lon, from_s, to_s = np.broadcast_arrays(*(np.asarray(x, dtype=float) for x in (lat, lon, from_s, to_s)))
    north_kt, east_kt = wind_kt
    omega = math.radians(turn.rate_deg_per_s)
    start = math.radians(turn.from_deg)

    def north_nm(t: Any) -> Any:
        return (tas_kt / omega * (np.sin(start + omega * t) - math.sin(start)) + north_kt * t) / 3600.0

    half, middle = (to_s - from_s) / 2.0, (to_s + from_s) / 2.0
    at = middle[..., None] + half[..., None] * _NODES
    lats, _ = rhumb_direct(lat[..., None], 0.0, 0.0, north_nm(at) - north_nm(from_s)[..., None])
    east = (tas_kt * np.sin(start + omega * at) + east_kt) / 3600.0
    turned = (east / (normal_radius_nm(lats) * np.cos(np.radians(lats)))) @ _WEIGHTS * half
    lat2, _ = rhumb_direct(lat, 0.0, 0.0, north_nm(to_s) - north_nm(from_s))
    lon2 = lon + np.degrees(turned)
    lon2 = np.where(np.abs(lon2) > 180.0, (lon2 + 180.0) % 360.0 - 180.0, lon2)
    still = from_s == to_s
    return np.asarray(np.where(still, lat, lat2)), np.asarray(np.where(still, lon, lon2))
