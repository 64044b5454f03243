"""What every layer of the chart is: paint, and what the other layers must know of it."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import TYPE_CHECKING, Any, ClassVar

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray
from PySide6.QtGui import QPainter

from nightleg.chart.box import Box
from nightleg.chart.labels import Request
from nightleg.chart.strokes import Strokes
from nightleg.chart.themes import Theme
from nightleg.chart.viewport import Rect

if TYPE_CHECKING:
    from nightleg.chart.sheet import Sheet

Array = NDArray[np.float64]


class LegendEntry(Struct, frozen=True):
    """A line of the legend: its words, what paints its sample into a rectangle, and its place in the order.

    What is `lettered` has its name or its time beside it on the chart: where there is little room it goes first.
    """

    text: str
    sample: Callable[[QPainter, Rect, Theme], None]
    rank: int
    lettered: bool = False


class Layer:
    """A layer without anything on it. Layers hold no state: all they know comes from the sheet."""

    name: ClassVar[str]
    """What it is switched by."""
    title: ClassVar[str] = ""
    """What it is called where it can be switched off; empty where it cannot."""
    z: ClassVar[int]
    """Lower is further down."""
    is_panel: ClassVar[bool] = False
    """Whether it stands in its own place on the picture, whatever lies on the Earth there."""
    shown_at_first: ClassVar[bool] = True
    """Whether it is drawn until someone switches layers."""
    strokes: ClassVar[tuple[Strokes[Any], ...]] = ()
    """The kinds of lines that it needs."""

    def paint(self, painter: QPainter, sheet: Sheet) -> None:
        """Paint the layer, labels excepted, and what `paint_settled` paints."""

    def settled(self, sheet: Sheet) -> tuple[object, ...]:
        """What of the scene `paint_settled` paints. While it stays the same, a picture of it can be kept."""
        return ()

    def paint_settled(self, painter: QPainter, sheet: Sheet) -> None:
        """Paint, below all else but the ground, what the sight being typed leaves as it is."""

    def piece(self, sheet: Sheet) -> tuple[object, ...] | None:
        """What a layer inside its obstacles rests on, where a picture of it can be kept; None where not."""
        return None

    def ink(self, sheet: Sheet) -> Iterable[Array]:
        """Runs of px (n, 2) that labels should stay off if they can."""
        return ()

    def obstacles(self, sheet: Sheet) -> Iterable[Box]:
        """What no label may cover."""
        return ()

    def labels(self, sheet: Sheet) -> Iterable[Request]:
        """Labels wanted."""
        return ()

    def legend(self, sheet: Sheet) -> Iterable[LegendEntry]:
        """What the legend must explain: only what is really on the picture."""
        return ()
