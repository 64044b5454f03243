"""How a number came about, as the window shows it: whose working, and as text. No Qt here."""

from __future__ import annotations

from datetime import datetime
from html import escape
from typing import NamedTuple

from msgspec.structs import replace

from nightleg.flight.model import Flight
from nightleg.flight.solution import SightResult, Solution
from nightleg.flight.working import UnknownError, explain
from nightleg.flight.working_step import Step, Working
from nightleg.window.explain.ahead import AHEAD, ahead_working

TYPED = "typed"
"""Whose number it is, where it is that of the sight being typed, whichever that is."""
DR = "dr"

_NEEDS_READING = frozenset({"Hs", "Ho", "intercept"})


class Colours(NamedTuple):
    """Colours of the sheet, "#RRGGBB"."""

    ink: str
    muted: str
    edge: str
    mark: str  # the ground of the step that was asked about
    line: str


def working_of(flight: Flight, solution: Solution, sight: SightResult | None, typed: bool, of: str) -> Working | None:
    """The working of a sight or a fix by its id, of the sight being typed, of the way ahead, or of the DR.

    The DR is that of now, or of an instant: "dr 2026-10-18T21:10:00Z". None where there is no such working.
    `sight` is the one being typed; without a reading (not `typed`) only where its body stands can be told.
    """
    if of == TYPED or (sight is not None and of == sight.id):
        if sight is None:
            return None
        if typed:
            return explain(flight, solution, sight.id)
        from nightleg.flight.working_sight import sight_working

        whole = sight_working(flight, sight)
        corrections = {correction.name for correction in sight.corrections}
        steps = tuple(step for step in whole.steps if step.name not in _NEEDS_READING | corrections)
        return replace(whole, steps=steps)
    if of == AHEAD:
        return ahead_working(flight, solution, solution.dr[-1])
    name, _, when = of.partition(" ")
    try:
        return explain(flight, solution, name, datetime.fromisoformat(when) if when and name == DR else None)
    except UnknownError:
        return None


def marked(working: Working, step: str) -> int | None:
    """Number of the step that a number belongs to: the one of that name, or that begins with it."""
    names = [one.name for one in working.steps]
    if step in names:
        return names.index(step)
    return next((number for number, name in enumerate(names) if step and name.startswith(step)), None)


def anchor(number: int) -> str:
    """Name of a step's place in the text."""
    return f"step{number}"


def as_html(working: Working, mark: int | None, colours: Colours, ids: frozenset[str]) -> str:
    """All steps: name and result, formula, inputs, source. A line's step leads to the working of its sight."""
    rows = "".join(_row(step, number, number == mark, colours, ids) for number, step in enumerate(working.steps))
    return f'<table width="100%" cellspacing="0" cellpadding="5">{rows}</table>'


def _row(step: Step, number: int, is_marked: bool, colours: Colours, ids: frozenset[str]) -> str:
    ground = f' bgcolor="{colours.mark}"' if is_marked else ""
    name = escape(step.name)
    words = step.name.split()
    if len(words) > 1 and words[0] == "line" and words[1] in ids:
        name = f'<a href="{escape(words[1], quote=True)}" style="color:{colours.line}">{name}</a>'
    sign = "▸ " if is_marked else ""
    lines = [
        f'<table width="100%" cellspacing="0" cellpadding="0"><tr><td>{sign}<b>{name}</b></td>'
        f'<td align="right"><b>{escape(step.value)}</b></td></tr></table>'
        if len(step.name) + len(step.value) < _ONE_LINE
        else f"{sign}<b>{name}</b><br><b>{escape(step.value)}</b>"
    ]
    if step.formula:
        lines.append(f"<div>{escape(step.formula)}</div>")
    lines += [
        f'<div style="color:{colours.muted}">{escape(what)}&nbsp; <span style="color:{colours.ink}">'
        f"{escape(value)}</span></div>"
        for what, value in step.inputs
    ]
    if step.source:
        lines.append(f'<div style="color:{colours.muted}">{escape(step.source)}</div>')
    return f'<tr><td{ground}><a name="{anchor(number)}"></a>{"".join(lines)}</td></tr>'


_ONE_LINE = 38  # characters of name and value that stand on one line of the sheet


def as_words(step: Step) -> str:
    """A step as a screen reader says it."""
    inputs = "; ".join(f"{what} {value}" for what, value in step.inputs)
    return ". ".join(part for part in (f"{step.name}: {step.value}", step.formula, inputs, step.source) if part)
