"""The cells of the log as they are edited."""

from __future__ import annotations

from PySide6.QtCore import QModelIndex
from PySide6.QtWidgets import QAbstractItemDelegate, QWidget

from nightleg.window.flight.text import NO, YES
from nightleg.window.log.fields import MAIN, MAIN_FULL
from nightleg.window.log.full import FIXED
from nightleg.window.log.model import LogModel
from nightleg.window.log.view import FixedColumns, LogView
from nightleg.window.look import Look
from nightleg.window.session import Session

_HINT = QAbstractItemDelegate.EndEditHint


class EditedLog(LogView):
    """The log's rows with editors in their cells; what is typed there is never lost unasked."""

    def __init__(self, session: Session, look: Look) -> None:
        super().__init__(LogModel(session, look))
        self._session = session
        self.fixed = FixedColumns(self)

    @property
    def editing(self) -> bool:
        """Whether a cell is being edited."""
        return self.cells.editing or self.fixed.cells.editing

    def settle(self) -> str:
        """Put what stands in an open editor into the flight. What is left over because it cannot be used, in words."""
        for view in (self, self.fixed):
            view.cells.settle()
        return self.log.left_over()

    def let_go(self) -> None:
        """Another flight comes: what is typed and in no flight goes."""
        for view in (self, self.fixed):
            view.cells.let_go()
        self.log.forget_all()

    def edit_current(self) -> None:
        """Edit the cell with the cursor, or the one that is edited as a rule in its row."""
        index = self.currentIndex()
        if index.isValid() and not self.editing:
            if self.log.cell(index) is not None:
                self._open(index)
            else:
                self._edit_row(index.row(), None)

    def switch_use(self) -> None:
        """Use a shot or set it aside; adopt a fix or not."""
        index = self.currentIndex()
        if not index.isValid() or "use" not in self.log.columns:
            return
        use = index.siblingAtColumn(self.log.columns.index("use"))
        if self.log.cell(use) is not None:
            self.reveal()
            self.log.enter(use, NO if self.log.edit_text(use) in ("", YES) else YES)

    def _edit_row(self, number: int, column: str | None) -> None:
        row = self.log.rows[number]
        main = (MAIN | MAIN_FULL) if self.log.full else MAIN
        column = column or main[row.kind]
        names = self.log.columns
        index = self.log.index(number, names.index(column) if column in names else 0)
        if self.log.cell(index) is None:
            index = next((one for one in self._row(number) if self.log.cell(one) is not None), QModelIndex())
        if index.isValid():
            self._open(index)
        else:
            self._session.told.emit(f"{row.cells[1]} of {row.cells[0]} is worked out from the other entries.")

    def _row(self, number: int) -> list[QModelIndex]:
        return [self.log.index(number, column) for column in range(len(self.log.columns))]

    def _open(self, index: QModelIndex) -> None:
        self.setCurrentIndex(index)
        self.scrollTo(index)
        view: LogView = self.fixed if self.fixed.isVisible() and index.column() < FIXED else self
        view.edit(index)

    def closeEditor(self, editor: QWidget, hint: QAbstractItemDelegate.EndEditHint) -> None:
        """Tab goes on to the next cell that can be edited."""
        super().closeEditor(editor, _HINT.NoHint)
        self.after_edit(hint)

    def after_edit(self, hint: QAbstractItemDelegate.EndEditHint) -> None:
        """Give the cursor back to the table, or go on editing."""
        self.setFocus()
        if hint in (_HINT.EditNextItem, _HINT.EditPreviousItem) and self.currentIndex().isValid():
            step = 1 if hint == _HINT.EditNextItem else -1
            row, column = self.currentIndex().row(), self.currentIndex().column()
            while 0 <= column + step < len(self.log.columns):
                column += step
                if self.log.cell(self.log.index(row, column)) is not None:
                    self._open(self.log.index(row, column))
                    return
