"""Chart projections of the WGS 84 ellipsoid: Mercator, Lambert conformal conic, polar stereographic; and the choice.

All three are conformal, so bearings and small shapes are true. Plane coordinates are nautical miles, x east and y up
the sheet. Sources: J. P. Snyder, "Map Projections: A Working Manual", USGS Professional Paper 1395 (1987), sections
7, 15 and 21; IOGP guidance note 7-2 (EPSG methods 9805, 9802 and 9829).
"""

from __future__ import annotations

import math
from abc import ABC, abstractmethod
from dataclasses import dataclass
from functools import cached_property
from typing import Literal

import numpy as np

from nightleg.earth.conformal import (
    Array,
    Cone,
    Cylinder,
    Numbers,
    Plane,
    isometric_latitude,
    latitude_from_isometric,
    wrap_deg,
)
from nightleg.earth.ellipsoid import normal_radius_nm

Kind = Literal["mercator", "lambert", "polar"]
_BESIDE_POLE_DEG = 90.0 - 1e-6  # 0.1 m from the pole; the scale differs from that at the pole by 1e-16


@dataclass(frozen=True)
class Projection(ABC):
    """A sheet: its central meridian runs straight up the middle. Methods take numbers or arrays and give arrays."""

    lon_0_deg: float

    @property
    @abstractmethod
    def kind(self) -> Kind:
        """Which of the three it is."""

    @property
    @abstractmethod
    def name(self) -> str:
        """Its name as printed on a chart, with its parameters."""

    @property
    @abstractmethod
    def lat_limits_deg(self) -> tuple[float, float]:
        """Southern and northern limit of what is worth drawing: beyond it the scale runs away."""

    @abstractmethod
    def _make_plane(self) -> Plane:
        """The plane it is laid on."""

    @cached_property
    def plane(self) -> Plane:
        """The plane it is laid on, in isometric coordinates."""
        return self._make_plane()

    @property
    def n(self) -> float:
        """Cone constant: 0 for Mercator, 1 and -1 at the poles. Grid direction = true - n (longitude - lon_0)."""
        return self.plane.n

    def forward(self, lat_deg: Numbers, lon_deg: Numbers, *, wrap: bool = True) -> tuple[Array, Array]:
        """Plane coordinates (x_nm, y_nm) of geodetic latitudes and longitudes in degrees.

        Longitudes are taken within 180 degrees of the central meridian; with `wrap` false they are taken as they
        stand, so that a line already unwrapped runs on over the edge of the sheet. What cannot be shown is NaN.
        """
        lat, relative = np.broadcast_arrays(np.asarray(lat_deg, float), self._relative_deg(lon_deg, wrap))
        x, y = self.plane.forward(isometric_latitude(lat), np.radians(relative))
        nan = 0.0 * (x + y)  # 0 where both are finite, NaN where either is not
        return np.asarray(x + nan), np.asarray(y + nan)

    def inverse(self, x_nm: Numbers, y_nm: Numbers) -> tuple[Array, Array]:
        """Latitudes and longitudes (-180 to 180) in degrees of points of the plane; NaN where there is no place."""
        with np.errstate(invalid="ignore"):
            x, y = np.asarray(x_nm, float), np.asarray(y_nm, float)
            nan = 0.0 * (x + y)
            psi, lam = self.plane.inverse(x + nan, y + nan)
        return latitude_from_isometric(psi), wrap_deg(np.degrees(lam) + self.lon_0_deg)

    def scale(self, lat_deg: Numbers, lon_deg: Numbers) -> Array:
        """Point scale factor: length on the sheet over length on the ellipsoid, the same in all directions.

        NaN where the point cannot be shown, and at the apex of a Lambert cone, where it is infinite.
        """
        lat, relative = np.broadcast_arrays(np.asarray(lat_deg, float), self._relative_deg(lon_deg, True))
        if abs(self.n) < 1.0:
            lat = np.where(np.abs(lat) == 90.0, np.nan, lat)
        else:  # at the pole both run to 0 together, so the scale, stationary there, is taken just beside
            lat = np.where(lat == math.copysign(90.0, self.n), math.copysign(_BESIDE_POLE_DEG, self.n), lat)
        lat = np.where(np.abs(lat) <= 90.0, lat, np.nan) + 0.0 * relative
        return np.asarray(self.plane.stretch_nm(isometric_latitude(lat)) / _parallel_nm(lat))

    def convergence_deg(self, lat_deg: Numbers, lon_deg: Numbers) -> Array:
        """Convergence of the meridian, degrees: direction on the sheet (from up, clockwise) = azimuth - convergence."""
        lat, relative = np.broadcast_arrays(np.asarray(lat_deg, float), self._relative_deg(lon_deg, True))
        return np.where(np.abs(lat) <= 90.0, self.n * relative, np.nan)

    def _relative_deg(self, lon_deg: Numbers, wrap: bool) -> Array:
        """Longitude from the central meridian, degrees; not finite turned to NaN."""
        lon = np.asarray(lon_deg, dtype=np.float64)
        with np.errstate(invalid="ignore"):
            relative = lon + 0.0 * lon - self.lon_0_deg
        return wrap_deg(relative) if wrap else np.asarray(relative)


