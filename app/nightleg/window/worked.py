"""One answer of the session, and the instant that it is for when none is set. No Qt here."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from nightleg.flight.model import Flight
from nightleg.flight.shots import ready, watch_to_gmt
from nightleg.flight.solution import FixResult, SightResult, Solution
from nightleg.flight.state import moved
from nightleg.units.times import instant
from nightleg.window.sight.draft import Draft


@dataclass(frozen=True, slots=True)
class Typing:
    """The line or other reading being typed, where it is in the flight: kind, kind of its row in the log, id."""

    kind: str
    row: str
    id: str


@dataclass(frozen=True)
class Worked:
    """One answer: the flight that was solved (with the sight being typed, if it is complete) and its solution.

    `sight` is the result of the sight being typed; before there is a reading it only tells where the body stands (what
    it says of the reading is not so), and the sight is not in the flight. `fix` is the fix it goes into. `draft` is the
    text that it answers.
    """

    flight: Flight
    solution: Solution
    sight: SightResult | None = None
    fix: FixResult | None = None
    typed_id: str | None = None  # id of the sight being typed, where it is in the flight
    other: Typing | None = None
    draft: Draft | None = None

    @property
    def typed_row(self) -> tuple[str, str] | None:
        """Kind and id of the log's row of what is being typed."""
        if self.other is not None:
            return self.other.row, self.other.id
        return None if self.typed_id is None else ("sight", self.typed_id)

    def at(self, now: datetime) -> Worked | None:
        """The same answer at another instant; None where it must be solved anew."""
        solution = moved(self.solution, now)
        if solution is None:
            return None
        return Worked(self.flight, solution, self.sight, self.fix, self.typed_id, self.other, self.draft)


def last_entry(flight: Flight) -> datetime:
    """Time of the last entry of a flight but its legs, of the sight that waits too; the start where there is none."""
    times = [flight.start.time, *(fix.time for fix in flight.fixes), *(entry.time for entry in flight.log)]
    times += [line.time for line in flight.lines] + [drift.time for drift in flight.drifts]
    times += [watch_to_gmt(flight.watch, flight.start.time, check.time) for check in flight.heading_checks]
    if flight.sights:
        times.append(instant(max(ready(flight.watch, flight.start.time, sight).time_s for sight in flight.sights)))
    if flight.next_sight is not None:
        times.append(watch_to_gmt(flight.watch, flight.start.time, flight.next_sight.time))
    return max(times)
