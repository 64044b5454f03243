"""Geodesics (great circles) on the WGS 84 ellipsoid, by PROJ's implementation of Karney's algorithms.

C. F. F. Karney, "Algorithms for geodesics", J. Geodesy 87, 2013; accurate to some nanometres.
"""

from __future__ import annotations

import math
from functools import lru_cache
from typing import TYPE_CHECKING, Any

import numpy as np
import numpy.typing as npt

from nightleg.earth.ellipsoid import A_M, NM_M, F
from nightleg.earth.geodesic_line import between

if TYPE_CHECKING:
    from pyproj import Geod


@lru_cache(maxsize=1)
def _geod() -> Geod:
    from pyproj import Geod  # here, since its import costs a tenth of a second that most runs need not spend

    return Geod(a=A_M, f=F)


def direct(
    lat: npt.ArrayLike, lon: npt.ArrayLike, azimuth_deg: npt.ArrayLike, distance_nm: npt.ArrayLike
) -> tuple[Any, Any, Any]:
    """The end of a geodesic: (lat, lon, azimuth_at_end_deg), any shapes that broadcast.

    The azimuth at the end is the direction of travel there, 0 up to 360. A negative distance goes backward; the azimuth
    is then still that of going forward. nan and inf in give nan out; latitudes beyond 90° give nan.
    """
    points, shape = _flat(lat, lon, azimuth_deg, distance_nm)
    lats, lons, azimuths, distances = points
    ends = _geod().fwd(lons, lats, azimuths, distances * NM_M, return_back_azimuth=False)
    end_lon, end_lat, end_azimuth = (np.where(_usable(points), end, np.nan) for end in ends)
    return end_lat.reshape(shape)[()], end_lon.reshape(shape)[()], _turn(end_azimuth).reshape(shape)[()]


def inverse(lat1: npt.ArrayLike, lon1: npt.ArrayLike, lat2: npt.ArrayLike, lon2: npt.ArrayLike) -> tuple[Any, Any, Any]:
    """The shortest geodesic between two points: (distance_nm, azimuth_deg, azimuth_at_end_deg), shapes that broadcast.

    Both azimuths are directions of travel, 0 up to 360. Equal points give distance 0 and azimuths 0. nan and inf in
    give nan out; latitudes beyond 90° give nan.
    """
    points, shape = _flat(lat1, lon1, lat2, lon2)
    lats1, lons1, lats2, lons2 = points
    usable = _usable(points) & (np.abs(lats2) <= 90.0)
    azimuth, end, metres = _geod().inv(lons1, lats1, lons2, lats2, return_back_azimuth=False)
    distance = np.where(usable, metres / NM_M, np.nan)
    start, end = (np.where(distance == 0.0, 0.0, np.where(usable, _turn(a), np.nan)) for a in (azimuth, end))
    return distance.reshape(shape)[()], start.reshape(shape)[()], end.reshape(shape)[()]


def along(
    lat1: float, lon1: float, lat2: float, lon2: float, spacing_nm: float
) -> tuple[npt.NDArray[np.float64], npt.NDArray[np.float64]]:
    """Points of the geodesic from one point to another, both ends among them, evenly spaced at most `spacing_nm` apart.

    (lat, lon) as two arrays. Raises ValueError for a spacing that is not positive and for places that are none.
    """
    if not spacing_nm > 0.0:
        raise ValueError(f"a spacing of {spacing_nm} NM between points is not positive")
    line = between(lat1, lon1, lat2, lon2)
    if line is not None:  # most lines: no library is needed to draw them
        steps = max(1, math.ceil(line.distance_nm / spacing_nm - 1e-9))
        return line.points(np.linspace(0.0, line.distance_nm, steps + 1))
    distance, azimuth, _ = inverse(lat1, lon1, lat2, lon2)
    if math.isnan(distance):
        raise ValueError(f"({lat1}, {lon1}) and ({lat2}, {lon2}) are not two places on the Earth")
    steps = max(1, math.ceil(distance / spacing_nm - 1e-9))
    lat, lon, _ = direct(lat1, lon1, azimuth, np.linspace(0.0, distance, steps + 1))
    return lat, lon


def _flat(*values: npt.ArrayLike) -> tuple[list[npt.NDArray[np.float64]], tuple[int, ...]]:
    """The values broadcast, as separate writable one-dimensional arrays (PROJ works in place), and their shape."""
    arrays = np.broadcast_arrays(*(np.asarray(v, dtype=np.float64) for v in values))
    return [np.array(a, dtype=np.float64).ravel() for a in arrays], arrays[0].shape


def _usable(points: list[npt.NDArray[np.float64]]) -> Any:
    finite = np.isfinite(points[0]) & np.isfinite(points[1]) & np.isfinite(points[2]) & np.isfinite(points[3])
    return finite & (np.abs(points[0]) <= 90.0)


def _turn(azimuth_deg: Any) -> Any:
    turned = np.asarray(azimuth_deg) % 360.0
    return np.where(turned == 360.0, 0.0, turned)
