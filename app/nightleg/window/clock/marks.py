"""What stands on the time line, and its scale: marks of a flight, ticks, time to px and back. No Qt here."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime, timedelta
from typing import Literal

from msgspec import Struct

from nightleg.flight.model import Flight
from nightleg.flight.shots import watch_to_gmt
from nightleg.flight.solution import FixResult, SightResult, Solution
from nightleg.units.positions import write_position
from nightleg.units.times import DAY_S, gmt_s, instant, write_clock, write_date
from nightleg.window.agenda import held, span
from nightleg.window.words import axes, clock, intercept

Kind = Literal["leg", "remark", "drift", "line", "shot", "fix"]

_STEPS_S = tuple(minutes * 60.0 for minutes in (1, 2, 5, 10, 20, 30, 60, 120, 180, 360, 720, 1440))
_BEYOND = 0.04  # of the span, that is left free after the last of it
_LEAST_SPAN_S = 1200.0


class Mark(Struct, frozen=True):
    """An entry on the time line. `id` as in the log; none for what is not in the document yet.

    `used`: a shot that is not set aside, a fix that has a position.
    """

    kind: Kind
    id: str
    begin: datetime
    end: datetime
    name: str
    text: str
    used: bool = True


def marks(flight: Flight, solution: Solution, typed_id: str | None = None) -> tuple[Mark, ...]:
    """All entries of a solved flight but its start; the sight that waits is among the shots."""
    found = [*_legs(flight), *_others(flight), *_shots(flight, solution, typed_id), *_fixes(solution)]
    return tuple(sorted(found, key=lambda mark: (mark.begin, mark.end)))


def _legs(flight: Flight) -> Iterator[Mark]:
    for number, leg in enumerate(flight.legs[1:], 2):
        words = held(leg)
        yield Mark("leg", str(number), leg.time, leg.time, words, f"{clock(leg.time)} leg: {words or 'as before'}")


def _others(flight: Flight) -> Iterator[Mark]:
    for number, remark in enumerate(flight.log):
        text = " ".join(remark.text.split())
        yield Mark("remark", str(number), remark.time, remark.time, "remark", f"{clock(remark.time)} {text}")
    for line in flight.lines:
        text = f"{clock(line.time)} {line.kind} {line.id}"
        yield Mark("line", line.id, line.time, line.time, line.id, text, line.use)
    for drift in flight.drifts:
        yield Mark("drift", drift.id, drift.time, drift.time, drift.id, f"{clock(drift.time)} drift {drift.id}")


def _shots(flight: Flight, solution: Solution, typed_id: str | None) -> Iterator[Mark]:
    results = {result.id: result for result in solution.sights}
    for sight in flight.sights:
        begin, end = span(flight, sight)
        result = results.get(sight.id)
        text = f"{clock(begin)}–{clock(end)} {sight.body}" if result is None else _shot_text(result)
        typed = sight.id == typed_id
        text += ", being typed" if typed else "" if sight.use else ", not used"
        yield Mark("shot", "" if typed else sight.id, begin, end, sight.body, text, sight.use)
    waiting = flight.next_sight
    if waiting is not None and typed_id is None:
        middle, half = watch_to_gmt(flight.watch, flight.start.time, waiting.time), timedelta(minutes=1)
        text = f"{clock(middle)} {waiting.body}: its reading waits to be entered"
        yield Mark("shot", "", middle - half, middle + half, waiting.body, text)


def _shot_text(result: SightResult) -> str:
    words = f", {intercept(result.intercept_nm)}" if result.intercept_nm is not None else ""
    return f"{clock(result.time)} {result.body}{words}" + (f", fix {result.fix}" if result.fix else "")


def _fixes(solution: Solution) -> Iterator[Mark]:
    for fix in solution.fixes:
        yield Mark("fix", fix.id, fix.time, fix.time, f"fix {fix.id}", _fix_text(fix), fix.position is not None)


def _fix_text(fix: FixResult) -> str:
    if fix.position is None:
        return f"{clock(fix.time)} fix {fix.id}, no position"
    ellipse = f", 95 % {axes(fix.ellipse95)}" if fix.ellipse95 else ""
    return f"{clock(fix.time)} fix {fix.id}, {write_position(fix.position)}{ellipse}"


class TimeScale(Struct, frozen=True):
    """Times from `first_s` to `last_s` (gmt_s) over px from `left` on, `width` of them."""

    first_s: float
    last_s: float
    left: float
    width: float

    @property
    def s_per_px(self) -> float:
        """Seconds to a px."""
        return (self.last_s - self.first_s) / self.width

    def x(self, when: datetime) -> float:
        """Where an instant stands, px."""
        return self.left + (gmt_s(when) - self.first_s) / self.s_per_px

    def time(self, x: float) -> datetime:
        """The instant at a px, within the line; to the whole minute, or to ten seconds where a px is less than five."""
        unit_s = 60.0 if self.s_per_px >= 5.0 else 10.0
        time_s = self.first_s + (x - self.left) * self.s_per_px
        return instant(min(max(round(time_s / unit_s) * unit_s, self.first_s), self.last_s))


def scale_of(first: datetime, last: datetime, left: float, width: float) -> TimeScale:
    """A scale that holds a flight from its start to the last of it, with room after it; it ends at a whole step.

    So it stays as it is while the last of it moves on, and takes a step from time to time.
    """
    first_s = gmt_s(first)
    span_s = max((gmt_s(last) - first_s) * (1.0 + _BEYOND), _LEAST_SPAN_S)
    step_s = max(next((step for step in _STEPS_S if step >= span_s / 12.0), DAY_S), 600.0)
    last_s = -((-first_s - span_s) // step_s) * step_s
    return TimeScale(first_s, last_s, left, max(width, 1.0))


class Tick(Struct, frozen=True):
    """A tick at a whole step of the clock; `text` where it is lettered, `size` 0 to 2, the hours largest.

    A lettered midnight tells the date that begins.
    """

    x: float
    text: str
    size: int


def ticks(scale: TimeScale, label_px: float, least_px: float = 6.0) -> tuple[Tick, ...]:
    """Ticks not closer than `least_px`, lettered where `label_px` with a gap has room; by the clock, not the start."""
    fine_s, lettered_s = _step(scale, least_px), _step(scale, label_px * 1.6)
    made = []
    time_s = -(-scale.first_s // fine_s) * fine_s
    while time_s <= scale.last_s:
        when, of_day = instant(time_s), time_s % DAY_S
        lettered = of_day % lettered_s == 0.0
        size = 2 if of_day % 3600.0 == 0.0 else 1 if lettered or of_day % 600.0 == 0.0 else 0
        text = "" if not lettered else write_date(when, short=True) if of_day == 0.0 else write_clock(when)
        made.append(Tick(scale.x(when), text, size))
        time_s += fine_s
    return tuple(made)


def _step(scale: TimeScale, px: float) -> float:
    """The least step of the clock that is so many px wide."""
    return next((step for step in _STEPS_S if step / scale.s_per_px >= px), _STEPS_S[-1] * 7.0)
