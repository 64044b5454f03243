"""Which row of a table has the cursor, and which rows are chosen with it."""

from __future__ import annotations

from PySide6.QtCore import QEvent, QItemSelectionModel, QModelIndex, QPersistentModelIndex, Qt
from PySide6.QtGui import QKeyEvent, QMouseEvent
from PySide6.QtWidgets import QAbstractItemView, QTableView

_Index = QModelIndex | QPersistentModelIndex
_SELECT = QItemSelectionModel.SelectionFlag
ONE_ROW = _SELECT.ClearAndSelect | _SELECT.Rows


class CursorView(QTableView):
    """A table whose row with the cursor is always among those that are chosen: what is highlighted is what is meant."""

    def __init__(self) -> None:
        super().__init__()
        self._more = False  # whether a key or a press is at work that chooses more rows
        self.setSelectionBehavior(QAbstractItemView.SelectionBehavior.SelectRows)
        self.setSelectionMode(QAbstractItemView.SelectionMode.ExtendedSelection)

    def selectionCommand(self, index: _Index, event: QEvent | None = None) -> QItemSelectionModel.SelectionFlag:
        """Wherever the cursor is put, its row alone is chosen; Shift and the mouse choose more.

        Keys that happen to be held, as those of a command are, mean nothing here, and a click beside the rows
        changes nothing.
        """
        if not index.isValid():
            return _SELECT.NoUpdate
        if self._more:
            return _SELECT.SelectCurrent | _SELECT.Rows
        return super().selectionCommand(index, event) if isinstance(event, QMouseEvent) else ONE_ROW

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Shift and a key that moves the cursor choose all rows on its way."""
        self._more = bool(event.modifiers() & Qt.KeyboardModifier.ShiftModifier)
        super().keyPressEvent(event)
        self._more = False

    def mousePressEvent(self, event: QMouseEvent) -> None:
        """Shift chooses the rows up to here; a row that is taken out of the choice does not keep the cursor."""
        self._more = bool(event.modifiers() & Qt.KeyboardModifier.ShiftModifier)
        super().mousePressEvent(event)
        self._more = False
        self.agree()

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        """The same at the end of a drag."""
        super().mouseReleaseEvent(event)
        self.agree()

    def agree(self) -> None:
        """Put the cursor into the nearest row that is chosen, or choose its row where none is."""
        index, model = self.currentIndex(), self.selectionModel()
        if not index.isValid() or model.isRowSelected(index.row()):
            return
        numbers = [one.row() for one in model.selectedRows()]
        if numbers:
            nearest = min(numbers, key=lambda number: abs(number - index.row()))
            model.setCurrentIndex(self.model().index(nearest, index.column()), _SELECT.NoUpdate)
        else:
            model.select(index, ONE_ROW)

    def chosen_rows(self) -> list[int]:
        """Numbers of the rows that are selected, in order."""
        return sorted({index.row() for index in self.selectionModel().selectedRows()})

    def in_sight(self) -> bool:
        """Whether the row of the cursor is seen."""
        place = self.visualRect(self.currentIndex().siblingAtColumn(0))
        shown = range(self.viewport().height())
        return self.isVisible() and place.top() in shown and place.bottom() in shown

    def reveal(self) -> None:
        """Bring the row of the cursor into view."""
        self.executeDelayedItemsLayout()  # rows may have come that the view has no places for yet
        self.updateGeometries()
        self.scrollTo(self.currentIndex())
