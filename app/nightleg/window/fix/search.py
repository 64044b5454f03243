"""The search for explanations, beside the window: it takes some tenths of a second, which typing must not wait for."""

from __future__ import annotations

import contextlib
from threading import Thread

from msgspec import Struct
from PySide6.QtCore import QObject, Signal

from nightleg.flight.model import Flight
from nightleg.flight.solution import Solution
from nightleg.window.fix.trials import Trials, trials


class _Request(Struct, frozen=True, eq=False):
    flight: Flight
    solution: Solution
    fix_id: str


class SuspectSearch(QObject):
    """One search at a time, on frozen values. Of several requests the last one counts; an older answer is dropped."""

    found = Signal(object)
    """The Trials asked for last."""
    failed = Signal()
    """What was asked for last could not be worked out."""
    _done = Signal(object, object)

    def __init__(self, parent: QObject) -> None:
        super().__init__(parent)
        self._wanted: _Request | None = None
        self._thread: Thread | None = None
        self._done.connect(self._arrived)

    @property
    def running(self) -> bool:
        """Whether an answer is still to come."""
        return self._wanted is not None

    def ask(self, flight: Flight, solution: Solution, fix_id: str) -> None:
        """Search for explanations of a fix."""
        self._wanted = _Request(flight, solution, fix_id)
        self._begin()

    def cancel(self) -> None:
        """Nothing is wanted any more."""
        self._wanted = None

    def stop(self) -> None:
        """As `cancel`, and wait until nothing runs."""
        self.cancel()
        if self._thread is not None:
            self._thread.join()
            self._thread = None

    def _begin(self) -> None:
        if self._thread is None and self._wanted is not None:
            self._thread = Thread(target=self._search, args=(self._wanted,), name="explanations")
            self._thread.start()

    def _search(self, request: _Request) -> None:
        """In the thread: it touches nothing but its request."""
        found: Trials | None = None
        try:
            found = trials(request.flight, request.solution, request.fix_id)
        finally:
            with contextlib.suppress(RuntimeError):  # a window that was deleted without being closed asks no more
                self._done.emit(request, found)

    def _arrived(self, request: _Request, found: Trials | None) -> None:
        if self._thread is not None:
            self._thread.join()
            self._thread = None
        if request is not self._wanted:
            self._begin()
            return
        self._wanted = None
        if found is None:
            self.failed.emit()
        else:
            self.found.emit(found)
