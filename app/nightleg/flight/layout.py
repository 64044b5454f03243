"""Where in a TOML text each table, key, value and row stands.

A statement is found from its first character; values are skipped string by string and bracket by bracket, so text that
looks like a heading or a key does no harm. The text must be valid TOML; of anything else only the part before the fault
is told.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from msgspec import Struct

from nightleg.flight.quotes import OPENING, gap_end, quoted_end

Path = tuple[str | int, ...]

_KEY = r"(?:[A-Za-z0-9_-]++|\"(?:[^\"\\\n]++|\\.){0,500}\"|'[^'\n]*+')"
_DOTTED = re.compile(rf"{_KEY}(?:[ \t]*+\.[ \t]*+{_KEY})*")
_ONE_KEY = re.compile(_KEY)
_HEADING = re.compile(rf"(\[\[?)[ \t]*+({_DOTTED.pattern})[ \t]*+\]\]?")
_EQUALS = re.compile(r"[ \t]*+=[ \t]*+")
_VALUE_PART = re.compile(rf"[^\"'\[\]{{}}#\n]*+({OPENING}|[\[\]{{}}\n])")


class Statement(Struct, frozen=True):
    """A heading, or a key with its value: where it begins, where its value stands, and the end of its line.

    `path` is like ("sight", 2) or ("sight", 2, "hs"). For a heading the value is empty. `line` counts from 1; `rows`
    are the lines of the brackets directly inside a list.
    """

    path: Path
    heading: bool
    line: int
    start: int
    value_start: int
    value_end: int
    end: int
    rows: tuple[int, ...] = ()


def statements(text: str) -> Iterator[Statement]:
    """All statements of `text` in order."""
    counts: dict[str, int] = {}
    here: Path = ()
    pos, line = 0, 1
    while True:
        start = gap_end(text, pos)
        line += text.count("\n", pos, start)
        heading = _HEADING.match(text, start)
        if heading:
            here = _heading_path(heading, counts)
            pos = _line_end(text, heading.end())
            yield Statement(here, True, line, start, heading.end(), heading.end(), pos)
        else:
            key = _DOTTED.match(text, start)
            equals = _EQUALS.match(text, key.end()) if key else None
            if key is None or equals is None:
                return
            end, pos, rows = _value(text, equals.end(), line)
            yield Statement((*here, *_parts(key.group())), False, line, start, equals.end(), end, pos, rows)
        line += text.count("\n", start, pos)


def line_numbers(text: str) -> dict[Path, int]:
    """The line (from 1) of every table ("sight", 2), key ("sight", 2, "hs") and row ("sight", 2, "readings", 0)."""
    lines: dict[Path, int] = {}
    for one in statements(text):
        for n in range(1, len(one.path) + 1):
            lines.setdefault(one.path[:n], one.line)
        for row, line in enumerate(one.rows):
            lines[(*one.path, row)] = line
    return lines


def _heading_path(heading: re.Match[str], counts: dict[str, int]) -> Path:
    parts = _parts(heading[2])
    if heading[1] == "[[":
        counts[parts[0]] = counts.get(parts[0], -1) + (len(parts) == 1)
    if parts[0] in counts:
        return (parts[0], counts[parts[0]], *parts[1:])
    return tuple(parts)


def _parts(dotted: str) -> list[str]:
    return [part.strip("\"'") for part in _ONE_KEY.findall(dotted)]


def _line_end(text: str, pos: int) -> int:
    newline = text.find("\n", pos)
    return len(text) if newline < 0 else newline + 1


def _value(text: str, start: int, line: int) -> tuple[int, int, tuple[int, ...]]:
    """End of the value that begins at `start`, end of its line, and the lines of the rows in it."""
    depth, pos, counted = 0, start, start
    rows: list[int] = []
    while part := _VALUE_PART.match(text, pos):
        token = part[1]
        pos, closed = quoted_end(text, part.start(1)) if token[0] in "\"'#" else (part.end(), True)
        if not closed:
            break
        if token in ("[", "{"):
            if depth == 1:
                line += text.count("\n", counted, pos)
                counted = pos
                rows.append(line)
            depth += 1
        elif token in ("]", "}"):
            depth -= 1
        elif depth == 0 and token in ("#", "\n"):
            last = start + len(text[start : part.start(1)].rstrip())
            return last, _line_end(text, part.start(1)), tuple(rows)
    return start + len(text[start:].rstrip()), len(text), tuple(rows)
