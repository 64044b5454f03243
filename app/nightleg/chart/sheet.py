"""One picture: a scene, a view, a theme and the layers shown, with everything worked out from them kept."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from functools import cached_property
from typing import TypeVar, cast

import numpy as np
from numpy.typing import NDArray
from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QImage, QPaintEngine, QPainter

from nightleg.chart.labels import Box, InkMap, Placed, place
from nightleg.chart.layers.base import Layer, LegendEntry
from nightleg.chart.lettering import paint_label
from nightleg.chart.marks import ChartScene
from nightleg.chart.paths import Bundle, clip_lines, to_px
from nightleg.chart.pens import colour
from nightleg.chart.registry import layers
from nightleg.chart.themes import Theme
from nightleg.chart.viewport import Viewport

T = TypeVar("T")
Array = NDArray[np.float64]

_BEYOND_PX = 12.0  # lines are clipped this far outside the frame, so that their ends do not show


@dataclass(frozen=True, eq=False)
class Sheet:
    """What is painted. Making one is cheap; projecting, clipping and placing labels happen once, when first needed."""

    scene: ChartScene
    view: Viewport
    theme: Theme
    layers: tuple[Layer, ...] = field(default_factory=layers)
    labels: tuple[Placed, ...] | None = None  # where they are to stand; None: to be placed
    _kept: dict[str, object] = field(default_factory=dict, repr=False)

    def kept(self, key: str, make: Callable[[], T]) -> T:
        """The value of `make`, worked out once for this sheet."""
        if key not in self._kept:
            self._kept[key] = make()
        return cast("T", self._kept[key])

    def lines(self, key: str, make: Callable[[ChartScene], Bundle]) -> list[Array]:
        """Runs of px inside the frame of a bundle of the scene."""
        return self.numbered(key, make)[0]

    def numbered(self, key: str, make: Callable[[ChartScene], Bundle]) -> tuple[list[Array], list[int]]:
        """`lines`, and for each of them the number of the run in the bundle that it is a part of."""

        def clipped() -> tuple[list[Array], list[int]]:
            places = self.scene.bundle(key, make)
            return clip_lines(to_px(self.view, places), self.view.frame.grown(_BEYOND_PX), places.numbers)

        return self.kept("lines " + key, clipped)

    @cached_property
    def ink(self) -> InkMap:
        """Where lines run."""
        ink = InkMap(self.view.width_px, self.view.height_px)
        for layer in self.layers:
            ink.add(layer.ink(self))
        return ink

    @cached_property
    def legend(self) -> tuple[LegendEntry, ...]:
        """What the layers have to explain, by rank."""
        entries = (entry for layer in self.layers for entry in layer.legend(self))
        return tuple(sorted(entries, key=lambda entry: entry.rank))

    @cached_property
    def placed(self) -> tuple[Placed, ...]:
        """All labels that found room."""
        if self.labels is not None:
            return self.labels
        obstacles: list[Box] = [box for layer in self.layers for box in layer.obstacles(self)]
        requests = [wanted for layer in self.layers for wanted in layer.labels(self)]
        return place(requests, self.view.frame.grown(-3.0), obstacles, self.ink)

    def found(self, key: str) -> Placed | None:
        """The label that was asked for under a key, if it found room."""
        return next((label for label in self.placed if label.request.key == key), None)

    def paint(self, painter: QPainter) -> None:
        """Paint the whole picture."""
        view, theme = self.view, self.theme
        frame = view.frame
        inner = QRectF(frame.left, frame.top, frame.width, frame.height)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        if painter.paintEngine().type() == QPaintEngine.Type.Raster:
            painter.drawImage(QPointF(0.0, 0.0), self._ground_picture(painter.device().devicePixelRatio()))
        else:
            self._paint_ground(painter)
        painter.save()
        painter.setClipRect(inner)
        for layer in self.layers:
            if GROUND_Z < layer.z < LABELS_Z:
                self._paint_layer(painter, layer)
        for label in self.placed:
            paint_label(painter, label, theme)
        painter.restore()
        for layer in self.layers:
            if layer.z >= LABELS_Z:
                self._paint_layer(painter, layer)

    def _paint_ground(self, painter: QPainter) -> None:
        """What lies below the plot."""
        view = self.view
        painter.fillRect(QRectF(0, 0, view.width_px, view.height_px), colour(self.theme, "ground"))
        painter.save()
        painter.setClipRect(QRectF(view.frame.left, view.frame.top, view.frame.width, view.frame.height))
        for layer in self.layers:
            if layer.z <= GROUND_Z:
                self._paint_layer(painter, layer)
        painter.restore()

    def _ground_picture(self, ratio: float) -> QImage:
        """The ground as a picture, kept from sheet to sheet: typing a sight changes the plot and not the land."""
        below = tuple(layer for layer in self.layers if layer.z <= GROUND_Z)
        for number, (view, theme, of, at_ratio, picture) in enumerate(_grounds):
            if view == self.view and theme == self.theme and of == below and at_ratio == ratio:
                _grounds.append(_grounds.pop(number))
                return picture
        made = QImage(round(self.view.width_px * ratio), round(self.view.height_px * ratio), QImage.Format.Format_RGB32)
        made.setDevicePixelRatio(ratio)
        painter = QPainter(made)
        try:
            painter.setRenderHint(QPainter.RenderHint.Antialiasing)
            self._paint_ground(painter)
        finally:
            painter.end()
        _grounds[:] = [*_grounds[-1:], (self.view, self.theme, below, ratio, made)]
        return made

    def _paint_layer(self, painter: QPainter, layer: Layer) -> None:
        painter.save()
        painter.setBrush(Qt.BrushStyle.NoBrush)
        layer.paint(painter, self)
        painter.restore()


_grounds: list[tuple[Viewport, Theme, tuple[Layer, ...], float, QImage]] = []  # two at most, the last used last

GROUND_Z = 20
"""Layers up to here depend on the view alone."""
LABELS_Z = 100
"""Layers from here on are painted over the labels and outside the frame too."""
