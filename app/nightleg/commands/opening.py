"""A call without a command: the window, or a picture and the solution where no window can be shown."""

from __future__ import annotations

import contextlib
import os
from pathlib import Path
from typing import TYPE_CHECKING

from nightleg.commands.flights import base_name, solved
from nightleg.commands.interrupts import ending_at_once
from nightleg.commands.terminal import InputError, complain, plain, say

if TYPE_CHECKING:
    from nightleg.flight.model import Flight
    from nightleg.flight.solution import Solution

DEMO = "demo"
PICTURE_PX = (1920, 1080)


def window(path: str | None) -> int:
    """Open the window with that flight file, or with the demo flight. Returns the window's exit code."""
    from nightleg.commands.draw import qt_missing

    with ending_at_once():  # what was typed and not saved is in the recovery copy
        try:
            # Imported here: Qt takes a quarter of a second, which no other command should pay.
            from nightleg.window.app import run
            from nightleg.window.loading import load_qt

            load_qt()
        except ImportError as error:
            raise InputError(qt_missing(error)) from None
        return run(None if path is None else Path(path), {".json": _json, ".txt": _log})


def _json(flight: Flight, solution: Solution, name: str) -> str:
    from nightleg.commands.solution_json import document, dumps

    return dumps(document(solution, flight=flight)) + "\n"


def _log(flight: Flight, solution: Solution, name: str) -> str:
    from nightleg.commands.solution_text import log

    return log(flight, solution, name)


def picture(path: str | None, reason: str) -> int:
    """Draw the flight to a picture in the user's cache folder, name it, and print the solution.

    Returns 0, or 1 where the picture could not be made (the solution is printed all the same).
    """
    from nightleg.commands.draw import chart
    from nightleg.commands.output import write_whole
    from nightleg.commands.solve import text

    answer = solved(demo() if path is None else path)
    what = "the demo flight" if path is None else plain(path)
    target = _target(path)
    code = 0
    try:
        write_whole(target, chart(answer, "png", size_px=PICTURE_PX))
        said = f"{reason}: drew {what} to {plain(target)} instead of opening the window.\n\n"
    except InputError as error:
        complain(str(error))
        code = 1
        said = f"{reason}: the solution of {what} instead of the window.\n\n"
    say(said + text(answer))
    return code


def demo() -> str:
    """The path of the demo flight. Raises InputError where it did not come with this installation."""
    from nightleg.resources import scenario

    try:
        return str(scenario(DEMO))
    except FileNotFoundError as error:
        raise InputError(str(error)) from None


def _target(path: str | None) -> str:
    """Where the picture goes; the folder is made. Raises nothing: an impossible folder shows when it is written."""
    from platformdirs import user_cache_dir

    folder = user_cache_dir("nightleg", appauthor=False)
    with contextlib.suppress(OSError):
        os.makedirs(folder, exist_ok=True)
    return os.path.join(folder, f"{DEMO if path is None else base_name(path)}.png")
