"""Which key of the flight a cell of the log shows, where it can be edited. No Qt here."""

from __future__ import annotations

import re
from dataclasses import dataclass

from nightleg.flight.document import Document
from nightleg.flight.layout import Path
from nightleg.flight.model import Flight
from nightleg.window.flight.edits import BEARINGS
from nightleg.window.flight.text import given
from nightleg.window.log.entries import Kind, LogEntry, held_of
from nightleg.window.log.others import field_in, kind_of_row, record_of


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
HELD = "held from the leg before"
_WATCH = "by the watch"
_BEARING_WORD = re.compile(r"\b(relative|rel|true|r|t)\b\.?", re.IGNORECASE)
_OF_OTHERS = ("time", "entry", "reading")

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
    "bank": "bank_deg",
}
_OWN: dict[Kind, dict[str, str]] = {
    "start": {"time": "time", "position": "position"},
    "leg": {"time": "time"},
    "fix": {"time": "time", "use": "adopt", "shots": "sights", "prior": "prior", "common": "solve_common_error"},
    "remark": {"time": "time", "id": "text", "text": "text"},
    "line": {"use": "use"},
    "drift": {"drift": "drift_deg"},
    "sight": {
        "time": "time",
        "entry": "body",
        "reading": "hs",
        "limb": "limb",
        "use": "use",
        "1σ": "sigma_arcmin",
        "duration": "duration_s",
        "turn": "turn_deg_per_min",
        "change": "speed_change_kt_per_min",
        "horizon": "horizon",
        "correction": "correction_arcmin",
        "assumed": "assumed",
    },
}
_OTHERS: tuple[Kind, ...] = ("line", "check", "drift", "landfall")
"""Rows whose cells follow from the rows of linekinds."""
# Compact columns that hold something else than their heading says.
_COMPACT: dict[Kind, dict[str, str]] = {
    "start": {"reading": "position", "Hc": "heading", "Zn": "speed", "intercept": "wind"},
    "leg": {"Hc": "heading", "Zn": "speed", "intercept": "wind"},
    "now": {},
    "day": {},
    "fix": {"reading": "position", "Hc": "shots"},
    "remark": {"reading": "text"},
}
MAIN: dict[Kind, str] = {
    "start": "intercept",
    "leg": "intercept",
    "now": "time",
    "day": "time",
    "sight": "reading",
    "line": "reading",
    "check": "reading",
    "drift": "reading",
    "landfall": "reading",
    "fix": "Hc",
    "remark": "reading",
}
"""The compact column that is edited where the chosen one cannot be."""
MAIN_FULL: dict[Kind, str] = {"start": "wind", "leg": "wind", "fix": "shots", "remark": "id"}
"""Columns of the full log that are edited instead of those."""


def cell_of(document: Document, entry: LogEntry, column: str, *, full: bool) -> Cell | None:
    """The key behind a cell; None where it is worked out or belongs to the sight being typed."""
    if entry.typed or entry.place is None:
        return None
    meant = column if full else _COMPACT.get(entry.kind, {}).get(column, column)
    if full and column == "id" and len(entry.place) > 1 and isinstance(entry.place[1], str):
        return Cell(entry.place, "id", "what refers to it follows")
    if full and column == "note" and entry.kind == "start":
        return Cell((), "notes", "notes of the flight")
    if entry.kind in ("start", "leg") and entry.leg is not None:
        key = _leg_key(document.flight, entry.leg, meant)
        if key is not None:
            return Cell(("leg", entry.leg), key, _leg_hint(document, entry.leg, key))
    if entry.kind == "fix":
        return _of_fix(document, entry, meant)
    if entry.kind == "sight":
        return _of_sight(document, entry, meant)
    if entry.kind in _OTHERS and (full or meant in _OF_OTHERS):
        found = _of_other(document, entry, meant)
        if found is not None:
            return found
    key = _OWN.get(entry.kind, {}).get(meant)
    if key is None or (not full and column == "note"):
        return None
    return Cell(entry.place, key)


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
    return HELD if held else ""


def _of_fix(document: Document, entry: LogEntry, meant: str) -> Cell | None:
    assert entry.place is not None
    if meant == "position":
        return Cell(entry.place, "position") if given(document, entry.place, "kind") == "known" else None
    known = given(document, entry.place, "kind") == "known"
    if meant == "1σ" and known:
        return Cell(entry.place, "sigma_nm")
    key = _OWN["fix"].get(meant)
    if known and key in ("sights", "prior", "solve_common_error"):
        return None
    hints = {"adopt": "yes: the DR goes on from here", "sights": "ids of the shots"}
    return None if key is None else Cell(entry.place, key, hints.get(key, ""))


def _of_other(document: Document, entry: LogEntry, column: str) -> Cell | None:
    """A field of a line or another reading."""
    record = record_of(document.flight, entry)
    if record is None or entry.place is None:
        return None
    kind = kind_of_row(entry.kind, record)
    one = field_in(kind, record, column)
    if one is None:
        return None
    hint = f"{one.options[0][0]}: yes or no" if one.options and one.options[0][1] is True else one.spoken
    return Cell(entry.place, one.key, _WATCH if kind.table == "heading_check" and one.key == "time" else hint)


def _of_sight(document: Document, entry: LogEntry, meant: str) -> Cell | None:
    assert entry.place is not None
    key = _OWN["sight"].get(meant)
    if key is None:
        return None
    if key in ("time", "hs") and given(document, entry.place, "readings") is not None:
        return Cell(entry.place, "readings", "watch time and reading, then a semicolon")
    return Cell(entry.place, key, _WATCH if key == "time" else "")


def retargeted(cell: Cell, text: str) -> Cell:
    """The key that typed text means: `M 0.78` in the column of CAS and Mach is a Mach number, `120 rel` a bearing."""
    if cell.key in BEARINGS:
        word = _BEARING_WORD.search(text)
        relative = cell.key == BEARINGS[1] if word is None else word[1].casefold().startswith("r")
        return Cell(cell.place, BEARINGS[relative], cell.hint)
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
    if cell.key in BEARINGS:
        return _BEARING_WORD.sub("", text).strip()
    if cell.place[:1] == ("leg",):
        return re.sub(r"^\s*(TH|MH|CH|TC|track|TAS|CAS|GS|mach|M|wind)\s+", "", text, flags=re.IGNORECASE)
    return text
