"""What the window works on: the document, the sight being typed, the instant, and the solution of it all.

One direction: edits and typing come in here, a new solution goes out by a signal, and the views show it. No widgets.
"""

from __future__ import annotations

import sys
from datetime import datetime
from pathlib import Path

from msgspec.structs import replace
from PySide6.QtCore import QObject, Signal
from PySide6.QtGui import QUndoStack

from nightleg.flight.document import Document, save
from nightleg.flight.edits import Edit
from nightleg.flight.errors import FlightError
from nightleg.flight.known import over
from nightleg.flight.model import Flight
from nightleg.flight.parse import flight_of
from nightleg.flight.read import read_flight
from nightleg.flight.solution import FixResult, Problem, Solution
from nightleg.flight.solve import Unsolvable, solve
from nightleg.flight.state import moved
from nightleg.window.answering import Ground, answer
from nightleg.window.changes import Change
from nightleg.window.clock.moments import Knowing
from nightleg.window.other.draft import OtherTyped
from nightleg.window.other.work import after_filing, beside
from nightleg.window.sight.draft import Draft, Typed
from nightleg.window.sight.filing import candidate, draft_of, filing, waiting
from nightleg.window.words import faults
from nightleg.window.worked import Worked, last_entry

__all__ = ["Session", "Worked", "last_entry"]


