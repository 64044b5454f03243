"""Reading and solving one flight file for a command, every fault in words."""

from __future__ import annotations

import os
import sys
from typing import TYPE_CHECKING, NamedTuple

from nightleg.commands.options import Moment
from nightleg.commands.terminal import InputError, plain
from nightleg.units.times import write_instant

if TYPE_CHECKING:
    from nightleg.flight.model import Flight
    from nightleg.flight.solution import Solution


class Solved(NamedTuple):
    """A flight file, read and solved."""

    path: str
    flight: Flight
    solution: Solution


def solved(path: str, at: Moment | None = None) -> Solved:
    """The flight of that file and its solution, at a time if one is given. Raises InputError naming the file."""
    try:
        flight, solution = _read_and_solve(path, at)
    except InputError as error:
        fault = str(error) if path else "the name of the file is empty; name a flight file"
    except MemoryError:
        fault = "too large for the memory of this machine"
    except RecursionError:
        fault = "nested too deeply; a flight file has tables of plain values"
    except Exception as error:
        if sys.flags.dev_mode:  # python -X dev: whoever repairs the program wants to see where
            raise
        fault = f"cannot be solved, by a fault of the program: {type(error).__name__}: {error}"
    else:
        return Solved(path, flight, solution)
    lines = fault.split("\n")
    raise InputError(f"{shown(path)}: {fault}" if len(lines) == 1 else "\n  ".join([f"{shown(path)}:", *lines]))


def _read_and_solve(path: str, at: Moment | None) -> tuple[Flight, Solution]:
    # Imported here: they bring numpy and the ephemeris, which --help and a wrong call do not need.
    from nightleg.flight.errors import FlightError
    from nightleg.flight.findings import in_their_lines
    from nightleg.flight.read import read_flight
    from nightleg.flight.solve import Unsolvable, solve

    try:
        document = read_flight(path)
        flight = document.flight
        now = None if at is None else at.after(flight.start.time)
        if at is not None and now is not None and now < flight.start.time:
            begins = write_instant(flight.start.time)
            raise InputError(f"--at {plain(at.text)} is before the flight, which starts at {begins}")
        solution = solve(flight, now)
        if solution.problems:
            raise FlightError(in_their_lines(solution.problems, document.text))
        return flight, solution
    except FlightError as error:
        raise InputError(str(error)) from None
    except Unsolvable as error:
        raise InputError(str(FlightError(in_their_lines(error.problems, document.text)))) from None
    except OSError as error:
        raise InputError(f"cannot be read: {error.strerror or error}") from None


def shown(path: str) -> str:
    """The file's name for a message: no control characters, and not longer than there is room for."""
    name = plain(path) or '""'
    return name if len(name) <= 300 else f"…{name[-299:]}"


def base_name(path: str) -> str:
    """The file's name without folder and without its flight ending: what a picture of it is called after."""
    name = os.path.basename(path)
    for ending in (".flight.toml", ".toml"):
        if name.lower().endswith(ending):
            return name[: -len(ending)] or "flight"
    return os.path.splitext(name)[0] or "flight"
