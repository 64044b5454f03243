"""Documents of a window: new, open, save, recent flights, files changed by others, leaving, and what a crash left."""

from __future__ import annotations

import re
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, QTimer, Signal

from nightleg.flight.document import Document
from nightleg.flight.errors import FlightError
from nightleg.flight.read import read_flight
from nightleg.flight.solve import Unsolvable
from nightleg.safefile import why
from nightleg.window.documents.autosave import typed_words
from nightleg.window.documents.disk import DiskWatch, beside, disk_state
from nightleg.window.documents.drop import Drops
from nightleg.window.documents.export import Writers, export_chart, export_solution
from nightleg.window.documents.faults import FaultSheet
from nightleg.window.documents.settings import Keeper
from nightleg.window.documents.starter import new_flight
from nightleg.window.sight.draft import Draft
from nightleg.window.strips import Strip

if TYPE_CHECKING:
    from nightleg.window.main import MainWindow

_DISK, _UNSAVED = "disk", "not saved"


class Documents(QObject):
    """What the Flight menu does. Questions are asked by the window's dialogs, the rest is said in strips."""

    left = Signal(bool)
    """The document is left, for another one or for good; True: the sight being typed is to be kept."""

    def __init__(self, window: MainWindow, keeper: Keeper, writers: Writers | None = None) -> None:
        super().__init__(window)
        self._window, self._session, self.keeper = window, window.session, keeper
        self.writers: Writers = writers or {}
        self.watch = DiskWatch(lambda: self._session.document, self)
        self.watch.noticed.connect(self._show_disk)
        window.installEventFilter(self.watch)
        self._drops = Drops(window, self._open_later)
        self._dropped: Path | None = None
        self._after_drop = QTimer(self)  # the drag must have ended before a question is asked
        self._after_drop.setSingleShot(True)
        self._after_drop.timeout.connect(self._open_dropped)
        self._settle()

    def new(self) -> None:
        """A new flight, if the one here may go."""
        if self.may_go():
            self.take_up(new_flight(datetime.now(UTC)))
            self._window.to_flight()
            self._window.flight.start_of_flight()  # where and when it begins is the first to be told

    def ask_open(self) -> None:
        """Ask for a flight file and open it."""
        path = self._window.dialogs.open_path()
        if path is not None:
            self.open(path)

    def open(self, path: Path) -> bool:
        """Open a flight file, if it can be and if the flight here may go."""
        document = self._read(path)
        return document is not None and self.may_go() and self._try(document, path)

    def take_up(self, document: Document, draft: Draft | None = None, *, changed: bool = False) -> None:
        """Show another flight, as `Session.take_up` has it. Raises Unsolvable, and then the old one stays."""
        self._session.take_up(document, draft, changed=changed)
        window = self._window
        window.log.let_go()
        window.sheet.leave()  # and what was said of the flight before goes with it
        for said in (_UNSAVED, "done"):
            window.strips.take(said)
        self._settle()
        window.canvas.fit_plot()
        window.fold.show_flight(False)
        window.form.start()

    def save(self) -> bool:
        """Save to the flight's file, asking for one if it has none; what others wrote there is not lost unasked."""
        self._window.log.settle()
        document = self._session.document
        if document.path is None:
            return self.save_as()
        if disk_state(document) == "changed":
            answer = self._window.dialogs.versions(document.path.name)
            return {"mine": self.save_mine, "theirs": self.load_theirs, "both": self.keep_both}.get(answer, _no)()
        return self.save_mine()

    def save_as(self) -> bool:
        """Ask for a file and save to it."""
        self._window.log.settle()
        document = self._session.document
        path = self._window.dialogs.save_path(document.path)
        if path is None:
            return False
        if document.path is not None and path.absolute() == document.path.absolute():
            return self.save()
        return self._save(path)

    def save_mine(self) -> bool:
        """Save over whatever the file holds now."""
        return self._save(None)

    def load_theirs(self) -> bool:
        """Take what the file holds now; undo brings back what was here."""
        path = self._session.document.path
        theirs = self._read(path) if path is not None else None
        if theirs is None:
            return False
        try:
            self._session.take_theirs(theirs)
        except Unsolvable as error:
            self._refuse(theirs.path or Path("The file"), FlightError(error.problems))
            return False
        self._settle()
        return True

    def keep_both(self) -> bool:
        """Save beside the file, under another name, and go on with that; the file keeps what others wrote."""
        path = self._session.document.path
        if path is None:
            return self.save_as()
        other = beside(path)
        if not self._save(other):
            return False
        self.say(f"Yours is now {other.name}. The other version stays in {path.name}.")
        return True

    def may_go(self) -> bool:
        """Whether the document may be left: saved, kept, or not wanted. Asks once for everything."""
        session, useless = self._session, self._useless()
        typed = typed_words(session)
        if not session.modified and not typed and not useless:
            self.left.emit(False)
            return True
        answer = self._window.dialogs.save_first(session.modified, typed, useless)
        if answer == "cancel" or (answer == "save" and session.modified and not self.save()):
            return False
        self.left.emit(answer == "save" and bool(typed_words(session)))
        return True

    def export_chart(self) -> None:
        """Ask for a file and draw the chart into it."""
        path = self._window.dialogs.chart_path()
        if path is not None and export_chart(self._window, path):
            self.say(f"The chart is in {path.name}.")

    def export_solution(self) -> None:
        """Ask for a file and write the solution into it."""
        path = self._window.dialogs.solution_path()
        if path is not None and export_solution(self._window, self.writers, path):
            self.say(f"The solution is in {path.name}.")

    def open_recent(self, name: str) -> None:
        """Open one of the recent flights; one that is gone leaves the list."""
        path = Path(name)
        if not path.exists():
            self.keeper.forget(name)
            self._session.told.emit(f"{path.name} is not there any more; it was in {path.parent}")
            return
        self.open(path)

    def say(self, text: str) -> None:
        """Something that was done and need not be answered."""
        strips = self._window.strips
        strips.put("done", Strip("Done", text, ("OK", lambda: strips.take("done"))))

    def stop(self) -> None:
        """The window is closed."""
        self._after_drop.stop()
        self.watch.stop()

    def _try(self, document: Document, path: Path) -> bool:
        try:
            self.take_up(document)
        except Unsolvable as error:
            self._refuse(path, FlightError(error.problems))
            return False
        return True

    def _read(self, path: Path) -> Document | None:
        """The flight in a file; where it cannot be used, that is shown."""
        try:
            return read_flight(path)
        except FlightError as error:
            self._refuse(path, error)
        except (OSError, MemoryError, RecursionError) as error:
            self._session.told.emit(f"{path.name} cannot be opened: {why(error) or 'it is too large'}")
        return None

    def _refuse(self, path: Path, error: FlightError) -> None:
        number = len(error.problems) + error.more
        if number == 1:
            self._session.told.emit(f"{path.name} cannot be opened: {error}")
            return
        FaultSheet(self._window, path.name, error).show()

    def _useless(self) -> str:
        """What is typed in the log and in the flight form and cannot be used, in words."""
        return "; ".join(text for text in (self._window.log.settle(), *self._session.refused.values()) if text)

    def _save(self, path: Path | None) -> bool:
        strips = self._window.strips
        try:
            self._session.write(path)
        except (OSError, ValueError) as error:
            text = f"Not saved: {why(error)}. The flight is still here, and the file as it was."
            later = ("OK", lambda: strips.take(_UNSAVED))
            strips.put(_UNSAVED, Strip("Not saved", text, ("Save elsewhere…", self.save_as), later))
            return False
        strips.take(_UNSAVED)
        self._settle()
        useless = self._useless()
        if useless:
            self._session.told.emit(f"Saved, but for what cannot be used: {useless}")
        return True

    def _settle(self) -> None:
        """The document's file is the one it is now, and as it should be."""
        path, title = self._session.document.path, self._session.document.flight.title
        self._window.dialogs.stem = path.name.partition(".")[0] if path is not None else plain_name(title)
        self.watch.follow()
        self._window.strips.take(_DISK)
        if path is not None:
            self.keeper.remember(path)
            self._window.dialogs.folder = str(path.absolute().parent)

    def _show_disk(self) -> None:
        """Say what has become of the file, and offer what can be done."""
        document, strips = self._session.document, self._window.strips
        state = disk_state(document)
        if document.path is None or state == "same":
            strips.take(_DISK)
            return
        name, later = document.path.name, ("Later", lambda: strips.take(_DISK))
        if state == "gone":
            text = f"{name} is gone from its folder. The flight is still here."
            strips.put(_DISK, Strip("File gone", text, ("Save it again", self.save_mine), later))
            return
        text = f"{name} was changed by another program. Both versions are kept until you choose."
        choices = (("Save mine", self.save_mine), ("Load theirs", self.load_theirs), ("Keep both", self.keep_both))
        strips.put(_DISK, Strip("File changed", text, *choices, later))

    def _open_later(self, path: Path) -> None:
        self._dropped = path
        self._after_drop.start(0)

    def _open_dropped(self) -> None:
        if self._dropped is not None:
            self.open(self._dropped)


def plain_name(title: str) -> str:
    """A title as the beginning of a file's name: `Dusk to LANTERN` as `dusk-to-lantern`."""
    return re.sub(r"[^\w]+", "-", title.casefold()).strip("-")[:60] or "flight"


def _no() -> bool:
    return False
