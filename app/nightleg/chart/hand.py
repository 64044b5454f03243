"""The hand on the chart: a click picks, a drag with Shift measures; keys do the same. The rest is the view box's."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QEvent, QObject, QPointF, Qt
from PySide6.QtGui import QKeyEvent, QMouseEvent

from nightleg.chart.measure import measure
from nightleg.chart.pick import snapped
from nightleg.chart.pickground import pick_of
from nightleg.units.positions import Position

if TYPE_CHECKING:
    from nightleg.chart.canvas import ChartCanvas

_CLICK_PX = 4.0  # a press that moves no further is a click
_STEP_PX, _FINE_PX = 20.0, 2.0  # by which arrows move the end of the measuring line


class Hand(QObject):
    """Watches the viewport of a canvas."""

    def __init__(self, canvas: ChartCanvas) -> None:
        super().__init__(canvas)
        self._canvas = canvas
        self._pressed: QPointF | None = None
        self._from: Position | None = None  # where the measuring line begins
        self._end_px: tuple[float, float] = (0.0, 0.0)
        self._held = False  # the button is down on it
        self._free = False  # it follows the cursor without a button, begun by a key

    @property
    def measuring(self) -> bool:
        """Whether there is a measuring line."""
        return self._from is not None

    @property
    def holding(self) -> bool:
        """Whether the button is down on the chart."""
        return self._held or self._pressed is not None

    @property
    def end(self) -> Position | None:
        """The end of the measuring line while that follows the cursor."""
        measured = self._canvas.measured
        return measured.end if measured is not None and (self._held or self._free) else None

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Take what belongs to measuring, notice clicks, let the rest go on to the view box."""
        if not isinstance(event, QMouseEvent):
            return False
        at, kind = event.position(), event.type()
        if kind == QEvent.Type.MouseButtonPress and event.button() == Qt.MouseButton.LeftButton:
            return self._press(at, bool(event.modifiers() & Qt.KeyboardModifier.ShiftModifier))
        if kind == QEvent.Type.MouseMove and self._from is not None and (self._held or self._free):
            self._to(at.x(), at.y())
            if self._held:
                self._canvas.mouse_at(at)
            return self._held
        if kind == QEvent.Type.MouseButtonRelease and event.button() == Qt.MouseButton.LeftButton:
            return self._release(at)
        return False

    def key(self, event: QKeyEvent) -> bool:
        """A key on the chart; False where it means nothing here."""
        key = Qt.Key(event.key())
        if key == Qt.Key.Key_M:
            self.stop() if self.measuring else self.begin()
        elif key == Qt.Key.Key_Escape and (self.measuring or self._canvas.chosen is not None):
            self.stop()
            self._canvas.choose(None)
        elif self.measuring and key in _ARROWS:
            step = _FINE_PX if event.modifiers() & Qt.KeyboardModifier.ShiftModifier else _STEP_PX
            dx, dy = _ARROWS[key]
            self._free = False
            self._to(self._end_px[0] + dx * step, self._end_px[1] + dy * step)
            if self._canvas.measured is not None:
                self._canvas.hovered.emit(self._canvas.measured.end)
        elif self.measuring and key in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self._free = False
        else:
            return False
        return True

    def begin(self) -> None:
        """Measure from under the cursor, or from the DR where there is none; the end follows cursor or arrows."""
        canvas, scene, view = self._canvas, self._canvas.scene, self._canvas.view
        if scene is None or view is None:
            return
        at = canvas.cursor_px
        if at is not None:
            self._from = snapped(scene, view, *at)
        elif scene.dr is not None:
            self._from = scene.dr.position
        else:
            self._from = view.centre
        self._free = self._from is not None
        if self._from is not None:
            self._to(*(at or view.point(self._from)))

    def stop(self) -> None:
        """No measuring line any more."""
        self._from, self._held, self._free = None, False, False
        self._canvas.show_measured(None)

    def _press(self, at: QPointF, with_shift: bool) -> bool:
        scene, view = self._canvas.scene, self._canvas.view
        self._canvas.setFocus(Qt.FocusReason.MouseFocusReason)
        if self._free:  # the line that followed the cursor stays where it is put down
            self._free = False
            self._pressed = None
            return True
        if with_shift and scene is not None and view is not None:
            self._from = snapped(scene, view, at.x(), at.y())
            self._held = self._from is not None
            self._pressed = None
            return True
        self._pressed = at
        return False

    def _release(self, at: QPointF) -> bool:
        if self._held:
            self._held = False
            return True
        pressed, self._pressed = self._pressed, None
        if pressed is not None and (at - pressed).manhattanLength() <= _CLICK_PX:
            self._click(at)
        return False

    def _click(self, at: QPointF) -> None:
        sheet = self._canvas.item.sheet
        if self.measuring:
            self.stop()
        elif sheet is not None:
            self._canvas.choose(pick_of(sheet, at.x(), at.y()))

    def _to(self, x: float, y: float) -> None:
        scene, view = self._canvas.scene, self._canvas.view
        if scene is None or view is None or self._from is None:
            return
        self._end_px = x, y
        end = snapped(scene, view, x, y)
        if end is not None:
            self._canvas.show_measured(measure(self._from, end))


_ARROWS = {
    Qt.Key.Key_Left: (-1.0, 0.0),
    Qt.Key.Key_Right: (1.0, 0.0),
    Qt.Key.Key_Up: (0.0, -1.0),
    Qt.Key.Key_Down: (0.0, 1.0),
}
