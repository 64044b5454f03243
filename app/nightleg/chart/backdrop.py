"""Pictures kept between frames: the ground while the plot on it changes, and the whole chart while it is dragged.

Panning must not wait for projecting, clipping and placing. What lies on the Earth is painted once, on a picture larger
than the view, and shifted with it; legend, scale bar and overview stay where they are. That picture can be made ahead,
a part at a time, so that the first frame of a drag need not wait for it. When the hand lets go, the sheet itself is
painted again (`release`), with its labels placed for where it came to rest.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from PySide6.QtCore import QPointF
from PySide6.QtGui import QImage, QPainter

from nightleg.chart.box import Box
from nightleg.chart.labels import Placed
from nightleg.chart.sheet import Sheet, picture
from nightleg.chart.viewport import NO_MARGINS, Viewport

_BEYOND = 0.25  # of the view's width and height, on each side
FIXED = frozenset({"legend", "scalebar", "overview", "frame", "title"})
"""Layers that belong to the view and not to the Earth."""


class Backdrop:
    """Paints a chart that is being moved. For views without margins, as they are on the screen."""

    def __init__(self) -> None:
        self._making: _Making | None = None
        self._kept: _Kept | None = None
        self.paintings = 0
        """How often the large picture had to be painted."""

    def release(self) -> None:
        """Forget the picture: the next frame is painted anew."""
        self._kept = self._making = None

    def prepare(self, sheet: Sheet, ratio: float) -> bool:
        """Paint one more part of the large picture of a sheet at rest; whether there is more to do."""
        if self._kept is not None and self._kept.serves(sheet, ratio):
            return False
        if self._making is None or not self._making.is_of(sheet, ratio):
            self._making = _Making(sheet, ratio)
        elif self._making.step():
            self._take(self._making)
        return self._making is not None

    def paint(self, painter: QPainter, sheet: Sheet, rested: Sheet | None = None) -> None:
        """Paint a sheet, from the picture of an earlier one where that shows the same chart moved aside.

        `rested` is the sheet it was moved from: that one's labels stand already.
        """
        ratio = painter.device().devicePixelRatio()
        kept, making = self._kept, self._making
        if kept is None or not kept.serves(sheet, ratio):
            if making is None or not _serves(making.sheet, making.ratio, sheet, ratio):
                near = rested is not None and _serves(rested, ratio, sheet, ratio)
                making = _Making(rested if rested is not None and near else sheet, ratio)
            while not making.step():
                pass
            kept = self._take(making)
        kept.paint(painter, sheet.view)

    def _take(self, made: _Making) -> _Kept:
        self._kept, self._making = made.kept(), None
        self.paintings += 1
        return self._kept


@dataclass(frozen=True, eq=False)
class _Kept:
    """The large picture of a sheet, and pieces of what does not move with it."""

    sheet: Sheet
    ratio: float
    picture: QImage
    pieces: tuple[tuple[QPointF, QImage], ...]

    def serves(self, sheet: Sheet, ratio: float) -> bool:
        return _serves(self.sheet, self.ratio, sheet, ratio)

    def paint(self, painter: QPainter, view: Viewport) -> None:
        dx, dy = _shift(self.sheet.view, view)
        beyond_x, beyond_y = _beyond(view)
        # Whole device px: shifted by less, every line would blur.
        x, y = (round((d - b) * self.ratio) / self.ratio for d, b in ((dx, beyond_x), (dy, beyond_y)))
        painter.drawImage(QPointF(x, y), self.picture)
        for at, piece in self.pieces:
            painter.drawImage(at, piece)


class _Making:
    """The large picture of a sheet while it is made."""

    def __init__(self, sheet: Sheet, ratio: float) -> None:
        self.sheet, self.ratio = sheet, ratio
        view = sheet.view
        beyond_x, beyond_y = _beyond(view)
        wide = replace(
            view, width_px=view.width_px + 2 * beyond_x, height_px=view.height_px + 2 * beyond_y, margins=NO_MARGINS
        )
        moving = tuple(layer for layer in sheet.layers if layer.name not in FIXED)
        # The labels keep their places while the chart moves, and are placed anew when it stands.
        labels = tuple(_moved(label, beyond_x, beyond_y) for label in sheet.placed)
        self._left = Sheet(sheet.scene, wide, sheet.theme, moving, labels).parts()
        self._picture = picture((wide.width_px, wide.height_px), ratio, lambda _: None)
        self._pieces: tuple[tuple[QPointF, QImage], ...] | None = None

    def is_of(self, sheet: Sheet, ratio: float) -> bool:
        return self.sheet is sheet and self.ratio == ratio

    def step(self) -> bool:
        """Paint a part; whether that was the last."""
        if self._pieces is None:
            self._pieces = tuple(
                self.sheet.piece(layer, box, self.ratio)
                for layer in self.sheet.layers
                if layer.name in FIXED
                for box in layer.obstacles(self.sheet)
            )
        else:
            painter = QPainter(self._picture)
            try:
                painter.setRenderHint(QPainter.RenderHint.Antialiasing)
                self._left.pop(0)(painter)
            finally:
                painter.end()
        return not self._left

    def kept(self) -> _Kept:
        return _Kept(self.sheet, self.ratio, self._picture, self._pieces or ())


def _serves(mine: Sheet, my_ratio: float, other: Sheet, ratio: float) -> bool:
    """Whether the large picture of one sheet shows another, moved aside."""
    if other.scene is not mine.scene or other.theme != mine.theme or ratio != my_ratio or other.layers != mine.layers:
        return False
    dx, dy = _shift(mine.view, other.view)
    view = mine.view
    near = abs(dx) <= _BEYOND * view.width_px and abs(dy) <= _BEYOND * view.height_px
    return near and replace(other.view, x_nm=view.x_nm, y_nm=view.y_nm) == view


def _shift(mine: Viewport, other: Viewport) -> tuple[float, float]:
    """How far, px, the chart has moved right and down from one view to the other."""
    return (mine.x_nm - other.x_nm) / mine.nm_per_px, (other.y_nm - mine.y_nm) / mine.nm_per_px


def _beyond(view: Viewport) -> tuple[int, int]:
    return round(_BEYOND * view.width_px), round(_BEYOND * view.height_px)


def _moved(label: Placed, dx: float, dy: float) -> Placed:
    box = label.box
    return Placed(label.request, Box(box.x + dx, box.y + dy, box.width, box.height, box.angle_deg))
