"""What drives the flight clock: the one timer of flight time, and the commands of the clock menu.

The session's `now` is the truth; the clock follows it when others set it.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from datetime import datetime

from PySide6.QtCore import QObject, Qt, QTimer, Signal

from nightleg.flight.solve import Unsolvable
from nightleg.window.clock.clock import RATES, FlightClock, next_of, previous_of
from nightleg.window.clock.moments import moments
from nightleg.window.session import Session
from nightleg.window.words import faults
from nightleg.window.worked import last_entry

FRAME_S = 0.05  # between two steps while it runs, at least: what moves on the chart moves slowly


class Ticker(QObject):
    """The flight clock of a session. `real_s` tells seconds of real time."""

    changed = Signal()
    """It runs or stands, at another rate, or shows more or less than before."""

    def __init__(self, session: Session, real_s: Callable[[], float] = time.monotonic) -> None:
        super().__init__(session)
        self._session, self._real_s, self._last_s = session, real_s, 0.0
        self.clock = FlightClock(session.document.flight.start.time, session.now)
        self._moments: tuple[datetime, ...] | None = None
        self._setting = False
        self._timer = QTimer(self)
        self._timer.setSingleShot(True)
        self._timer.setTimerType(Qt.TimerType.PreciseTimer)
        self._timer.timeout.connect(self.tick)
        session.document_changed.connect(self._other_flight)
        session.solved.connect(self._follow)
        session.moved.connect(self._follow)

    @property
    def running(self) -> bool:
        """Whether flight time runs."""
        return self.clock.running

    @property
    def moments(self) -> tuple[datetime, ...]:
        """The start and all instants at which an entry comes to be known, rising."""
        if self._moments is None:
            flight = self._session.document.flight
            self._moments = tuple(sorted({*moments(flight), last_entry(flight)}))
        return self._moments

    def toggle(self) -> None:
        """Run, or stand still."""
        if self.clock.running:
            self.pause()
        else:
            self.run()

    def run(self) -> None:
        """Let flight time run from where it is."""
        if not self.clock.run():
            self._session.told.emit(self.clock.ending())
            return
        self._last_s = self._real_s()
        self.set(self.clock.now)
        self._wait()
        self.changed.emit()

    def pause(self) -> None:
        """Let flight time stand."""
        self._timer.stop()
        if self.clock.running:
            self.clock.pause()
            self.changed.emit()

    def faster(self) -> None:
        """One rate up."""
        self._at_rate(self.clock.faster)

    def slower(self) -> None:
        """One rate down."""
        self._at_rate(self.clock.slower)

    def set(self, now: datetime) -> None:
        """Set flight time, within the start and the end of the ephemeris."""
        self.clock.set(now)
        self._show()

    def to_next(self) -> None:
        """To the next entry."""
        self._to(next_of(self.moments, self._session.now))

    def to_previous(self) -> None:
        """To the entry before."""
        self._to(previous_of(self.moments, self._session.now))

    def to_start(self) -> None:
        """To the start of the flight."""
        self._to(self.moments[0])

    def to_last(self) -> None:
        """To the last entry."""
        self._to(self.moments[-1])

    def all_entries(self) -> None:
        """Stand, show everything there is, and follow the last entry."""
        self.pause()
        self._session.set_now(None)
        self.changed.emit()

    def set_as_known(self, on: bool) -> None:
        """Whether the flight is shown as it was known at flight time, which stands where it is from then on."""
        session = self._session
        session.set_now(session.now if on or session.clock_set else None, as_known=on)
        self.changed.emit()

    def tick(self) -> None:
        """Bring flight time up to real time."""
        now_s = self._real_s()
        passed_s, self._last_s = now_s - self._last_s, now_s
        if self.clock.advance(passed_s):
            self._show()
        if self.clock.running:
            self._wait()
        elif self.clock.at_end:
            self.changed.emit()
            self._session.told.emit(self.clock.ending())

    def _wait(self) -> None:
        self._timer.start(round(max(self.clock.next_second_s(), FRAME_S) * 1000.0) + 1)

    def _at_rate(self, change: Callable[[], int]) -> None:
        if self.clock.running:
            self.tick()
        if change() in RATES and self.clock.running:
            self._wait()
        self.changed.emit()

    def _to(self, when: datetime | None) -> None:
        if when is not None:
            self.set(when)

    def _show(self) -> None:
        """Bring the session to the clock. Where it cannot follow, the clock stands and it is said why."""
        was_set = self._session.clock_set
        self._setting = True
        try:
            self._session.set_now(self.clock.now)
        except Unsolvable as error:
            self.clock.set(self._session.now)
            self.pause()
            self._session.told.emit(faults(*error.problems))
        finally:
            self._setting = False
        if not was_set:
            self.changed.emit()

    def _follow(self) -> None:
        """The session's time was set by others, or follows a new entry."""
        if not self._setting and self._session.now != self.clock.now:
            self.clock.set(self._session.now)

    def _other_flight(self) -> None:
        flight = self._session.document.flight
        self._moments, self.clock.first = None, flight.start.time
        if not self._session.clock_set:  # a flight just opened: it stands at its last entry
            self.pause()
            self.changed.emit()
