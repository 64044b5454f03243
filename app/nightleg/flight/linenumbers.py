"""Where in a TOML text each table, key and row stands."""

from __future__ import annotations

import re

# A statement is found from its first character; values are skipped string by string and bracket by bracket, so that
# text that looks like a heading or a key does no harm.
_GAP = re.compile(r"(?:[\s\ufeff]|#[^\n]*+)*+")
_KEY = r"(?:[A-Za-z0-9_-]++|\"(?:[^\"\\\n]|\\.)*+\"|'[^'\n]*+')"
_DOTTED = re.compile(rf"{_KEY}(?:[ \t]*+\.[ \t]*+{_KEY})*+")
_ONE_KEY = re.compile(_KEY)
_HEADING = re.compile(rf"(\[\[?)[ \t]*+({_DOTTED.pattern})[ \t]*+\]\]?")
_VALUE_PART = re.compile(
    r"[^\"'\[\]{}#\n]*+"
    r"(\"\"\"(?:[^\"\\]|\\.|\"(?!\"\"))*+\"{3,5}|'''(?:[^']|'(?!''))*+'{3,5}"
    r"|\"(?:[^\"\\\n]|\\.)*+\"|'[^'\n]*+'|#[^\n]*+|[\[\]{}\n])",
    re.DOTALL,
)

Place = tuple[str | int, ...]


def line_numbers(text: str) -> dict[Place, int]:
    """The line (from 1) of every table ("sight", 2), key ("sight", 2, "hs") and row of a list in brackets.

    `text` is valid TOML; of anything else only the part before the fault is told.
    """
    lines: dict[Place, int] = {}
    counts: dict[str, int] = {}
    here: Place = ()
    pos, line = 0, 1
    while True:
        gap = _GAP.match(text, pos)
        start = gap.end() if gap else pos
        line += text.count("\n", pos, start)
        heading = _HEADING.match(text, start)
        if heading:
            here = _heading_place(heading, counts)
            lines.setdefault(here, line)
            pos = heading.end()
            continue
        key = _DOTTED.match(text, start)
        if key is None:
            return lines
        path = (*here, *_parts(key.group()))
        for n in range(len(here) + 1, len(path) + 1):
            lines.setdefault(path[:n], line)
        pos, line = _skip_value(text, key.end(), line, path, lines)


def _heading_place(heading: re.Match[str], counts: dict[str, int]) -> Place:
    parts = _parts(heading[2])
    if heading[1] == "[[":
        counts[parts[0]] = counts.get(parts[0], -1) + (len(parts) == 1)
    if parts[0] in counts:
        return (parts[0], counts[parts[0]], *parts[1:])
    return tuple(parts)


def _parts(dotted: str) -> list[str]:
    return [part.strip("\"'") for part in _ONE_KEY.findall(dotted)]


def _skip_value(text: str, pos: int, line: int, path: Place, lines: dict[Place, int]) -> tuple[int, int]:
    """The end of the value that begins at `pos` and the line of that end; rows of a list are noted."""
    depth = row = 0
    while True:
        part = _VALUE_PART.match(text, pos)
        if part is None:
            return len(text), line
        pos, token = part.end(), part[1]
        if token in ("[", "{"):
            if depth == 1:
                lines[(*path, row)] = line
                row += 1
            depth += 1
        elif token in ("]", "}"):
            depth -= 1
        elif token == "\n":
            line += 1
            if depth == 0:
                return pos, line
        else:
            line += token.count("\n")
