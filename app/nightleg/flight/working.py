"""How a number came about: formula, what went into it, source. Made only when asked for.

A `Working` is a list of steps in the order of the work, each with its value as shown everywhere else. The window opens
it beside a number, the command line prints it.
"""

from __future__ import annotations

from datetime import datetime

from msgspec.structs import replace

from nightleg.flight.model import Flight
from nightleg.flight.solution import Solution
from nightleg.flight.working_step import Working


class UnknownError(KeyError):
    """Nothing of that name can be explained; the message says what can."""

    def __str__(self) -> str:
        return str(self.args[0])


def explain(flight: Flight, solution: Solution, of: str, when: datetime | None = None) -> Working:
    """The working of a sight, line, fix, heading check or landfall by its id; of the DR ("dr") or the way ("ahead").

    These two are for `when` (default: the solution's now).

    Raises UnknownError for any other name.
    """
    # taken when one is wanted: a window that starts needs none of them
    from nightleg.flight.working_dr import dr_working
    from nightleg.flight.working_fix import fix_working
    from nightleg.flight.working_heading import check_working
    from nightleg.flight.working_latitude import latitude_steps
    from nightleg.flight.working_sight import sight_working
    from nightleg.flight.working_wind import ahead_at, air_step, fix_ahead_steps, line_steps, line_working

    if of == "dr":
        return dr_working(flight, solution, when or solution.now)
    for sight in solution.sights:
        if sight.id == of:
            whole = sight_working(flight, sight)
            added = (*latitude_steps(flight, solution, sight), *line_steps(flight, solution, sight))
            return replace(whole, steps=(*whole.steps, *added))
    for line in solution.lines:
        if line.id == of:
            return line_working(flight, solution, line)
    for fix in solution.fixes:
        if fix.id == of:
            whole = fix_working(flight, solution, fix)
            added = (*air_step(solution, fix), *fix_ahead_steps(flight, solution, fix))
            return replace(whole, steps=(*whole.steps, *added))
    for check in solution.heading_checks:
        if check.id == of:
            return check_working(flight, solution, check)
    for wanted in flight.landfalls:
        if wanted.id == of:
            from nightleg.flight.working_landfall import landfall_working

            return landfall_working(flight, solution, wanted)
    if of == "ahead" and (way := ahead_at(flight, solution, when or solution.now)) is not None:
        return way
    ids = [sight.id for sight in solution.sights] + [line.id for line in solution.lines]
    ids += [fix.id for fix in solution.fixes] + [check.id for check in solution.heading_checks]
    ids += [wanted.id for wanted in flight.landfalls]
    known = ["dr", *(["ahead"] if flight.waypoints else []), *ids]
    raise UnknownError(f'nothing in this flight is called "{of}"; what can be explained is {", ".join(known)}')
