"""One field's edit of the flight, with what must go along with it: a heading takes the place of a track. No Qt here."""

from __future__ import annotations

import re
from collections.abc import Sequence
from datetime import datetime
from typing import Any

from nightleg.air.speeds import cas_from_tas, mach_from_tas
from nightleg.flight.check_legs import DIRECTIONS, SPEEDS
from nightleg.flight.document import Document
from nightleg.flight.edits import Edit, Put
from nightleg.flight.layout import Path
from nightleg.flight.legs import Direction, HeldLeg, Speed, held_legs
from nightleg.flight.solution import DrState, Problem, Solution
from nightleg.units.errors import EntryError
from nightleg.units.times import gmt_s
from nightleg.window.flight.names import step_name
from nightleg.window.flight.renaming import renamed
from nightleg.window.flight.text import given, text_of, value_of
from nightleg.window.log.full import leg_variation
from nightleg.window.session import Session

BEARINGS = ("bearing_deg", "relative_bearing_deg")
"""The two forms of a bearing: one is given."""
_LINE = re.compile(r"^line \d+(, column \d+)?(, )?")


def enter(session: Session, place: Path, key: str, text: str, *, merge: int = -1, near: datetime | None = None) -> str:
    """Put typed text into the flight as one named step. What is wrong with it in words, or "" where it is done."""
    document = session.document
    if text.strip() == text_of(document, place, key).strip():
        return ""
    try:
        value = value_of(document, place, key, text, near)
    except EntryError as error:
        return str(error)
    edits = edits_of(document, session.whole.solution, place, key, value)
    problems = session.attempt(step_name(document, place, key, value), *edits, merge=merge)
    return said(problems, key)


def edits_of(document: Document, solution: Solution, place: Path, key: str, value: Any) -> tuple[Edit, ...]:
    """The edits that give a key a value. On a leg the other forms of the same thing go, and what it needs comes."""
    if place == ("grid",) and key in ("cone_latitude_deg", "first_parallel_deg", "second_parallel_deg"):
        from nightleg.window.flight.grid import cone_edits  # it has these fields, and knows this module

        return cone_edits(document, key, value)
    if place == ("start",) and key == "time" and isinstance(value, datetime):
        flight = document.flight
        first = [0] if flight.legs and flight.legs[0].time == flight.start.time else []  # it goes along
        return (*(Put(("leg", number), "time", value) for number in first), Put(place, key, value))
    if key == "id" and value is not None:
        return renamed(document, place, value)
    if key in BEARINGS and place[:1] == ("line",) and value is not None:
        other = BEARINGS[key == BEARINGS[0]]
        gone = (Put(place, other, None),) if given(document, place, other) is not None else ()
        return (*gone, Put(place, key, value))
    if place[:1] != ("leg",) or value is None or not isinstance(place[1], int) or place[1] >= len(document.flight.legs):
        return (Put(place, key, value),)
    others: dict[str, Any] = {}
    number = place[1]
    if key in DIRECTIONS or key in SPEEDS:
        held, now = held_legs(document.flight)[number], motion_of(document, solution, number)
        others = _alongside(document, place, key, held, now)
    dropped = [Put(place, other, None) for other, instead in others.items() if instead is None]
    added = [Put(place, other, instead) for other, instead in others.items() if instead is not None]
    return (*dropped, Put(place, key, value), *added)


def _alongside(document: Document, place: Path, key: str, held: HeldLeg, now: DrState | None) -> dict[str, Any]:
    """Other keys of a leg that change with a direction or a speed: None for what goes."""
    group = DIRECTIONS if key in DIRECTIONS else SPEEDS
    others: dict[str, Any] = {one: None for one in group if one != key and given(document, place, one) is not None}
    along_track = key in ("track_deg", "gs_kt")
    if along_track != (held.direction == "track"):  # a track goes with a ground speed, a heading with an airspeed
        rest = SPEEDS if key in DIRECTIONS else DIRECTIONS
        others |= {one: None for one in rest if given(document, place, one) is not None}
        if now is not None:
            if along_track:
                needed, figure = ("gs_kt", now.gs_kt) if key == "track_deg" else ("track_deg", now.track_deg)
            else:
                needed, figure = ("tas_kt", now.tas_kt) if key in DIRECTIONS else ("heading_deg", now.heading_deg)
            others[needed] = round(figure or 0.0, 1)
    if key == "heading_compass_deg" and not _deviation_given(document, int(place[1])):
        others["deviation_deg"] = 0.0
    return others


def _deviation_given(document: Document, number: int) -> bool:
    return any(leg.deviation_deg is not None for leg in document.flight.legs[: number + 1])


def motion_of(document: Document, solution: Solution, number: int) -> DrState | None:
    """The DR at the beginning of a leg, or at the start for one that is held there already."""
    leg = document.flight.legs[number]
    if leg.time <= document.flight.start.time:
        return solution.dr[0]
    wanted = gmt_s(leg.time)
    return next((one for one in solution.dr if one.kind == "leg" and abs(gmt_s(one.time) - wanted) < 1e-3), None)


def said(problems: Sequence[Problem], key: str) -> str:
    """What keeps an edit from being, in words for beside its field."""
    lines = []
    for problem in problems[:3]:
        path = getattr(problem, "path", ())
        place = _LINE.sub("", problem.place)
        own = key in path[2:3] or path[-1:] == (key,) or not place
        message = problem.message.replace("; right is", ": right is")
        lines.append(message if own else f"{place}: {message}")
    return "\n".join(lines)


def direction_value(session: Session, number: int, form: Direction) -> float | None:
    """The direction of a leg in another form, to a tenth of a degree, such that it is flown as before.

    None where the variation is not known.
    """
    state, held = _motion(session, number)
    if form in ("true", "track"):
        return round((state.heading_deg if form == "true" else state.track_deg or 0.0) % 360.0, 1) % 360.0
    if form == "grid":
        return round((state.heading_deg - held.convergence(*state.position)) % 360.0, 1) % 360.0
    variation = leg_variation(session.whole.solution, held)
    if variation is None:
        return None
    deviation_deg = held.deviation_deg if form == "compass" else 0.0
    return round((state.heading_deg - variation - deviation_deg) % 360.0, 1) % 360.0


def speed_value(session: Session, number: int, form: Speed) -> float | None:
    """The speed of a leg in another form, to a tenth of a knot or a thousandth of Mach; None where it has none."""
    state, held = _motion(session, number)
    try:
        if form == "cas":
            return round(float(cas_from_tas(state.tas_kt, held.altitude_ft, held.temperature_c)), 1)
        if form == "mach":
            return round(float(mach_from_tas(state.tas_kt, held.altitude_ft, held.temperature_c)), 3)
    except ValueError:
        return None
    return round(state.gs_kt if form == "gs" else state.tas_kt, 1)


def _motion(session: Session, number: int) -> tuple[DrState, HeldLeg]:
    state = motion_of(session.document, session.whole.solution, number)
    return state or session.whole.solution.dr[0], held_legs(session.document.flight)[number]
