"""Bearing of a point, taken from the aircraft, and radial from a station.

A bearing is the direction of the great circle at the aircraft; a radial is that at the station. Their places are two
different curves: on a Mercator chart they part by half the convergency on either side of the straight line.
"""

from __future__ import annotations

from typing import Any

import numpy as np
from msgspec import Struct

from nightleg.earth.ellipsoid import A_NM
from nightleg.earth.geodesic import direct, inverse
from nightleg.earth.local import offset
from nightleg.fix.lines.base import Array, wrapped


def nm_per_radian(distance_nm: Any) -> Array:
    """How far apart directions of one radian are at a distance, on the sphere."""
    return np.asarray(A_NM * np.sin(np.asarray(distance_nm) / A_NM))


class RadialLine(Struct, frozen=True):
    """The great circle that leaves a station on `radial_deg` true. `scale_nm` is the distance its sigma is for."""

    station_lat: float
    station_lon: float
    radial_deg: float
    sigma_deg: float
    scale_nm: float

    @property
    def sigma_nm(self) -> float:
        """1σ across, at the distance of the DR."""
        return float(np.radians(self.sigma_deg) * nm_per_radian(self.scale_nm))

    def offset_nm(self, lat: Any, lon: Any) -> Array:
        """Clockwise about the station is positive."""
        _, azimuth, _ = inverse(self.station_lat, self.station_lon, lat, lon)
        return np.asarray(np.radians(wrapped(self.radial_deg - azimuth)) * nm_per_radian(self.scale_nm))

    def normal_deg(self, lat: Any, lon: Any) -> Array:
        """To the right of the way out."""
        _, _, outward = inverse(self.station_lat, self.station_lon, lat, lon)
        return np.asarray((outward + 90.0) % 360.0)

    def points(self, lat: float, lon: float, half_length_nm: float, count: int) -> tuple[Array, Array]:
        """A run of the radial about the distance of the place, not beyond the station."""
        distance_nm, _, _ = inverse(self.station_lat, self.station_lon, lat, lon)
        reach = np.linspace(max(0.0, float(distance_nm) - half_length_nm), float(distance_nm) + half_length_nm, count)
        lats, lons, _ = direct(self.station_lat, self.station_lon, self.radial_deg, reach)
        return np.asarray(lats), np.asarray(lons)


class BearingLine(Struct, frozen=True):
    """Where a station bears `bearing_deg` true, by the great circle at the aircraft."""

    station_lat: float
    station_lon: float
    bearing_deg: float
    sigma_deg: float
    scale_nm: float

    @property
    def sigma_nm(self) -> float:
        """1σ across, at the distance of the DR."""
        return float(np.radians(self.sigma_deg) * nm_per_radian(self.scale_nm))

    def offset_nm(self, lat: Any, lon: Any) -> Array:
        """To the left of the line of sight is positive: seen from there the station bears further clockwise."""
        _, azimuth, _ = inverse(lat, lon, self.station_lat, self.station_lon)
        return np.asarray(np.radians(wrapped(self.bearing_deg - azimuth)) * nm_per_radian(self.scale_nm))

    def normal_deg(self, lat: Any, lon: Any) -> Array:
        """To the left of the line of sight."""
        _, azimuth, _ = inverse(lat, lon, self.station_lat, self.station_lon)
        return np.asarray((azimuth - 90.0) % 360.0)

    def points(self, lat: float, lon: float, half_length_nm: float, count: int) -> tuple[Array, Array]:
        """A run of places with that bearing, found along lines across it."""
        distance_nm, _, _ = inverse(lat, lon, self.station_lat, self.station_lon)
        reach = np.linspace(min(half_length_nm, float(distance_nm)), -half_length_nm, count)
        a = np.radians(self.bearing_deg)
        lats, lons = offset(lat, lon, reach * np.cos(a), reach * np.sin(a))
        for _ in range(6):
            away, normal = self.offset_nm(lats, lons), np.radians(self.normal_deg(lats, lons))
            # what is across at the point itself, not at the DR's distance
            here, _, _ = inverse(lats, lons, self.station_lat, self.station_lon)
            step = away * nm_per_radian(here) / nm_per_radian(self.scale_nm)
            lats, lons = offset(lats, lons, step * np.cos(normal), step * np.sin(normal))
        return lats, lons
