"""The layers of the chart, a row each. A new kind of mark is one module in `layers` and one row here."""

from __future__ import annotations

from collections.abc import Collection

from nightleg.chart.layers.airplot import AirPlotLayer
from nightleg.chart.layers.base import Layer
from nightleg.chart.layers.bearings import BearingLayer, RadialLayer
from nightleg.chart.layers.ellipse import EllipseLayer
from nightleg.chart.layers.fix import FixLayer
from nightleg.chart.layers.frame import FrameLayer
from nightleg.chart.layers.ghost import GhostLayer
from nightleg.chart.layers.graticule import GraticuleLayer
from nightleg.chart.layers.gridlines import GridLinesLayer
from nightleg.chart.layers.land import LandLayer
from nightleg.chart.layers.landfall import LandfallLayer
from nightleg.chart.layers.latitude import LatitudeLayer
from nightleg.chart.layers.legend import LegendLayer
from nightleg.chart.layers.lines import LinesLayer
from nightleg.chart.layers.overview import OverviewLayer
from nightleg.chart.layers.pressure import PressureLayer
from nightleg.chart.layers.ranges import RangeLayer
from nightleg.chart.layers.reckoning import ReckoningLayer
from nightleg.chart.layers.route import RouteLayer
from nightleg.chart.layers.scalebar import ScaleBarLayer
from nightleg.chart.layers.sights import SightsLayer
from nightleg.chart.layers.title import TitleLayer
from nightleg.chart.layers.track import TrackLayer
from nightleg.chart.layers.truth import TruthLayer
from nightleg.chart.layers.wind import WindLayer

LAYERS: tuple[Layer, ...] = (
    LandLayer(),
    GraticuleLayer(),
    GridLinesLayer(),
    RouteLayer(),
    TruthLayer(),
    LandfallLayer(),
    LinesLayer(),
    PressureLayer(),
    BearingLayer(),
    RadialLayer(),
    RangeLayer(),
    LatitudeLayer(),
    SightsLayer(),
    TrackLayer(),
    EllipseLayer(),
    ReckoningLayer(),
    FixLayer(),
    GhostLayer(),
    WindLayer(),
    AirPlotLayer(),
    ScaleBarLayer(),
    OverviewLayer(),
    LegendLayer(),
    FrameLayer(),
    TitleLayer(),
)


OFF_AT_FIRST = frozenset(layer.name for layer in LAYERS if not layer.shown_at_first)


def layers(hidden: Collection[str] = OFF_AT_FIRST) -> tuple[Layer, ...]:
    """The layers from the lowest up, but for those named in `hidden`. Raises ValueError for a name there is not."""
    names = {layer.name for layer in LAYERS}
    for name in hidden:
        if name not in names:
            raise ValueError(f"layer {name!r}: there is no such layer; there are {', '.join(sorted(names))}")
    return tuple(sorted((layer for layer in LAYERS if layer.name not in hidden), key=lambda layer: layer.z))
