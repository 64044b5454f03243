"""Offering what a crash left, at the next start, and keeping the copies of this window."""

from __future__ import annotations

import difflib
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QEvent, QObject, Qt
from PySide6.QtGui import QKeySequence, QShortcut
from PySide6.QtWidgets import QDialog, QPlainTextEdit, QPushButton, QVBoxLayout, QWidget

from nightleg.flight.document import Document
from nightleg.flight.errors import FlightError, visible
from nightleg.flight.parse import flight_of
from nightleg.flight.solve import Unsolvable
from nightleg.window.documents.autosave import Autosave, sight_words
from nightleg.window.documents.recovery import Copy, Found, RecoveryFolder, read, remove
from nightleg.window.parts import label
from nightleg.window.sight.draft import Draft
from nightleg.window.sight.filing import waiting
from nightleg.window.strips import Strip

if TYPE_CHECKING:
    from nightleg.window.main import MainWindow

_FAULT, _OFFER, _THROWN = "no recovery copy", "recovery", "thrown away"


class Recovering(QObject):
    """Ties the recovery copies to a window."""

    def __init__(self, window: MainWindow, folder: RecoveryFolder) -> None:
        super().__init__(window)
        self._window = window
        self.autosave = Autosave(window.session, folder, self)
        self.autosave.failed.connect(self._show_fault)
        self.autosave.worked.connect(lambda: window.strips.take(_FAULT))
        self._keep = False
        self._waiting: list[Found] = []
        self._thrown: list[Found] = []
        window.documents.left.connect(self._leave)
        window.installEventFilter(self)

    def offer(self) -> None:
        """Show what windows that are gone have left, one at a time, the newest first."""
        self._waiting = self.autosave.folder.left()
        self._next()

    def stop(self) -> None:
        """The window is closed."""
        self._remove_thrown()
        self.autosave.stop(keep=self._keep)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Write the copy when the window is left for another."""
        if event.type() == QEvent.Type.WindowDeactivate:
            self.autosave.flush()
        return super().eventFilter(watched, event)

    def _leave(self, keep: bool) -> None:
        """Another document comes, or the window closes: which of them, shows after."""
        self._keep = keep
        if not self._window.closing:
            self.autosave.renew(keep=keep)
            self._keep = False

    def _next(self) -> None:
        strips = self._window.strips
        if not self._waiting:
            strips.take(_OFFER)
            return
        found = self._waiting[0]
        choices: list[tuple[str, Callable[[], object]]] = [
            ("Take it up", lambda: self._take(found)),
            ("What differs", lambda: Differences(self._window, found.copy).show()),
            ("Throw away", lambda: self._throw(found)),
            ("Later", self._later),
        ]
        strips.put(_OFFER, Strip("Recovery copy", words(found.copy, datetime.now(UTC)), *choices))

    def _take(self, found: Found) -> None:
        window, copy = self._window, read(found.file)
        if copy is None:
            window.session.told.emit("This copy is not there any more; another window may have taken it.")
            self._done()
            return
        try:
            document = Document(flight_of(copy.text), copy.text, Path(copy.path) if copy.path else None, copy.on_disk)
            if not window.documents.may_go():
                return
            window.documents.take_up(document, copy.draft, changed=copy.changed)
        except FlightError as error:
            window.session.told.emit(f"The copy cannot be read: {error}")
            return
        except Unsolvable as error:
            window.session.told.emit(f"The copy cannot be solved: {FlightError(error.problems)}")
            return
        if self.autosave.write_now():  # not a moment without one
            remove(found.file)
        window.documents.watch.look()
        self._done()

    def _throw(self, found: Found) -> None:
        """Out of sight, and gone when that is confirmed or the window is left: a click may be a slip."""
        strips = self._window.strips
        self._thrown.append(found)
        self._done()

        def back() -> None:
            self._thrown.remove(found)
            self._waiting.insert(0, found)
            strips.take(_THROWN)
            self._next()

        text = f"The copy of {visible(found.copy.title, 60) or 'a flight'} is thrown away."
        strips.put(_THROWN, Strip("Thrown away", text, ("Bring it back", back), ("OK", self._remove_thrown)))

    def _remove_thrown(self) -> None:
        for found in self._thrown:
            remove(found.file)
        self._thrown.clear()
        self._window.strips.take(_THROWN)

    def _later(self) -> None:
        """It stays where it is, for the next start."""
        self._done()

    def _done(self) -> None:
        self._waiting = self._waiting[1:]
        self._next()

    def _show_fault(self, fault: str) -> None:
        strips = self._window.strips
        text = f"{fault}. The work goes on; save it to a place that has room."
        strips.put(_FAULT, Strip("No recovery copy", text, ("OK", lambda: strips.take(_FAULT))))


class Differences(QDialog):
    """What a recovery copy has that the file does not, line by line."""

    def __init__(self, parent: QWidget, copy: Copy) -> None:
        super().__init__(parent)
        self.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        self.setWindowTitle("What differs – Nightleg")
        column = QVBoxLayout(self)
        column.setContentsMargins(20, 16, 20, 16)
        column.addWidget(label("What the copy has and the file has not: + new, − gone", "title"))
        self.text = QPlainTextEdit("\n".join(differences(copy)) or "Nothing but the sight that was being typed.")
        self.text.setReadOnly(True)
        self.text.setTabChangesFocus(True)
        self.text.setAccessibleName("Lines that differ")
        column.addWidget(self.text)
        QShortcut(QKeySequence("Ctrl+W"), self, self.close)
        closing = QPushButton("&Close")
        closing.clicked.connect(self.close)
        column.addWidget(closing, 0, Qt.AlignmentFlag.AlignRight)
        self.resize(720, 420)


def words(copy: Copy, now: datetime) -> str:
    """What a copy holds: when it was written, of which flight, and how much of it is in no file."""
    name = visible(Path(copy.path).name, 60) if copy.path else "saved nowhere"
    day = "today" if copy.saved.date() == now.date() else f"{copy.saved:%Y-%m-%d}"
    said = [
        f"Left {day} at {copy.saved:%H%M} GMT without being saved: {visible(copy.title, 60) or 'a flight'} ({name})"
    ]
    new = sum(line.startswith("+") for line in differences(copy))
    gone = sum(line.startswith("−") for line in differences(copy))
    if copy.changed:
        lines = f"{new} {'line' if new == 1 else 'lines'} new and {gone} gone against the file"
        said.append(lines if copy.on_disk is not None else "all of it new")
    typed, what = sight_words(copy.draft, _waiting(copy)), "" if copy.draft.other.kind else "the sight "
    if typed:
        said.append(f"{what}{visible(typed, 60)} typed and not in the log")
    if copy.refused:
        said.append(f"typed and not to be used: {visible('; '.join(copy.refused), 160)}")
    return "; ".join(said) + "."


def _waiting(copy: Copy) -> Draft | None:
    """What stood in the form by itself."""
    try:
        return waiting(flight_of(copy.text))[0]
    except FlightError:
        return None


def differences(copy: Copy) -> list[str]:
    """Lines of the copy that differ from what the file held, marked + and −; for a flight in no file, all of them."""
    before = (copy.on_disk or "").splitlines()
    after = copy.text.splitlines()
    lines = []
    for line in difflib.unified_diff(before, after, lineterm="", n=0):
        if line.startswith(("+++", "---", "@@")):
            continue
        lines.append(("+ " if line.startswith("+") else "− ") + line[1:])
    return lines
