"""The shots of a fix with their residuals as bars; a check box takes each in or out."""

from __future__ import annotations

from PySide6.QtCore import QPointF, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QColor, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QGridLayout, QSizePolicy, QWidget

from nightleg.window.explain.number import Asked, Number
from nightleg.window.fix.shots import FAR_SIGMAS, REACH_SIGMAS, ShotRow
from nightleg.window.fix.ticks import Tick
from nightleg.window.look import inks

_BAR_PX = 7.0


class ResidualBar(QWidget):
    """A bar from the zero in its middle, to the right for a positive residual.

    Within 2 σ it is full; beyond, only an outline; beyond the 3 σ at its ends it has a point that says it goes on.
    """

    def __init__(self) -> None:
        super().__init__()
        self._sigmas: float | None = None
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)

    def show_row(self, row: ShotRow) -> None:
        """Another residual."""
        sigmas = None if row.residual is None else row.sigmas
        self.setAccessibleName(row.spoken)
        self.setToolTip(row.spoken)
        if sigmas != self._sigmas:
            self._sigmas = sigmas
            self.update()

    def sizeHint(self) -> QSize:
        """A line of text high."""
        return QSize(90, self.fontMetrics().height())

    def reach(self) -> QRectF:
        """What the bar covers."""
        middle = self.rect().center()
        half = (self.width() - 16) / 2.0
        share = 0.0 if self._sigmas is None else max(-1.0, min(1.0, self._sigmas / REACH_SIGMAS))
        x = middle.x() + 0.5
        return QRectF(x, middle.y() - _BAR_PX / 2.0 + 0.5, share * half, _BAR_PX).normalized()

    def paintEvent(self, event: QPaintEvent) -> None:
        """Scale and bar."""
        of = inks(self)
        quiet, line = QColor(of.edge), QColor(of.line)
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        middle = QPointF(self.rect().center()) + QPointF(0.5, 0.5)
        half = (self.width() - 16) / 2.0
        painter.setPen(QPen(quiet, 1.0))
        painter.drawLine(QPointF(middle.x() - half, middle.y()), QPointF(middle.x() + half, middle.y()))
        for sigmas in (-3, -2, -1, 1, 2, 3):
            x = middle.x() + sigmas / REACH_SIGMAS * half
            painter.drawLine(QPointF(x, middle.y() - 2.0), QPointF(x, middle.y() + 2.0))
        if self._sigmas is not None:
            self._bar(painter, self._sigmas, line)
        painter.setPen(QPen(QColor(of.ink), 1.0))
        painter.drawLine(QPointF(middle.x(), middle.y() - 6.0), QPointF(middle.x(), middle.y() + 6.0))
        painter.end()

    def _bar(self, painter: QPainter, sigmas: float, line: QColor) -> None:
        reach, far = self.reach(), abs(sigmas) > FAR_SIGMAS
        painter.setPen(QPen(line, 1.6 if far else 1.0))
        painter.setBrush(Qt.BrushStyle.NoBrush if far else line)
        painter.drawRect(reach)
        if abs(sigmas) > REACH_SIGMAS:
            tip = reach.right() if sigmas > 0.0 else reach.left()
            side, y = (1.0 if sigmas > 0.0 else -1.0), reach.center().y()
            painter.setBrush(line)
            painter.drawPolygon(
                [QPointF(tip, y - _BAR_PX), QPointF(tip, y + _BAR_PX), QPointF(tip + side * _BAR_PX, y)]
            )


class ShotBars(QWidget):
    """A row for each shot. Check boxes take the space bar and the arrow keys."""

    chosen = Signal(str, bool)
    """A shot is to belong to the fix, or no longer."""

    def __init__(self, asked: Asked) -> None:
        super().__init__()
        self.setAccessibleName("Shots of the fix")
        self._asked = asked
        self._group: list[Number] = []
        self._grid = QGridLayout(self)
        self._grid.setContentsMargins(0, 0, 0, 0)
        self._grid.setHorizontalSpacing(6)
        self._grid.setVerticalSpacing(0)
        self._grid.setColumnStretch(1, 1)
        self.lines: list[tuple[Tick, ResidualBar, Number]] = []
        self._rows: tuple[ShotRow, ...] = ()

    @property
    def rows(self) -> tuple[ShotRow, ...]:
        """What is shown."""
        return self._rows

    def show_rows(self, rows: tuple[ShotRow, ...], fix_id: str, editable: bool) -> None:
        """Show these shots of a fix."""
        self._rows = rows
        while len(self.lines) < len(rows):
            self._add()
        for number, parts in enumerate(self.lines):
            for part in parts:
                part.setVisible(number < len(rows))
            if number < len(rows):
                self._fill(rows[number], parts, fix_id, editable)

    def _fill(self, row: ShotRow, parts: tuple[Tick, ResidualBar, Number], fix_id: str, editable: bool) -> None:
        box, bar, value = parts
        box.setText(f"{row.name}, typed" if row.typed else row.name)
        box.setChecked(row.belongs)
        box.setEnabled(editable and not row.typed)
        box.setAccessibleName(f"{row.name} belongs to fix {fix_id}")
        bar.show_row(row)
        value.setText(row.value)
        after = "" if row.common is None else " after the common error"
        value.setAccessibleName(f"{row.name}, left at the fix{after}: {row.value}")
        value.ask(fix_id if row.residual is not None else "", f"line {row.name}")

    def _add(self) -> None:
        number = len(self.lines)
        box, bar, value = Tick(), ResidualBar(), Number(self._asked, "row", self._group)
        value.setAlignment(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter)
        for column, part in enumerate((box, bar, value)):
            self._grid.addWidget(part, number, column)
        box.clicked.connect(lambda checked: self._choose(number, checked))
        if number:
            QWidget.setTabOrder(self.lines[-1][0], box)
        self.lines.append((box, bar, value))

    def _choose(self, number: int, checked: bool) -> None:
        if number < len(self._rows):
            self.chosen.emit(self._rows[number].id, checked)
