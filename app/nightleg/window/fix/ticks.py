"""A check box in the window's own inks: a box, and a tick in it."""

from __future__ import annotations

from PySide6.QtCore import QPoint, QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QColor, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QCheckBox, QSizePolicy

from nightleg.window.look import grown, inks

_BOX_PX, _GAP_PX = 12.0, 6


class Tick(QCheckBox):
    """The style's own check box stays white where the window is dark."""

    def __init__(self, text: str = "") -> None:
        super().__init__(text)
        self.setSizePolicy(QSizePolicy.Policy.Fixed, QSizePolicy.Policy.Fixed)

    def sizeHint(self) -> QSize:
        """Box and text."""
        width = self.fontMetrics().horizontalAdvance(self.text())
        return QSize(round(_BOX_PX * grown(self)) + 2 + _GAP_PX + width + 3, self.fontMetrics().height())

    def minimumSizeHint(self) -> QSize:
        """No less: nothing is cut."""
        return self.sizeHint()

    def hitButton(self, pos: QPoint) -> bool:
        """All of it takes a click."""
        return self.rect().contains(pos)

    def paintEvent(self, event: QPaintEvent) -> None:
        """The box with its tick, and the text; with the cursor, a frame in the colour of lines."""
        of = inks(self)
        ink = QColor(of.ink if self.isEnabled() else of.muted)
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        k = grown(self)
        side = _BOX_PX * k
        box = QRectF(1.5, (self.height() - side) / 2.0, side, side)
        cursor = self.hasFocus()
        painter.setPen(QPen(QColor(of.line if cursor else of.muted), 2.0 if cursor else 1.0))
        painter.setBrush(QColor(of.field if self.isEnabled() else of.panel))
        painter.drawRoundedRect(box, 2.0, 2.0)
        if self.isChecked():
            painter.setPen(
                QPen(ink, 2.0 * k, Qt.PenStyle.SolidLine, Qt.PenCapStyle.RoundCap, Qt.PenJoinStyle.RoundJoin)
            )
            x, y = box.left(), box.top()
            hook = ((3.0, 6.3), (5.2, 8.7), (9.2, 3.4))
            painter.drawPolyline([QPointF(x + dx * k, y + dy * k) for dx, dy in hook])
        painter.setPen(ink)
        text = self.rect().adjusted(round(side) + 2 + _GAP_PX, 0, 0, 0)
        painter.drawText(text, Qt.AlignmentFlag.AlignVCenter | Qt.AlignmentFlag.AlignLeft, self.text())
        painter.end()
