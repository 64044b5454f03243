"""How a number came about: formula, what went into it, source. Made only when asked for.

A `Working` is a list of steps in the order of the work, each with its value as shown everywhere else. The window opens
it beside a number, the command line prints it.
"""

from __future__ import annotations

from datetime import datetime

from msgspec import Struct
from msgspec.structs import replace

from nightleg.flight.model import Flight
from nightleg.flight.solution import Solution


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


class UnknownError(KeyError):
    """Nothing of that name can be explained; the message says what can."""

    def __str__(self) -> str:
        return str(self.args[0])


def explain(flight: Flight, solution: Solution, of: str, when: datetime | None = None) -> Working:
    """The working of a sight or a fix by its id, or of the DR ("dr") at `when` (default: the solution's now).

    Raises UnknownError for any other name.
    """
    # the parts know this module, so they are taken when one is wanted
    from nightleg.flight.working_dr import dr_working
    from nightleg.flight.working_fix import fix_working
    from nightleg.flight.working_latitude import latitude_steps
    from nightleg.flight.working_sight import sight_working

    if of == "dr":
        return dr_working(flight, solution, when or solution.now)
    for sight in solution.sights:
        if sight.id == of:
            whole = sight_working(flight, sight)
            return replace(whole, steps=(*whole.steps, *latitude_steps(flight, solution, sight)))
    for fix in solution.fixes:
        if fix.id == of:
            return fix_working(flight, solution, fix)
    known = ["dr", *(sight.id for sight in solution.sights), *(fix.id for fix in solution.fixes)]
    raise UnknownError(f'nothing in this flight is called "{of}"; what can be explained is {", ".join(known)}')
