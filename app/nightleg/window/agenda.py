"""What to do next: shots to begin, fixes to work, turns to make, in the order of time. No Qt here.

What the flight holds after the instant is a plan: a shot that is logged for later is one to be taken then.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Literal

from nightleg.flight.known import over
from nightleg.flight.model import Flight, Leg, Sight
from nightleg.flight.shots import watch_to_gmt
from nightleg.units.angles import write_bearing
from nightleg.window.ahead import Ahead

Kind = Literal["shot", "fix", "leg", "waypoint"]

_HALF_SHOT = timedelta(seconds=Sight(id="", body="Sun").duration_s / 2.0)
_LONGEST_SHOT = timedelta(hours=1)
_AT_ONCE = timedelta(minutes=2)  # what begins within this comes before a reading that waits


@dataclass(frozen=True, slots=True)
class Task:
    """Something to be done from `begin` to `end`, the same instant where it takes no time."""

    kind: Kind
    what: str
    begin: datetime
    end: datetime


def span(flight: Flight, sight: Sight) -> tuple[datetime, datetime]:
    """GMT of the beginning and the end of a shot."""
    end = over(flight, sight)
    if sight.readings:
        first = min(reading.time for reading in sight.readings)
        return watch_to_gmt(flight.watch, flight.start.time, first), end
    return end - timedelta(seconds=sight.duration_s), end


def held(leg: Leg) -> str:
    """What a leg gives anew, in words: `compass 129°`, `wind 310/45`; nothing for a leg that gives neither."""
    given = (
        ("heading", leg.heading_deg),
        ("magnetic", leg.heading_magnetic_deg),
        ("compass", leg.heading_compass_deg),
        ("grid", leg.heading_grid_deg),
        ("track", leg.track_deg),
    )
    return next((f"{name} {write_bearing(deg)}" for name, deg in given if deg is not None), "")


class Agenda:
    """The tasks of a flight in the order of time, ready to be asked at every tick of the clock."""

    def __init__(self, flight: Flight) -> None:
        self.tasks = tuple(sorted((*_shots(flight), *_others(flight)), key=lambda task: (task.begin, task.end)))
        self.begun = bool(flight.sights or flight.lines or flight.fixes or flight.waypoints or flight.next_sight)
        """Whether there is anything but start and legs in the flight."""
        self._begins = [task.begin for task in self.tasks]
        self.waiting: Task | None = None
        """The shot that waits for its reading to be entered, to its middle: then the reading is there."""
        if flight.next_sight is not None:
            middle = watch_to_gmt(flight.watch, flight.start.time, flight.next_sight.time)
            self.waiting = Task("shot", flight.next_sight.body, middle - _HALF_SHOT, middle)

    def after(self, now: datetime, point: Ahead | None = None, *, entered: bool = False) -> tuple[Task, ...]:
        """What is still to do; a shot that is being taken comes first. `point` adds the turn at the next waypoint.

        `entered`: flight time follows the entries, so that a shot that has begun is one whose reading is there.
        """
        number = bisect_right(self._begins, now)
        early = number if entered else bisect_right(self._begins, now - _LONGEST_SHOT)
        found = [task for task in self.tasks[early:number] if task.end > now]
        found += self.tasks[number:]
        if self.waiting is not None and self.waiting.end > now:
            found.append(self.waiting)
        if point is not None and not point.passed and point.eta is not None and point.eta > now:
            found.append(Task("waypoint", _turn(point), point.eta, point.eta))
        return tuple(sorted(found, key=lambda task: (task.begin, task.end)))


def _turn(point: Ahead) -> str:
    return f"turn for {point.after}" if point.after else f"over {point.name}"


def _shots(flight: Flight) -> Iterable[Task]:
    return (Task("shot", sight.body, *span(flight, sight)) for sight in flight.sights if sight.use)


def _others(flight: Flight) -> Iterable[Task]:
    for fix in flight.fixes:
        yield Task("fix", f"fix {fix.id}", fix.time, fix.time)
    for leg in flight.legs[1:]:
        if words := held(leg):
            yield Task("leg", words, leg.time, leg.time)


def next_words(agenda: Agenda, now: datetime, point: Ahead | None = None, *, entered: bool = False) -> tuple[str, str]:
    """What to do next, as a caption and in words: `to do`, `shoot Polaris in 4:29`; both empty if nothing is left.

    A shot counts down to its beginning, and while it lasts to its end. A reading that waits comes before what is not
    to be done at once. `entered`: see `Agenda.after`.
    """
    tasks, waiting = agenda.after(now, point, entered=entered), agenda.waiting
    if waiting is not None and waiting.end <= now and not (tasks and tasks[0].begin <= now + _AT_ONCE):
        return "to do", f"enter {waiting.what}"
    if not tasks:
        if agenda.begun:
            return ("to do", "no waypoint left") if point is not None and point.passed else ("", "")
        return "to do", "enter the first sight"
    task = tasks[0]
    if task.begin <= now:
        return "now", f"shoot {task.what}, {countdown(task.end - now)} left"
    what = f"shoot {task.what}" if task.kind == "shot" else task.what
    return "to do", f"{what} in {countdown(task.begin - now)}"


def countdown(left: timedelta) -> str:
    """Time left: `0:42`, `4:29` to the second; from ten minutes on `12 min`, from two hours on `2 h 05 min`."""
    seconds = max(-int(-left.total_seconds() // 1), 0)
    if seconds < 600:
        return f"{seconds // 60}:{seconds % 60:02d}"
    minutes = seconds // 60
    return f"{minutes} min" if minutes < 120 else f"{minutes // 60} h {minutes % 60:02d} min"
