"""The log as a table under the chart."""

from __future__ import annotations

from typing import Any

from PySide6.QtCore import QAbstractTableModel, QModelIndex, QPersistentModelIndex, QSize, Qt
from PySide6.QtGui import QColor, QFont, QResizeEvent, QShowEvent
from PySide6.QtWidgets import QAbstractItemView, QHeaderView, QTableView, QWidget

from nightleg.chart.fonts import font, text_width_px
from nightleg.window.logentries import COLUMNS, SPANS, LogEntry, entries
from nightleg.window.look import Look
from nightleg.window.session import Session

Index = QModelIndex | QPersistentModelIndex

_SAMPLES = {
    "time": "2252:30",
    "entry": "Zubenelgenubi",
    "reading": "61°08.0′",
    "Ho": "61°08.0′",
    "Hc": "−61°08.0′",
    "Zn": "312.0°",
    "intercept": "intercept",
}
_NONE = QModelIndex()


class LogModel(QAbstractTableModel):
    """Rows of the session's answer; the sight being typed among them."""

    def __init__(self, session: Session, look: Look) -> None:
        super().__init__(session)
        self._session = session
        self._look = look
        self.rows: tuple[LogEntry, ...] = ()
        session.solved.connect(self.refresh)
        self.refresh()

    def set_look(self, look: Look) -> None:
        """Other colours."""
        self._look = look
        self._all_changed()

    def refresh(self) -> None:
        """Take the session's answer; where only figures changed, the view keeps its place."""
        worked = self._session.worked
        rows = entries(worked.flight, worked.solution, worked.typed_id)
        if [row.kind for row in rows] == [row.kind for row in self.rows]:
            if rows != self.rows:
                self.rows = rows
                self._all_changed()
            return
        self.beginResetModel()
        self.rows = rows
        self.endResetModel()

    def _all_changed(self) -> None:
        if self.rows:
            self.dataChanged.emit(self.index(0, 0), self.index(len(self.rows) - 1, len(COLUMNS) - 1))

    def rowCount(self, parent: Index = _NONE) -> int:
        """Entries."""
        return 0 if parent.isValid() else len(self.rows)

    def columnCount(self, parent: Index = _NONE) -> int:
        """Columns."""
        return 0 if parent.isValid() else len(COLUMNS)

    def headerData(self, section: int, orientation: Qt.Orientation, role: int = Qt.ItemDataRole.DisplayRole) -> Any:
        """Names of the columns."""
        if orientation == Qt.Orientation.Horizontal:
            if role == Qt.ItemDataRole.DisplayRole:
                return COLUMNS[section]
            if role == Qt.ItemDataRole.TextAlignmentRole:
                return Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter
        return None

    def data(self, index: Index, role: int = Qt.ItemDataRole.DisplayRole) -> Any:
        """Text, colour and weight of a cell."""
        row, column = self.rows[index.row()], COLUMNS[index.column()]
        if role in (Qt.ItemDataRole.DisplayRole, Qt.ItemDataRole.ToolTipRole):
            return row.cells[index.column()] or None
        if role == Qt.ItemDataRole.ForegroundRole:
            return QColor(self._colour(row, column))
        if role == Qt.ItemDataRole.FontRole:
            bold = column == "entry" and row.kind in ("sight", "fix")
            return self._font(bold=bold, italic=row.typed)
        if role == Qt.ItemDataRole.BackgroundRole and row.typed:
            return QColor(self._look.chosen)
        return None

    def _font(self, *, bold: bool, italic: bool) -> QFont:
        return font(self._look.base_px, bold=bold, italic=italic)

    def _colour(self, row: LogEntry, column: str) -> str:
        if column == "note" or (row.kind == "remark" and column != "time"):
            return self._look.muted
        if row.kind == "sight" and column == "entry":
            return self._look.line
        if row.kind == "fix" and column in ("entry", "reading"):
            return self._look.fix
        return self._look.ink


class LogTable(QTableView):
    """The log. The row of the sight being typed stays in sight."""

    def __init__(self, session: Session, look: Look) -> None:
        super().__init__()
        self.log = LogModel(session, look)
        self.setModel(self.log)
        self.setAccessibleName("Log")
        self.setShowGrid(False)
        self.setWordWrap(False)
        self.setTabKeyNavigation(False)
        self.setSelectionBehavior(QAbstractItemView.SelectionBehavior.SelectRows)
        self.setSelectionMode(QAbstractItemView.SelectionMode.SingleSelection)
        self.setVerticalScrollMode(QAbstractItemView.ScrollMode.ScrollPerPixel)
        self.setHorizontalScrollMode(QAbstractItemView.ScrollMode.ScrollPerPixel)
        self.setEditTriggers(QAbstractItemView.EditTrigger.NoEditTriggers)
        rows = self.verticalHeader()
        rows.setVisible(False)
        rows.setSectionResizeMode(QHeaderView.ResizeMode.Fixed)
        columns = self.horizontalHeader()
        columns.setHighlightSections(False)
        columns.setStretchLastSection(True)
        columns.setSectionResizeMode(QHeaderView.ResizeMode.Fixed)
        self.log.modelReset.connect(self._span)
        self.log.dataChanged.connect(self._to_newest)
        self._span()
        self.fit_columns(look)

    def fit_columns(self, look: Look) -> None:
        """Columns as wide as what they hold."""
        self.verticalHeader().setDefaultSectionSize(look.base_px + 9)
        for number, name in enumerate(COLUMNS[:-1]):
            self.setColumnWidth(number, round(text_width_px(_SAMPLES[name], look.base_px, bold=True)) + 20)
        self._to_newest()

    def _span(self) -> None:
        """Let long cells take the columns that their row has no use for."""
        self.clearSpans()
        for number, row in enumerate(self.log.rows):
            for first, count in SPANS[row.kind]:
                self.setSpan(number, first, 1, count)
        self._to_newest()

    def _to_newest(self) -> None:
        self.executeDelayedItemsLayout()  # after a reset the view does not know its new length yet
        self.updateGeometries()
        rows = self.log.rows
        typed = [number for number, row in enumerate(rows) if row.typed]
        number = typed[0] if typed else len(rows) - 1
        if typed and number + 1 < len(rows) and rows[number + 1].kind == "fix":  # what it does is seen with it
            self.scrollTo(self.log.index(number + 1, 0))
        if number >= 0:
            self.scrollTo(self.log.index(number, 0))

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Keep the newest in sight."""
        super().resizeEvent(event)
        self._to_newest()


class LogPane(QWidget):
    """The room of the log. The table takes as much of it as whole rows fill, so that none is cut."""

    def __init__(self, table: LogTable, indent_px: int) -> None:
        super().__init__()
        self.setObjectName("page")
        self._table, self._indent_px = table, indent_px
        table.setParent(self)
        table.horizontalHeader().geometriesChanged.connect(self.refit)

    def minimumSizeHint(self) -> QSize:
        """Two rows."""
        return QSize(200, self._head_px() + 2 * self._row_px())

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
        rows = max((self.height() - self._head_px()) // self._row_px(), 1)
        self._table.setGeometry(
            self._indent_px, 0, self.width() - self._indent_px, self._head_px() + rows * self._row_px()
        )

    def _head_px(self) -> int:
        header = self._table.horizontalHeader()
        return (
            header.height() if self._table.isVisible() else header.sizeHint().height()
        ) + 2 * self._table.frameWidth()

    def _row_px(self) -> int:
        return max(self._table.verticalHeader().defaultSectionSize(), 1)
