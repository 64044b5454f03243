"""Entries of the log that are no altitudes, in words and in the columns of the full log. No Qt here."""

from __future__ import annotations

from typing import Any, Protocol

from nightleg.flight.layout import Path
from nightleg.flight.linefacts import shape_facts
from nightleg.flight.model import Drift, Flight, HeadingCheck, Line, Record
from nightleg.flight.schema import keys, tables
from nightleg.flight.solution import HeadingResult, LineResult, Solution
from nightleg.units.positions import Position, write_latitude, write_position
from nightleg.window.other.kinds import KINDS, EntryKind, FormField, kind_of
from nightleg.window.words import direction, drift, wind


class Row(Protocol):
    """What of a row of the log tells its entry."""

    @property
    def place(self) -> Path | None: ...

    @property
    def id(self) -> str: ...


def record_of(flight: Flight, row: Row) -> Record | None:
    """The entry of the flight that a row shows, where it has an id."""
    if row.place is None or len(row.place) < 2 or not isinstance(row.place[1], str):
        return None
    held: tuple[Any, ...] = getattr(flight, tables()[str(row.place[0])].field)
    return next((one for one in held if one.id == row.id), None)


def kind_of_row(row: str, record: Record) -> EntryKind:
    """The kind of entry that a record of the flight is, by the kind of its row. Raises KeyError."""
    if isinstance(record, Line):
        return kind_of(record.kind)
    for kind in KINDS:
        if kind.row == row:
            return kind
    raise KeyError(row)


def main_key(line: Line) -> str:
    """The key that holds what was read."""
    kind = kind_of(line.kind)
    given = [key for key in kind.one_of if getattr(line, key) is not None]
    return given[0] if given else kind.main


def field_in(kind: EntryKind, record: Record, column: str) -> FormField | None:
    """The field that a column of the full log shows; of several the one that is given, else what was read."""
    there = [one for one in kind.fields if one.in_log == column]
    given = [one for one in there if _value(record, one.key) is not None]
    if column == "reading":
        there.sort(key=lambda one: one.key != kind.main)
        given.sort(key=lambda one: one.key != kind.main)
    return given[0] if given else there[0] if there else None


def full_texts(kind: EntryKind, record: Record) -> dict[str, str]:
    """The texts of an entry in the full log, by column; what is usual stands in brackets."""
    columns = {one.in_log for one in kind.fields if one.key not in ("time", "body")}
    texts = {}
    for column in columns:
        one = field_in(kind, record, column)
        if one is not None:
            texts[column] = _text(one, _value(record, one.key))
    return texts


def _value(record: Record, key: str) -> Any:
    return getattr(record, keys(type(record))[key].field)


def _text(one: FormField, value: Any) -> str:
    if value is None:
        return f"({one.usual})" if one.usual else ""
    for words, option in one.options:
        if option == value:
            return words
    if isinstance(value, Position):
        return write_position(value)
    if one.key == "latitude":
        return write_latitude(value)
    if one.key == "drift_deg":
        return drift(value)
    return f"{value:g}" if isinstance(value, float) else str(value)


def line_words(line: Line) -> str:
    """What was read: `103° from 47°00.0′N 052°00.0′W`, `D 210, 340 ft from f3`, `41°30.0′N`."""
    if line.kind == "pressure":
        return f"D {line.d1_ft or 0.0:.0f}, {line.d2_ft or 0.0:.0f} ft from {line.from_ or 'start'}"
    value = getattr(line, main_key(line))
    if value is None:
        return line.kind
    if line.kind == "latitude":
        return write_latitude(value)
    place = (
        "" if line.station is None else f" {'of' if line.kind == 'bearing' else 'from'} {write_position(line.station)}"
    )
    if line.kind == "range":
        return f"{value:g} NM{place}"
    relative = "rel. " if main_key(line).startswith("relative") else ""
    return f"{relative}{direction(value % 360.0)}{place}"


def line_note(line: Line, result: LineResult | None) -> str:
    """Its 1σ, what it was laid off by, and what is to be said about it."""
    notes = [] if result is None or result.sigma_nm is None else [f"1σ {result.sigma_nm:.1f} NM"]
    if result is not None:
        notes += [f"{fact.name.lower()} {fact.value}" for fact in shape_facts(result.shape)[:1]]
        notes += result.warnings
    if not line.use:
        notes.append("not used")
    return "; ".join(notes)


def shown_words(check: HeadingCheck) -> str:
    """A heading check: `Vega 031° relative, compass 261°`."""
    return f"{check.body} {direction(check.relative_bearing_deg % 360.0)} relative, {check.shown} " + direction(
        check.shown_deg, 1
    )


def check_columns(check: HeadingCheck, result: HeadingResult | None) -> dict[str, str]:
    """A heading check: what was read, the error it gives, and the true heading."""
    columns = {"reading": shown_words(check)}
    if result is not None:
        error = f"{result.error_deg:+.1f}°".replace("-", "−")
        notes = [f"TH {direction(result.true_heading_deg, 1)}, Zn {direction(result.zn, 1)}", *result.warnings]
        columns |= {"intercept": f"error {error}", "note": "; ".join(notes)}
    return columns


def drift_words(read: Drift) -> str:
    """A drift read: `drift 5° L on heading 262°`."""
    return f"drift {drift(read.drift_deg)} on heading {direction(read.heading_deg)}"


def drift_columns(read: Drift, solution: Solution) -> dict[str, str]:
    """A drift: what was read, and the wind that it gives with others."""
    columns = {"reading": drift_words(read)}
    group = next((one for one in solution.drift_winds if read.id in one.ids), None)
    if group is not None and group.wind is None:
        columns["note"] = group.why_not
    elif group is not None and group.wind is not None:
        found = wind(group.wind.from_deg, group.wind.kt)
        columns |= {"intercept": f"wind {found}", "note": f"wind by {' '.join(group.ids)}"}
    return columns
