"""A view of the log's rows, and the first columns that stay where they are when the rest is moved sideways."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import Qt
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QAbstractItemDelegate, QAbstractItemView, QHeaderView, QWidget

from nightleg.window.log.cells import CellDelegate
from nightleg.window.log.cursor import CursorView
from nightleg.window.log.full import FIXED
from nightleg.window.log.model import Index, LogModel

if TYPE_CHECKING:
    from nightleg.window.log.editing import EditedLog

SAMPLES = {
    "time": "2252:30",
    "entry": "Zubenelgenubi",
    "id": "s100",
    "reading": "00°00.0′N 00",
    "position": "00°00.0′N 000°00.0′W",
    "Ho": "61°08.0′",
    "Hc": "−61°08.0′",
    "Zn": "TAS 400",
    "intercept": "wind 300/45",
    "use": "yes",
    "TC": "000°",
    "drift": "10° R",
    "TH": "000°",
    "var": "−12.0°",
    "MH": "000°",
    "dev": "−12.0°",
    "CH": "000°",
    "temp": "(−56)",
    "altitude": "31000",
    "TAS": "4000",
    "wind": "300/125",
    "GS": "4000",
    "next": "LANTERN",
    "ETA": "0000",
    "CAS/Mach": "M 0.785",
    "limb": "centre",
    "1σ": "(12.5)",
    "duration": "120.5",
    "turn": "−12.5",
    "change": "−12.5",
    "horizon": "(natural)",
    "assumed": "00°00.0′N 000°00.0′W",
    "shots": "s10 s11 s12 s13",
}
"""Texts as long as what the columns hold."""
_ENOUGH = QAbstractItemView.ScrollHint.EnsureVisible


class LogView(CursorView):
    """A quiet table of entries, edited in its cells."""

    def __init__(self, log: LogModel) -> None:
        super().__init__()
        self.log = log
        self.setModel(log)
        self.cells = CellDelegate(self)
        self.setItemDelegate(self.cells)
        self.setShowGrid(False)
        self.setWordWrap(False)
        self.setTabKeyNavigation(False)
        self.setVerticalScrollMode(QAbstractItemView.ScrollMode.ScrollPerPixel)
        self.setHorizontalScrollMode(QAbstractItemView.ScrollMode.ScrollPerPixel)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setEditTriggers(QAbstractItemView.EditTrigger.NoEditTriggers)
        rows = self.verticalHeader()
        rows.setVisible(False)
        rows.setSectionResizeMode(QHeaderView.ResizeMode.Fixed)
        columns = self.horizontalHeader()
        columns.setHighlightSections(False)
        columns.setStretchLastSection(True)
        columns.setSectionResizeMode(QHeaderView.ResizeMode.Fixed)
        corner = QWidget()
        corner.setObjectName("page")
        self.setCornerWidget(corner)

    def scrollTo(self, index: Index, hint: QAbstractItemView.ScrollHint = _ENOUGH) -> None:
        """Bring a cell into view; in the full log beside the columns that stay, which are in view as they are."""
        if not self.log.full or not index.isValid():
            super().scrollTo(index, hint)
            return
        bar = self.horizontalScrollBar()
        at = bar.value()
        super().scrollTo(index, hint)
        if index.column() < FIXED or self.columnSpan(index.row(), index.column()) > 1:
            bar.setValue(at)
            return
        hidden = sum(self.columnWidth(number) for number in range(FIXED)) - self.visualRect(index).left()
        if hidden > 0:
            bar.setValue(bar.value() - hidden)


class FixedColumns(LogView):
    """The first columns of the full log, over the table. Keys go to the table."""

    def __init__(self, table: EditedLog) -> None:
        super().__init__(table.log)
        self._table = table
        self.setParent(table)
        self.setObjectName("fixed")
        self.setAccessibleName("Log, time and entry")
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.cells.keys = table
        self.setSelectionModel(table.selectionModel())
        self.setVerticalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.horizontalHeader().setStretchLastSection(False)
        self.verticalScrollBar().valueChanged.connect(self._lead)
        table.verticalScrollBar().valueChanged.connect(self.verticalScrollBar().setValue)
        self.hide()

    def place(self) -> None:
        """Show the first columns over those of the table, where there are more than fit."""
        table = self._table
        if not table.log.full:
            self.hide()
            return
        for number in range(len(table.log.columns)):
            self.setColumnHidden(number, number >= FIXED)
        frame = table.frameWidth()
        width = sum(table.columnWidth(number) for number in range(FIXED))
        height = table.viewport().height() + table.horizontalHeader().height()
        self.setGeometry(frame, frame, width, height)
        at = table.verticalScrollBar().value()
        self.show()
        self.raise_()
        self.executeDelayedItemsLayout()  # a view that was just shown, or whose rows are new, does not know its length
        self.updateGeometries()
        table.verticalScrollBar().setValue(at)
        self.verticalScrollBar().setValue(at)

    def _lead(self, value: int) -> None:
        """The table goes along, but not with a view that is hidden: that has lengths of its own."""
        if self.isVisible():
            self._table.verticalScrollBar().setValue(value)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """The table knows what keys do."""
        self._table.keyPressEvent(event)

    def closeEditor(self, editor: QWidget, hint: QAbstractItemDelegate.EndEditHint) -> None:
        """The table goes on."""
        super().closeEditor(editor, QAbstractItemDelegate.EndEditHint.NoHint)
        self._table.after_edit(hint)
