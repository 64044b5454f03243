"""Giving an entry another id, carried through all that refers to it. No Qt here."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from nightleg.flight.document import Document
from nightleg.flight.edits import Edit, Put
from nightleg.flight.layout import Path
from nightleg.flight.model import Flight, WindOfFix

SHOTS = ("sight", "line")
"""Tables whose ids stand in the lists of the fixes."""
_NAMED = (*SHOTS, "fix", "heading_check")
"""Tables that a person's own work names by id."""


def renamed(document: Document, place: Path, new: str) -> tuple[Edit, ...]:
    """The edits that give the entry at a place the id `new`, where it stands and where it is referred to.

    A place is that of a table with an id, by its id or number. Raises KeyError for one that is not there.
    """
    flight, table = document.flight, str(place[0])
    old = _id(flight, place)
    edits = list(_references(flight, table, old, new))
    return (*edits, Put(place, "id", new))


def _id(flight: Flight, place: Path) -> str:
    groups: dict[str, tuple[Any, ...]] = {
        "sight": flight.sights,
        "line": flight.lines,
        "fix": flight.fixes,
        "heading_check": flight.heading_checks,
        "drift": flight.drifts,
        "landfall": flight.landfalls,
    }
    ids = [entry.id for entry in groups[str(place[0])]]
    id = place[1] if isinstance(place[1], str) else ids[place[1]]
    if id not in ids:
        raise KeyError(id)
    return id


def _references(flight: Flight, table: str, old: str, new: str) -> Iterator[Edit]:
    if table in SHOTS:
        for fix in flight.fixes:
            if old in fix.sights:
                yield Put(("fix", fix.id), "sights", [new if id == old else id for id in fix.sights])
    if table == "fix":
        for line in flight.lines:
            if line.from_ == old:
                yield Put(("line", line.id), "from", new)
        for number, leg in enumerate(flight.legs):
            if isinstance(leg.wind, WindOfFix) and leg.wind.fix == old:
                yield Put(("leg", number), "wind", f"fix:{new}")
        if flight.next_sight is not None and flight.next_sight.fix == old:
            yield Put(("next_sight",), "fix", new)
    if table in _NAMED:
        for number, work in enumerate(flight.plotted):
            if work.of == old:
                yield Put(("plotted", number), "of", new)
