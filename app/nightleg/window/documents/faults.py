"""All that is wrong with a flight file, a line each, to be read beside the editor that mends it."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import Qt
from PySide6.QtGui import QGuiApplication, QKeySequence, QShortcut
from PySide6.QtWidgets import QDialog, QHBoxLayout, QPlainTextEdit, QPushButton, QVBoxLayout, QWidget

from nightleg.flight.errors import FlightError, visible
from nightleg.flight.solution import Problem
from nightleg.window.parts import label, wrapped


def listed(problems: Sequence[Problem], more: int = 0) -> str:
    """A paragraph for each fault: where, then what is wrong and what would be right."""
    parts = []
    for problem in problems:
        place, message = visible(problem.place, 200), visible(problem.message, 800)
        parts.append(f"{place}\n    {message}" if place else message)
    if more:
        parts.append(f"… and {more} more")
    return "\n\n".join(parts)


def counted(number: int) -> str:
    """`1 fault`, `7 faults`."""
    return f"{number} fault" if number == 1 else f"{number} faults"


class FaultSheet(QDialog):
    """Stays open while the file is mended; the flight in the window is untouched."""

    def __init__(self, parent: QWidget, name: str, error: FlightError, again: QPushButton | None = None) -> None:
        super().__init__(parent)
        self.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        number = len(error.problems) + error.more
        self.setWindowTitle(f"{name} – Nightleg")
        column = QVBoxLayout(self)
        column.setContentsMargins(20, 16, 20, 16)
        column.setSpacing(8)
        column.addWidget(label(f"{visible(name, 60)} cannot be opened: {counted(number)}", "title"))
        said = wrapped("muted")
        said.setText("The flight in the window stays as it is. Mend the file, then open it again.")
        column.addWidget(said)
        self.text = QPlainTextEdit()
        self.text.setReadOnly(True)
        self.text.setTabChangesFocus(True)
        self.text.setPlainText(listed(error.problems, error.more))
        self.text.setAccessibleName("Faults of the file")
        column.addWidget(self.text, 1)
        copy, close = QPushButton("&Copy"), QPushButton("C&lose")
        copy.setAutoDefault(False)
        copy.clicked.connect(lambda: QGuiApplication.clipboard().setText(self.text.toPlainText()))
        close.clicked.connect(self.close)
        row = QHBoxLayout()
        row.addStretch(1)
        for button in (copy, close):
            row.addWidget(button)
        column.addLayout(row)
        close.setDefault(True)
        QShortcut(QKeySequence("Ctrl+W"), self, self.close)
        self.resize(720, 420)
