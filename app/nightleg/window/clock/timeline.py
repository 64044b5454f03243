"""The time line under the chart: legs, shots, fixes and remarks on the clock, and flight time to be moved along it."""

from __future__ import annotations

from datetime import datetime, timedelta

from PySide6.QtCore import QEvent, QPoint, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QFocusEvent, QHelpEvent, QKeyEvent, QMouseEvent, QPainter, QPaintEvent, QResizeEvent
from PySide6.QtWidgets import QSizePolicy, QToolTip, QWidget

from nightleg.chart.fonts import font, metrics
from nightleg.units.times import write_clock
from nightleg.window.clock.clock import clock_words
from nightleg.window.clock.marks import Mark, Tick, TimeScale, marks, scale_of, ticks
from nightleg.window.clock.paint import AXIS, HEIGHT, TimePainter, place_of
from nightleg.window.clock.ticker import Ticker
from nightleg.window.look import Look
from nightleg.window.session import Session

SIDE_PX = 22  # with type of the usual size: a time at an end needs half its width
_USUAL_PX = 14
_DRAG_PX = 4  # a press that moves no further is a click
_NEAR_PX = 4.0
_ORDER = {"fix": 0, "shot": 1, "line": 2, "drift": 3, "leg": 4, "remark": 5}
_KEYS = {
    Qt.Key.Key_Left: -timedelta(minutes=1),
    Qt.Key.Key_Right: timedelta(minutes=1),
    Qt.Key.Key_PageUp: -timedelta(minutes=10),
    Qt.Key.Key_PageDown: timedelta(minutes=10),
}


