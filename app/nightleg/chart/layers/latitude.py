"""Lines of latitude."""

from __future__ import annotations

from nightleg.chart.layers.linelayer import LineLayer
from nightleg.chart.linemarks import ACROSS


class LatitudeLayer(LineLayer):
    """Short dashes, with double ticks."""

    name = "latitude"
    title = "Latitudes"
    kind = "latitude"
    words = "latitude"
    dash_px = (6.0, 4.0)
    sign = ACROSS
