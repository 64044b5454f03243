"""Where meridians and parallels meet the edges of the chart, for any projection."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
from numpy.typing import NDArray

from nightleg.chart.viewport import Rect, Viewport

Array = NDArray[np.float64]

STEPS_ARCMIN: tuple[int, ...] = (1, 2, 5, 10, 20, 30, 60, 120, 300, 600, 900, 1800, 2700, 5400)


def whole_multiples(step: float, along_px: Array, values: Array) -> tuple[Array, NDArray[np.int64]]:
    """Where `values` (n), sampled at `along_px` (n), pass whole multiples of `step`: places in px, and the multiples.

    Values must not jump by more than a step's worth of curve between samples; NaN parts the run.
    """
    v = values / step
    with np.errstate(invalid="ignore"):
        low, high = np.minimum(v[:-1], v[1:]), np.maximum(v[:-1], v[1:])
        first, last = np.ceil(low), np.ceil(high) - 1.0
        last = np.where(high == np.floor(high), high, last)
    fine = np.isfinite(first) & np.isfinite(last) & (last >= first) & (high > low)
    counts = np.where(fine, np.nan_to_num(last - first) + 1.0, 0.0).astype(int)
    which = np.repeat(np.arange(counts.size), counts)
    offset = np.arange(which.size) - np.repeat(np.cumsum(counts) - counts, counts)
    multiple = first[which] + offset
    share = (multiple - v[which]) / (v[which + 1] - v[which])
    places = along_px[which] + share * (along_px[which + 1] - along_px[which])
    multiples: NDArray[np.int64] = np.rint(multiple).astype(np.int64)
    first_at: dict[tuple[int, int], int] = {}
    for at, row in enumerate(zip(multiples.tolist(), np.rint(places * 16.0).astype(np.int64).tolist(), strict=True)):
        first_at.setdefault(row, at)
    order = np.array(list(first_at.values()), dtype=np.intp)
    return places[order], multiples[order]


def edge(view: Viewport, rect: Rect, side: str) -> tuple[Array, Array, Array, Array]:
    """Samples along one side ("top", "bottom", "left", "right") of a rectangle: x, y, latitude, longitude unwrapped."""
    if side in ("top", "bottom"):
        x = np.linspace(rect.left, rect.right, 257)
        y: Any = np.full_like(x, rect.top if side == "top" else rect.bottom)
    else:
        y = np.linspace(rect.top, rect.bottom, 193)
        x = np.full_like(y, rect.left if side == "left" else rect.right)
    lat, lon = view.to_position(x, y)
    good = np.isfinite(lon)
    lon[good] = np.unwrap(lon[good], period=360.0)
    return x, y, lat, lon


def extent(view: Viewport) -> tuple[float, float, float, float]:
    """South, north, west and east ends of what the frame shows, degrees; east is above west, at most by 360."""
    frame = view.frame
    x, y = np.meshgrid(np.linspace(frame.left, frame.right, 33), np.linspace(frame.top, frame.bottom, 25))
    lat, lon = view.to_position(x, y)
    low, high = view.projection.lat_limits_deg
    if not np.isfinite(lat).any():
        return low, high, -180.0, 180.0
    south, north = max(low, float(np.nanmin(lat))), min(high, float(np.nanmax(lat)))
    for pole in (-90.0, 90.0):
        px, py = view.to_px(pole, view.projection.lon_0_deg)
        if math.isfinite(float(px)) and frame.holds(float(px), float(py)):
            west = view.projection.lon_0_deg - 180.0
            return min(south, pole), max(north, pole), west, west + 360.0
    middle = view.centre.lon if math.isfinite(view.centre.lon) else view.projection.lon_0_deg
    relative = np.mod(lon - middle + 180.0, 360.0) - 180.0
    return south, north, middle + float(np.nanmin(relative)), middle + float(np.nanmax(relative))


def step_arcmin(least_arcmin: float) -> int:
    """The smallest round step of at least so many minutes of arc."""
    return next((step for step in STEPS_ARCMIN if step >= least_arcmin), STEPS_ARCMIN[-1])
