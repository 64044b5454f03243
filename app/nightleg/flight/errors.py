"""What is wrong with a flight file, all of it at once."""

from __future__ import annotations

from collections.abc import Sequence

from nightleg.flight.solution import Problem

KEPT = 50  # problems of one file that are kept; the rest are counted
LONGEST = 4000  # characters of the text form
_LONGEST_PLACE = 120
_LONGEST_MESSAGE = 600


class FileProblem(Problem, frozen=True):
    """A problem with its place in the document's structure: `path` is like ("sight", 2, "hs"), counted from 0.

    `line` is the line of the file, counted from 1, where it is known.
    """

    path: tuple[str | int, ...] = ()
    line: int | None = None


class FlightError(Exception):
    """The document cannot be used. `problems` are in the order of the file; `more` counts those left out.

    With `at_least` there are still more, which nobody counted.
    """

    def __init__(self, problems: Sequence[Problem], more: int = 0, at_least: bool = False) -> None:
        super().__init__(problems, more, at_least)
        self.problems: tuple[Problem, ...] = tuple(problems)
        self.more = more
        self.at_least = at_least

    def __str__(self) -> str:
        """One problem a line, "place: message", at most 4 000 characters, control characters made visible."""
        lines: list[str] = []
        room = LONGEST - len("\n… and more than 1000000000 more")
        for problem in self.problems:
            line = _line(problem)
            if len(line) + 1 > room:
                break
            lines.append(line)
            room -= len(line) + 1
        left_out = len(self.problems) - len(lines) + self.more
        than = "more than " if self.at_least else ""
        return "\n".join([*lines, f"… and {than}{left_out} more"] if left_out else lines)


def _line(problem: Problem) -> str:
    place, message = visible(problem.place, _LONGEST_PLACE), visible(problem.message, _LONGEST_MESSAGE)
    return f"{place}: {message}" if place else message


def visible(text: str, longest: int) -> str:
    """`text` cut to `longest` characters, with whatever would act on a terminal written as an escape."""
    cut = text if len(text) <= longest else text[: longest - 1] + "…"
    shown = "".join(c if c.isprintable() else c.encode("unicode_escape").decode("ascii") for c in cut)
    return shown if len(shown) <= longest else shown[: longest - 1] + "…"
