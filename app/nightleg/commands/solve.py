"""`nightleg solve`: dead reckoning, reduced sights and fixes of flight files."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from nightleg.commands.flights import Solved, solved
from nightleg.commands.options import Words, moment
from nightleg.commands.terminal import InputError, complain, say

if TYPE_CHECKING:
    from nightleg.flight.suspects import Verdict

SUMMARY = "dead reckoning, sights and fixes of a flight file"

_AGREE = "nothing asks for an explanation; unlikely as they are, these mistakes would be first"


def _words() -> Words:
    words = Words(
        "solve",
        "Solve flight files: the dead reckoning, every sight reduced, every fix with its\n"
        "ellipses and how far to trust it. A file that is wrong is named on standard\n"
        "error, and the others are answered.",
        "nightleg solve night.flight.toml --at 2315 --worked",
    )
    words.add_argument("files", nargs="+", metavar="FILE", help="a flight file (.flight.toml)")
    words.add_argument(
        "--at",
        type=moment,
        metavar="TIME",
        help="also give the DR at this time: 2252 or 22:52:30 (the first one after the start), or 2026-03-14T22:52:00Z",
    )
    words.add_argument("--json", action="store_true", help="one JSON document a line, in the order of the files")
    words.add_argument("--worked", action="store_true", help="add the worked solution of every sight (text only)")
    words.add_argument(
        "--explain",
        action="append",
        default=[],
        metavar="ID",
        help="print how the numbers of one sight or fix came about instead, or of the DR at --at (dr); can be repeated",
    )
    words.add_argument("--reveal", action="store_true", help="show the truth of the file, and grade plotted work by it")
    return words


def run(arguments: Sequence[str]) -> int:
    """Answer one call. Returns the exit code; raises UsageError, SystemExit(0) after --help, and output faults."""
    options = _words().read(arguments)
    code = 0
    answered = 0
    for path in options.files:
        try:
            answer = solved(path, options.at)
            explained = "".join(explanation(answer, of) for of in options.explain)
        except InputError as error:
            complain(str(error))
            code = 1
            continue
        if options.explain:
            say(("\n" if answered else "") + explained)
        elif options.json:
            say(_json(answer, options.reveal))
        else:
            say(("\n" if answered else "") + text(answer, options.worked, options.reveal))
        answered += 1
    return code


def _json(answer: Solved, reveal: bool) -> str:
    from nightleg.commands.solution_json import document, dumps

    truth = answer.flight.truth if reveal else None
    return dumps(document(answer.solution, truth, verdicts(answer), answer.flight)) + "\n"


def verdicts(answer: Solved) -> dict[str, Verdict]:
    """What would explain the fixes whose shots disagree, by the fix's id."""
    from nightleg.flight.suspects import asks, suspects

    disagree = [fix.id for fix in answer.solution.fixes if asks(fix)]
    return {id: suspects(answer.flight, answer.solution, id) for id in disagree}


def explanation(answer: Solved, of: str) -> str:
    """The working of one entry as text. Raises InputError for an entry that the flight does not have."""
    from nightleg.commands.explain_text import steps
    from nightleg.flight.working import UnknownError, explain

    try:
        working = steps(explain(answer.flight, answer.solution, of))
    except UnknownError as error:
        raise InputError(f"{answer.path}: --explain: {error}") from error
    return working + _mistakes(answer, of)


def _mistakes(answer: Solved, of: str) -> str:
    """What may have gone wrong in a celestial fix, also where its shots agree; empty for anything else."""
    from msgspec.structs import replace

    from nightleg.commands.solution_text import suspected
    from nightleg.flight.suspects import asks, suspects

    fix = next((one for one in answer.solution.fixes if one.id == of and one.kind == "celestial"), None)
    if fix is None or not fix.sights:
        return ""
    verdict = suspects(answer.flight, answer.solution, of)
    told = verdict if asks(fix) or not verdict.suspects else replace(verdict, words=_AGREE)
    return "\nWhat may have gone wrong\n" + "".join(f"{line}\n" for line in suspected(told))


def text(answer: Solved, worked: bool = False, reveal: bool = False) -> str:
    """The log of a solved flight and what was plotted by hand, on request the working of its sights, its truth."""
    from nightleg.commands.solution_text import log, truth
    from nightleg.commands.working_text import working

    lines = log(answer.flight, answer.solution, answer.path, verdicts(answer))
    if answer.flight.plotted:
        from nightleg.commands.plotted_text import plotted_text  # few flights have any

        lines += plotted_text(answer.flight, answer.solution, answer.flight.truth if reveal else None)
    if worked:
        lines += working(answer.solution, answer.flight)
    if reveal and answer.flight.truth is not None:
        lines += "\n" + truth(answer.flight.truth)
    return lines
