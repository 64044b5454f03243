"""The projection of a flight that has a grid: the grid's own chart, grid north up, wherever that serves."""

from __future__ import annotations

import math

import numpy as np

from nightleg.earth.conformal import Numbers, wrap_deg
from nightleg.earth.projection import LambertConformal, PolarStereographic, Projection, choose
from nightleg.flight.model import Grid

LEAST_POLAR_DEG = 45.0  # nearer to the equator a polar chart is half as large again as it says
_FURTHEST_DEG = 150.0  # from the reference meridian, on a Lambert chart: beyond it comes the cut of the cone


def sheet_for(
    lats_deg: Numbers, lons_deg: Numbers, current: Projection | None = None, grid: Grid | None = None
) -> Projection:
    """As `choose`, but the chart of the flight's grid where that can show all the positions well."""
    lat, lon = (np.ravel(a) for a in np.broadcast_arrays(np.asarray(lats_deg, float), np.asarray(lons_deg, float)))
    good = np.isfinite(lat) & np.isfinite(lon) & (np.abs(lat) <= 90.0)
    if grid is not None and good.any():
        own = (_polar if grid.chart == "polar" else _lambert)(grid, lat[good], lon[good], current)
        if own is not None:
            return own
    return choose(lats_deg, lons_deg, current)


def _polar(grid: Grid, lat: Numbers, lon: Numbers, current: Projection | None) -> Projection | None:
    side = 1.0 if float(np.mean(lat)) >= 0.0 else -1.0
    if float((side * lat).min()) < LEAST_POLAR_DEG:
        return None
    if isinstance(current, PolarStereographic) and current.n == side and current.lon_0_deg == grid.reference_deg:
        return current  # its parallel of true scale is near enough, and the chart must not jump
    middle = 0.5 * float(lat.min() + lat.max())
    return PolarStereographic(grid.reference_deg, float(round(math.copysign(max(abs(middle), 60.0), side))))


def _lambert(grid: Grid, lat: Numbers, lon: Numbers, current: Projection | None) -> Projection | None:
    if grid.cone_latitude_deg is not None:
        first = second = grid.cone_latitude_deg
    else:
        assert grid.first_parallel_deg is not None and grid.second_parallel_deg is not None  # checked
        first, second = grid.first_parallel_deg, grid.second_parallel_deg
    own = LambertConformal(grid.reference_deg, 0.5 * (first + second), first, second)
    low, high = own.lat_limits_deg
    inside = low <= float(lat.min()) and float(lat.max()) <= high and float(np.abs(lat).max()) <= 85.0
    near = float(np.abs(wrap_deg(lon - grid.reference_deg)).max()) <= _FURTHEST_DEG
    return own if inside and near else None
