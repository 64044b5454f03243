"""Isometric latitude, and the two shapes of plane that conformal charts of the ellipsoid are laid on.

Mercator lays the isometric latitude psi off along y (a cylinder); Lambert's and the polar stereographic projection are
cones with radius `c * exp(-n * psi)` about the apex and angle `n * lambda`, n being 1 and -1 at the poles. Sources:
J. P. Snyder, "Map Projections: A Working Manual", USGS Professional Paper 1395 (1987), sections 7, 15 and 21; IOGP
guidance note 7-2.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any, Protocol, TypeAlias

import numpy as np
from numpy.typing import NDArray

from nightleg.earth.ellipsoid import E2, F

Numbers: TypeAlias = Any  # a number, or anything numpy takes for an array of them
Array: TypeAlias = NDArray[np.float64]

_E = math.sqrt(E2)
_N = F / (2.0 - F)  # third flattening
_HALF_TURN = math.pi * (1.0 + 1e-12)  # with room for rounding
_APEX_NM = 1e-9  # 2 micrometres
_FAR_PSI = 30.0  # isometric latitude 1e-6 m from a pole
# Geodetic latitude from conformal latitude: phi = chi + sum of _CHI_TO_PHI[k - 1] * sin(2 k chi), in powers of the
# third flattening; C. F. F. Karney, "On auxiliary latitudes" (2023), from memory, checked by the round trip and
# against PROJ. The first term left out is below 1e-17 rad.
_CHI_TO_PHI = tuple(
    sum(c * _N**p for p, c in enumerate(row, start=k))
    for k, row in enumerate(
        (
            (2, -2 / 3, -2, 116 / 45, 26 / 45, -2854 / 675),
            (7 / 3, -8 / 5, -227 / 45, 2704 / 315, 2323 / 945),
            (56 / 15, -136 / 35, -1262 / 105, 73814 / 2835),
            (4279 / 630, -332 / 35, -399572 / 14175),
            (4174 / 315, -144838 / 6237),
            (601676 / 22275,),
        ),
        start=1,
    )
)


def isometric_latitude(lat_deg: Numbers) -> Array:
    """Isometric latitude in radians (Snyder, eq. 3-7); infinite at the poles, NaN beyond them."""
    lat = np.asarray(lat_deg, dtype=np.float64)
    phi = np.radians(np.where(np.abs(lat) <= 90.0, lat, np.nan))
    psi = np.arcsinh(np.tan(phi)) - _E * np.arctanh(_E * np.sin(phi))
    return np.where(np.abs(lat) == 90.0, np.copysign(np.inf, lat), psi)  # rounding would leave it near 38


def latitude_from_isometric(psi: Numbers) -> Array:
    """Geodetic latitude in degrees from the isometric latitude in radians; infinity gives the pole."""
    with np.errstate(over="ignore"):  # sinh runs to infinity at the pole, which arctan takes
        chi = np.arctan(np.sinh(np.asarray(psi, dtype=np.float64)))
    twice_cos = 2.0 * np.cos(2.0 * chi)
    total, later = np.zeros_like(chi), np.zeros_like(chi)
    for coefficient in reversed(_CHI_TO_PHI):  # Clenshaw's sum
        total, later = coefficient + twice_cos * total - later, total
    return np.asarray(np.clip(np.degrees(chi + np.sin(2.0 * chi) * total), -90.0, 90.0))


def wrap_deg(difference_deg: Numbers) -> Array:
    """A longitude, or a difference of two, brought to -180 to 180 degrees; either end stays as it is given."""
    d = np.asarray(difference_deg, dtype=np.float64)
    with np.errstate(invalid="ignore"):  # infinity minus infinity: not a number, as wanted
        return np.asarray(d - 360.0 * np.rint(d / 360.0))


class Plane(Protocol):
    """A plane for isometric latitudes psi and longitudes lam from the central meridian, both in radians."""

    @property
    def n(self) -> float:
        """Convergence of the meridians for each unit of longitude."""
        ...

    def forward(self, psi: Array, lam: Array) -> tuple[Array, Array]:
        """Plane coordinates, NM; NaN or infinite where there are none."""
        ...

    def inverse(self, x_nm: Array, y_nm: Array) -> tuple[Array, Array]:
        """Isometric latitude and longitude from the central meridian; NaN where there is no place."""
        ...

    def stretch_nm(self, psi: Array) -> Array:
        """Length on the plane of one radian of longitude along the parallel, NM."""
        ...


@dataclass(frozen=True)
class Cylinder:
    """Mercator's plane, `radius_nm` being that of the parallel that is true to scale."""

    radius_nm: float
    n: float = 0.0

    def forward(self, psi: Array, lam: Array) -> tuple[Array, Array]:
        """See `Plane.forward`. The poles are infinitely far."""
        return self.radius_nm * lam, self.radius_nm * np.where(np.abs(psi) < _FAR_PSI, psi, np.nan)

    def inverse(self, x_nm: Array, y_nm: Array) -> tuple[Array, Array]:
        """See `Plane.inverse`. Every point has a place; x repeats after 360 degrees."""
        return y_nm / self.radius_nm, x_nm / self.radius_nm

    def stretch_nm(self, psi: Array) -> Array:
        """See `Plane.stretch_nm`."""
        return np.asarray(np.where(np.abs(psi) < _FAR_PSI, self.radius_nm, np.nan))


@dataclass(frozen=True)
class Cone:
    """A cone with constant `n` (negative in the south), its apex at y = `apex_nm` on the central meridian."""

    n: float
    c_nm: float
    apex_nm: float

    def forward(self, psi: Array, lam: Array) -> tuple[Array, Array]:
        """See `Plane.forward`. The pole away from the apex is infinitely far."""
        sign = math.copysign(1.0, self.n)
        radius = self.c_nm * np.exp(np.where(sign * psi > -_FAR_PSI, -self.n * psi, np.nan))
        theta = self.n * lam
        return sign * radius * np.sin(theta), self.apex_nm - sign * radius * np.cos(theta)

    def inverse(self, x_nm: Array, y_nm: Array) -> tuple[Array, Array]:
        """See `Plane.inverse`. The gap behind the cone's cut has no place."""
        sign = math.copysign(1.0, self.n)
        down_nm = self.apex_nm - y_nm
        lam = np.arctan2(sign * x_nm, sign * down_nm) / self.n
        radius = np.hypot(x_nm, down_nm)
        # At the apex itself rounding points anywhere: it is the pole, whatever the angle.
        lam = np.where((np.abs(lam) <= _HALF_TURN) | (radius < _APEX_NM), np.clip(lam, -math.pi, math.pi), np.nan)
        with np.errstate(divide="ignore"):  # radius 0: infinite isometric latitude, the pole
            psi = -np.log(radius / self.c_nm) / self.n
        return np.where(np.isnan(lam), np.nan, psi), lam

    def stretch_nm(self, psi: Array) -> Array:
        """See `Plane.stretch_nm`."""
        sign = math.copysign(1.0, self.n)
        return np.asarray(abs(self.n) * self.c_nm * np.exp(np.where(sign * psi > -_FAR_PSI, -self.n * psi, np.nan)))
