"""Ranges: circles about a station."""

from __future__ import annotations

from nightleg.chart.layers.linelayer import LineLayer
from nightleg.chart.linemarks import TO_THE_RIGHT


class RangeLayer(LineLayer):
    """Unbroken, with ticks toward the station, which lies to the right of its run."""

    name = "range"
    title = "Ranges"
    kind = "range"
    words = "range from a station"
    sign = TO_THE_RIGHT
