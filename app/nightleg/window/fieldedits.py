"""One field's edit of the flight, with what must go along with it: a heading takes the place of a track. No Qt here."""

from __future__ import annotations

import re
from collections.abc import Sequence
from datetime import datetime
from typing import Any

from nightleg.flight.check_legs import DIRECTIONS, SPEEDS
from nightleg.flight.document import Document
from nightleg.flight.edits import Edit, Put
from nightleg.flight.layout import Path
from nightleg.flight.legs import HeldLeg, held_legs
from nightleg.flight.solution import DrState, Problem, Solution
from nightleg.units.errors import EntryError
from nightleg.units.times import gmt_s
from nightleg.window.fieldnames import step_name
from nightleg.window.fieldtext import given, text_of, value_of
from nightleg.window.session import Session

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
    problems = session.attempt(step_name(document, place, key), *edits, merge=merge)
    return said(problems, key)


def edits_of(document: Document, solution: Solution, place: Path, key: str, value: Any) -> tuple[Edit, ...]:
    """The edits that give a key a value. On a leg the other forms of the same thing go, and what it needs comes."""
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
