"""What the chart lies on: pyqtgraph's view box, and for the first moments of a process a plain plate.

To import pyqtgraph takes as long as all else that a start needs of Qt. A chart can be painted without it, so the first
one is painted on a plate, and a thread of its own imports the library meanwhile. A hand on the chart waits for it.
"""

from __future__ import annotations

import importlib
import sys
from collections.abc import Sequence
from threading import Thread
from typing import Any

from PySide6.QtCore import QCoreApplication, QEvent, QObject, QPointF, QRectF, Qt, QTimer, Signal
from PySide6.QtGui import QMouseEvent, QPainter, QPaintEvent
from PySide6.QtWidgets import QGraphicsItem, QStyleOptionGraphicsItem, QVBoxLayout, QWidget

_LIBRARY = "pyqtgraph"
_ASK_MS = 20  # how often is asked whether the library is there
_HANDS = frozenset(
    {
        QEvent.Type.MouseButtonPress,
        QEvent.Type.MouseButtonDblClick,
        QEvent.Type.MouseButtonRelease,
        QEvent.Type.MouseMove,
        QEvent.Type.Wheel,
        QEvent.Type.NativeGesture,
    }
)


class Board(QWidget):
    """Shows items in a view box, which holds the part of the plane that is seen and turns wheel and drag into it."""

    moved_by_hand = Signal()
    """The view box was panned or zoomed."""
    resized = Signal()
    """The view box has another size: it has to be told anew what it shows."""
    hovered = Signal(QPointF)
    """Where the cursor is."""
    laid = Signal()
    """The view box has come, where it was waited for."""

    def __init__(self, parent: QWidget, items: Sequence[QGraphicsItem], hand: QObject) -> None:
        """`hand` sees the events of the view box before it does."""
        super().__init__(parent)
        self._items, self._hand = tuple(items), hand
        self._box: Any = None  # pyqtgraph has no types
        self._plane: Any = None
        self._plate: _Plate | None = None
        self._room = QVBoxLayout(self)
        self._room.setContentsMargins(0, 0, 0, 0)
        if getattr(sys.modules.get(_LIBRARY), "GraphicsView", None) is not None:
            self.lay()
        else:
            self._plate = _Plate(self, self._items)
            self._plate.ready.connect(self.lay)
            self._room.addWidget(self._plate)

    @property
    def is_laid(self) -> bool:
        """Whether the view box is there, and no plate in its place."""
        return self._box is not None

    def lay(self) -> None:
        """Have the view box now, however long its library takes to come."""
        if self._box is not None:
            return
        pyqtgraph: Any = importlib.import_module(_LIBRARY)
        self._box = pyqtgraph.ViewBox(lockAspect=True, enableMenu=False, border=None, defaultPadding=0.0)
        self._box.disableAutoRange()
        self._box.setBackgroundColor(None)
        plane = self._plane = pyqtgraph.GraphicsView(self, background=None)
        plane.setCentralItem(self._box)
        plane.viewport().setAttribute(Qt.WidgetAttribute.WA_OpaquePaintEvent)  # the sheet covers all of it
        plane.setFrameShape(plane.Shape.NoFrame)
        for part in (plane, plane.viewport()):  # keys belong to the canvas, which has the name and the facts
            part.setFocusPolicy(Qt.FocusPolicy.NoFocus)
            part.setAccessibleName("Drawing of the chart")
        for item in self._items:
            item.setParentItem(self._box)
        plane.viewport().installEventFilter(self._hand)
        self._box.sigRangeChangedManually.connect(lambda *_: self.moved_by_hand.emit())
        self._box.sigResized.connect(lambda *_: self.resized.emit())
        plane.scene().sigMouseMoved.connect(self.hovered.emit)
        self._room.addWidget(plane)
        plate = self._plate
        if plate is not None:
            self._plate = None
            self._room.removeWidget(plate)
            self._room.activate()
            plane.show()  # in its place, and with its size, before an event is handed on to it
            plane.raise_()
            plate.hand_over(plane.viewport())
        self.resized.emit()
        self._box.updateMatrix()  # as it is before each painting: an event may come sooner
        self.laid.emit()

    def show_range(self, x_nm: tuple[float, float], y_nm: tuple[float, float]) -> None:
        """Bring the view box to a part of the plane: left and right, bottom and top."""
        if self._box is not None:
            self._box.setRange(xRange=x_nm, yRange=y_nm, padding=0.0, disableAutoRange=True)

    def shown_range(self) -> tuple[tuple[float, float], tuple[float, float]]:
        """What the view box has come to by a hand: left and right, bottom and top."""
        (left, right), (bottom, top) = self._box.viewRange()
        return (left, right), (bottom, top)

    def refresh(self) -> None:
        """The items have changed. In a scene they tell that themselves."""
        if self._plate is not None:
            self._plate.update()

    def paint_now(self) -> None:
        """Paint the items before this returns."""
        (self._plate or self._plane.viewport()).repaint()

    def stop(self) -> None:
        """The window is closed."""
        if self._plate is not None:
            self._plate.stop()


class _Plate(QWidget):
    """Shows the items until there is a view box, and has its library fetched once they are seen."""

    ready = Signal()
    """The view box can be had without waiting, or a hand wants it now."""

    def __init__(self, parent: QWidget, items: Sequence[QGraphicsItem]) -> None:
        super().__init__(parent)
        self._items = tuple(items)
        self._import: Thread | None = None
        self._asking = QTimer(self)
        self._asking.setInterval(_ASK_MS)
        self._asking.timeout.connect(self._ask)
        self.setAttribute(Qt.WidgetAttribute.WA_OpaquePaintEvent)
        self._successor: QWidget | None = None
        self._held = False  # a button went down here and is not up yet

    def hand_over(self, successor: QWidget) -> None:
        """The view box's widget lies above: what a hand still does here goes there.

        Qt sends all of a drag to the widget it began on, and to none where that is hidden. So the plate stays, unseen,
        until the button is up.
        """
        self.stop()
        self._successor = successor
        if not self._held:
            self._go()

    def paintEvent(self, event: QPaintEvent) -> None:
        """The items, as a scene would have them painted."""
        if self._successor is not None:
            return
        painter, option = QPainter(self), QStyleOptionGraphicsItem()
        option.exposedRect = QRectF(event.rect())
        for item in self._items:
            item.paint(painter, option, self)
        painter.end()
        if self._import is None:
            self._asking.start()

    def event(self, event: QEvent) -> bool:
        """Hand on to the view box what a hand does."""
        if event.type() not in _HANDS:
            return super().event(event)
        if isinstance(event, QMouseEvent):
            self._held = event.buttons() != Qt.MouseButton.NoButton
        if self._successor is None:
            self.ready.emit()
        if self._successor is None:
            return False
        taken = QCoreApplication.sendEvent(self._successor, event)
        if not self._held:
            self._go()
        return taken

    def _go(self) -> None:
        self.hide()
        self.deleteLater()

    def stop(self) -> None:
        """Ask no more; the thread, where there is one, is waited for."""
        self._asking.stop()
        if self._import is not None:
            self._import.join()

    def _ask(self) -> None:
        if self._import is None:  # not in the paint event: the chart is to be on the screen first
            self._import = Thread(target=importlib.import_module, args=(_LIBRARY,), name="view box")
            self._import.start()
        elif not self._import.is_alive():
            self._asking.stop()
            self.ready.emit()
