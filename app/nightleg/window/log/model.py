"""The rows of the log as Qt asks for them, and what is typed into their cells."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from difflib import SequenceMatcher
from typing import Any

from PySide6.QtCore import QAbstractTableModel, QModelIndex, QPersistentModelIndex, Qt, Signal
from PySide6.QtGui import QColor, QFont

from nightleg.chart.fonts import font
from nightleg.window.flight.edits import enter
from nightleg.window.flight.names import step_name
from nightleg.window.flight.text import text_of
from nightleg.window.log.entries import COLUMNS, FILTERS, SPANS, Kind, LogEntry, entries, now_row, ordered, unread
from nightleg.window.log.fields import Cell, bare, cell_of, retargeted
from nightleg.window.log.full import FIXED, FULL, MEANINGS, full_cells
from nightleg.window.look import Look
from nightleg.window.session import Session
from nightleg.window.sight.standing import left_over

Index = QModelIndex | QPersistentModelIndex
Spans = tuple[tuple[int, int], ...]

_NONE = QModelIndex()
WRONG_MARK = "× "


@dataclass(frozen=True, slots=True)
class Wrong:
    """Text that was typed into a cell and could not be used, what is wrong with it, and what it was to be."""

    text: str
    words: str
    name: str


class LogModel(QAbstractTableModel):
    """Rows of the session's answer; the sight being typed among them."""

    restructuring = Signal()
    """Rows are about to come or go."""
    renamed = Signal(str, str)
    """Kind and new id of an entry that has another name now."""
    restructured = Signal()
    """Rows or columns have come or gone."""

    def __init__(self, session: Session, look: Look) -> None:
        super().__init__(session)
        self._session = session
        self._look = look
        self.full = False
        self.filter = "all"
        self.rows: tuple[LogEntry, ...] = ()
        self._behind = ""  # id of the entry whose figures are not shown
        self._wrong: dict[tuple[Kind, str, str], Wrong] = {}
        self._cells: dict[tuple[Kind, str, str], Cell | None] = {}
        self._full_cells: dict[tuple[Kind, str], tuple[str, ...]] = {}
        session.solved.connect(self.refresh)
        session.typed_changed.connect(self._keep_up)
        session.moved.connect(self.follow)
        self.refresh()

    @property
    def columns(self) -> tuple[str, ...]:
        """Names of the columns in this view."""
        return FULL if self.full else COLUMNS

    def set_look(self, look: Look) -> None:
        """Other colours."""
        self._look = look
        self._all_changed()

    def set_full(self, full: bool) -> None:
        """All columns, or those that matter for each kind of row."""
        if full != self.full:
            self.restructuring.emit()
            self.beginResetModel()
            self.full = full
            self._cells.clear()
            self.endResetModel()
            self.restructured.emit()

    def set_filter(self, name: str) -> None:
        """Show rows of some kinds only; `name` is one of FILTERS."""
        if name != self.filter:
            self.filter = name
            self.refresh()

    def hidden(self, kind: str) -> bool:
        """Whether rows of a kind are not shown."""
        kinds = FILTERS[self.filter]
        return bool(kinds) and any(kind in some for some in FILTERS.values()) and kind not in kinds

    def follow(self) -> None:
        """Only the time has moved: the row of the DR now is another."""
        worked, kinds = self._session.worked, FILTERS[self.filter]
        rest = [row for row in self.rows if row.kind != "now"]
        now = [row for row in now_row(worked.flight, worked.solution) if not kinds or row.kind in kinds]
        self._take(ordered([*rest, *now]))

    def _keep_up(self) -> None:
        """What is typed may have no answer any more, or one again."""
        if self._behind != left_over(self._session):
            self.refresh()

    def refresh(self) -> None:
        """Take the session's answer; rows that stay keep their place in the view, and what is typed in them."""
        worked = self._session.worked
        row = worked.typed_row
        every = entries(worked.flight, worked.solution, worked.typed_id, self._session.document.flight, row)
        self._behind = left_over(self._session)
        if self._behind:
            every = tuple(unread(one) if one.key == row else one for one in every)
        kinds = FILTERS[self.filter]
        rows = tuple(row for row in every if not kinds or row.kind in kinds)
        keys = {row.key for row in every}
        self._wrong = {key: wrong for key, wrong in self._wrong.items() if key[:2] in keys}
        self._full_cells.clear()
        self._take(rows, every=self.full)

    def _take(self, rows: tuple[LogEntry, ...], *, every: bool = False) -> None:
        self._cells.clear()
        self._full_cells.pop(("now", "now"), None)
        if [row.key for row in rows] == [row.key for row in self.rows]:
            others = [n for n, (row, old) in enumerate(zip(rows, self.rows, strict=True)) if every or row != old]
            self.rows = rows
            if others:
                self.dataChanged.emit(self.index(others[0], 0), self.index(others[-1], len(self.columns) - 1))
            return
        self.restructuring.emit()
        self._reorder(rows)
        self.rows = rows
        self._all_changed()
        self.restructured.emit()

    def _reorder(self, rows: tuple[LogEntry, ...]) -> None:
        """Take rows out and put rows in, so that those in between stay what they are for the view."""
        old, new = [row.key for row in self.rows], [row.key for row in rows]
        for tag, i1, i2, j1, j2 in reversed(SequenceMatcher(None, old, new, autojunk=False).get_opcodes()):
            if tag in ("delete", "replace"):
                self.beginRemoveRows(QModelIndex(), i1, i2 - 1)
                self.rows = self.rows[:i1] + self.rows[i2:]
                self.endRemoveRows()
            if tag in ("insert", "replace"):
                self.beginInsertRows(QModelIndex(), i1, i1 + j2 - j1 - 1)
                self.rows = self.rows[:i1] + rows[j1:j2] + self.rows[i1:]
                self.endInsertRows()

    def _all_changed(self) -> None:
        if self.rows:
            self.dataChanged.emit(self.index(0, 0), self.index(len(self.rows) - 1, len(self.columns) - 1))

    def rowCount(self, parent: Index = _NONE) -> int:
        """Entries."""
        return 0 if parent.isValid() else len(self.rows)

    def columnCount(self, parent: Index = _NONE) -> int:
        """Columns."""
        return 0 if parent.isValid() else len(self.columns)

    def headerData(self, section: int, orientation: Qt.Orientation, role: int = Qt.ItemDataRole.DisplayRole) -> Any:
        """Names of the columns."""
        if orientation == Qt.Orientation.Horizontal:
            name = self.columns[section]
            if role == Qt.ItemDataRole.DisplayRole:
                return "remarks" if name == "note" else name
            if role == Qt.ItemDataRole.ToolTipRole:
                return MEANINGS.get(name)
            if role == Qt.ItemDataRole.TextAlignmentRole:
                return Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter
        return None

    def flags(self, index: Index) -> Qt.ItemFlag:
        """Cells that show a key of the flight can be edited."""
        flags = Qt.ItemFlag.ItemIsEnabled | Qt.ItemFlag.ItemIsSelectable
        return flags | Qt.ItemFlag.ItemIsEditable if self.cell(index) is not None else flags

    def cell(self, index: Index) -> Cell | None:
        """The key of the flight that a cell shows."""
        if not index.isValid():
            return None
        row, column = self.rows[index.row()], self.columns[index.column()]
        known = (*row.key, column)
        if known not in self._cells:
            self._cells[known] = cell_of(self._session.document, row, column, full=self.full)
        return self._cells[known]

    def cell_name(self, index: Index) -> str:
        """What a cell that can be edited holds, in words: `wind of leg 5`."""
        cell = self.cell(index)
        return "" if cell is None else step_name(self._session.document, cell.place, cell.key)

    def wrong(self, index: Index) -> Wrong | None:
        """What was typed into a cell and could not be used."""
        cell = self.cell(index)
        return None if cell is None else self._wrong.get((*self.rows[index.row()].key, cell.key))

    def wrong_of_row(self, number: int) -> Wrong | None:
        """The first such text of a row."""
        key = self.rows[number].key
        return next((wrong for known, wrong in self._wrong.items() if known[:2] == key), None)

    def texts(self, number: int) -> tuple[str, ...]:
        """The texts of a row in the columns of this view."""
        row = self.rows[number]
        if not self.full:
            return row.cells
        if row.key not in self._full_cells:
            worked = self._session.worked
            self._full_cells[row.key] = full_cells(worked.flight, worked.solution, row)
        return self._full_cells[row.key]

    def spans(self, number: int) -> Spans:
        """Cells of a row that take more than one column."""
        kind, last = self.rows[number].kind, len(self.columns) - 1
        spans = SPANS[kind]
        if self.full:
            spans = ((FIXED, len(FULL) - FIXED),) if kind == "remark" else ()
        if self.wrong_of_row(number) is not None:  # room for what is wrong in the last column
            return tuple((first, min(count, last - first)) for first, count in spans)
        return spans

    def data(self, index: Index, role: int = Qt.ItemDataRole.DisplayRole) -> Any:
        """Text, colour and weight of a cell; for an editor the text as it stands in the file."""
        row, column = self.rows[index.row()], self.columns[index.column()]
        if role == Qt.ItemDataRole.EditRole:
            return self.edit_text(index)
        wrong = self.wrong(index)
        if role == Qt.ItemDataRole.AccessibleDescriptionRole:
            name = self.cell_name(index)
            return f"{name}, {f'not applied: {wrong.words}' if wrong else 'can be edited'}" if name else None
        if role in (Qt.ItemDataRole.DisplayRole, Qt.ItemDataRole.ToolTipRole):
            return self._text(index, wrong, column, role)
        if role == Qt.ItemDataRole.ForegroundRole:
            told = column == "note" and self.wrong_of_row(index.row()) is not None
            return QColor(self._look.fix if wrong or told else self._colour(row, column))
        if role == Qt.ItemDataRole.FontRole:
            bold = wrong is not None or (column == "entry" and row.kind in ("sight", "fix", "line"))
            return self._font(bold=bold, italic=row.typed)
        if role == Qt.ItemDataRole.BackgroundRole and row.typed:
            return QColor(self._look.chosen)
        return None

    def _text(self, index: Index, wrong: Wrong | None, column: str, role: int) -> str | None:
        if wrong is not None:
            return wrong.words if role == Qt.ItemDataRole.ToolTipRole else f"{WRONG_MARK}{wrong.text}"
        if column == "note":
            other = self.wrong_of_row(index.row())
            if other is not None:
                return f"not applied: {' '.join(other.words.split())}"
        return self.texts(index.row())[index.column()] or None

    def edit_text(self, index: Index) -> str:
        """What an editor begins with: what was typed and could not be used, else the text of the file."""
        cell, wrong = self.cell(index), self.wrong(index)
        if wrong is not None:
            return wrong.text
        return "" if cell is None else text_of(self._session.document, cell.place, cell.key)

    def enter(self, index: Index, text: str) -> str:
        """Put typed text into the flight; what is wrong with it in words, or "". Wrong text is kept with the cell."""
        cell = self.cell(index)
        if cell is None:
            return ""
        row = self.rows[index.row()]
        known = (*row.key, cell.key)
        meant = retargeted(cell, text)
        typed = bare(meant, text)
        words = enter(self._session, meant.place, meant.key, typed, near=row.time)
        if meant.key == "id" and not words:
            self.renamed.emit(row.kind, typed.strip())
        if words:
            self._wrong[known] = Wrong(text, words, step_name(self._session.document, meant.place, meant.key))
        elif self._wrong.pop(known, None) is None:
            return ""
        self._tell(row.key)
        return words

    def forget(self, index: Index) -> None:
        """Let go of wrong text: the cell shows the flight again."""
        cell = self.cell(index)
        if cell is not None and self._wrong.pop((*self.rows[index.row()].key, cell.key), None) is not None:
            self._tell(self.rows[index.row()].key)

    def left_over(self) -> str:
        """All text that could not be used and is in no flight: `250-38 as wind of leg 5`."""
        return ", ".join(f"{wrong.text.strip()} as {wrong.name}" for wrong in self._wrong.values())

    def forget_all(self) -> None:
        """Another flight: what was typed into cells of the one before is let go."""
        if self._wrong:
            self._wrong.clear()
            self._all_changed()
            self.restructured.emit()

    def setData(self, index: Index, value: Any, role: int = Qt.ItemDataRole.EditRole) -> bool:
        """As `enter`; whether the text could be used."""
        return role == Qt.ItemDataRole.EditRole and not self.enter(index, str(value))

    def number_of(self, key: tuple[str, str]) -> int | None:
        """The row of an entry."""
        return next((number for number, row in enumerate(self.rows) if row.key == key), None)

    def _tell(self, key: tuple[Kind, str]) -> None:
        """A row is shown otherwise."""
        number = self.number_of(key)
        if number is not None:
            self.dataChanged.emit(self.index(number, 0), self.index(number, len(self.columns) - 1))
            self.restructured.emit()

    def _font(self, *, bold: bool, italic: bool) -> QFont:
        return font(self._look.base_px, bold=bold, italic=italic)

    def _colour(self, row: LogEntry, column: str) -> str:
        if column == "note" or (row.kind == "remark" and column != "time"):
            return self._look.ink if row.kind == "remark" and self.full else self._look.muted
        if row.kind in ("sight", "line") and column == "entry":
            return self._look.line
        if row.kind == "fix" and column in ("entry", "reading", "position"):
            return self._look.fix
        return self._look.ink


def columns_text(model: LogModel, numbers: Sequence[int]) -> str:
    """Rows as text in aligned columns."""
    from nightleg.window.log.text import aligned

    names = ["remarks" if name == "note" else name for name in model.columns]
    spans = [model.spans(number) for number in numbers]
    return aligned(names, [model.texts(number) for number in numbers], spans)
