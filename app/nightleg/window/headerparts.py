"""Parts of the strip above the chart: a figure under its name, the clock, the button that runs it."""

from __future__ import annotations

from PySide6.QtCore import QPointF, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QColor, QMouseEvent, QPainter, QPaintEvent, QPolygonF
from PySide6.QtWidgets import QAbstractButton, QLabel, QVBoxLayout, QWidget

from nightleg.window.explain.ahead import AHEAD
from nightleg.window.explain.explain import DR
from nightleg.window.explain.number import Asked, Number
from nightleg.window.look import grown, inks
from nightleg.window.parts import label

_QUESTIONS = {
    "DR position": (DR, "position"),
    "track": (DR, "track"),
    "ground speed": (DR, "ground speed"),
    "drift": (DR, "drift"),
    "DR 1σ": (DR, "1σ of each axis"),
    "next": (AHEAD, "distance"),
    "steer": (AHEAD, "heading to steer"),
    "due": (AHEAD, "due"),
}
"""Whose number a cell shows, and the step of the working that gives it."""


class Cell(QWidget):
    """A value under its name."""

    def __init__(self, name: str, sample: str, asked: Asked, group: list[Number]) -> None:
        super().__init__()
        self.setAccessibleName(name)
        self.caption, self.value, self._sample = label(name, "caption"), Number(asked, "figure", group), sample
        self.value.ask(*_QUESTIONS.get(name, ("", "")))
        self._column = column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(0)
        column.addWidget(self.caption)
        column.addWidget(self.value)

    def put(self, caption: str, value: str) -> None:
        """Show a value under a caption."""
        if (caption, value) != (self.caption.text(), self.value.text()):
            self.caption.setText(caption)
            self.value.setText(value)
            self.value.setAccessibleName(f"{caption}: {value}")
            self.setAccessibleName(caption)
            self._column.activate()

    def hold(self) -> None:
        """Keep room for the widest usual value in the type of the moment."""
        width = self.value.fontMetrics().horizontalAdvance(self._sample)
        if self.value.minimumWidth() != width:
            self.value.setMinimumWidth(width)

    def room_px(self) -> int:
        """The width that caption and value take."""
        widths = (self.caption.sizeHint().width(), self.value.sizeHint().width(), self.value.minimumWidth())
        return max(widths)


class RunButton(QAbstractButton):
    """Runs and pauses the clock: a triangle while it stands, two bars while it runs."""

    def __init__(self) -> None:
        super().__init__()
        self.setCheckable(True)
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.setCursor(Qt.CursorShape.PointingHandCursor)

    def sizeHint(self) -> QSize:
        """As high as a figure."""
        side = round(30 * grown(self))
        return QSize(side, side)

    def paintEvent(self, event: QPaintEvent) -> None:
        """The sign, in ink."""
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(QColor(inks(self).ink))
        painter.translate(self.width() / 2.0, self.height() / 2.0)
        painter.scale(grown(self), grown(self))
        if self.isChecked():
            painter.drawRect(QRectF(-8.0, -9.0, 5.0, 18.0))
            painter.drawRect(QRectF(3.0, -9.0, 5.0, 18.0))
        else:
            painter.drawPolygon(QPolygonF([QPointF(-7.0, -9.0), QPointF(9.0, 0.0), QPointF(-7.0, 9.0)]))
        painter.end()


class ClockLabel(QLabel):
    """The clock; a click on it asks for another time."""

    clicked = Signal()

    def __init__(self) -> None:
        super().__init__()
        self.setTextFormat(Qt.TextFormat.PlainText)
        self.setProperty("kind", "clock")
        self.setToolTip("Click to set the clock")

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        """A click."""
        super().mouseReleaseEvent(event)
        if event.button() == Qt.MouseButton.LeftButton and self.rect().contains(event.position().toPoint()):
            self.clicked.emit()
