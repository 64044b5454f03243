"""How a number came about, as text: each step with its value, its formula, what went in, and its source."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator

from nightleg.commands.terminal import plain
from nightleg.flight.working_step import Step, Working

_WIDTH, _INDENT = 100, 6


def steps(working: Working) -> str:
    """A working from its first step to its last."""
    head = f"{plain(working.of)}: {plain(working.title)}"
    lines = [head, "─" * min(len(head), _WIDTH)]
    for step in working.steps:
        lines += _step(step)
    return "\n".join(lines) + "\n"


def _step(step: Step) -> Iterator[str]:
    yield f"  {plain(step.name):<34}  {plain(step.value)}"
    given = ", ".join(f"{plain(name)} {plain(value)}" for name, value in step.inputs)
    for words in (step.formula, given, f"[{step.source}]" if step.source else ""):
        yield from textwrap.wrap(words, _WIDTH, initial_indent=" " * _INDENT, subsequent_indent=" " * (_INDENT + 2))
