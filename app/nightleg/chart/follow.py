"""Keeping a place on the chart, and the chart on the projection that suits what it shows."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np

from nightleg.chart.gridsheet import sheet_for
from nightleg.chart.viewport import Viewport
from nightleg.flight.model import Grid
from nightleg.units.positions import Position

_EDGE = 0.06  # of the shorter side of the frame: a place nearer to its edge than this is going out of sight
_NARROWEST_NM = 2.0  # across the shorter side
_WIDEST_NM = 12000.0
_SAMPLES = 7  # of the view, along each side


def in_sight(view: Viewport, place: Position) -> bool:
    """Whether a place is in the frame, and not just at its edge."""
    frame = view.frame
    return frame.grown(-_EDGE * min(frame.width, frame.height)).holds(*view.point(place))


def about(view: Viewport, place: Position, grid: Grid | None = None) -> Viewport:
    """The view of the same scale with a place in its middle, on another projection where this one cannot show it."""
    x_nm, y_nm = (float(v) for v in view.projection.forward(place.lat, place.lon))
    low, high = view.projection.lat_limits_deg
    if low <= place.lat <= high and math.isfinite(x_nm) and math.isfinite(y_nm):
        return replace(view, x_nm=x_nm, y_nm=y_nm)
    true_nm_per_px = view.true_nm_per_px()
    reach_deg = true_nm_per_px * view.height_px / 120.0
    lats = np.clip(place.lat + reach_deg * np.array((-1.0, 1.0)), -90.0, 90.0)
    projection = sheet_for(lats, np.full(2, place.lon), None, grid)
    return _moved(replace(view, projection=projection), place, true_nm_per_px)


def suited(view: Viewport, grid: Grid | None = None) -> Viewport:
    """The same place at the same scale on the projection that the area seen asks for; the view itself where it serves.

    The projection in use is kept as long as it serves, so that the chart does not turn back and forth.
    """
    frame, centre = view.frame, view.centre
    if not (math.isfinite(centre.lat) and math.isfinite(centre.lon)):
        return view
    x, y = np.meshgrid(np.linspace(frame.left, frame.right, _SAMPLES), np.linspace(frame.top, frame.bottom, _SAMPLES))
    projection = sheet_for(*view.to_position(x, y), view.projection, grid)
    if projection == view.projection:
        return view
    return _moved(replace(view, projection=projection), centre, view.true_nm_per_px())


def _moved(view: Viewport, place: Position, true_nm_per_px: float) -> Viewport:
    """A view whose projection is new, about a place and at a scale."""
    x_nm, y_nm = (float(v) for v in view.projection.forward(place.lat, place.lon))
    factor = float(view.projection.scale(place.lat, place.lon))
    if not (math.isfinite(x_nm) and math.isfinite(y_nm) and math.isfinite(factor) and factor > 0.0):
        x_nm, y_nm, factor = 0.0, 0.0, 1.0
    return replace(view, x_nm=x_nm, y_nm=y_nm, nm_per_px=true_nm_per_px * factor)


def within_limits(view: Viewport) -> Viewport:
    """The view, not closer and not wider than makes sense."""
    across = min(view.width_px, view.height_px)
    nm_per_px = min(max(view.nm_per_px, _NARROWEST_NM / across), _WIDEST_NM / across)
    return view if nm_per_px == view.nm_per_px else replace(view, nm_per_px=nm_per_px)