@dataclass(frozen=True)
class Mercator(Projection):
    """Mercator, true to scale at `lat_ts_deg` (either hemisphere); y is 0 on the equator. EPSG method 9805."""

    lon_0_deg: float = 0.0
    lat_ts_deg: float = 0.0

    def __post_init__(self) -> None:
        """Refuse a sheet that cannot be. Raises ValueError."""
        if not (math.isfinite(self.lon_0_deg) and abs(self.lat_ts_deg) < 90.0):
            raise ValueError(f"a Mercator sheet needs its parallel of true scale within 90°, not {self!r}")

    @property
    def kind(self) -> Kind:
        """Which of the three it is."""
        return "mercator"

    @property
    def name(self) -> str:
        """Its name as printed on a chart."""
        return f"Mercator, true scale at {_parallel_text(self.lat_ts_deg)}"

    @property
    def lat_limits_deg(self) -> tuple[float, float]:
        """What is worth drawing: the scale at 85 degrees is eleven times that on the equator."""
        return -85.0, 85.0

    def _make_plane(self) -> Plane:
        return Cylinder(float(_parallel_nm(self.lat_ts_deg)))


@dataclass(frozen=True)
class LambertConformal(Projection):
    """Lambert conformal conic with two standard parallels (or one, given twice) about a middle off the equator.

    y is 0 on the central meridian at `lat_0_deg`. EPSG method 9802.
    """

    lon_0_deg: float
    lat_0_deg: float
    lat_1_deg: float
    lat_2_deg: float

    def __post_init__(self) -> None:
        """Refuse a cone that cannot be. Raises ValueError."""
        parallels = (self.lat_0_deg, self.lat_1_deg, self.lat_2_deg)
        inside = all(abs(lat) < 90.0 for lat in parallels) and math.isfinite(self.lon_0_deg)
        if not inside or abs(self.lat_1_deg + self.lat_2_deg) < 0.1:
            raise ValueError(f"a Lambert cone needs parallels within 90°, their middle off the equator, not {self!r}")

    @property
    def kind(self) -> Kind:
        """Which of the three it is."""
        return "lambert"

    @property
    def name(self) -> str:
        """Its name as printed on a chart."""
        first, second = _parallel_text(self.lat_1_deg), _parallel_text(self.lat_2_deg)
        if first == second:
            return f"Lambert conformal, standard parallel {first}"
        return f"Lambert conformal, standard parallels {first} and {second}"

    @property
    def lat_limits_deg(self) -> tuple[float, float]:
        """What is worth drawing: from 40 degrees beyond the equator to the apex."""
        return (-40.0, 90.0) if self.n > 0.0 else (-90.0, 40.0)

    def _make_plane(self) -> Plane:
        """Snyder, equations 15-1, 15-8 and 15-10."""
        m = _parallel_nm([self.lat_1_deg, self.lat_2_deg])
        psi_1, psi_2, psi_0 = isometric_latitude([self.lat_1_deg, self.lat_2_deg, self.lat_0_deg])
        if abs(self.lat_1_deg - self.lat_2_deg) < 1e-6:  # the difference quotient has no digits left
            n = math.sin(math.radians(0.5 * (self.lat_1_deg + self.lat_2_deg)))
        else:
            n = math.log(m[0] / m[1]) / float(psi_2 - psi_1)
        c_nm = float(m[0]) / abs(n) * math.exp(n * float(psi_1))
        return Cone(n, c_nm, math.copysign(c_nm * math.exp(-n * float(psi_0)), n))


@dataclass(frozen=True)
class PolarStereographic(Projection):
    """Polar stereographic, true to scale at `lat_ts_deg`, whose sign says which pole; the pole is at (0, 0).

    The central meridian runs down the sheet from the north pole, up the sheet from the south pole. EPSG method 9829.
    """

    lon_0_deg: float
    lat_ts_deg: float = 90.0

    def __post_init__(self) -> None:
        """Refuse a sheet that cannot be. Raises ValueError."""
        if not (math.isfinite(self.lon_0_deg) and 0.0 < abs(self.lat_ts_deg) <= 90.0):
            raise ValueError(f"a polar sheet needs its parallel of true scale from the equator to 90°, not {self!r}")

    @property
    def kind(self) -> Kind:
        """Which of the three it is."""
        return "polar"

    @property
    def name(self) -> str:
        """Its name as printed on a chart."""
        return f"Polar stereographic, true scale at {_parallel_text(self.lat_ts_deg)}"

    @property
    def lat_limits_deg(self) -> tuple[float, float]:
        """What is worth drawing: a little beyond the equator, where the scale is twice that at the pole."""
        return (-30.0, 90.0) if self.lat_ts_deg > 0.0 else (-90.0, 30.0)

    def _make_plane(self) -> Plane:
        """Snyder, equations 21-33 and 21-34, written for any parallel."""
        n = math.copysign(1.0, self.lat_ts_deg)
        lat_ts = math.copysign(min(abs(self.lat_ts_deg), _BESIDE_POLE_DEG), n)
        c_nm = float(_parallel_nm(lat_ts)) * math.exp(abs(float(isometric_latitude(lat_ts))))
        return Cone(n, c_nm, 0.0)