class TimeLine(QWidget):
    """The flight on the clock. Dragging and the arrow keys move flight time; a click on a mark picks its entry."""

    picked = Signal(str, str)
    """Kind and id of the entry that was clicked; no id for the sight being typed."""
    pointed = Signal(str)
    """What stands under the cursor, in words; empty where nothing does."""

    def __init__(self, session: Session, ticker: Ticker, look: Look) -> None:
        super().__init__()
        self._session, self._ticker, self._look = session, ticker, look
        self.marks: tuple[Mark, ...] = ()
        self.scale = TimeScale(0.0, 1.0, 0.0, 1.0)
        self.ticks: tuple[Tick, ...] = ()
        self.chosen: Mark | None = None
        self.painter = TimePainter()
        self._shown: tuple[object, ...] = ()
        self._pressed: tuple[QPoint, Mark | None] | None = None
        self._dragging = False
        self.setObjectName("timeline")
        self.setAccessibleName("Time line")
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setMouseTracking(True)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        session.solved.connect(self.refresh)
        session.moved.connect(self.follow)
        ticker.changed.connect(self.follow)
        self.refresh()

    @property
    def now(self) -> datetime:
        """Flight time."""
        return self._session.now

    def set_look(self, look: Look) -> None:
        """Other colours, another size of type."""
        self._look = look
        self.updateGeometry()
        self._rescale()
        self.update()

    def sizeHint(self) -> QSize:
        """One line of marks over one of figures."""
        return QSize(600, round(HEIGHT * self._look.base_px))

    def minimumSizeHint(self) -> QSize:
        """It can be narrow, not low."""
        return QSize(200, self.sizeHint().height())

    def refresh(self) -> None:
        """There is another answer."""
        whole = self._session.whole
        self.marks = marks(whole.flight, whole.solution, whole.typed_id)
        self._shown = ()
        self.follow()

    def follow(self) -> None:
        """The time has moved: paint again only where that is to be seen."""
        self._rescale()
        now = self.now
        shown = (self.scale, round(self.scale.x(now) * 2.0), sum(mark.end <= now for mark in self.marks))
        if shown != self._shown:
            self._shown = shown
            self.update()
        self._describe()

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Another width."""
        super().resizeEvent(event)
        self._rescale()

    @property
    def follows(self) -> bool:
        """Whether flight time follows the entries: what stands at it is entered."""
        return not self._session.clock_set

    def _rescale(self) -> None:
        flight, now = self._session.document.flight, self.now
        last = max([now, self._ticker.moments[-1], *(mark.end for mark in self.marks)])
        side = SIDE_PX * self._look.base_px / _USUAL_PX
        scale = scale_of(flight.start.time, last, side, self.width() - 2.0 * side)
        if scale != self.scale:
            self.scale = scale
            self.ticks = ticks(scale, metrics(self._look.base_px - 1).horizontalAdvance("0000"))

    def _describe(self) -> None:
        clock = self._ticker.clock
        every = not (self._session.clock_set and self._session.as_known)
        words = clock_words(self.now, clock.rate, running=clock.running, every=every)
        ahead = next((mark for mark in self.marks if mark.begin > self.now), None)
        if ahead is not None:
            words += f"; next {write_clock(ahead.begin)} {ahead.name}"
        if words != self.accessibleDescription():
            self.setAccessibleDescription(words)

    def paintEvent(self, event: QPaintEvent) -> None:
        """All of it."""
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        self.painter.paint(painter, self, self._look, font(self._look.base_px - 1))
        painter.end()

    def mark_at(self, x: float, y: float) -> Mark | None:
        """The mark at a point; of several the one that matters most, then the nearest."""
        found = []
        for mark in self.marks:
            place = place_of(mark, self.scale, self._look.base_px).adjusted(-_NEAR_PX, -_NEAR_PX, _NEAR_PX, _NEAR_PX)
            if place.contains(x, y):
                found.append((_ORDER[mark.kind], abs(place.center().x() - x), mark))
        return min(found, key=lambda one: one[:2])[2] if found else None

    def mousePressEvent(self, event: QMouseEvent) -> None:
        """On a mark it may be a click; elsewhere flight time comes here at once."""
        if event.button() != Qt.MouseButton.LeftButton:
            return
        at = event.position()
        mark = self.mark_at(at.x(), at.y())
        self._pressed, self._dragging = (at.toPoint(), mark), mark is None
        if mark is None:
            self._to(at.x())

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        """Scrub, or tell what is under the cursor."""
        at = event.position()
        if self._pressed is None:
            mark = self.mark_at(at.x(), at.y())
            self.pointed.emit(mark.text if mark else f"{write_clock(self.scale.time(at.x()))} GMT")
            self.setCursor(Qt.CursorShape.PointingHandCursor if mark else Qt.CursorShape.ArrowCursor)
            return
        if not self._dragging and abs(at.x() - self._pressed[0].x()) > _DRAG_PX:
            self._dragging = True
        if self._dragging:
            self._to(at.x())

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        """A press that did not move picks its mark."""
        if self._pressed is not None and event.button() == Qt.MouseButton.LeftButton:
            (_, mark), self._pressed = self._pressed, None
            if mark is not None and not self._dragging:
                self.pick(mark)
            self._dragging = False

    def mouseDoubleClickEvent(self, event: QMouseEvent) -> None:
        """Flight time goes to the mark."""
        mark = self.mark_at(event.position().x(), event.position().y())
        if mark is not None:
            self._ticker.set(mark.end)

    def leaveEvent(self, event: QEvent) -> None:
        """Nothing is under the cursor."""
        super().leaveEvent(event)
        self.pointed.emit("")

    def event(self, event: QEvent) -> bool:
        """What stands here, as a tool tip."""
        if event.type() == QEvent.Type.ToolTip and isinstance(event, QHelpEvent):
            mark = self.mark_at(event.pos().x(), event.pos().y())
            if mark is not None:
                QToolTip.showText(event.globalPos(), mark.text, self)
            else:
                QToolTip.hideText()
            return True
        return super().event(event)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Arrows a minute, with shift ten seconds; page keys ten minutes; up and down from entry to entry."""
        key, ticker = Qt.Key(event.key()), self._ticker
        if key in _KEYS:
            step = _KEYS[key]
            fine = bool(event.modifiers() & Qt.KeyboardModifier.ShiftModifier)
            ticker.set(self.now + (step / 6 if fine else step))
        elif key == Qt.Key.Key_Home:
            ticker.to_start()
        elif key == Qt.Key.Key_End:
            ticker.to_last()
        elif key == Qt.Key.Key_Up:
            ticker.to_previous()
        elif key == Qt.Key.Key_Down:
            ticker.to_next()
        elif key in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self._pick_last()
        else:
            super().keyPressEvent(event)

    def _pick_last(self) -> None:
        """The entry that is the last by now."""
        past = [mark for mark in self.marks if mark.end <= self.now]
        if past:
            self.pick(max(past, key=lambda mark: (mark.end, -_ORDER[mark.kind])))

    def pick(self, mark: Mark) -> None:
        """Choose an entry."""
        self.chosen = mark
        self.update()
        self.picked.emit(mark.kind, mark.id)

    def _to(self, x: float) -> None:
        self._ticker.set(self.scale.time(x))

    def focusInEvent(self, event: QFocusEvent) -> None:
        """It shows that the keys are its own."""
        super().focusInEvent(event)
        self.update()

    def focusOutEvent(self, event: QFocusEvent) -> None:
        """They are no more."""
        super().focusOutEvent(event)
        self.update()

    def axis_y(self) -> float:
        """Height of the line, px."""
        return AXIS * self._look.base_px

    def area(self) -> QRectF:
        """All of it."""
        return QRectF(self.rect())
