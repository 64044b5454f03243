"""Fields of the flight form: each is one key of the flight, and every keystroke that can be used is solved."""

from __future__ import annotations

from itertools import count

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QFocusEvent, QKeyEvent
from PySide6.QtWidgets import QComboBox, QHBoxLayout, QVBoxLayout, QWidget

from nightleg.flight.layout import Path
from nightleg.window.flight.edits import enter
from nightleg.window.flight.text import declared, text_of, words_of
from nightleg.window.parts import Choice, Entry, captioned, rekind, wrapped
from nightleg.window.session import Session

_steps = count(1)
"""Numbers of the steps: the typing in one field while it has the cursor is one."""


class FlightEntry(Entry):
    """A text field on one key. Text that cannot be used stays in the field, and the flight as it was before it."""

    remarked = Signal()
    """There is something else to say of the field."""

    def __init__(self, session: Session, name: str, width_chars: int, place: Path = (), key: str = "") -> None:
        super().__init__(name, width_chars)
        self._session = session
        self.place, self.key = place, key
        self.words = ""  # what is wrong with the text
        self.pending = False  # whether the text is not in the flight
        self._step = next(_steps)
        self._applying = False
        self.textEdited.connect(self._typed)
        self.editingFinished.connect(self._finish)
        session.document_changed.connect(self.refresh)
        if key:
            self._describe()
            self.refresh()

    def _describe(self) -> None:
        self.describe(words_of(declared(self.place, self.key).kind))

    def set_key(self, place: Path, key: str) -> None:
        """Show another key; text that could not be used for the one before is let go of."""
        if (place, key) != (self.place, self.key):
            self.place, self.key = place, key
            self._say("", pending=False)
            self._step = next(_steps)
            self._describe()
        self.refresh()

    def refresh(self) -> None:
        """Show what the flight holds, but for text that is not in it."""
        if self.pending and self not in self._session.refused:  # another flight has come
            self._say("", pending=False)
        if self._applying or self.pending or not self.key:
            return
        text = text_of(self._session.document, self.place, self.key)
        if text != self.text():
            self.setText(text)
            self.setCursorPosition(0)  # a long text shows its beginning

    def focusInEvent(self, event: QFocusEvent) -> None:
        """What is typed from here on is a step of its own."""
        super().focusInEvent(event)
        self._step = next(_steps)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Escape gives the field the text back that it had when the cursor came."""
        if event.key() == Qt.Key.Key_Escape and (self.pending or self.isModified()):
            self._say("", pending=False)
            self._session.withdraw(self._step)
            self.refresh()
            self.selectAll()
        else:
            super().keyPressEvent(event)

    def _typed(self, text: str) -> None:
        self._applying = True
        words = enter(self._session, self.place, self.key, text, merge=self._step)
        self._applying = False
        self._say(words, pending=bool(words))

    def _finish(self) -> None:
        """The cursor leaves: half a text that was in the flight on the way to a wrong one goes out of it."""
        if self.pending:
            self._session.withdraw(self._step)
            self.set_wrong(True, self.words)
            self.remarked.emit()
        else:
            self.refresh()
        self._step = next(_steps)

    def _say(self, words: str, *, pending: bool) -> None:
        self.words, self.pending = words, pending
        self._session.refuse(self, f"{self.accessibleName()}: {self.text().strip()}" if pending else "")
        if not words or not self.hasFocus():
            self.set_wrong(bool(words), words)
        self.remarked.emit()


class FlightChoice(Choice):
    """One of the words that a key may hold; `held` stands for leaving it out."""

    def __init__(
        self, session: Session, name: str, options: tuple[str, ...], place: Path = (), key: str = "", held: str = ""
    ) -> None:
        super().__init__(name)
        self._session = session
        self.place, self.key = place, key
        if held:
            self.addItem(held, "")
        for option in options:
            self.addItem(option.replace("_", " "), option)
        self.setSizeAdjustPolicy(QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon)
        self.setMinimumContentsLength(4)
        self.activated.connect(self._chosen)
        session.document_changed.connect(self.refresh)
        if key:
            self.refresh()

    def set_place(self, place: Path) -> None:
        """Show the key of another table."""
        self.place = place
        self.refresh()

    def refresh(self) -> None:
        """Show what the flight holds."""
        if self.key:
            text = text_of(self._session.document, self.place, self.key)
            self.setCurrentIndex(max(self.findData(text), 0))

    def _chosen(self) -> None:
        words = enter(self._session, self.place, self.key, self.currentData())
        if words:
            self._session.told.emit(words)
        self.refresh()


class FieldLine(QWidget):
    """Fields beside each other, each under its name, and below them what is wrong with them."""

    def __init__(self, *fields: tuple[str, QWidget, int]) -> None:
        super().__init__()
        self._entries = [(name, field) for name, field, _ in fields if isinstance(field, FlightEntry)]
        self.words = wrapped("wrong")
        self.words.hide()
        row = QHBoxLayout()
        row.setSpacing(8)
        for name, field, share in fields:
            row.addWidget(captioned(name, field), share)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(3)
        column.addLayout(row)
        column.addWidget(self.words)
        for _, field in self._entries:
            field.remarked.connect(self.say)

    def say(self) -> None:
        """Say what is wrong; quietly while the cursor is still in the field."""
        wrong = [(name.replace("&", ""), field) for name, field in self._entries if field.words]
        left = any(field.property("wrong") for _, field in wrong)
        rekind(self.words, "wrong" if left else "muted")
        told = "  (not applied)" if left else ""
        self.words.setText("\n".join(f"{name}: {field.words}{told}" for name, field in wrong))
        self.words.setVisible(bool(wrong))
