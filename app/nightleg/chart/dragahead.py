"""What a drag will need, made ready while the cursor is on a chart at rest and nothing else happens."""

from __future__ import annotations

from PySide6.QtCore import QObject, QTimer

from nightleg.chart.sheetitem import SheetItem

_STEP_MS = 10  # from part to part: what else is to be done comes in between


class DragAhead(QObject):
    """Has an item prepare its picture for a drag, a part at a time, while the cursor is there."""

    def __init__(self, parent: QObject, item: SheetItem) -> None:
        super().__init__(parent)
        self._item = item
        self._cursor = False
        self._steps = QTimer(self)
        self._steps.setInterval(_STEP_MS)
        self._steps.timeout.connect(self._step)
        item.when_painted = self._begin

    @property
    def active(self) -> bool:
        """Whether there is more to make ready."""
        return self._steps.isActive()

    def come(self) -> None:
        """The cursor is on the chart."""
        if not self._cursor:
            self._cursor = True
            self._begin()

    def leave(self) -> None:
        """It is there no more, or there is no chart: what was made ready takes room in memory."""
        self._cursor = False
        self._steps.stop()
        self._item.release()

    def _begin(self) -> None:
        """The chart has come to rest, or the cursor to the chart."""
        if self._cursor and not self._steps.isActive():
            self._steps.start()

    def _step(self) -> None:
        if not self._item.prepare():
            self._steps.stop()
