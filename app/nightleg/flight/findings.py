"""Collecting what is wrong with a document, each with its place."""

from __future__ import annotations

import re
import time
from collections.abc import Mapping, Sequence
from typing import Any

from nightleg.flight.errors import KEPT, FileProblem, FlightError
from nightleg.flight.nearest import nearest_key
from nightleg.flight.schema import tables
from nightleg.flight.solution import Problem
from nightleg.flight.valuetext import short

Path = tuple[str | int, ...]

MOST = 20_000  # problems after which counting on would help nobody
_LONGEST_S = 2.0  # of looking for problems: any file is answered within seconds
_CLOCK_EACH = 256
_MOST_GUESSED = 2000  # unknown keys of different spelling for which the nearest is looked for


class EnoughError(Exception):
    """There are so many problems that looking for more is no use."""


class Findings:
    """What is wrong, in the order it was found: `path` is like ("sight", 2, "hs")."""

    def __init__(self) -> None:
        self.found: list[tuple[Path, str]] = []
        self.count = 0
        self.enough = False
        self._begun_s = time.process_time()
        self._guessed: dict[tuple[str, tuple[str, ...]], str] = {}

    def add(self, path: Path, message: str) -> None:
        """Keeps one more. Raises EnoughError when there are far too many to count."""
        self.count += 1
        self.found.append((path, message))
        late = self.count % _CLOCK_EACH == 0 and time.process_time() - self._begun_s > _LONGEST_S
        if self.count == MOST or late:
            self.enough = True
            raise EnoughError

    def meant(self, written: str, known: tuple[str, ...]) -> str:
        """The key that an unknown one was meant for; "" if none is near, or after very many of them."""
        case = written, known
        if case not in self._guessed:
            if len(self._guessed) == _MOST_GUESSED:
                return ""
            self._guessed[case] = nearest_key(written, known)
        return self._guessed[case]

    def error(self, raw: Mapping[str, Any], text: str) -> FlightError:
        """All of it, in the order of the file, with the lines of `text` it stands in."""
        from nightleg.flight.layout import line_numbers  # only when something is wrong

        lines = line_numbers(text)
        problems = []
        for path, message in self.found:
            line = next((lines[path[:n]] for n in range(len(path), 0, -1) if path[:n] in lines), None)
            place = place_text(path, raw)
            if line is not None:
                place = f"line {line}, {place}" if place else f"line {line}"
            problems.append(FileProblem(place, message, path, line))
        problems.sort(key=lambda one: one.line or 0)
        return FlightError(problems[:KEPT], self.count - len(problems[:KEPT]), self.enough)


def place_text(path: Path, raw: Mapping[str, Any]) -> str:
    """`path` in words, as in "[[sight]] 3 (s3), hs"."""
    if not path:
        return ""
    name = str(path[0])
    table = tables().get(name)
    if table is None:
        return short(name)
    parts = [f"[[{name}]]" if table.many else f"[{name}]"]
    rest = path[1:]
    if table.many and rest and isinstance(rest[0], int):
        parts[0] += f" {rest[0] + 1}"
        entries = raw.get(name)
        entry = entries[rest[0]] if isinstance(entries, list) and rest[0] < len(entries) else None
        label = None
        if isinstance(entry, dict):
            named = next((key for key in ("id", "name", "of") if key in entry), None)
            label = entry[named] if named and path[2:3] != (named,) else None  # a wrong name is told once
        if isinstance(label, str) and label:
            parts[0] += f" ({short(label, 20)})"
        rest = rest[1:]
    if rest:
        parts.append(short(str(rest[0])))
    if len(rest) > 1 and isinstance(rest[1], int):
        parts[-1] += f" row {rest[1] + 1}"
    return ", ".join(parts)


_PLACE = re.compile(r"\[{1,2}(\w+)\]{1,2}(?: (\d+))?(?: \([^)]*\))?(?:, (\w+))?")


def in_their_lines(problems: Sequence[Problem], text: str) -> list[Problem]:
    """Problems found while solving, with the lines of `text` where their places, in words, can be found there."""
    from nightleg.flight.layout import line_numbers

    lines = line_numbers(text)
    told: list[Problem] = []
    for problem in problems:
        parts = _PLACE.fullmatch(problem.place)
        path: Path = ()
        if parts is not None:
            path = (parts[1], *((int(parts[2]) - 1,) if parts[2] else ()), *((parts[3],) if parts[3] else ()))
        line = next((lines[path[:n]] for n in range(len(path), 0, -1) if path[:n] in lines), None)
        known = isinstance(problem, FileProblem) or line is None
        place = f"line {line}, {problem.place}"
        told.append(problem if known else FileProblem(place, problem.message, path, line))
    return told
