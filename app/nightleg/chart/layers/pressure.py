"""Pressure lines, parallel to the air path."""

from __future__ import annotations

from nightleg.chart.layers.linelayer import LineLayer
from nightleg.chart.linemarks import DIAMOND


class PressureLayer(LineLayer):
    """Long dashes and three short ones, with diamonds."""

    name = "pressure"
    title = "Pressure lines"
    kind = "pressure"
    words = "pressure line"
    dash_px = (16.0, 4.0, 3.0, 4.0, 3.0, 4.0, 3.0, 4.0)
    sign = DIAMOND
