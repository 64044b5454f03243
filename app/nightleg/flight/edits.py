"""Changing a flight's TOML text in place: only what changes is written anew, all else stays as it was typed.

A place is the path of a table, such as ("start",), or ("sight", 2) or ("sight", "s3") for one of many, or () for the
keys above all tables. Values are as a person would type them (text, numbers, datetimes, lists) or as the model holds
them.
"""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from datetime import date, time
from typing import Any

from msgspec import Struct

from nightleg.flight.kinds import Angle
from nightleg.flight.layout import Path, Statement, statements
from nightleg.flight.model import Flight
from nightleg.flight.schema import keys, tables
from nightleg.flight.valuetext import toml_text, toml_value


class Put(Struct, frozen=True):
    """Gives a key a value; None takes the key away."""

    place: Path
    key: str
    value: Any


class Append(Struct, frozen=True):
    """Adds a table with these keys after the last of its name, or at the end of the text."""

    name: str
    values: Mapping[str, Any]


class Insert(Struct, frozen=True):
    """Adds a table with these keys as number `number` (from 0) of its name; those from there on follow it."""

    name: str
    number: int
    values: Mapping[str, Any]


class Remove(Struct, frozen=True):
    """Takes a table away, with its keys and what is written between them. Comments above and below it stay."""

    place: Path


Edit = Put | Append | Insert | Remove


def edited(text: str, edit: Edit) -> str:
    """`text` (valid TOML) with one edit. Raises KeyError for a place that it does not have."""
    if isinstance(edit, (Append, Insert)):
        return _append(text, edit)
    place = _numbered(text, edit.place)
    if isinstance(edit, Remove):
        return _remove(text, place)
    return _put(text, place, edit.key, edit.value)


def value_text(name: str, key: str, value: Any) -> str:
    """TOML text of a value of `key` in table `name` ("" for the keys above all tables)."""
    plain = isinstance(value, (str, bool, int, list, dict, date, time))
    declared = keys(tables()[name].struct if name in tables() else Flight).get(key)
    if declared is None or plain or (isinstance(value, float) and not isinstance(declared.kind, Angle)):
        return toml_value(value)
    return declared.kind.write(value)


def _numbered(text: str, place: Path) -> Path:
    """`place` with an id replaced by the entry's number."""
    if len(place) < 2 or isinstance(place[1], int):
        return place
    entries = tomllib.loads(text.removeprefix("\ufeff")).get(str(place[0]), [])
    for i, entry in enumerate(entries):
        if entry.get("id") == place[1]:
            return (place[0], i, *place[2:])
    raise KeyError(place)


def _put(text: str, place: Path, key: str, value: Any) -> str:
    path = (*place, key)
    found = list(statements(text))
    written = None if value is None else value_text(str(place[0]) if place else "", key, value)
    for one in found:
        if one.path == path and not one.heading:
            if written is None:
                return text[: _line_start(text, one.start)] + text[one.end :]
            return text[: one.value_start] + written + text[one.value_end :]
        if place and one.path == place[: len(one.path)] and not one.heading:
            return _rewrite(text, one, (*place[len(one.path) :], key), value)
    siblings = [one for one in found if one.path == place or (one.path[:-1] == place and not one.heading)]
    if not siblings and len(place) > 1:
        raise KeyError(place)
    if written is None:
        return text
    line = f"{_bare(key)} = {written}"
    if not siblings and place:
        return _at_end(text, f"[{place[0]}]\n{line}\n")
    last = siblings[-1] if siblings else None
    if last is None:
        return line + _newline(text) + text
    dotted = not last.heading and not any(one.heading for one in siblings) and len(place) > 0
    if dotted:  # start.time = …: the table has no heading of its own
        line = ".".join([*map(str, place), line])
    indent = "" if last.heading else text[_line_start(text, last.start) : last.start]
    return _insert(text, last.end, indent + line + "\n")


def _rewrite(text: str, one: Statement, inner: Path, value: Any) -> str:
    """A statement whose value holds the table inline is written anew as a whole."""
    held = tomllib.loads("held = " + text[one.value_start : one.value_end])["held"]
    table = held
    for step in inner[:-1]:
        table = table[step]
    if value is None:
        table.pop(inner[-1], None)
    else:
        written = value_text(str(one.path[0]), str(inner[-1]), value)
        table[inner[-1]] = tomllib.loads(f"held = {written}")["held"]
    return text[: one.value_start] + toml_value(held) + text[one.value_end :]


def _append(text: str, edit: Append | Insert) -> str:
    table = tables()[edit.name]
    body = "".join(
        f"{_bare(key)} = {value_text(edit.name, key, value)}\n"
        for key, value in edit.values.items()
        if value is not None
    )
    found = [one for one in statements(text) if one.path[:1] == (edit.name,)]
    for one in found:
        if one.path == (edit.name,) and not one.heading:  # sight = [{ … }]
            held = tomllib.loads("held = " + text[one.value_start : one.value_end])["held"]
            held.insert(edit.number if isinstance(edit, Insert) else len(held), tomllib.loads(body))
            return text[: one.value_start] + toml_value(held) + text[one.value_end :]
    block = f"{table.heading}\n{body}"
    if isinstance(edit, Insert):
        after = [one for one in found if one.path[1] == edit.number]
        before = [one for one in found if one.path[1] == edit.number - 1]
        if after and not before:
            return _insert(text, _line_start(text, after[0].start), block + "\n")
        found = before if after else found
    if not found or found[-1].end >= len(text):
        return _at_end(text, block)
    return _insert(text, found[-1].end, "\n" + block)


def _remove(text: str, place: Path) -> str:
    found = [one for one in statements(text) if one.path[: len(place)] == place]
    if found and (found[0].heading or len(place) == 1):
        headed = found[0].heading
        for one in reversed(found if not headed else [found[0]]):
            end = found[-1].end if headed else one.end
            text = text[: _line_start(text, one.start)] + _without_blank(text[end:])
        return text
    if len(place) == 2:
        whole = [one for one in statements(text) if one.path == place[:1] and not one.heading]
        if whole:
            one = whole[0]
            held = tomllib.loads("held = " + text[one.value_start : one.value_end])["held"]
            del held[place[1]]
            return text[: one.value_start] + toml_value(held) + text[one.value_end :]
    raise KeyError(place)


def _without_blank(rest: str) -> str:
    """`rest` without one leading blank line, so that gaps do not pile up."""
    return rest[2:] if rest.startswith("\r\n") else rest[1:] if rest.startswith("\n") else rest


def _line_start(text: str, pos: int) -> int:
    start = text.rfind("\n", 0, pos) + 1
    return 1 if start == 0 and text.startswith("\ufeff") else start


def _newline(text: str) -> str:
    return "\r\n" if "\r\n" in text else "\n"


def _insert(text: str, pos: int, block: str) -> str:
    gap = "" if pos == 0 or text[pos - 1] == "\n" else "\n"
    return text[:pos] + (gap + block).replace("\n", _newline(text)) + text[pos:]


def _at_end(text: str, block: str) -> str:
    gap = "\n" if text.endswith("\n") else "\n\n"
    return text + (gap + block).replace("\n", _newline(text))


def _bare(key: str) -> str:
    return key if key.replace("_", "").replace("-", "").isalnum() and key.isascii() else toml_text(key)
