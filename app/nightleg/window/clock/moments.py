"""When something of a flight comes to be known, and the flight as it is shown at an instant. No Qt here."""

from __future__ import annotations

from bisect import bisect_right
from datetime import datetime

from msgspec.structs import replace

from nightleg.flight.known import known_by, over
from nightleg.flight.model import Flight
from nightleg.flight.shots import watch_to_gmt
from nightleg.units.times import gmt_s
from nightleg.window.sight.filing import Candidate


def moments(flight: Flight) -> tuple[datetime, ...]:
    """The start, and every later instant at which something of the flight comes to be known: rising, each once.

    Between two of them `known_by` gives the same flight.
    """
    start, watch = flight.start.time, flight.watch
    times = {leg.time for leg in flight.legs[1:]}
    times |= {over(flight, sight) for sight in flight.sights}
    for group in (flight.fixes, flight.lines, flight.drifts, flight.log):
        times |= {entry.time for entry in group}
    times |= {watch_to_gmt(watch, start, check.time) for check in flight.heading_checks}
    times |= {time for work in flight.plotted if (time := work.entered or work.time) is not None}
    return (start, *sorted(time for time in times if time > start))


class Knowing:
    """The flight as it was known, worked out anew only when the flight is another one or something comes to be known.

    So the same flight is the same object as long as nothing of it changes.
    """

    def __init__(self) -> None:
        self._flight: Flight | None = None
        self._moments_s: tuple[float, ...] = ()
        self._number = -1
        self._known: Flight | None = None

    def at(self, flight: Flight, now: datetime) -> Flight:
        """What is known of the flight at `now`."""
        if flight is not self._flight:
            self._flight, self._known = flight, None
            self._moments_s = tuple(gmt_s(time) for time in moments(flight))
        number = bisect_right(self._moments_s, gmt_s(now))
        if self._known is None or number != self._number:
            self._number, self._known = number, known_by(flight, now)
        return self._known


def with_typed(known: Flight, made: Candidate) -> Flight:
    """What is known, and the sight being typed with its fix, whether their time has come or not."""
    ids = {sight.id for sight in known.sights} | {line.id for line in known.lines} | {made.sight.id}
    fixes = {fix.id for fix in known.fixes} | ({made.fix.id} if made.fix else set())
    return replace(
        known,
        sights=tuple(sight for sight in made.flight.sights if sight.id in ids),
        fixes=tuple(
            replace(fix, sights=tuple(id for id in fix.sights if id in ids))
            for fix in made.flight.fixes
            if fix.id in fixes
        ),
    )
