"""What is said in place of rows where the log has none of the kind that is shown."""

from __future__ import annotations

from PySide6.QtWidgets import QHBoxLayout, QPushButton, QWidget

from nightleg.units.times import write_clock
from nightleg.window.log.model import LogModel
from nightleg.window.log.view import LogView
from nightleg.window.parts import label
from nightleg.window.session import Session

_NAMES = {
    "sights": "sights",
    "fixes": "fixes",
    "legs": "legs",
    "remarks": "remarks",
    "lines": "other lines",
    "readings": "drifts and heading checks",
}


def none_words(session: Session, name: str) -> str:
    """That there are no rows of a filter: `No fixes in the log by 1800 GMT.`"""
    partly = session.clock_set and session.as_known
    return f"No {_NAMES.get(name, 'entries')} in the log{f' by {write_clock(session.now)} GMT' if partly else ''}."


def rows_words(session: Session, log: LogModel) -> str:
    """What the log holds, for those who do not see it, and what its keys do."""
    number = len(log.rows)
    if not number:
        return f"{none_words(session, log.filter)} Alt+0 shows all entries."
    kind = "all kinds" if log.filter == "all" else f"{_NAMES[log.filter]} only"
    entries = "entry" if number == 1 else "entries"
    return f"{number} {entries}, {kind}. Enter edits a cell, Space uses or sets aside, Delete takes the row away."


class NoRows(QWidget):
    """Words over an empty table, and the way back to all rows."""

    def __init__(self, table: LogView, session: Session) -> None:
        super().__init__(table)
        self._table, self._session = table, session
        self.words = label(kind="muted")
        self.back = QPushButton("Show all entries")
        self.back.setToolTip("Alt+0")
        row = QHBoxLayout(self)
        row.setContentsMargins(8, 2, 8, 2)
        row.setSpacing(14)
        row.addWidget(self.words)
        row.addWidget(self.back)
        self.hide()
        session.solved.connect(self._follow)
        session.moved.connect(self._follow)

    def _follow(self) -> None:
        if self.isVisible():
            self.place()

    def place(self) -> None:
        """Show it where there are no rows, below the headings; what there is the table says of itself."""
        log = self._table.log
        self._table.setAccessibleDescription(rows_words(self._session, log))
        if log.rows:
            if self.back.hasFocus():
                self._table.setFocus()
            self.hide()
            return
        self.words.setText(none_words(self._session, log.filter))
        self.adjustSize()
        self.move(self._table.viewport().geometry().topLeft())
        self.show()
        self.raise_()
