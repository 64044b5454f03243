"""From the tables that TOML gives to entries whose values are read and checked one by one."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from msgspec import Struct

from nightleg.flight.findings import Findings, Path
from nightleg.flight.kinds import RowErrors
from nightleg.flight.model import FORMAT, Flight, Record
from nightleg.flight.schema import FORMAT_KEY, Table, keys, tables
from nightleg.flight.valuetext import short, shown
from nightleg.units.errors import EntryError, quoted

_EXAMPLES = {"start": 'time = 2026-03-14T22:00:00Z and position = "41 30.0 N 028 15.0 W"'}


class Entry(Struct, frozen=True):
    """One table of the file. `values` hold what could be read, by key; `given` is what TOML gave."""

    table: Table
    path: Path
    given: Mapping[str, Any]
    values: dict[str, Any]
    meant: frozenset[str] = frozenset()  # keys that unknown ones were taken for

    def __contains__(self, key: str) -> bool:
        """Whether the file gives `key`, readable or not, or another that was meant for it: whether it is missed."""
        return key in self.given or key in self.meant

    def gives(self, key: str) -> bool:
        """Whether the file gives `key` by its own name, readable or not: whether it can be one too many."""
        return key in self.given

    def get(self, key: str) -> Any:
        """The value of `key`; None where it is left out or cannot be read."""
        return self.values.get(key)

    def record(self) -> Record:
        """The entry as the model holds it, once nothing is wrong with it."""
        known = keys(self.table.struct)
        return self.table.struct(**{known[name].field: value for name, value in self.values.items()})

    def at(self, key: str) -> Path:
        """The path of `key`."""
        return (*self.path, key)


class Draft(Struct, frozen=True):
    """A document on its way: entries by table name, and the keys above all tables."""

    top: dict[str, Any]
    entries: dict[str, list[Entry]]

    def of(self, name: str) -> list[Entry]:
        """The entries of the table, in the order of the file."""
        return self.entries[name]

    def one(self, name: str) -> Entry | None:
        """The entry of a table that stands once; None if it is left out."""
        return self.entries[name][0] if self.entries[name] else None

    def flight(self) -> Flight:
        """The whole, once nothing is wrong with it."""
        parts: dict[str, Any] = dict(self.top)
        for name, table in tables().items():
            records = [entry.record() for entry in self.entries[name]]
            if table.many:
                parts[table.field] = tuple(records)
            elif records:
                parts[table.field] = records[0]
        return Flight(**parts)


def read_table(name: str, given: Mapping[str, Any], findings: Findings) -> Entry:
    """One table on its own, with what is wrong with its keys added to `findings`."""
    return _entry(tables()[name], (name,), given, findings)


def read_tables(raw: Mapping[str, Any], findings: Findings) -> Draft:
    """All entries of `raw`, with every unknown, missing or unreadable key added to `findings`."""
    top_keys = keys(Flight)
    _check_format(raw, findings)
    known = (FORMAT_KEY, *top_keys, *tables())
    meant: set[str] = set()
    for name, given in raw.items():
        if name not in known:
            rows = given if isinstance(given, list) else [given]
            what = "table" if rows and isinstance(rows[0], dict) else "key"
            near = findings.meant(name, known)
            findings.add((name,), _unknown(what, name, near, known))
            meant.add(near)
    top = {}
    for name, key in top_keys.items():
        if name in raw:
            try:
                top[key.field] = key.kind.read(raw[name])
            except EntryError as error:
                findings.add((name,), str(error))
    return Draft(top, {name: _entries(table, raw, meant, findings) for name, table in tables().items()})


def _check_format(raw: Mapping[str, Any], findings: Findings) -> None:
    right = f'write {FORMAT_KEY} = "{FORMAT}" in the first line'
    if FORMAT_KEY not in raw:
        findings.add((), f"this does not say that it is a flight file; {right}")
    elif raw[FORMAT_KEY] != FORMAT:
        findings.add((FORMAT_KEY,), f"given {shown(raw[FORMAT_KEY])}, a format that is not known; {right}")


def _entries(table: Table, raw: Mapping[str, Any], meant: set[str], findings: Findings) -> list[Entry]:
    if table.name not in raw:
        if table.required and table.name not in meant:
            example = _EXAMPLES.get(table.name, "time, heading_deg, tas_kt and wind")
            findings.add((), f"{table.heading} is missing; a flight needs one, with {example}")
        return []
    given = raw[table.name]
    if not table.many:
        if isinstance(given, dict):
            return [_entry(table, (table.name,), given, findings)]
        many = f", as it stands only once, in a heading {table.heading}"
        findings.add(
            (table.name,), f"given {shown(given)}; right is one table{many if isinstance(given, list) else ''}"
        )
        return []
    if not isinstance(given, list) or not all(isinstance(one, dict) for one in given):
        findings.add(
            (table.name,), f"given {shown(given)}; right is a table of its own for each, headed {table.heading}"
        )
        return []
    if table.required and not given:
        findings.add((table.name,), f"given an empty list; a flight needs at least one {table.heading}")
    return [_entry(table, (table.name, i), one, findings) for i, one in enumerate(given)]


def _entry(table: Table, path: Path, given: Mapping[str, Any], findings: Findings) -> Entry:
    known = keys(table.struct)
    values: dict[str, Any] = {}
    meant: set[str] = set()
    for name, value in given.items():
        key = known.get(name)
        if key is None:
            dotted = f".{next(iter(value))}" if isinstance(value, dict) and value else ""  # tas.kt = 430
            near = findings.meant((name + dotted).replace(".", "_"), tuple(known))
            findings.add((*path, name), _unknown("key", name + dotted, near, tuple(known)))
            meant.add(near)
            continue
        try:
            values[name] = key.kind.read(value)
        except RowErrors as rows:
            for row, message in rows.rows:
                findings.add((*path, name, row), message)
        except EntryError as error:
            findings.add((*path, name), str(error))
    for name, key in known.items():
        if key.required and name not in given and name not in meant:
            findings.add(path, f"{name} is missing; right is {key.kind.words}")
    return Entry(table, path, given, values, frozenset(meant))


def _unknown(what: str, name: str, near: str, known: tuple[str, ...]) -> str:
    said = f"unknown {what} {quoted(name, 40)}"
    if name == FORMAT_KEY or name in keys(Flight):
        return f"{said} in this table; {name} stands above all tables: move it up to the beginning of the file"
    if near:
        return f"{said}; nearest is {near}" + (", without a point" if "." in name and what == "key" else "")
    others = [table.heading for table in tables().values() if name in keys(table.struct)]
    if others and len(others) <= 4:
        said += f", which belongs to {' or '.join(others)}"
    return f"{said}; known here: " + short(", ".join(known), 400)
