"""Work plotted by hand, graded, as a block of its own after the log."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator

from nightleg.commands.figures import NONE, clip, clock, direction, signed
from nightleg.commands.terminal import plain
from nightleg.flight.grade import Grade, Part
from nightleg.flight.grading import grades
from nightleg.flight.model import Flight, Truth
from nightleg.flight.solution import Solution

_WIDTH, _INDENT = 100, 32
_SPACE = {"′": "", "°": "", "NM": " ", "kt": " ", "min": " "}  # before the unit
_HEAD = f"{'GMT':<9}{'of':<10}{'by':<13}{'off':<33}{'minutes':>7}   within limits"


def plotted_text(flight: Flight, solution: Solution, truth: Truth | None) -> str:
    """The block, or nothing for a flight without such work; held against `truth` only where that is revealed."""
    if not flight.plotted:
        return ""
    lines = ["", "Plotted by hand", _HEAD]
    for grade in grades(flight, solution, truth):
        lines += _grade(grade)
    return "".join(f"{line.rstrip()}\n" for line in lines)


def _grade(grade: Grade) -> Iterator[str]:
    time = "" if grade.time is None else clock(grade.time)
    by = clip(plain(grade.by or NONE), 12)
    minutes = "" if grade.minutes is None else f"{grade.minutes:.1f}"
    within = {True: "yes", False: "no", None: NONE}[grade.within]
    yield f"{time:<9}{clip(plain(grade.of), 9):<10}{by:<13}{_off(grade):<33}{minutes:>7}   {within}"
    rest = "; ".join(_part(part) for part in grade.parts if part.name not in ("position", "line", "working time"))
    indent = " " * _INDENT
    yield from textwrap.wrap(rest, _WIDTH, initial_indent=indent, subsequent_indent=indent)
    over = [
        f"{part.name} (limit {part.limit:g}{_SPACE[part.unit]}{part.unit})"
        for part in grade.parts
        if part.within is False
    ]
    yield from textwrap.wrap("over: " + ", ".join(over) if over else "", _WIDTH, initial_indent=indent)
    for warning in grade.warnings:
        yield from textwrap.wrap(plain(warning), _WIDTH, initial_indent=indent + "! ", subsequent_indent=indent + "  ")


def _off(grade: Grade) -> str:
    """`6.1 NM, 123° from the truth`."""
    if grade.error_nm is None:
        return NONE
    bearing = ""
    if grade.error_bearing_deg is not None and grade.error_nm >= 0.05:
        bearing = f", {direction(grade.error_bearing_deg, 0)}°"
    return f"{grade.error_nm:.1f} NM{bearing} from the {grade.against}"


def _part(part: Part) -> str:
    """`Hc +3.0′`, `wind 12 kt off`, `ETA +4.0 min`."""
    if part.name == "wind":
        return f"wind {part.error:.0f} kt off"
    return f"{part.name} {signed(part.error)}{_SPACE[part.unit]}{part.unit}"