def _parallel_nm(lat_deg: Numbers) -> Array:
    """Radius of the parallels of latitude, NM."""
    return np.asarray(normal_radius_nm(lat_deg) * np.cos(np.radians(lat_deg)))


def _parallel_text(lat_deg: float) -> str:
    """A parallel in words: 38° N."""
    return f"{abs(lat_deg):g}°" + (" N" if lat_deg > 0.0 else " S" if lat_deg < 0.0 else "")


_HOLD = 3.0  # degrees by which a limit is moved in favour of the projection in use


def choose(lats_deg: Numbers, lons_deg: Numbers, current: Projection | None = None) -> Projection:
    """The projection for a sheet that shows these positions (degrees; those that are not finite are left out).

    Polar stereographic from 77° on, or when an area above 55° reaches most of the way round; Mercator near the equator
    (all within 30°, or its middle within 12°); else Lambert with standard parallels a sixth of the height in from top
    and bottom (Snyder, section 15). `current` is kept while it still serves, so that a growing track does not make the
    chart jump. The central meridian is the middle of the shortest arc that holds all longitudes, to a whole degree.
    """
    lat, lon = (np.ravel(a) for a in np.broadcast_arrays(np.asarray(lats_deg, float), np.asarray(lons_deg, float)))
    good = np.isfinite(lat) & np.isfinite(lon) & (np.abs(lat) <= 90.0)
    if not good.any():
        return current if current is not None else Mercator()
    south, north = float(lat[good].min()), float(lat[good].max())
    # At a pole longitude has no meaning, so a position there does not widen the area.
    off_pole = good & (np.abs(lat) < 89.99)
    lon_0, width = _middle_and_width(lon[off_pole] if off_pole.any() else np.zeros(1))
    kind = _kind_for(south, north, width, current.kind if current is not None else None)
    wanted = _sheet(kind, south, north, lon_0)
    if current is not None and _still_serves(current, wanted, max(north - south, 0.5 * width)):
        return current
    return wanted


def _middle_and_width(lon_deg: Array) -> tuple[float, float]:
    """Middle (whole degrees, -180 to 180) and width of the shortest arc that holds all the longitudes."""
    ordered = np.sort(np.mod(lon_deg, 360.0), axis=None)
    gaps = np.diff(np.append(ordered, ordered[0] + 360.0))
    widest = int(np.argmax(gaps))
    width = 360.0 - float(gaps[widest])
    first = float(ordered[(widest + 1) % ordered.size])
    return float(wrap_deg(round(first + 0.5 * width))), width


def _kind_for(south: float, north: float, width: float, current: Kind | None) -> Kind:
    """Which kind serves an area, its limits moved a little in favour of the one in use."""
    middle, reach = 0.5 * (south + north), max(abs(south), abs(north))
    one_side = min(abs(south), abs(north)) if south * north > 0.0 else 0.0
    hold = _HOLD if current == "polar" else -_HOLD if current is not None else 0.0
    over_the_pole = one_side > 55.0 - hold and width > 140.0 - 5.0 * hold
    if (reach > 77.0 - hold or over_the_pole) and abs(middle) > 25.0 - hold:
        return "polar"
    hold = _HOLD if current == "mercator" else -_HOLD if current is not None else 0.0
    if reach < 30.0 + hold or abs(middle) < 12.0 + hold:
        return "mercator"
    return "lambert"


def _sheet(kind: Kind, south: float, north: float, lon_0: float) -> Projection:
    """The sheet of that kind for an area, its parallels at whole degrees."""
    middle = 0.5 * (south + north)
    if kind == "mercator":
        return Mercator(lon_0, float(round(max(-60.0, min(60.0, middle)))))
    if kind == "polar":
        return PolarStereographic(lon_0, float(round(math.copysign(max(abs(middle), 60.0), middle))))
    sixth = (north - south) / 6.0
    return LambertConformal(lon_0, float(round(middle)), float(round(south + sixth)), float(round(north - sixth)))


def _still_serves(current: Projection, wanted: Projection, extent_deg: float) -> bool:
    """Whether the sheet in use is near enough to the one that would be made anew."""
    if current.kind != wanted.kind or current.n * wanted.n < 0.0:
        return False
    slack_deg = max(4.0, 0.25 * extent_deg)
    pairs = zip(_parallels(current), _parallels(wanted), strict=True)
    near = all(abs(a - b) <= slack_deg for a, b in pairs)
    return near and abs(float(wrap_deg(current.lon_0_deg - wanted.lon_0_deg))) <= 2.0 * slack_deg


def _parallels(sheet: Projection) -> tuple[float, ...]:
    """The parallels that set the scale of a sheet, degrees."""
    if isinstance(sheet, LambertConformal):
        return sheet.lat_1_deg, sheet.lat_2_deg
    return (sheet.lat_ts_deg,) if isinstance(sheet, Mercator | PolarStereographic) else ()
