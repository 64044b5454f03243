"""The log as a table under the chart."""

from __future__ import annotations

from PySide6.QtCore import QEvent, QModelIndex, Qt, Signal
from PySide6.QtGui import QFocusEvent, QGuiApplication, QKeyEvent, QKeySequence, QResizeEvent
from PySide6.QtWidgets import QApplication

from nightleg.chart.fonts import text_width_px
from nightleg.window.explain.log import log_question
from nightleg.window.log.cells import CellWords
from nightleg.window.log.cursor import ONE_ROW
from nightleg.window.log.editing import EditedLog
from nightleg.window.log.empty import NoRows
from nightleg.window.log.full import FIXED
from nightleg.window.log.model import Index, columns_text
from nightleg.window.log.view import SAMPLES, LogView
from nightleg.window.look import Look
from nightleg.window.session import Session

_OWN_KEYS = (Qt.Key.Key_F2, Qt.Key.Key_Delete, Qt.Key.Key_Space, Qt.Key.Key_Return, Qt.Key.Key_Enter)


class LogTable(EditedLog):
    """The log. Outside of it being worked in, the newest row or that of the sight being typed stays in sight."""

    entry_selected = Signal(str, str)
    """Kind and id of the row that was gone to by mouse or key; "dr" for the DR of flight time."""
    leg_wanted = Signal(int)
    """A leg (number from 0) that is to be shown with all that it holds."""
    delete_wanted = Signal()
    filter_left = Signal()
    """A row is to be seen that the filter hides."""

    def __init__(self, session: Session, look: Look) -> None:
        super().__init__(session, look)
        self.setAccessibleName("Log")
        self.words = CellWords()
        self.words.setParent(self)  # until they are told; without a parent they would outlive the window
        self.none = NoRows(self, session)
        self.none.back.clicked.connect(self.filter_left)
        self._kept: tuple[tuple[str, str], int] | None = None  # row and column of the cursor
        self._placing = self._worked_in = False
        self.log.restructuring.connect(self._keep)
        self.log.restructured.connect(self._place)
        self.log.renamed.connect(self.select_entry)
        self.log.dataChanged.connect(self._to_newest)
        self.selectionModel().currentChanged.connect(self._moved)
        self.clicked.connect(self._ask)
        for view in (self, self.fixed):
            view.cells.refused.connect(self._tell)
            view.doubleClicked.connect(self._double)
        self.verticalScrollBar().valueChanged.connect(self._hush)
        self.horizontalScrollBar().valueChanged.connect(self._hush)
        self.horizontalScrollBar().valueChanged.connect(self.viewport().update)  # remarks stay in sight
        self._look = look
        self.fit_columns(look)
        self._place()

    def fit_columns(self, look: Look) -> None:
        """Columns as wide as what they hold."""
        self._look = look
        for view in (self, self.fixed):
            view.verticalHeader().setDefaultSectionSize(look.base_px + 9)
            for number, name in enumerate(self.log.columns[:-1]):
                sample = max(SAMPLES.get(name, ""), name, key=len)
                view.setColumnWidth(number, round(text_width_px(sample, look.base_px, bold=True)) + 20)
        self.horizontalHeader().setStretchLastSection(True)
        self.horizontalHeader().setMinimumSectionSize(24)
        self.fixed.place()
        self._to_newest()

    def set_full(self, full: bool) -> None:
        """All columns in one wide table, the first ones fixed; or those that matter for each kind of row."""
        self.log.set_full(full)
        self.setHorizontalScrollBarPolicy(
            Qt.ScrollBarPolicy.ScrollBarAlwaysOn if full else Qt.ScrollBarPolicy.ScrollBarAlwaysOff
        )
        self.fit_columns(self._look)
        if full:
            self.horizontalHeader().setStretchLastSection(False)
            self.setColumnWidth(len(self.log.columns) - 1, round(text_width_px("m" * 56, self._look.base_px)))
        self._place()
        if self._at_work():
            self.reveal()

    def select_entry(self, kind: str, id: str) -> None:
        """Go to the row of an entry, as when its object on the chart is clicked."""
        kind, id = ("now", "now") if kind == "dr" else (kind, id)
        number = self.log.number_of((kind, id))
        if number is None and self.log.hidden(kind):
            self.filter_left.emit()
            number = self.log.number_of((kind, id))
        if number is not None:
            self._placing = True
            self.setCurrentIndex(self.log.index(number, max(self.currentIndex().column(), 0)))
            self.scrollTo(self.log.index(number, 0))
            self._placing = False

    def edit_entry(self, kind: str, id: str, column: str | None = None) -> None:
        """Go to a row and begin to edit it, in a compact column or where it is edited as a rule."""
        self.select_entry(kind, id)
        number = self.log.number_of((kind, id))
        if number is not None:
            self.setFocus()
            self._edit_row(number, column)

    def asks(self) -> tuple[str, str] | None:
        """What a key that asks how a number came about means at the cursor."""
        index = self.currentIndex()
        return log_question(self.log.rows[index.row()], self.log.columns[index.column()]) if index.isValid() else None

    def _ask(self, index: QModelIndex) -> None:
        """A click on a figure that was worked out, and is not typed, asks how it came about."""
        question = self.asks()
        figure = self.log.columns[index.column()] != "entry" and bool(index.data())
        if question and figure and self.log.cell(index) is None:
            self._session.asked.emit(*question)

    def copy(self) -> None:
        """The chosen rows to the clipboard, as text in aligned columns."""
        numbers = self.chosen_rows()
        if numbers:
            QGuiApplication.clipboard().setText(columns_text(self.log, numbers))
        else:
            self._session.told.emit("Choose a row of the log first.")

    def copy_all(self) -> None:
        """All rows that are shown to the clipboard."""
        QGuiApplication.clipboard().setText(columns_text(self.log, range(len(self.log.rows))))

    def _double(self, index: QModelIndex) -> None:
        if self.log.cell(index) is not None:
            self._open(index)
            return
        row = self.log.rows[index.row()]
        if row.kind in ("start", "leg") and row.leg is not None:
            self.leg_wanted.emit(row.leg)
        elif row.typed:
            self._session.told.emit("This sight is being typed: change it in the form.")

    def event(self, event: QEvent) -> bool:
        """Keys that are the table's own are not taken for commands of the menus."""
        if event.type() == QEvent.Type.ShortcutOverride and isinstance(event, QKeyEvent):
            plain = event.modifiers() & ~Qt.KeyboardModifier.KeypadModifier == Qt.KeyboardModifier.NoModifier
            if (plain and event.key() in _OWN_KEYS) or event.matches(QKeySequence.StandardKey.Copy):
                event.accept()
                return True
        return super().event(event)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Enter and F2 edit, Space uses or sets aside, Delete takes the rows away, Ctrl+C copies them."""
        key = event.key()
        if event.matches(QKeySequence.StandardKey.Copy):
            self.copy()
        elif key in (Qt.Key.Key_F2, Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self.edit_current()
        elif key == Qt.Key.Key_Space:
            self.switch_use()
        elif key == Qt.Key.Key_Delete:
            self.delete_wanted.emit()
        else:
            super().keyPressEvent(event)

    def focusInEvent(self, event: QFocusEvent) -> None:
        """The cursor stands somewhere and is seen: at first in the row of flight time."""
        by_mouse = event.reason() == Qt.FocusReason.MouseFocusReason  # the click says where
        if not by_mouse:
            self._stand()
            self.reveal()
        super().focusInEvent(event)
        self._frame()
        self._tell_current()

    def _frame(self) -> None:
        """The frame of the cursor comes and goes with the keys."""
        self.viewport().update()
        self.fixed.viewport().update()

    def _stand(self) -> None:
        """Without a cursor: put it into the last row by flight time."""
        rows, now = self.log.rows, self._session.now
        if rows and not self.currentIndex().isValid():
            self._placing = True
            number = max((number for number, row in enumerate(rows) if row.time <= now), default=len(rows) - 1)
            self.setCurrentIndex(self.log.index(number, 0))
            self._placing = False

    def focusOutEvent(self, event: QFocusEvent) -> None:
        """Words at a cell go with the cursor."""
        super().focusOutEvent(event)
        self._hush()
        self._frame()

    def _moved(self, current: QModelIndex) -> None:
        self._tell_current()
        if current.isValid() and not self._placing:
            row = self.log.rows[current.row()]
            self.entry_selected.emit(*(("dr", "") if row.kind == "now" else row.key))

    def _tell_current(self) -> None:
        index = self.currentIndex()
        wrong = self.log.wrong(index) if index.isValid() else None
        self._tell(index, wrong.words if wrong is not None else "")

    def _tell(self, index: Index, words: str) -> None:
        here = self.log.index(index.row(), index.column())
        view: LogView = self.fixed if self.fixed.isVisible() and here.column() < FIXED else self
        self.words.tell(words if self.isVisible() else "", view.viewport(), view.visualRect(here))

    def _hush(self) -> None:
        self.words.hide()

    def _at_work(self) -> bool:
        """Whether the keys go to the log."""
        focus = QApplication.focusWidget()
        return focus is not None and (focus is self or self.isAncestorOf(focus))

    def _keep(self) -> None:
        self._worked_in = self._at_work()
        index = self.currentIndex()
        self._kept = (self.log.rows[index.row()].key, index.column()) if index.isValid() else None

    def _place(self) -> None:
        """Let long cells take the columns that their row has no use for, and put the cursor back to its entry."""
        self.clearSpans()
        for number in range(len(self.log.rows)):
            for first, count in self.log.spans(number):
                self.setSpan(number, first, 1, count)
        if self._kept is not None:
            key, column = self._kept
            found, self._kept = self.log.number_of(key), None
            if found is not None and self.currentIndex().row() != found:
                self._placing = True
                index = self.log.index(found, min(column, len(self.log.columns) - 1))
                self.selectionModel().setCurrentIndex(index, ONE_ROW)
                self._placing = False
        if self._worked_in and not self._at_work():
            self.setFocus()  # an editor has gone with its row
        if self.hasFocus() and not self.currentIndex().isValid():
            self._stand()
            self.reveal()
        self.agree()  # the row of the cursor may be gone
        self.fixed.place()
        self.none.place()
        self._to_newest()

    def _to_newest(self) -> None:
        if self._at_work():
            return
        self.executeDelayedItemsLayout()  # after a reset the view does not know its new length yet
        self.updateGeometries()
        rows = self.log.rows
        typed = [number for number, row in enumerate(rows) if row.typed]
        number = typed[0] if typed else len(rows) - 1
        at = self.horizontalScrollBar().value()
        if typed and number + 1 < len(rows) and rows[number + 1].kind == "fix":  # what it does is seen with it
            self.scrollTo(self.log.index(number + 1, 0))
        if number >= 0:
            self.scrollTo(self.log.index(number, 0))
        self.horizontalScrollBar().setValue(at)

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Keep the newest in sight."""
        super().resizeEvent(event)
        self.fixed.place()
        self.none.place()
        self._to_newest()
