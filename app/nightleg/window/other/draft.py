"""What is typed of a line or another reading: from the text of the form's fields to values. No Qt here."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any

from nightleg.flight.compound import PositionText, Time
from nightleg.flight.kinds import BodyName, Destination, Flag, Kind, Latitude, Number
from nightleg.flight.model import Flight
from nightleg.flight.schema import keys, tables
from nightleg.flight.shots import watch_to_gmt
from nightleg.sky.catalogue import nearest_bodies
from nightleg.units.angles import plain_signs
from nightleg.units.errors import EntryError, quoted
from nightleg.units.positions import read_latitude, read_position
from nightleg.units.times import write_clock
from nightleg.window.flight.text import read_typed, words_of
from nightleg.window.other.kinds import EntryKind, FormField, Other, kind_of
from nightleg.window.sight.draft import Begun, Remark

_CLOCK_ON_ITS_WAY = (1, 2, 3, 5)  # figures
_LATITUDE_SO_FAR = re.compile(r"[-+]?[0-9 .°'′\"″]*")
_POSITION = "latitude, then longitude, like 47 00.0 N 052 00.0 W"
_WHOLE = re.compile("[0-9 ]*")
_POSITION_SO_FAR = re.compile(r"[-+0-9 .,°'′\"″]*([NS][-+0-9 .,°'′\"″]*)?", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class OtherTyped:
    """A draft as understood: values as the file takes them and as the model holds them, by key, and remarks."""

    kind: EntryKind
    given: dict[str, Any] = field(default_factory=dict)
    values: dict[str, Any] = field(default_factory=dict)
    remarks: dict[str, Remark] = field(default_factory=dict)

    @property
    def missing(self) -> tuple[str, ...]:
        """Keys of what is still to be typed, or is wrong."""
        wanted = [one.key for one in self.kind.fields if one.needed and one.key not in self.values]
        if self.kind.one_of and not any(key in self.values for key in self.kind.one_of):
            wanted.append(self.kind.one_of[0])
        return tuple(wanted)

    @property
    def complete(self) -> bool:
        """Whether it is an entry."""
        return not self.missing and not self.remarks


def understand_other(draft: Other, flight: Flight, near: datetime) -> OtherTyped:
    """Read every field by itself; times are those nearest to `near`."""
    kind = kind_of(draft.kind)
    made = OtherTyped(kind)
    declared = keys(tables()[kind.table].struct)
    for one in kind.fields:
        text = draft.text(one.key)
        if not text.strip() and one.options and one.needed:
            text = one.usual
        if not text.strip() and not one.refers:
            continue
        try:
            if one.refers and not text.strip():
                text = reference(flight, made.values.get("time"))
            given = _read(one, declared[one.key].kind, text, near)
            value = declared[one.key].kind.read(given)
            if isinstance(declared[one.key].kind, Destination):
                _find_place(flight, value)
            if one.key == "time":
                _not_before_start(kind, flight, text, value)
        except EntryError as error:
            made.remarks[one.key] = Remark(_without_quotes(str(error)), not isinstance(error, Begun))
        else:
            made.given[one.key], made.values[one.key] = given, value
    both = [key for key in kind.one_of if key in made.values]
    if len(both) > 1:
        first = kind.field(both[0]).caption
        made.remarks[both[1]] = Remark(f"{first} is typed too; keep one of them", True)
    return made


def reference(flight: Flight, when: datetime | None) -> str:
    """Where a first reading was taken, if nothing else is said: at the last fix before, else at the start."""
    before = [fix for fix in flight.fixes if (when is None or fix.time < when) and (fix.sights or fix.position)]
    last = max(before, key=lambda fix: fix.time, default=None)
    return "start" if last is None else last.id


def _read(one: FormField, kind: Kind, text: str, near: datetime) -> Any:
    """What the file is to hold for what was typed. Raises EntryError; Begun where it is only on its way."""
    if one.refers:
        return text.strip()
    if one.options:
        return _chosen(one, kind, text)
    if isinstance(kind, PositionText) and _WHOLE.fullmatch(text.strip()):  # no pair of decimal degrees yet
        raise Begun(_POSITION)
    try:
        return read_typed(kind, _signed(one, text), None, near)
    except EntryError as error:
        begun = _begun(kind, text.strip())
        if begun:
            raise Begun(begun) from error
        raise


def _chosen(one: FormField, kind: Kind, text: str) -> Any:
    for words, value in one.options:
        if words == text.strip():
            return value
    return text.strip() == "true" if isinstance(kind, Flag) else text.strip()


def _signed(one: FormField, text: str) -> str:
    """`5 L` as −5, where sides may be told."""
    typed = text.strip()
    if one.sides and typed[-1:].upper() in ("R", "L") and typed[:1] not in ("+", "-", "−"):
        return ("-" if typed[-1].upper() == "L" else "") + typed[:-1].strip()
    return text


def _begun(kind: Kind, text: str) -> str:
    """What is to come, where the text may be on its way to something right; empty where it cannot be."""
    if isinstance(kind, Time):
        figures = [sign for sign in text if sign.isdigit()]
        if len(figures) in _CLOCK_ON_ITS_WAY and all(sign.isdigit() or sign in " :" for sign in text):
            return "hours and minutes, like 2252; seconds may follow"
    elif isinstance(kind, BodyName):
        names = [name for name in nearest_bodies(text, 4) if name.casefold().startswith(text.casefold())]
        return ", ".join(names) + " …" if names else ""
    elif isinstance(kind, Latitude):
        so_far = _LATITUDE_SO_FAR.fullmatch(text)
        return "degrees and minutes with N or S, like 41 30.0 N" if so_far else ""
    elif isinstance(kind, PositionText):
        return _position_begun(text)
    elif isinstance(kind, Number) and plain_signs(text) in ("+", "-", "."):
        return f"right is {words_of(kind)}"
    return ""


def _position_begun(text: str) -> str:
    if not _POSITION_SO_FAR.fullmatch(text):
        return ""
    letter = re.search("[NS]", text, re.IGNORECASE)
    if letter is not None:
        try:
            read_latitude(text[: letter.end()])
        except EntryError:
            return ""
    return _POSITION


def _find_place(flight: Flight, text: str) -> None:
    """A waypoint's name or a position. Raises EntryError; Begun where it is only on its way to one."""
    names = [point.name for point in flight.waypoints]
    if text in names:
        return
    try:
        read_position(text)
    except EntryError:
        near = [name for name in names if name.casefold().startswith(text.casefold())]
        begun = f"{', '.join(near)} …" if near else _position_begun(text)
        if begun:
            raise Begun(begun) from None
        known = f"; there are {', '.join(names[:6])}" if names else ""
        raise EntryError(f"there is no waypoint {quoted(text, 40)}{known}; a position will do too") from None


def _not_before_start(kind: EntryKind, flight: Flight, text: str, when: datetime) -> None:
    by_watch = kind.table == "heading_check"
    gmt = watch_to_gmt(flight.watch, flight.start.time, when) if by_watch else when
    if gmt < flight.start.time:
        start = write_clock(flight.start.time, seconds=True)
        raise EntryError(f"{quoted(text)} is before the start of the flight at {start} GMT")


def _without_quotes(message: str) -> str:
    return message.replace(" in quotes", "")