class Session(QObject):
    """State of the window. `worked` is the last answer there was: what cannot be solved leaves it as it is."""

    solved = Signal()
    """There is a new answer."""
    moved = Signal()
    """Only the time has moved: nothing of the answer is another but `now` and the DR then."""
    typed_changed = Signal()
    """The draft was read anew: there may be something else to say of the fields."""
    draft_replaced = Signal()
    """The draft was set by other means than typing."""
    document_changed = Signal()
    """The document or its file has changed."""
    asked = Signal(str, str)
    """How a number came about is asked: whose it is, and the step of the working that gives it."""
    refused_changed = Signal()
    """There is other text that cannot be used."""
    told = Signal(str)
    """Something for the user to read; empty where there is nothing any more."""

    def __init__(self, document: Document, parent: QObject | None = None) -> None:
        """Raises Unsolvable where nothing of the flight can be solved."""
        super().__init__(parent)
        self.undo_stack = QUndoStack(self)
        self._document = document
        self._read: Document | None = None  # read already, about to be taken
        self._now: datetime | None = None
        self._as_known = True
        self._knowing = Knowing()
        self._shown = document.flight  # what of the document is shown
        self._base = self._solve(document.flight)
        self.whole = Worked(document.flight, self._base)
        self.worked = Worked(document.flight, self._base)
        self.draft, self.hint = waiting(document.flight)
        self.typed = Typed()
        self.other: OtherTyped | None = None  # what is typed of another kind, while one is in hand
        self.refused: dict[object, str] = {}  # text that stands in a field and cannot be used: whose it is, and what
        self._work()

    @property
    def document(self) -> Document:
        """The document, without the sight being typed."""
        return self._document

    @property
    def now(self) -> datetime:
        """Flight time: as set, else that of the last entry, the sight being typed among them."""
        return self.worked.solution.now

    @property
    def clock_set(self) -> bool:
        """Whether flight time was set, and does not follow the entries."""
        return self._now is not None

    @property
    def as_known(self) -> bool:
        """Whether a flight whose time is set is shown as it was known then, without what comes later."""
        return self._as_known

    @property
    def base(self) -> Solution:
        """The solution of what is shown of the document, without the sight being typed."""
        return self._base

    @property
    def modified(self) -> bool:
        """Whether there are changes that are in no file."""
        return not self.undo_stack.isClean()

    def fix_in_hand(self) -> FixResult | None:
        """The fix that matters: that of the sight being typed, else the last one by now."""
        worked = self.worked
        if worked.fix is not None:
            return worked.fix
        made = [fix for fix in worked.solution.fixes if fix.time <= self.now]
        return max(made, key=lambda fix: fix.time, default=None)

    def type(self, draft: Draft) -> None:
        """The form's fields have new text."""
        if draft != self.draft:
            self.draft = draft
            self._work()

    def refuse(self, owner: object, text: str) -> None:
        """Note text that stands in a field and cannot be used; empty where there is none any more."""
        if text != self.refused.get(owner, ""):
            self.refused.pop(owner, None)
            if text:
                self.refused[owner] = text
            self.refused_changed.emit()

    def set_now(self, now: datetime | None, *, as_known: bool | None = None) -> None:
        """Set flight time; None lets it follow the entries, all of which are shown then. `as_known`: see there.

        `worked` is the answer for what is shown, `whole` that for all entries. Raises Unsolvable for a time before the
        start.
        """
        as_known = self._as_known if as_known is None else as_known
        flight = self._document.flight
        shown = flight if now is None or not as_known else self._knowing.at(flight, now)
        if now is not None and self._now is not None and shown is self._shown:
            base, worked = moved(self._base, now), self.worked.at(now)
            if base is not None and worked is not None:
                self._now, self._as_known, self._base, self.worked = now, as_known, base, worked
                self.moved.emit()
                return
        base = self._solve(shown, now or last_entry(flight))
        self._now, self._as_known, self._shown, self._base = now, as_known, shown, base
        self.worked = Worked(shown, base)
        self._work()
        if self.typed.remarks:  # what is typed has no answer, the flight has
            self.solved.emit()

    def file_sight(self) -> bool:
        """Put the sight being typed into the document and ready the next. False, and why is told, if it cannot be."""
        made = candidate(self._document.flight, self.draft, self.typed)
        if made is None or self.typed.remarks:
            return False
        if self.worked.typed_id is None:
            self.told.emit("This sight cannot be worked, so it is not filed.")
            return False
        edits = filing(self._document.flight, self.draft, made)
        if not edits:  # a filed sight, looked at and left as it was
            self.leave_sight()
            return True
        label = "sight" if made.before is None else "change of sight"
        done = self.edit(f"{label} {made.sight.id}", *edits, anew=True)
        if done and self._now is not None and self._now < (end := over(self._document.flight, made.sight)):
            self.set_now(end)  # what has been entered is known
        return done

    def edit_sight(self, id: str) -> bool:
        """Take a filed sight into the form, to be changed; what was being typed waits. False for an unknown id."""
        flight, now = self._document.flight, self.draft
        sight = next((one for one in flight.sights if one.id == id), None)
        if sight is None:
            return False
        if now.sight != id:
            self.replace_draft(beside(now, draft_of(flight, sight, now.aside if now.sight else now)))
        return True

    def leave_sight(self) -> None:
        """Leave a filed sight as it is, and go on with what was being typed before."""
        if self.draft.sight is not None:
            self.replace_draft(self._next_draft(self._document.flight))

    def replace_draft(self, draft: Draft) -> None:
        """Set the draft by other means than typing."""
        self.draft = draft
        self.draft_replaced.emit()
        self._work()

    def _next_draft(self, flight: Flight) -> Draft:
        """What the form goes on to: another of its kind; of sights what was set aside, else the one that waits."""
        return after_filing(self.draft, self.draft.aside or waiting(flight)[0])

    def edit(self, label: str, *edits: Edit, anew: bool = False) -> bool:
        """Change the document, to be undone under `label`. False, and why is told, where the change cannot be.

        `anew`: the form goes on to the next sight.
        """
        problems = self.attempt(label, *edits, anew=anew)
        if problems:
            self.told.emit(f"Not changed: {faults(*problems)}")
        return not problems

    def attempt(
        self, label: str, *edits: Edit, anew: bool = False, merge: int = -1, draft: Draft | None = None
    ) -> tuple[Problem, ...]:
        """Change the document, to be undone under `label`; what keeps it from being, if anything does.

        Edits with the same `merge` number, from 0, that follow each other are one step; what changes nothing is none.
        """
        try:
            changed = self._document.with_edits(*edits)
            self._solve(changed.flight, self._now)
        except FlightError as error:
            return error.problems
        except KeyError as error:
            return (Problem("", f"there is no {error.args[0]} in this flight any more"),)
        except Unsolvable as error:
            return error.problems
        except (ArithmeticError, ValueError, LookupError) as error:
            if sys.flags.dev_mode:
                raise
            return (Problem("", f"this cannot be solved: {error}"),)
        after = self._next_draft(changed.flight) if anew else draft or self.draft
        if changed.text == self._document.text and after == self.draft:
            return ()
        self._read = changed
        texts, drafts = (self._document.text, changed.text), (self.draft, after)
        self.undo_stack.push(Change(label, texts, drafts, lambda: self._document.text, self._restore, merge))
        return ()

    def withdraw(self, merge: int) -> None:
        """Take back the edits of that number, if they are the last step, as if they had not been made."""
        stack = self.undo_stack
        step = stack.command(stack.index() - 1) if stack.canUndo() else None
        if isinstance(step, Change) and step.id() == merge:
            step.passing = True
            stack.undo()

    def open(self, path: Path) -> bool:
        """Take another flight. False, and why is told, if it cannot be read or solved."""
        try:
            self.take_up(read_flight(path))
        except FlightError as error:
            self.told.emit(f"{path.name} cannot be opened: {error}")
            return False
        except Unsolvable as error:
            self.told.emit(f"{path.name} cannot be solved: {faults(*error.problems)}")
            return False
        return True

    def take_up(self, document: Document, draft: Draft | None = None, *, changed: bool = False) -> None:
        """Another flight, with nothing to undo. `changed`: it has changes that are in no file.

        Raises Unsolvable, and then all stays as it is.
        """
        self._solve(document.flight, None)
        self.refused.clear()
        self.undo_stack.clear()
        if changed:
            self.undo_stack.resetClean()
        self._now = None
        self._take(document, draft or waiting(document.flight)[0])

    def take_theirs(self, theirs: Document) -> None:
        """What the file holds by now, in place of what is here; to be undone. Raises Unsolvable."""
        self._solve(theirs.flight, self._now)
        mine = self._document
        self._document = replace(mine, path=theirs.path, on_disk=theirs.on_disk)
        self._read = theirs
        texts, drafts = (mine.text, theirs.text), (self.draft, self.draft)
        self.undo_stack.push(Change("reload of the file", texts, drafts, lambda: self._document.text, self._restore))
        self.undo_stack.setClean()

    def save(self, path: Path | None = None) -> bool:
        """Write the document to its file or to another. False, and why is told, if that fails."""
        try:
            self.write(path)
        except (OSError, ValueError) as error:
            self.told.emit(f"Not saved: {error}")
            return False
        return True

    def write(self, path: Path | None = None) -> None:
        """As `save`. Raises OSError; ValueError where there is no path at all."""
        self._document = save(self._document, path)
        self.undo_stack.setClean()
        self.document_changed.emit()

    def _restore(self, text: str, draft: Draft) -> None:
        """Take another text of the flight, as undo and redo do; the file stays the one it is now."""
        kept, read = self._document, self._read
        flight = read.flight if read is not None and read.text == text else flight_of(text)
        self._read = None
        self._take(Document(flight, text, kept.path, kept.on_disk), draft)

    def _take(self, document: Document, draft: Draft) -> None:
        if draft.sight is not None and draft.sight not in {sight.id for sight in document.flight.sights}:
            draft = beside(draft, draft.aside or waiting(document.flight)[0])  # its sight is gone
        self._document, self.draft, self.hint = document, draft, waiting(document.flight)[1]
        now, flight = self._now, document.flight
        if now is not None:
            now = self._now = max(now, flight.start.time)
        self._shown = flight if now is None or not self._as_known else self._knowing.at(flight, now)
        self._base = self._solve(self._shown, now or last_entry(flight))
        self.worked = self.whole = Worked(self._shown, self._base)
        self.document_changed.emit()
        self.draft_replaced.emit()
        self.solved.emit()
        self._work()

    def _solve(self, flight: Flight, now: datetime | None = None) -> Solution:
        return solve(flight, now or last_entry(flight))

    def _work(self) -> None:
        """Read the draft and solve. Where either fails the last answer stays, and words say why."""
        ground = Ground(self._document.flight, self._shown, self._base, self._now)
        found = answer(self.draft, ground, self.worked)
        self.typed, self.other = found.typed, found.other
        if found.shown is not None and found.whole is not None:
            self.worked, self.whole = found.shown, found.whole
            self.solved.emit()
        self.typed_changed.emit()
        self.told.emit(found.told)
