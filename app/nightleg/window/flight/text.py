"""One key of a flight as a field's text, and typed text as the value that the file is to hold. No Qt here.

What a person types stays as it was typed wherever the file takes text: a reading, a position, a wind.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping
from datetime import datetime, time
from functools import lru_cache
from typing import Any

from nightleg.flight.compound import CorrectionTable, LegWind, PositionText, Readings, Time, WindText
from nightleg.flight.document import Document
from nightleg.flight.kinds import Angle, BodyName, Choice, Flag, Id, Ids, Kind, Latitude, Number, Text, Whole
from nightleg.flight.layout import Path
from nightleg.flight.model import Flight
from nightleg.flight.schema import Key, keys, tables
from nightleg.flight.valuetext import decimal
from nightleg.units.angles import plain_signs, read_angle
from nightleg.units.errors import EntryError, quoted
from nightleg.units.positions import read_position
from nightleg.units.times import is_dated, nearest_date, read_clock, read_dated, write_clock, write_instant

YES, NO = "yes", "no"
_YES = ("yes", "y", "true", "1", "x", "on", "use", "used")
_NO = ("no", "n", "false", "0", "-", "off", "not used", "set aside")
_THOUSANDS = re.compile(r"(?<=[0-9]) (?=[0-9]{3}(?![0-9]))")
_UNIT = re.compile(r"(?<=[0-9.])\s*(?:[°']|°?c|kts?|knots|ft|m|nm|s|min|deg|arcmin)$", re.IGNORECASE)
_ROWS = re.compile(r"[;\n]")


@lru_cache(maxsize=4)
def tables_of(text: str) -> Mapping[str, Any]:
    """The tables of a flight's text as TOML gives them."""
    return tomllib.loads(text.removeprefix("\ufeff"))


def given(document: Document, place: Path, key: str) -> Any:
    """What the file holds there; None where it leaves the key out or has no such place."""
    held: Any = tables_of(document.text)
    for step in place:
        if isinstance(held, list):
            if isinstance(step, str):
                held = next((entry for entry in held if entry.get("id") == step), None)
            else:
                held = held[step] if step < len(held) else None
        else:
            held = held.get(step)
        if held is None:
            return None
    return held.get(key)


def declared(place: Path, key: str) -> Key:
    """What the flight's format says of a key. Raises KeyError."""
    return keys(tables()[str(place[0])].struct if place else Flight)[key]


def text_of(document: Document, place: Path, key: str) -> str:
    """A key as a field shows it: text as it stands in the file, times by the clock, lists with spaces between.

    A word that the file leaves out is the one that holds then.
    """
    value = given(document, place, key)
    if place == ("start",) and isinstance(value, datetime):  # the one date of a flight
        return dated_text(value)
    if value is None and isinstance(declared(place, key).kind, (Flag, Choice)):
        value = declared(place, key).default
    return _shown(value)


def _shown(value: Any) -> str:
    if value is None:
        return ""
    if isinstance(value, bool):
        return YES if value else NO
    if isinstance(value, (int, float)):
        return decimal(value)
    if isinstance(value, datetime):
        return clock_text(value) if value.tzinfo else value.isoformat()
    if isinstance(value, time):
        return value.isoformat()
    if isinstance(value, list):
        rows = [" ".join(map(_shown, row)) if isinstance(row, list) else None for row in value]
        return "; ".join(row for row in rows if row is not None) or " ".join(map(_shown, value))
    return str(value)


def clock_text(when: datetime) -> str:
    """A time as it is typed: `2252`, `2252:30`, or in full where it has parts of a second."""
    return write_instant(when) if when.microsecond else write_clock(when, seconds=when.second != 0)


def dated_text(when: datetime) -> str:
    """A time with its date as it is typed: `2026-03-14 2252`."""
    return f"{write_instant(when)[:10]} {clock_text(when)}" if not when.microsecond else write_instant(when)


def value_of(document: Document, place: Path, key: str, text: str, near: datetime | None = None) -> Any:
    """What the file is to hold for what was typed; None to leave the key out.

    A clock time is the one nearest to what the key holds, or to `near`. Raises EntryError with what would be right.
    """
    what = declared(place, key)
    if not text.strip() and not isinstance(what.kind, Text):
        if what.required:
            raise EntryError(f"this cannot be left empty; right is {words_of(what.kind)}")
        return None
    return read_typed(what.kind, text, given(document, place, key), near or document.flight.start.time)


