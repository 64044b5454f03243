"""Pictures kept between frames: the ground while the plot on it changes, and the whole chart while it is dragged.

Panning must not wait for projecting, clipping and placing. What lies on the Earth is painted once, on a picture larger
than the view, and shifted with it; legend, scale bar and overview stay where they are. When the hand lets go, the sheet
itself is painted again (`release`), with its labels placed for where it came to rest.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from PySide6.QtCore import QPointF
from PySide6.QtGui import QImage, QPainter

from nightleg.chart.labels import Box, Placed
from nightleg.chart.memory import Memory
from nightleg.chart.sheet import Sheet, picture
from nightleg.chart.viewport import NO_MARGINS, Viewport

_BEYOND = 0.25  # of the view's width and height, on each side
FIXED = frozenset({"legend", "scalebar", "overview", "frame", "title"})
"""Layers that belong to the view and not to the Earth."""


class Backdrop:
    """Paints a chart that is being moved. For views without margins, as they are on the screen."""

    def __init__(self) -> None:
        self._kept: _Kept | None = None
        self._memory = Memory()
        self.paintings = 0
        """How often the large picture had to be painted."""

    def release(self) -> None:
        """Forget the picture: the next frame is painted anew."""
        self._kept = None
        self._memory.forget("ground", "below")

    def paint(self, painter: QPainter, sheet: Sheet) -> None:
        """Paint a sheet, from the picture of an earlier one where that shows the same chart moved aside."""
        ratio = painter.device().devicePixelRatio()
        kept = self._kept
        if kept is None or not kept.serves(sheet, ratio):
            kept = self._kept = _keep(sheet, ratio, self._memory)
            self.paintings += 1
        kept.paint(painter, sheet.view)


@dataclass(frozen=True, eq=False)
class _Kept:
    """The large picture of a sheet, and pieces of what does not move with it."""

    sheet: Sheet
    ratio: float
    picture: QImage
    pieces: tuple[tuple[QPointF, QImage], ...]

    def serves(self, sheet: Sheet, ratio: float) -> bool:
        mine, other = self.sheet.view, sheet.view
        if sheet.scene is not self.sheet.scene or sheet.theme != self.sheet.theme or ratio != self.ratio:
            return False
        if sheet.layers != self.sheet.layers:
            return False
        dx, dy = _shift(mine, other)
        near = abs(dx) <= _BEYOND * mine.width_px and abs(dy) <= _BEYOND * mine.height_px
        return near and replace(other, x_nm=mine.x_nm, y_nm=mine.y_nm) == mine

    def paint(self, painter: QPainter, view: Viewport) -> None:
        dx, dy = _shift(self.sheet.view, view)
        beyond_x, beyond_y = _beyond(view)
        # Whole device px: shifted by less, every line would blur.
        x, y = (round((d - b) * self.ratio) / self.ratio for d, b in ((dx, beyond_x), (dy, beyond_y)))
        painter.drawImage(QPointF(x, y), self.picture)
        for at, piece in self.pieces:
            painter.drawImage(at, piece)


def _shift(mine: Viewport, other: Viewport) -> tuple[float, float]:
    """How far, px, the chart has moved right and down from one view to the other."""
    return (mine.x_nm - other.x_nm) / mine.nm_per_px, (other.y_nm - mine.y_nm) / mine.nm_per_px


def _beyond(view: Viewport) -> tuple[int, int]:
    return round(_BEYOND * view.width_px), round(_BEYOND * view.height_px)


def _keep(sheet: Sheet, ratio: float, memory: Memory) -> _Kept:
    view = sheet.view
    beyond_x, beyond_y = _beyond(view)
    wide = replace(
        view, width_px=view.width_px + 2 * beyond_x, height_px=view.height_px + 2 * beyond_y, margins=NO_MARGINS
    )
    moving = tuple(layer for layer in sheet.layers if layer.name not in FIXED)
    # The labels keep their places while the chart moves, and are placed anew when it stands.
    labels = tuple(_moved(label, beyond_x, beyond_y) for label in sheet.placed)
    large = Sheet(sheet.scene, wide, sheet.theme, moving, labels, memory)
    made = picture((wide.width_px, wide.height_px), ratio, large.paint)
    pieces = [
        sheet.piece(layer, box, ratio)
        for layer in sheet.layers
        if layer.name in FIXED
        for box in layer.obstacles(sheet)
    ]
    return _Kept(sheet, ratio, made, tuple(pieces))


def _moved(label: Placed, dx: float, dy: float) -> Placed:
    box = label.box
    return Placed(label.request, Box(box.x + dx, box.y + dy, box.width, box.height, box.angle_deg))
