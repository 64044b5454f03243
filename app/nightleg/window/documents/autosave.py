"""Keeping the recovery copy: a few seconds after a change, and at once when the window is left.

A copy is written by a thread that ends with it, since a slow disk must not be felt; where it cannot be written that is
said once, and the work goes on.
"""

from __future__ import annotations

import threading
from datetime import UTC, datetime

from PySide6.QtCore import QObject, Qt, QTimer, Signal

from nightleg.safefile import why
from nightleg.window.documents.recovery import Copy, RecoveryFolder
from nightleg.window.other.kinds import other_words
from nightleg.window.session import Session
from nightleg.window.sight.draft import Draft
from nightleg.window.sight.filing import draft_of, waiting

DELAY_MS = 3000


class Autosave(QObject):
    """Follows a session. `failed` says why no copy could be written, `worked` that one could again."""

    failed = Signal(str)
    worked = Signal()
    _ended = Signal(str)

    def __init__(self, session: Session, folder: RecoveryFolder, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._session, self.folder = session, folder
        self._writer: threading.Thread | None = None
        self._pending = False
        self._open = True
        self._bad = ""
        self._timer = QTimer(self)
        self._timer.setSingleShot(True)
        self._timer.setInterval(DELAY_MS)
        self._timer.timeout.connect(self.flush)
        self._ended.connect(self._report, Qt.ConnectionType.QueuedConnection)
        session.document_changed.connect(self._touched)
        session.typed_changed.connect(self._touched)
        session.refused_changed.connect(self._touched)
        session.undo_stack.cleanChanged.connect(self._touched)

    def flush(self) -> None:
        """Write the copy now, if something has changed since."""
        self._timer.stop()
        if not self._pending or not self._open:
            return
        if self._writer is not None and self._writer.is_alive():
            self._timer.start()  # the one before is still on its way
            return
        self._pending = False
        held = held_by(self._session)
        self._writer = threading.Thread(target=self._write, args=(held,), name="recovery copy")
        self._writer.start()

    def stop(self, *, keep: bool = False) -> None:
        """The window is left: the copy is deleted, or brought up to date and kept for the next start."""
        self._open = False
        self._timer.stop()
        self._join()
        if keep and (held := held_by(self._session)) is not None:
            self._write(held)
        self.folder.close(keep=keep)

    def renew(self, *, keep: bool = False) -> None:
        """Leave the copy as in `stop`, and begin another."""
        self.stop(keep=keep)
        self.folder = RecoveryFolder(self.folder.folder)
        self._open = True
        self._touched()

    def write_now(self) -> bool:
        """Write the copy and wait for it; whether it is written."""
        self._timer.stop()
        self._join()
        self._pending = False
        return self._write(held_by(self._session))

    def _touched(self, *_: object) -> None:
        self._pending = True
        if self._open and not self._timer.isActive():
            self._timer.start()

    def _write(self, held: Copy | None) -> bool:
        try:
            if held is None:
                self.folder.drop()
            else:
                self.folder.write(held)
        except (OSError, ValueError) as error:
            self._ended.emit(f"No recovery copy can be kept: {why(error)}")
            return False
        self._ended.emit("")
        return True

    def _join(self) -> None:
        if self._writer is not None:
            self._writer.join()
            self._writer = None

    def _report(self, fault: str) -> None:
        self._join()
        if fault and not self._bad:
            self.failed.emit(fault)
        elif self._bad and not fault:
            self.worked.emit()
        self._bad = fault


def held_by(session: Session) -> Copy | None:
    """What of a session is in no file; None where all is."""
    if not (session.modified or typed_words(session) or session.refused):
        return None
    document = session.document
    return Copy(
        saved=datetime.now(UTC),
        title=document.flight.title,
        text=document.text,
        draft=session.draft,
        path=str(document.path.absolute()) if document.path else None,
        on_disk=document.on_disk,
        changed=session.modified,
        refused=tuple(session.refused.values()),
    )


def typed_words(session: Session) -> str:
    """The sight that is typed and not in the log, as in `sight_words`; empty where there is none.

    A filed sight that is looked at and left as it is counts for nothing.
    """
    draft, flight = session.draft, session.document.flight
    if draft.sight is not None:
        filed = next((one for one in flight.sights if one.id == draft.sight), None)
        if filed is not None and draft == draft_of(flight, filed, draft.aside):
            return sight_words(draft.aside, waiting(flight)[0]) if draft.aside else ""
    return sight_words(draft, waiting(flight)[0])


def sight_words(draft: Draft, waits: Draft | None = None) -> str:
    """The sight, or what else is in hand, in a line: `Polaris 2200 29 18`.

    Empty before there is a reading, or the time of a shot that is to come; `waits` stands in the form by itself.
    """
    if draft.other.kind:
        return other_words(draft.other)
    rows = [" ".join(" ".join(row).split()) for row in draft.series if any(text.strip() for text in row)]
    time = draft.time.strip()
    if not (rows or draft.reading.strip()) and time in ("", (waits or Draft()).time):  # a body alone is only looked for
        return ""
    parts = [draft.body, *rows[:1]] if rows else [draft.body, draft.time, draft.reading]
    said = " ".join(part for text in parts if (part := " ".join(text.split())))
    return f"{said} and {len(rows) - 1} readings more" if len(rows) > 1 else said
