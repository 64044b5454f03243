"""What is said for a while lies over the chart: that keeps its size, and so its view, as words come and go."""

from __future__ import annotations

from PySide6.QtCore import QEvent, QObject
from PySide6.QtWidgets import QWidget

_CHART = (QEvent.Type.Resize, QEvent.Type.Move, QEvent.Type.Show)
_WORDS = (QEvent.Type.LayoutRequest, QEvent.Type.Show, QEvent.Type.StyleChange)


class Overlaid(QObject):
    """Keeps one part along the upper edge of another, and one along its lower edge, as high as their words."""

    def __init__(self, chart: QWidget, above: QWidget, below: QWidget) -> None:
        """They get the chart's parent, which must have been given by then."""
        super().__init__(chart)
        self._chart, self._above, self._below = chart, above, below
        for part in (above, below):
            part.setParent(chart.parentWidget())
            part.installEventFilter(self)
        chart.installEventFilter(self)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """The chart has another place, or a part other words."""
        if event.type() in (_CHART if watched is self._chart else _WORDS):
            self._place()
        return False

    def _place(self) -> None:
        room = self._chart.geometry()
        for part in (self._above, self._below):
            if part.isHidden():
                continue
            high = min(_height(part, room.width()), room.height())
            top = room.top() if part is self._above else room.bottom() + 1 - high
            part.setGeometry(room.left(), top, room.width(), high)
            part.raise_()


def _height(part: QWidget, width: int) -> int:
    high = part.heightForWidth(width) if part.hasHeightForWidth() else -1
    return high if high > 0 else part.sizeHint().height()
