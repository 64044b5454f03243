"""Which key of the flight a cell of the log shows, where it can be edited. No Qt here."""

from __future__ import annotations

import re
from dataclasses import dataclass

from nightleg.flight.document import Document
from nightleg.flight.layout import Path
from nightleg.flight.model import Flight
from nightleg.window.fieldtext import given
from nightleg.window.logentries import Kind, LogEntry, held_of
from nightleg.window.logothers import main_key


@dataclass(frozen=True, slots=True)
class Cell:
    """A key of a table of the flight; `hint` says what is typed there where the column does not."""

    place: Path
    key: str
    hint: str = ""


DIRECTION_KEYS = {
    "true": "heading_deg",
    "magnetic": "heading_magnetic_deg",
    "compass": "heading_compass_deg",
    "grid": "heading_grid_deg",
    "track": "track_deg",
}
SPEED_KEYS = {"tas": "tas_kt", "cas": "cas_kt", "mach": "mach", "gs": "gs_kt"}
_WATCH = "by the watch"

# What is not said here of a leg's columns depends on the form that is held.
_LEG = {
    "TC": "track_deg",
    "TH": "heading_deg",
    "MH": "heading_magnetic_deg",
    "dev": "deviation_deg",
    "CH": "heading_compass_deg",
    "altitude": "altitude_ft",
    "temp": "temperature_c",
    "TAS": "tas_kt",
    "GS": "gs_kt",
    "wind": "wind",
}
_OWN: dict[Kind, dict[str, str]] = {
    "start": {"time": "time", "position": "position"},
    "leg": {"time": "time"},
    "fix": {"time": "time", "use": "adopt", "shots": "sights"},
    "remark": {"time": "time", "note": "text", "text": "text"},
    "line": {"time": "time", "use": "use"},
    "check": {"time": "time", "entry": "body", "CH": "shown_deg", "reading": "relative_bearing_deg"},
    "drift": {"time": "time", "TH": "heading_deg", "drift": "drift_deg", "reading": "drift_deg"},
    "landfall": {"time": "time", "entry": "body", "reading": "destination"},
    "sight": {"time": "time", "entry": "body", "reading": "hs", "limb": "limb", "use": "use"},
}
# Compact columns that hold something else than their heading says.
_COMPACT: dict[Kind, dict[str, str]] = {
    "start": {"reading": "position", "Hc": "heading", "Zn": "speed", "intercept": "wind"},
    "leg": {"Hc": "heading", "Zn": "speed", "intercept": "wind"},
    "now": {},
    "fix": {"reading": "position", "Hc": "shots"},
    "remark": {"reading": "text"},
}
MAIN: dict[Kind, str] = {
    "start": "intercept",
    "leg": "intercept",
    "now": "time",
    "sight": "reading",
    "line": "reading",
    "check": "reading",
    "drift": "reading",
    "landfall": "reading",
    "fix": "Hc",
    "remark": "reading",
}
"""The compact column that is edited where the chosen one cannot be."""


def cell_of(document: Document, entry: LogEntry, column: str, *, full: bool) -> Cell | None:
    """The key behind a cell; None where it is worked out or belongs to the sight being typed."""
    if entry.typed or entry.place is None:
        return None
    meant = column if full else _COMPACT.get(entry.kind, {}).get(column, column)
    if entry.kind in ("start", "leg") and entry.leg is not None:
        key = _leg_key(document.flight, entry.leg, meant)
        if key is not None:
            return Cell(("leg", entry.leg), key, _leg_hint(document, entry.leg, key))
    if entry.kind == "fix":
        return _of_fix(document, entry, meant)
    if entry.kind == "sight":
        return _of_sight(document, entry, meant)
    if entry.kind == "line" and meant == "reading":
        line = next((one for one in document.flight.lines if one.id == entry.id), None)
        return None if line is None else Cell(entry.place, main_key(line))
    key = _OWN.get(entry.kind, {}).get(meant)
    if key is None or (not full and column == "note"):
        return None
    return Cell(entry.place, key, _WATCH if entry.kind == "check" and key == "time" else "")


def _leg_key(flight: Flight, number: int, meant: str) -> str | None:
    if meant in ("heading", "speed", "CAS/Mach"):
        held = held_of(flight)[number]
        if meant == "heading":
            return DIRECTION_KEYS[held.direction]
        if meant == "speed":
            return SPEED_KEYS[held.speed]
        return "mach" if held.speed == "mach" else "cas_kt"
    return _LEG.get(meant)


def _leg_hint(document: Document, number: int, key: str) -> str:
    """A leg may leave a key to the leg before."""
    held = number > 0 and given(document, ("leg", number), key) is None
    return "held from the leg before" if held else ""


def _of_fix(document: Document, entry: LogEntry, meant: str) -> Cell | None:
    assert entry.place is not None
    if meant == "position":
        known = given(document, entry.place, "kind") == "known"
        return Cell(entry.place, "position") if known else None
    key = _OWN["fix"].get(meant)
    hints = {"adopt": "yes: the DR goes on from here", "sights": "ids of the shots"}
    return None if key is None else Cell(entry.place, key, hints.get(key, ""))


def _of_sight(document: Document, entry: LogEntry, meant: str) -> Cell | None:
    assert entry.place is not None
    key = _OWN["sight"].get(meant)
    if key is None:
        return None
    if key in ("time", "hs") and given(document, entry.place, "readings") is not None:
        return Cell(entry.place, "readings", "watch time and reading, then a semicolon")
    return Cell(entry.place, key, _WATCH if key == "time" else "")


def retargeted(cell: Cell, text: str) -> Cell:
    """The key that typed text means: `M 0.78` in the column of CAS and Mach is a Mach number."""
    if cell.key in ("cas_kt", "mach"):
        figure = re.sub(r"^\s*(m|mach|cas)\s*", "", text, flags=re.IGNORECASE)
        try:
            as_mach = text.strip().casefold().startswith("m") or float(figure) < 5.0
        except ValueError:
            return cell
        return Cell(cell.place, "mach" if as_mach else "cas_kt", cell.hint)
    return cell


def bare(cell: Cell, text: str) -> str:
    """Typed text without the name of its form, which the cell shows: `CH 162°` is 162."""
    if cell.place[:1] == ("leg",):
        return re.sub(r"^\s*(TH|MH|CH|TC|track|TAS|CAS|GS|mach|M|wind)\s+", "", text, flags=re.IGNORECASE)
    return text
