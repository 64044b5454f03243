"""A sheet on a graphics scene: painted once into a picture, moved with the hand, painted again when it rests."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QPointF, QRectF, QSize
from PySide6.QtGui import QImage, QPainter
from PySide6.QtWidgets import QGraphicsItem, QStyleOptionGraphicsItem, QWidget

from nightleg.chart.backdrop import Backdrop
from nightleg.chart.pens import colour
from nightleg.chart.sheet import Sheet


class SheetItem(QGraphicsItem):
    """What shows the sheet. It paints into a picture once, and shows the picture until there is another sheet."""

    def __init__(self) -> None:
        super().__init__()
        self.sheet: Sheet | None = None
        self.paintings = 0
        """How many sheets have been painted at rest."""
        self.quick_paintings = 0
        """How many sheets have been painted for one frame."""
        self._picture: QImage | None = None
        self._rested: Sheet | None = None  # what the picture shows
        self.backdrop = Backdrop()
        self._moving = False
        self._stale = True
        self._size = QRectF()
        self.when_painted: Callable[[], None] = lambda: None
        """Called after a sheet has been painted at rest."""

    def show_sheet(self, sheet: Sheet, *, moving: bool = False) -> None:
        """Show another sheet; `moving` while the hand is on it: labels are placed anew only when it rests."""
        size = QRectF(0.0, 0.0, sheet.view.width_px, sheet.view.height_px)
        if size != self._size:
            self.prepareGeometryChange()
            self._size = size
        self.sheet, self._moving, self._stale = sheet, moving, True
        if not moving:
            self.backdrop.release()
        if not sheet.quick:  # whoever shows a quick sheet has it painted at once
            self.update()

    def prepare(self) -> bool:
        """Paint a part of what a drag will show; whether there is more to do. Nothing while it is not at rest."""
        picture, rested = self._picture, self._rested
        if self._moving or self._stale or picture is None or rested is None or rested is not self.sheet:
            return False
        return self.backdrop.prepare(rested, picture.devicePixelRatio())

    def release(self) -> None:
        """Let go of what was prepared, if no hand is on the chart."""
        if not self._moving:
            self.backdrop.release()

    def boundingRect(self) -> QRectF:
        """The whole canvas."""
        return self._size

    def paint(self, painter: QPainter, option: QStyleOptionGraphicsItem, widget: QWidget | None = None) -> None:
        """The picture of the sheet."""
        if self.sheet is None:
            return
        if self._moving and self._paint_moving(painter, self.sheet):
            return
        if self.sheet.quick and self._stale:  # another will follow; what asks for this one twice gets a picture of it
            self._stale, self._picture = False, None
            self.sheet.paint(painter)
            self.quick_paintings += 1
            return
        ratio = painter.device().devicePixelRatio()
        if self._picture is None or self._stale or self._picture.devicePixelRatio() != ratio:
            self._picture, self._stale = self._painted(self.sheet, ratio), False
        painter.drawImage(QPointF(0.0, 0.0), self._picture)

    def _paint_moving(self, painter: QPainter, sheet: Sheet) -> bool:
        """A frame while the hand is on the chart; False where there is nothing to make it from.

        A chart that is zoomed is the last picture enlarged, until it rests.
        """
        old = None if self._rested is None else self._rested.view
        if old is None or old.nm_per_px == sheet.view.nm_per_px:
            self.backdrop.paint(painter, sheet, self._rested)
            return True
        if self._picture is None or old.projection != sheet.view.projection:
            return False
        view = sheet.view
        x, y = (float(v) for v in view.plane_to_px(old.x_nm, old.y_nm))
        across, down = old.middle_px
        factor = old.nm_per_px / view.nm_per_px
        painter.fillRect(self._size, colour(sheet.theme, "ground"))
        place = QRectF(x - across * factor, y - down * factor, old.width_px * factor, old.height_px * factor)
        painter.drawImage(place, self._picture)
        return True

    def _painted(self, sheet: Sheet, ratio: float) -> QImage:
        view, old = sheet.view, self._picture
        size = QSize(round(view.width_px * ratio), round(view.height_px * ratio))
        made = old if old is not None and old.size() == size else QImage(size, QImage.Format.Format_RGB32)
        made.setDevicePixelRatio(ratio)
        painter = QPainter(made)
        sheet.paint(painter)
        painter.end()
        self._rested = sheet
        self.paintings += 1
        self.when_painted()
        return made
