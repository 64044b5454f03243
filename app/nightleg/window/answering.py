"""From what is typed to an answer: the draft understood, and the flight solved with it. No Qt here."""

from __future__ import annotations

import dataclasses
import sys
from dataclasses import dataclass, field
from datetime import datetime

from nightleg.flight.model import Flight
from nightleg.flight.solution import Solution
from nightleg.flight.solve import Unsolvable, solve
from nightleg.window.clock.moments import with_typed
from nightleg.window.other.draft import OtherTyped
from nightleg.window.other.work import other_answer
from nightleg.window.sight.draft import Draft, Remark, Typed, begun, understand
from nightleg.window.sight.filing import Candidate, candidate
from nightleg.window.words import faults
from nightleg.window.worked import Worked, last_entry


@dataclass(frozen=True)
class Answer:
    """A draft as understood and what comes of it: for all entries (`whole`) and for what is shown of them (`shown`).

    Both are None where the draft cannot be read or solved; `told` says what there is to say of that.
    """

    typed: Typed = field(default_factory=Typed)
    other: OtherTyped | None = None  # what is typed of another kind, while one is in hand
    whole: Worked | None = None
    shown: Worked | None = None
    told: str = ""


@dataclass(frozen=True)
class Ground:
    """What the draft falls on: the flight, what of it is shown with its solution, and the time set, if one is."""

    flight: Flight
    shown: Flight
    base: Solution
    now: datetime | None


def answer(draft: Draft, ground: Ground, last: Worked) -> Answer:
    """Read the draft and solve. `last` is the answer before, which another kind than a sight may keep."""
    flight = ground.flight
    typed = Typed() if draft.other.kind else understand(draft, flight, last_entry(flight))
    if not typed.answerable:
        return Answer(typed)
    try:
        found = _other(draft, ground, last) if draft.other.kind else _sight(draft, typed, ground)
    except Unsolvable as error:
        return Answer(typed, told=faults(*error.problems))
    except (ArithmeticError, ValueError, LookupError) as error:
        if sys.flags.dev_mode:  # python -X dev: whoever repairs the program wants to see where
            raise
        return Answer(typed, told=f"This cannot be solved: {error}")
    told = "" if found.shown is None else faults(*found.shown.solution.problems)
    whole, shown = (one if one is None or one is last else _of(one, draft) for one in (found.whole, found.shown))
    return dataclasses.replace(found, whole=whole, shown=shown, told=told)


def _of(found: Worked, draft: Draft) -> Worked:
    return dataclasses.replace(found, draft=draft)


def _other(draft: Draft, ground: Ground, last: Worked) -> Answer:
    found = other_answer(ground.flight, ground.shown, draft.other, ground.base, ground.now, last)
    return Answer(other=found.typed, whole=found.whole, shown=found.shown)


def _sight(draft: Draft, typed: Typed, ground: Ground) -> Answer:
    flight, shown, base = ground.flight, ground.shown, ground.base
    made = candidate(flight, draft, typed, probe=not typed.complete)
    if shown is flight:
        understood, whole = _worked(draft, typed, flight, made, base, ground.now)
        return Answer(understood, whole=whole, shown=whole)
    understood, whole = _worked(draft, typed, flight, made, solve(flight, last_entry(flight)), None)
    known = None if made is None else dataclasses.replace(made, flight=with_typed(shown, made))
    understood, answered = _worked(draft, understood, shown, known, base, ground.now)
    return Answer(understood, whole=whole, shown=answered)


def _worked(
    draft: Draft, typed: Typed, flight: Flight, made: Candidate | None, base: Solution, now: datetime | None
) -> tuple[Typed, Worked]:
    """The answer for a flight with the sight being typed in it, or only the place of its body.

    A reading that is only begun is taken out of what is understood.
    """
    if made is None:
        return typed, Worked(flight, base)
    solution = solve(made.flight, now or max(base.now, made.gmt))
    sight = solution.sight(made.sight.id)
    fix_id = None if made.fix is None else made.fix.id
    if typed.hs_deg is not None:
        unfinished = begun(draft, typed.hs_deg, sight.hc)
        if not unfinished:
            fix = None if fix_id is None else solution.fix(fix_id)
            return typed, Worked(made.flight, solution, sight, fix, made.sight.id)
        typed = dataclasses.replace(typed, hs_deg=None, remarks={"reading": Remark(unfinished, False)})
    fix = next((fix for fix in base.fixes if fix.id == fix_id), None)
    return typed, Worked(flight, base, sight, fix)
