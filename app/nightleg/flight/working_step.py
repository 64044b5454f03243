"""The steps that a working is made of."""

from __future__ import annotations

from msgspec import Struct


class Step(Struct, frozen=True):
    """One step: its result, and where it comes from. Empty texts where there is nothing to say."""

    name: str
    value: str
    formula: str = ""
    inputs: tuple[tuple[str, str], ...] = ()  # name and value of what went in
    source: str = ""


class Working(Struct, frozen=True):
    """All steps to one entry of the solution."""

    of: str  # id of the sight or fix, or "dr"
    title: str
    steps: tuple[Step, ...]