def read_typed(kind: Kind, text: str, old: Any, near: datetime) -> Any:
    """Typed text as a value of a kind; `old` is what was there. Raises EntryError."""
    typed = text.strip()
    if isinstance(kind, Angle):
        return _angle(kind, typed)
    if isinstance(kind, (Number, Whole)):
        return _number(kind, typed, old)
    if isinstance(kind, Time):
        return _time(typed, old if isinstance(old, datetime) else near)
    if isinstance(kind, Flag):
        return _flag(typed)
    if isinstance(kind, Choice):
        return _choice(kind, typed)
    if isinstance(kind, WindText):
        return _wind(kind, typed)
    if isinstance(kind, PositionText):
        read_position(typed)
        return typed
    if isinstance(kind, BodyName):
        return kind.read(typed)
    if isinstance(kind, Id):
        return kind.read(typed)
    if isinstance(kind, Ids):
        ids = re.split(r"[\s,;]+", typed.strip(" ,;"))
        return list(kind.read([id for id in ids if id]))
    if isinstance(kind, Readings):
        return _readings(kind, typed)
    if isinstance(kind, CorrectionTable):
        rows = [[_plain_number(cell, kind) for cell in row.split()] for row in _ROWS.split(typed) if row.strip()]
        kind.read(rows)
        return rows
    kind.read(text)
    return text


def words_of(kind: Kind) -> str:
    """What would be right in a field, where nothing needs quotes."""
    if isinstance(kind, Time):
        return "a time like 2252 or 2252:30, or with its date, 2026-03-14 2252"
    return kind.words.replace(" in quotes", "").replace(", without quotes", "").replace('"', "")


def _angle(kind: Angle, typed: str) -> str:
    if isinstance(kind, Latitude):
        kind.from_text(typed)
    else:
        read_angle(typed, lowest_deg=kind.low, highest_deg=kind.high, what="reading")
    return typed


def _number(kind: Number | Whole, typed: str, old: Any) -> int | float:
    value = _plain_number(typed, kind)
    if isinstance(old, float):
        value = float(value)
    try:
        kind.read(value)
    except EntryError:
        raise EntryError(f"{quoted(typed)} is out of range; right is {kind.words}") from None
    return value


def _plain_number(typed: str, kind: Kind) -> int | float:
    bare = _UNIT.sub("", _THOUSANDS.sub("", plain_signs(typed))).replace(",", ".").strip()
    try:
        return int(bare) if bare.lstrip("+-").isdecimal() else float(bare)
    except ValueError:
        raise EntryError(f"{quoted(typed)} is not a number; right is {words_of(kind)}") from None


def _time(typed: str, near: datetime) -> datetime:
    return read_dated(typed, near) if is_dated(typed) else nearest_date(read_clock(typed), near)


def _flag(typed: str) -> bool:
    word = typed.casefold()
    if word in _YES or word in _NO:
        return word in _YES
    raise EntryError(f"{quoted(typed)}: right is {YES} or {NO}")


def _choice(kind: Choice, typed: str) -> str:
    begun = typed.casefold().replace(" ", "_").replace("-", "_")
    fitting = [option for option in kind.options if option.startswith(begun)]
    if len(fitting) != 1:
        options = ", ".join(option.replace("_", " ") for option in kind.options)
        raise EntryError(f"{quoted(typed)}: right is one of {options}")
    return fitting[0]


def _wind(kind: WindText, typed: str) -> str:
    bare = re.sub(r"\s*(/|:)\s*", r"\1", typed)
    bare = re.sub(r"\s*kt$", "", bare, flags=re.IGNORECASE)
    if isinstance(kind, LegWind) and re.fullmatch(r"fix\s+\S+", bare):
        bare = "fix:" + bare[3:].strip()
    try:
        kind.read(bare)
    except EntryError:
        raise EntryError(f"{quoted(typed)} is not a wind; right is {words_of(kind)}") from None
    return bare


def _readings(kind: Readings, typed: str) -> list[list[str]]:
    rows: list[list[str]] = []
    for number, row in enumerate((one for one in _ROWS.split(typed) if one.strip()), 1):
        when, _, reading = row.strip().partition(" ")
        try:
            if "T" not in when:
                read_clock(when)
            rows.append([when, _angle(Angle(-2.0, 90.0, ""), reading.strip())])
        except EntryError as error:
            raise EntryError(f"reading {number}: {error}") from None
    if not rows:
        raise EntryError("right are watch times with readings, like 22:51:00 61 10.2; 22:52:00 61 08.1")
    kind.read(rows)
    return rows
