"""What the window works on: the document, the sight being typed, the instant, and the solution of it all.

One direction: edits and typing come in here, a new solution goes out by a signal, and the views show it. No widgets.
"""

from __future__ import annotations

import sys
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from msgspec.structs import replace
from PySide6.QtCore import QObject, Signal
from PySide6.QtGui import QUndoStack

from nightleg.flight.document import Document, save
from nightleg.flight.edits import Edit
from nightleg.flight.errors import FlightError
from nightleg.flight.model import Flight
from nightleg.flight.parse import flight_of
from nightleg.flight.read import read_flight
from nightleg.flight.shots import ready, watch_to_gmt
from nightleg.flight.solution import FixResult, Problem, SightResult, Solution
from nightleg.flight.solve import Unsolvable, solve
from nightleg.units.times import instant
from nightleg.window.changes import Change
from nightleg.window.draft import Draft, Typed, begun, understand
from nightleg.window.filing import candidate, draft_of, filing, waiting
from nightleg.window.words import faults


@dataclass(frozen=True)
class Worked:
    """One answer: the flight that was solved (with the sight being typed, if it is complete) and its solution.

    `sight` is the result of the sight being typed; before there is a reading it only tells where the body stands (what
    it says of the reading is not so), and the sight is not in the flight. `fix` is the fix it goes into.
    """

    flight: Flight
    solution: Solution
    sight: SightResult | None = None
    fix: FixResult | None = None
    typed_id: str | None = None  # id of the sight being typed, where it is in the flight


class Session(QObject):
    """State of the window. `worked` is the last answer there was: what cannot be solved leaves it as it is."""

    solved = Signal()
    """There is a new answer."""
    typed_changed = Signal()
    """The draft was read anew: there may be something else to say of the fields."""
    draft_replaced = Signal()
    """The draft was set by other means than typing."""
    document_changed = Signal()
    """The document or its file has changed."""
    told = Signal(str)
    """Something for the user to read; empty where there is nothing any more."""

    def __init__(self, document: Document, parent: QObject | None = None) -> None:
        """Raises Unsolvable where nothing of the flight can be solved."""
        super().__init__(parent)
        self.undo_stack = QUndoStack(self)
        self._document = document
        self._read: Document | None = None  # read already, about to be taken
        self._now: datetime | None = None
        self._base = self._solve(document.flight)
        self.worked = Worked(document.flight, self._base)
        self.draft, self.hint = waiting(document.flight)
        self.typed = Typed()
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
    def base(self) -> Solution:
        """The solution of the document, without the sight being typed."""
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

    def set_now(self, now: datetime | None) -> None:
        """Set flight time; None lets it follow the entries. Raises Unsolvable for a time before the start."""
        base = self._solve(self._document.flight, now)
        self._now, self._base = now, base
        self.worked = Worked(self._document.flight, base)
        self._work()

    def file_sight(self) -> bool:
        """Put the sight being typed into the document and ready the next. False, and why is told, if it cannot be."""
        made = candidate(self._document.flight, self.draft, self.typed)
        if made is None or self.typed.remarks:
            return False
        if self.worked.typed_id is None:
            self.told.emit("This sight cannot be worked, so it is not filed.")
            return False
        edits = filing(self._document.flight, self.draft, made)
        return self.edit(f"sight {made.sight.id}", *edits, anew=True)

    def edit(self, label: str, *edits: Edit, anew: bool = False) -> bool:
        """Change the document, to be undone under `label`. False, and why is told, where the change cannot be.

        `anew`: the form goes on to the next sight.
        """
        problems = self.attempt(label, *edits, anew=anew)
        if problems:
            self.told.emit(f"Not changed: {faults(*problems)}")
        return not problems

    def attempt(self, label: str, *edits: Edit, anew: bool = False, merge: int = -1) -> tuple[Problem, ...]:
        """Change the document, to be undone under `label`; what keeps it from being, if anything does.

        Edits with the same `merge` number, 0 and up, that follow each other are one step. Edits that change nothing are
        no step.
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
        after = waiting(changed.flight)[0] if anew else self.draft
        if changed.text == self._document.text and after == self.draft:
            return ()
        self._read = changed
        texts, drafts = (self._document.text, changed.text), (self.draft, after)
        self.undo_stack.push(Change(label, texts, drafts, lambda: self._document.text, self._restore, merge))
        return ()

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
        self._document, self.draft, self.hint = document, draft, waiting(document.flight)[1]
        self._base = self._solve(document.flight, self._now)
        self.worked = Worked(document.flight, self._base)
        self.document_changed.emit()
        self.draft_replaced.emit()
        self.solved.emit()
        self._work()

    def _solve(self, flight: Flight, now: datetime | None = None) -> Solution:
        return solve(flight, now or last_entry(flight))

    def _work(self) -> None:
        """Read the draft and solve. Where either fails the last answer stays, and words say why."""
        flight = self._document.flight
        self.typed = understand(self.draft, flight, last_entry(flight))
        told = ""
        if not self.typed.remarks:
            try:
                self.worked = self._answer(flight)
            except Unsolvable as error:
                told = faults(*error.problems)
            except (ArithmeticError, ValueError, LookupError) as error:
                if sys.flags.dev_mode:  # python -X dev: whoever repairs the program wants to see where
                    raise
                told = f"This cannot be solved: {error}"
            else:
                told = faults(*self.worked.solution.problems)
                self.solved.emit()
        self.typed_changed.emit()
        self.told.emit(told)

    def _answer(self, flight: Flight) -> Worked:
        typed = self.typed
        made = candidate(flight, self.draft, typed, probe=not typed.complete)
        if made is None or typed.watch_time is None:
            return Worked(flight, self._base)
        now = self._now or max(self._base.now, made.gmt)
        solution = solve(made.flight, now)
        sight = solution.sight(made.sight.id)
        if typed.complete:
            return Worked(made.flight, solution, sight, solution.fix(made.fix.id), made.sight.id)
        fix = None if made.new_fix else self._base.fix(made.fix.id)
        return Worked(flight, self._base, sight, fix)


def last_entry(flight: Flight) -> datetime:
    """Time of the last sight, fix or remark of a flight, of the sight that waits too; the start where there is none."""
    times = [flight.start.time, *(fix.time for fix in flight.fixes), *(entry.time for entry in flight.log)]
    times += [instant(ready(flight.watch, flight.start.time, sight).time_s) for sight in flight.sights]
    if flight.next_sight is not None:
        times.append(watch_to_gmt(flight.watch, flight.start.time, flight.next_sight.time))
    return max(times)

