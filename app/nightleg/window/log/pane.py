"""The room of the log under the chart."""

from __future__ import annotations

from PySide6.QtCore import QSize
from PySide6.QtGui import QResizeEvent, QShowEvent
from PySide6.QtWidgets import QWidget

from nightleg.window.log.table import LogTable


class LogPane(QWidget):
    """The room of the log: its strip of switches, and a table of as many whole rows as there is room for."""

    def __init__(self, table: LogTable, indent_px: int) -> None:
        super().__init__()
        self.setObjectName("page")
        self._table, self._indent_px = table, indent_px
        self._strip: QWidget | None = None
        table.setParent(self)
        table.horizontalHeader().geometriesChanged.connect(self.refit)
        table.log.modelReset.connect(self.refit)

    def set_strip(self, strip: QWidget) -> None:
        """Put switches above the table."""
        self._strip = strip
        strip.setParent(self)
        strip.show()
        self.refit()

    def minimumSizeHint(self) -> QSize:
        """Two rows."""
        return QSize(200, self._strip_px() + self._head_px() + 2 * self._row_px())

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Give the table its whole rows."""
        super().resizeEvent(event)
        self.refit()

    def showEvent(self, event: QShowEvent) -> None:
        """The style is known now."""
        super().showEvent(event)
        self.refit()

    def refit(self) -> None:
        """Lay the table out anew, as after a change of type size."""
        above = self._strip_px()
        rows = max((self.height() - above - self._head_px()) // self._row_px(), 1)
        width = self.width() - self._indent_px
        if self._strip is not None:
            self._strip.setGeometry(self._indent_px, 0, width, above)
        self._table.setGeometry(self._indent_px, above, width, self._head_px() + rows * self._row_px())

    def _strip_px(self) -> int:
        return 0 if self._strip is None else self._strip.sizeHint().height()

    def _head_px(self) -> int:
        header, bar = self._table.horizontalHeader(), self._table.horizontalScrollBar()
        height = header.height() if self._table.isVisible() else header.sizeHint().height()
        return height + 2 * self._table.frameWidth() + (bar.sizeHint().height() if self._table.log.full else 0)

    def _row_px(self) -> int:
        return max(self._table.verticalHeader().defaultSectionSize(), 1)
