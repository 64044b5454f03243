"""What a line or another reading comes to while it is typed. No Qt here."""

from __future__ import annotations

import dataclasses
import re
from datetime import datetime

from nightleg.flight.model import Flight
from nightleg.flight.solution import Solution
from nightleg.flight.solve import solve
from nightleg.window.other.draft import OtherTyped, understand_other
from nightleg.window.other.filing import OtherMade, other_candidate, with_other
from nightleg.window.other.kinds import Other
from nightleg.window.sight.draft import Draft, Remark
from nightleg.window.worked import Typing, Worked, last_entry

_BEGUN_FIGURES = 3  # of fewer figures what was read may be on its way to another
_BEGUN_NM = 60.0  # and is taken to be, where its line lies this far from the DR


@dataclasses.dataclass(frozen=True)
class OtherAnswer:
    """The draft as understood, with what the computation says of it, and the answers: for all entries, and as shown."""

    typed: OtherTyped
    whole: Worked
    shown: Worked


def other_answer(
    flight: Flight, shown: Flight, draft: Other, base: Solution, now: datetime | None, last: Worked
) -> OtherAnswer:
    """The answer with an entry being typed in it. `shown` is what of the flight is known now, `base` its solution.

    Text that cannot be read leaves the `last` answer of its kind as it is. Raises as `solve`.
    """
    typed = understand_other(draft, flight, last_entry(flight))
    made = other_candidate(flight, draft, typed)
    whole = Worked(flight, base if flight is shown else solve(flight, last_entry(flight)))
    known = Worked(shown, base)
    if typed.remarks and last.other is not None and last.other.kind == draft.kind:
        return OtherAnswer(typed, last if flight is shown else whole, last)
    if made is None:
        return OtherAnswer(typed, whole, known)
    ahead = made.kind.row == "landfall"  # it is planned now, for a time to come
    solution = solve(
        made.flight,
        (last_entry(flight) if ahead else max(last_entry(flight), made.gmt))
        if now is None or flight is not shown
        else now,
    )
    remark = _refusal(draft, typed, made, solution)
    if remark is not None:
        key, said = remark
        return OtherAnswer(dataclasses.replace(typed, remarks={key: said}), whole, known)
    if made.probe:
        return OtherAnswer(typed, whole, known)
    whole = _worked(made, made.flight, solution)
    if flight is not shown:
        known_flight = with_other(shown, made)
        return OtherAnswer(typed, whole, _worked(made, known_flight, solve(known_flight, now)))
    return OtherAnswer(typed, whole, whole)


def _worked(made: OtherMade, flight: Flight, solution: Solution) -> Worked:
    fix = None if made.fix is None else solution.fix(made.fix.id)
    return Worked(flight, solution, fix=fix, other=Typing(made.kind.name, made.kind.row, made.id))


def _refusal(draft: Other, typed: OtherTyped, made: OtherMade, solution: Solution) -> tuple[str, Remark] | None:
    """What keeps a line from being one, and the key that it is told at; None where it stands."""
    if made.kind.row != "line":
        return None
    line = solution.line(made.id)
    key = next((key for key in made.kind.one_of if key in typed.values), made.kind.main)
    far = line.offset_nm is not None and abs(line.offset_nm) > _BEGUN_NM
    if (line.position is None or far) and _is_begun(draft.text(key)) and not made.probe:
        return key, Remark(f"{draft.text(key).strip()} so far; with a point it counts as typed", False)
    if line.position is None:
        return "time" if made.probe else key, Remark("; ".join(line.warnings), True)
    return None


def _is_begun(text: str) -> bool:
    figures = re.sub("[^0-9]", "", text)
    return len(figures) < _BEGUN_FIGURES and not re.search("[.,NS]", text, re.IGNORECASE)


def after_filing(draft: Draft, sight: Draft) -> Draft:
    """What the form goes on to once what it holds is in the log: the next of its kind, of sights the one given."""
    if draft.other.kind:
        return dataclasses.replace(draft, other=draft.other.next())
    return beside(draft, sight)


def beside(draft: Draft, sight: Draft) -> Draft:
    """Another draft of a sight, with what is typed of other kinds kept."""
    return dataclasses.replace(sight, other=dataclasses.replace(draft.other, kind=sight.other.kind))
