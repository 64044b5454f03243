"""Bearings of points, and radials from stations: two curves that only meet where the aircraft is."""

from __future__ import annotations

from nightleg.chart.layers.linelayer import LineLayer
from nightleg.chart.linemarks import AHEAD, BACK


class BearingLayer(LineLayer):
    """Even dashes, with arrow heads toward the point: its run leads away from there."""

    name = "bearing"
    title = "Bearings"
    kind = "bearing"
    words = "bearing of a point"
    dash_px = (13.0, 3.0)
    sign = BACK


class RadialLayer(LineLayer):
    """Long dashes, with open arrow heads away from the station: so its run leads."""

    name = "radial"
    title = "Radials"
    kind = "radial"
    words = "radial from a station"
    dash_px = (34.0, 4.0)
    sign = AHEAD
