"""The flight clock: flight time that stands, runs at a rate, jumps from entry to entry and is set by typing.

It knows no widgets and no timer: whoever drives it tells it how much time has passed.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, timedelta

from nightleg.sky.ephemeris import LAST
from nightleg.units.errors import EntryError, quoted
from nightleg.units.times import first_after, is_dated, nearest_date, read_clock, read_dated, write_clock, write_instant

RATES = (1, 2, 5, 10, 20, 30, 60)


class FlightClock:
    """Flight time `now` between `first` and `last`. It shows whole seconds, and keeps the parts while it runs."""

    def __init__(self, first: datetime, now: datetime, last: datetime = LAST) -> None:
        self.first, self.last = first, last
        self.rate = RATES[0]
        self.running = False
        self._exact = first
        self.set(now)

    @property
    def now(self) -> datetime:
        """Flight time, whole seconds; as it was set, while it stands."""
        return self._exact.replace(microsecond=0) if self.running else self._exact

    @property
    def at_end(self) -> bool:
        """Whether it has come to where it must stop."""
        return self._exact >= self.last

    def set(self, now: datetime) -> None:
        """Set flight time, within the limits; it goes on running if it runs."""
        self._exact = min(max(now, self.first), self.last)
        if self.at_end:
            self.running = False

    def run(self) -> bool:
        """Let it run; False at the end, where it cannot."""
        self.running = not self.at_end
        return self.running

    def pause(self) -> None:
        """Let it stand, at a whole second."""
        self._exact, self.running = self.now, False

    def advance(self, real_s: float) -> bool:
        """Real time has passed; whether flight time is another second now. It stops at the end."""
        if not self.running or not real_s > 0.0:
            return False
        before = self.now
        try:
            self._exact = min(self._exact + timedelta(seconds=real_s * self.rate), self.last)
        except OverflowError:
            self._exact = self.last
        self.running = not self.at_end
        return self.now != before

    def faster(self) -> int:
        """The next higher rate, if there is one."""
        self.rate = next((rate for rate in RATES if rate > self.rate), RATES[-1])
        return self.rate

    def slower(self) -> int:
        """The next lower rate, if there is one."""
        self.rate = next((rate for rate in reversed(RATES) if rate < self.rate), RATES[0])
        return self.rate

    def next_second_s(self) -> float:
        """Real seconds until flight time shows another second, at least; for whoever waits for it."""
        return (1.0 - self._exact.microsecond / 1e6) / self.rate

    def ending(self) -> str:
        """Why it cannot go on, in words."""
        return f"The clock stops here: places of the bodies are known up to {write_instant(self.last)}."


def typed_time(text: str, first: datetime, now: datetime) -> datetime:
    """The flight time that a clock time means: the one nearest to `now` that is not before `first`.

    `0115` typed at 2340 is after midnight; `2210` typed then is 90 minutes back; a date may stand before it. Raises
    EntryError.
    """
    if is_dated(text):
        found = read_dated(text, now)
        if found < first:
            raise EntryError(f"{quoted(text)} is before the start of the flight at {write_instant(first)}")
    else:
        clock_s = read_clock(text)
        found = nearest_date(clock_s, now)
        if found < first:
            found = first_after(clock_s, first)
    if found > LAST:
        raise EntryError(f"{quoted(text)} is after {write_instant(LAST)}, the end of the ephemeris")
    return found


def next_of(times: Sequence[datetime], now: datetime) -> datetime | None:
    """The first of some rising times after `now`."""
    return next((time for time in times if time > now), None)


def previous_of(times: Sequence[datetime], now: datetime) -> datetime | None:
    """The last of some rising times before `now`."""
    return next((time for time in reversed(times) if time < now), None)


def clock_words(now: datetime, rate: int, *, running: bool, every: bool) -> str:
    """The clock in a sentence, for those who hear it: `2247:31 GMT, running 10 times as fast`."""
    how = f"running {rate} times as fast" if running and rate > 1 else "running" if running else "standing"
    return f"{write_clock(now, seconds=True)} GMT, {how}{', all entries shown' if every else ''}"
