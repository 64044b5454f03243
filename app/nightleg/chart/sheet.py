"""One picture: a scene, a view, a theme and the layers shown, with everything worked out from them kept."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from functools import cached_property, partial
from typing import TypeVar, cast

import numpy as np
from numpy.typing import NDArray
from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QImage, QPaintEngine, QPainter

from nightleg.chart.box import Box
from nightleg.chart.ink import Cells, InkMap
from nightleg.chart.labels import Placed, held, place
from nightleg.chart.layers.base import Layer, LegendEntry
from nightleg.chart.lettering import paint_label
from nightleg.chart.marks import ChartScene
from nightleg.chart.memory import Memory, Same
from nightleg.chart.pens import colour
from nightleg.chart.registry import layers
from nightleg.chart.strokes import Numbered, Strokes, numbered, work_out
from nightleg.chart.themes import Theme
from nightleg.chart.viewport import Viewport

T = TypeVar("T")
Array = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class Sheet:
    """What is painted. Making one is cheap; projecting, clipping and placing labels happen once, when first needed."""

    scene: ChartScene
    view: Viewport
    theme: Theme
    layers: tuple[Layer, ...] = field(default_factory=layers)
    labels: tuple[Placed, ...] | None = None  # where they are to stand; None: to be placed
    memory: Memory = field(default_factory=Memory, repr=False)  # shared with the sheet before
    quick: bool = False  # labels are placed without regard to lines, and panels stay: for the frame of a keystroke
    _kept: dict[str, object] = field(default_factory=dict, repr=False)

    def kept(self, key: str, make: Callable[[], T]) -> T:
        """The value of `make`, worked out once for this sheet."""
        if key not in self._kept:
            self._kept[key] = make()
        return cast("T", self._kept[key])

    def remembered(self, key: str, of: tuple[object, ...], make: Callable[[], T]) -> T:
        """The value of `make`, kept from sheet to sheet while view, theme and what it is made of stay the same."""
        return self.kept(key, lambda: self.memory.value(key, (self.view, self.theme, of), make))

    def lines(self, kind: Strokes[T]) -> list[Array]:
        """Runs of px inside the frame of a kind of line. They are shared between sheets: not to be changed."""
        return self.numbered(kind)[0]

    def numbered(self, kind: Strokes[T]) -> Numbered:
        """`lines`, and for each of them the number of the run in the bundle that it is a part of."""

        def find() -> Numbered:
            found = numbered(kind, self.scene, self.view, self.memory)
            if found is None:
                others = [other for layer in self.layers for other in layer.strokes if other != kind]
                work_out([kind, *others], self.scene, self.view, self.memory)
                found = numbered(kind, self.scene, self.view, self.memory)
            return found or ([], [])

        return self.kept(f"lines {kind.name}", find)

    @cached_property
    def ink(self) -> InkMap:
        """Where lines run; nowhere on a quick sheet."""
        if self.quick:
            return InkMap(0.0, 0.0)
        ink, size = InkMap(self.view.width_px, self.view.height_px), (self.view.width_px, self.view.height_px)
        known: dict[Same[Array], Cells] = self.memory.last("ink", size, {})
        self.memory.note("ink", size, ink.add((run for layer in self.layers for run in layer.ink(self)), known))
        return ink

    @cached_property
    def legend(self) -> tuple[LegendEntry, ...]:
        """What the layers have to explain, by rank."""
        entries = {entry.text: entry for layer in self.layers for entry in layer.legend(self)}
        return tuple(sorted(entries.values(), key=lambda entry: entry.rank))

    @cached_property
    def placed(self) -> tuple[Placed, ...]:
        """All labels that found room."""
        if self.labels is not None:
            return self.labels
        obstacles = [box for layer in self.layers for box in self._obstacles(layer)]
        requests = [wanted for layer in self.layers for wanted in layer.labels(self)]
        at = (self.view.projection, self.view.nm_per_px, self.theme)
        placed = place(requests, self.view.frame.grown(-3.0), obstacles, self.ink, self.memory.last("held", at, {}))
        self.memory.note("held", at, held(placed))
        return placed

    def found(self, key: str) -> Placed | None:
        """The label that was asked for under a key, if it found room."""
        return next((label for label in self.placed if label.request.key == key), None)

    def paint(self, painter: QPainter) -> None:
        """Paint the whole picture."""
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        kept = painter.paintEngine().type() == QPaintEngine.Type.Raster
        ratio = painter.device().devicePixelRatio() if kept else 1.0
        if kept:
            painter.drawImage(QPointF(0.0, 0.0), self._below(ratio))
        else:
            self._paint_ground(painter)
            self._paint_settled(painter)
        painter.save()
        self._clip(painter)
        for layer in self.layers:
            if GROUND_Z < layer.z < LABELS_Z:
                self._paint_layer(painter, layer, ratio if kept else None)
        for label in self.placed:
            paint_label(painter, label, self.theme)
        painter.restore()
        for layer in self.layers:
            if layer.z >= LABELS_Z:
                self._paint_layer(painter, layer, ratio if kept else None)

    def parts(self) -> list[Callable[[QPainter], None]]:
        """What paints the whole picture one after the other, at other moments too; nothing of it is kept for others."""
        return [
            self._work_out,
            self._fill,
            *(partial(self._paint_inside, layer) for layer in self.layers if layer.z <= GROUND_Z),
            self._paint_settled,
            *(partial(self._paint_inside, layer) for layer in self.layers if GROUND_Z < layer.z < LABELS_Z),
            self._paint_labels,
            *(partial(self._paint_outside, layer) for layer in self.layers if layer.z >= LABELS_Z),
        ]

    def _work_out(self, painter: QPainter) -> None:
        for layer in self.layers:
            for kind in layer.strokes:
                self.numbered(kind)

    def _fill(self, painter: QPainter) -> None:
        painter.fillRect(QRectF(0, 0, self.view.width_px, self.view.height_px), colour(self.theme, "ground"))

    def _paint_inside(self, layer: Layer, painter: QPainter) -> None:
        painter.save()
        self._clip(painter)
        self._paint_layer(painter, layer)
        painter.restore()

    def _paint_outside(self, layer: Layer, painter: QPainter) -> None:
        self._paint_layer(painter, layer)

    def _paint_labels(self, painter: QPainter) -> None:
        painter.save()
        self._clip(painter)
        for label in self.placed:
            paint_label(painter, label, self.theme)
        painter.restore()

    def _clip(self, painter: QPainter) -> None:
        frame = self.view.frame
        painter.setClipRect(QRectF(frame.left, frame.top, frame.width, frame.height))

    def _paint_ground(self, painter: QPainter) -> None:
        """What depends on the view alone."""
        self._fill(painter)
        painter.save()
        self._clip(painter)
        for layer in self.layers:
            if layer.z <= GROUND_Z:
                self._paint_layer(painter, layer)
        painter.restore()

    def _paint_settled(self, painter: QPainter) -> None:
        """What of the plot the sight being typed leaves as it is, below all the rest of it."""
        painter.save()
        self._clip(painter)
        for layer in self.layers:
            painter.save()
            painter.setBrush(Qt.BrushStyle.NoBrush)
            layer.paint_settled(painter, self)
            painter.restore()
        painter.restore()

    def _below(self, ratio: float) -> QImage:
        """Ground and settled marks as a picture, kept from sheet to sheet: typing a sight changes neither."""
        size = self.view.width_px, self.view.height_px
        of = (self.view, self.theme, self.layers, ratio)

        def ground() -> QImage:
            return picture(size, ratio, self._paint_ground)

        def below() -> QImage:
            made = self.memory.value("ground", of, ground).copy()
            painter = QPainter(made)
            try:
                painter.setRenderHint(QPainter.RenderHint.Antialiasing)
                self._paint_settled(painter)
            finally:
                painter.end()
            return made

        settled = tuple(layer.settled(self) for layer in self.layers)
        return self.memory.value("below", (*of, settled), below)

    def _paint_layer(self, painter: QPainter, layer: Layer, ratio: float | None = None) -> None:
        """Paint a layer; with the `ratio` of a raster device, from a kept picture where there can be one."""
        pieces = self._pieces(layer, ratio) if ratio is not None else None
        if pieces is not None:
            for at, made in pieces:
                painter.drawImage(at, made)
            return
        painter.save()
        painter.setBrush(Qt.BrushStyle.NoBrush)
        layer.paint(painter, self)
        painter.restore()

    def _pieces(self, layer: Layer, ratio: float) -> list[tuple[QPointF, QImage]] | None:
        """Kept pictures of a layer that stands for itself; on a quick sheet those of the sheet before."""
        name, whole = f"pieces {layer.name}", (self.view, self.theme, self.layers, ratio)
        if self.quick:
            before: list[tuple[QPointF, QImage]] | None = self.memory.last(f"{name} before", whole, None)
            if before is not None:
                return before
        of = layer.piece(self)
        if of is None:
            return None
        made = self.memory.value(
            name, (*whole, of), lambda: [self.piece(layer, box, ratio) for box in layer.obstacles(self)]
        )
        self.memory.note(f"{name} before", whole, made)
        return made

    def _obstacles(self, layer: Layer) -> list[Box]:
        """What no label may cover; on a quick sheet panels stand where they stood."""
        name, of = f"obstacles {layer.name}", (self.view, self.theme, self.layers)
        before: list[Box] | None = self.memory.last(name, of, None) if self.quick else None
        if before is not None:
            return before
        boxes = list(layer.obstacles(self))
        if layer.is_panel:
            self.memory.note(name, of, boxes)
        return boxes

    def piece(self, layer: Layer, box: Box, ratio: float) -> tuple[QPointF, QImage]:
        """A layer painted for itself inside a box, and where that picture belongs."""
        left, top, right, bottom = (round(side) for side in box.grown(2.0).bounds())

        def paint(painter: QPainter) -> None:
            painter.translate(-left, -top)
            layer.paint(painter, self)

        return QPointF(left, top), picture((right - left, bottom - top), ratio, paint, clear=True)


GROUND_Z = 20
"""Layers up to here depend on the view alone."""
LABELS_Z = 100
"""Layers from here on are painted over the labels and outside the frame too."""


def picture(
    size_px: tuple[int, int], ratio: float, paint: Callable[[QPainter], None], *, clear: bool = False
) -> QImage:
    """A picture in memory; with `clear` see-through where nothing is painted."""
    kind = QImage.Format.Format_ARGB32_Premultiplied if clear else QImage.Format.Format_RGB32
    made = QImage(round(size_px[0] * ratio), round(size_px[1] * ratio), kind)
    made.setDevicePixelRatio(ratio)
    if clear:
        made.fill(0)
    painter = QPainter(made)
    try:
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        paint(painter)
    finally:
        painter.end()
    return made
