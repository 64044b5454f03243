"""Entries put into the flight at an instant, and taken out again. No Qt here."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Literal

from nightleg.flight.document import Document
from nightleg.flight.edits import Append, Edit, Insert, Put, Remove
from nightleg.flight.layout import Path
from nightleg.flight.model import Flight, WindOfFix
from nightleg.flight.shots import ready
from nightleg.flight.solution import Solution
from nightleg.flight.state import dr_state
from nightleg.units.positions import Position, write_position
from nightleg.units.times import gmt_s, instant, write_clock
from nightleg.window.ahead import ahead
from nightleg.window.flight.names import place_name
from nightleg.window.sight.filing import free_id

What = Literal["remark", "leg", "fix", "known", "waypoint"]

_KNOWN_SIGMA_NM = 1.0  # of a position by sight or radio, until something else is typed
_SAME_FIX = timedelta(minutes=30)


@dataclass(frozen=True, slots=True)
class Made:
    """Edits under a name, and the entry they make: kind and id of its row in the log, or its number."""

    label: str
    edits: tuple[Edit, ...]
    kind: str = ""
    id: str = ""


def inserted(what: What, document: Document, solution: Solution, now: datetime) -> Made:
    """An entry of a kind at an instant, with what can be said of it already."""
    flight, clock = document.flight, write_clock(now)
    if what == "remark":
        return Made(f"remark of {clock}", (Append("log", {"time": now, "text": ""}),), "remark", str(len(flight.log)))
    if what == "leg":
        number = sum(1 for leg in flight.legs if leg.time <= now)
        return Made(f"leg at {clock}", (Insert("leg", number, {"time": now}),), "leg", str(number + 1))
    if what == "waypoint":
        return _waypoint(flight, solution, now)
    id = free_id("f", {fix.id for fix in flight.fixes})
    values: dict[str, object] = {"id": id, "time": now}
    if what == "known":
        values |= {"kind": "known", "position": plain(_here(solution, now)), "sigma_nm": _KNOWN_SIGMA_NM}
    else:
        values["sights"] = loose_shots(flight, now)
    return Made(f"fix {id}", (Append("fix", values),), "fix", id)


def _waypoint(flight: Flight, solution: Solution, now: datetime) -> Made:
    """A point of the route where the DR is, before the one that comes next; after the last one once that is passed."""
    coming = ahead(flight, dr_state("now", solution.plot_at(now), gmt_s(now)))
    names = [point.name for point in flight.waypoints]
    number = names.index(coming.name) if coming is not None and not coming.passed else len(names)
    name = free_id("W", set(names))
    values = {"name": name, "position": plain(_here(solution, now))}
    return Made(f"waypoint {name}", (Insert("waypoint", number, values),), "waypoint", str(number))


def _here(solution: Solution, now: datetime) -> Position:
    return dr_state("now", solution.plot_at(now), gmt_s(now)).position


def plain(position: Position) -> str:
    """A position as it is typed: `41 30.0 N 028 15.0 W`."""
    text = write_position(position).replace("°", " ").replace("′", " ")
    return " ".join(text.split())


def loose_shots(flight: Flight, now: datetime) -> list[str]:
    """Ids of the shots about an instant that are in no fix."""
    taken = {id for fix in flight.fixes for id in fix.sights}
    times = {one.id: instant(ready(flight.watch, flight.start.time, one).time_s) for one in flight.sights}
    times |= {line.id: line.time for line in flight.lines}
    return [id for id, time in times.items() if id not in taken and abs(time - now) <= _SAME_FIX]


def references(flight: Flight, id: str) -> list[str]:
    """What refers to a sight, a line, a fix or a check by its id, but for the lists of shots of the fixes."""
    found = []
    for number, leg in enumerate(flight.legs):
        if isinstance(leg.wind, WindOfFix) and leg.wind.fix == id:
            found.append(f"the wind of leg {number + 1}")
    found += [f"line {line.id}" for line in flight.lines if line.from_ == id]
    found += [f"the work of {work.by or 'somebody'} on it" for work in flight.plotted if work.of == id]
    if flight.next_sight is not None and flight.next_sight.fix == id:
        found.append("the sight that waits")
    return found


def without(document: Document, places: Iterable[Path]) -> Made | str:
    """The edits that take entries away, a shot out of its fixes too; or what keeps one from going, in words."""
    flight = document.flight
    going = list(dict.fromkeys(places))
    ids = {str(place[1]) for place in going if len(place) == 2 and isinstance(place[1], str)}
    names, out_of = [], []
    for place in going:
        name = place_name(flight, place)
        if len(place) < 2:
            return f"The {name} of a flight cannot be taken away."
        if isinstance(place[1], str):
            holding = [one for one in references(flight, place[1]) if one.removeprefix("line ") not in ids]
            if holding:
                return f"{name} cannot go: {' and '.join(holding)} refer{'s' if len(holding) == 1 else ''} to it."
        names.append(name)
    if {("leg", number) for number in range(len(flight.legs))} <= set(going):
        return "The last leg cannot be taken away: something is held from the start on."
    edits: list[Edit] = []
    for fix in flight.fixes:
        left = [id for id in fix.sights if id not in ids]
        if len(left) < len(fix.sights) and fix.id not in ids:
            edits.append(Put(("fix", fix.id), "sights", left))
            out_of.append(fix.id)
    numbered = sorted((place for place in going if isinstance(place[1], int)), key=_number, reverse=True)
    edits += [Remove(place) for place in going if isinstance(place[1], str)]
    edits += [Remove(place) for place in numbered]
    what = names[0] if len(names) == 1 else f"{len(names)} entries"
    return Made(f"taking away {what}{', out of ' + ', '.join(out_of) if out_of else ''}", tuple(edits))


def _number(place: Path) -> int:
    return int(place[1])
