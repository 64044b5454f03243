"""A small picture of a series: its readings about the computed motion."""

from __future__ import annotations

from PySide6.QtCore import QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QColor, QFontMetricsF, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QSizePolicy, QWidget

from nightleg.units.angles import write_arcmin
from nightleg.window.look import inks
from nightleg.window.sight.series import Spread

_LEAST_ARCMIN = 3.0  # what the height shows at least, so that a good series looks good
_DOT_PX = 3.2


class SeriesPicture(QWidget):
    """Dots at their times, a zero line for the computed motion, dashes at one σ, a cross on what lies apart."""

    def __init__(self) -> None:
        super().__init__()
        self._spread: Spread | None = None
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.setAccessibleName("Residuals of the series")

    @property
    def shown(self) -> Spread | None:
        """What is drawn."""
        return self._spread

    def show_spread(self, spread: Spread | None) -> None:
        """Draw another series, or none."""
        if spread != self._spread:
            self._spread = spread
            self.setAccessibleDescription("" if spread is None else in_words(spread))
            self.setToolTip(self.accessibleDescription())
            self.update()

    def sizeHint(self) -> QSize:
        """Five lines of text high."""
        return QSize(200, 5 * self.fontMetrics().height())

    def place(self, minutes: float, arcmin: float) -> QPointF:
        """Where a reading stands in the picture."""
        field, reach_min, reach = self._field(), self._reach_min(), self._reach_arcmin()
        x = field.center().x() + minutes / reach_min * field.width() / 2.0
        return QPointF(x, field.center().y() - arcmin / reach * field.height() / 2.0)

    def paintEvent(self, event: QPaintEvent) -> None:
        """Draw."""
        spread = self._spread
        if spread is None:
            return
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        of = inks(self)
        ink, quiet, line = QColor(of.ink), QColor(of.muted), QColor(of.line)
        field = self._field()
        painter.setPen(QPen(quiet, 1.0))
        middle = field.center().y()
        painter.drawLine(QPointF(field.left(), middle), QPointF(field.right(), middle))
        self._write(painter, middle, "0", quiet)
        sigma = spread.sigma_arcmin or 0.0
        if 0.05 <= sigma <= self._reach_arcmin():
            for side in (1.0, -1.0):
                painter.setPen(QPen(quiet, 1.0, Qt.PenStyle.DashLine))
                y = self.place(0.0, side * sigma).y()
                painter.drawLine(QPointF(field.left(), y), QPointF(field.right(), y))
                self._write(painter, y, f"{write_arcmin(side * sigma)}", quiet)
        for number, (minutes, left) in enumerate(zip(spread.minutes, spread.residuals_arcmin, strict=True)):
            self._dot(painter, self.place(minutes, left), number in spread.odd, ink, line)
        painter.end()

    def _dot(self, painter: QPainter, at: QPointF, odd: bool, ink: QColor, line: QColor) -> None:
        if not odd:
            painter.setPen(Qt.PenStyle.NoPen)
            painter.setBrush(line)
            painter.drawEllipse(at, _DOT_PX, _DOT_PX)
            return
        painter.setPen(QPen(ink, 1.8))
        painter.setBrush(Qt.BrushStyle.NoBrush)
        arm = _DOT_PX * 1.3
        painter.drawLine(at + QPointF(-arm, -arm), at + QPointF(arm, arm))
        painter.drawLine(at + QPointF(-arm, arm), at + QPointF(arm, -arm))

    def _write(self, painter: QPainter, y: float, text: str, colour: QColor) -> None:
        """A value of the scale, at the left; one that would lie on the zero is left out."""
        height = QFontMetricsF(self.font()).height()
        if text != "0" and abs(y - self._field().center().y()) < 0.75 * height:
            return
        painter.setPen(colour)
        box = QRectF(0.0, y - height / 2.0, self._field().left() - 6.0, height)
        painter.drawText(box, Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter, text)

    def _field(self) -> QRectF:
        sigma = 0.0 if self._spread is None else self._spread.sigma_arcmin or 0.0
        width = QFontMetricsF(self.font()).horizontalAdvance
        left = max(width("−10.0′"), width(write_arcmin(-sigma))) + 8.0
        return QRectF(left, 6.0, max(self.width() - left - 8.0, 1.0), max(self.height() - 12.0, 1.0))

    def _reach_min(self) -> float:
        assert self._spread is not None
        return max([abs(minutes) for minutes in self._spread.minutes] + [0.1]) * 1.06

    def _reach_arcmin(self) -> float:
        assert self._spread is not None
        return max([abs(left) for left in self._spread.residuals_arcmin] + [_LEAST_ARCMIN]) * 1.1


def in_words(spread: Spread) -> str:
    """The picture for those who do not see it."""
    shares = ", ".join(
        f"{number + 1}: {write_arcmin(left)}{' apart' if number in spread.odd else ''}"
        for number, left in enumerate(spread.residuals_arcmin)
    )
    return f"each reading less the computed motion: {shares}"
