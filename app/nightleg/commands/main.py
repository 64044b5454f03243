"""The program `nightleg`: which command a call means, and how every way it can end is told.

Exit codes: 0 done, 1 the input is wrong or a target cannot be written, 2 wrong usage, 130 interrupted, 141 the reader
of the output went away.
"""

from __future__ import annotations

import gc
import importlib
import os
import signal
import sys
import warnings
from collections.abc import Sequence

from nightleg import cache
from nightleg.commands.terminal import (
    InputError,
    OutputClosed,
    OutputFailed,
    UsageError,
    complain,
    hold_standard_files,
    plain,
    say,
    silence,
)

COMMANDS = ("almanac", "draw", "solve")  # each a module of this room with SUMMARY and run()
DONE, WRONG_INPUT, WRONG_USAGE, INTERRUPTED, READER_GONE = 0, 1, 2, 130, 141


def main(argv: list[str] | None = None) -> int:
    """Answer one call of the program; `argv` are its words without the program's name. Returns the exit code."""
    hold_standard_files()
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # libraries' remarks to programmers are no message to a navigator
            return _answer(sys.argv[1:] if argv is None else argv)
    except UsageError as error:
        complain(str(error))
        return WRONG_USAGE
    except (InputError, OutputFailed) as error:
        complain(str(error))
        if isinstance(error, OutputFailed):
            silence(sys.stdout)
        return WRONG_INPUT
    except OutputClosed:
        silence(sys.stdout)
        return READER_GONE
    except KeyboardInterrupt:
        complain("interrupted")
        return INTERRUPTED
    except MemoryError:
        complain("not enough memory for this")
        return WRONG_INPUT
    except Exception as error:
        if sys.flags.dev_mode:  # python -X dev: whoever repairs the program wants to see where
            raise
        complain(f"a fault of the program, not of the call: {type(error).__name__}: {error}")
        return WRONG_INPUT


def process() -> int:
    """`main` for a process of its own.

    Most calls are over before collecting garbage has paid for itself, at the end of the process least of all. The
    window, which stays, takes the collector into use again when it has started.
    """
    gc.disable()
    cache.allow()
    try:
        return main()
    finally:
        gc.freeze()
        signal.signal(signal.SIGINT, signal.SIG_IGN)  # all is done; an interrupt now would only garble the end


def _answer(words: Sequence[str]) -> int:
    if not words:
        return _open(None)
    first, rest = words[0], words[1:]
    if first in COMMANDS:
        return _run(first, rest)
    if first in ("-h", "--help"):
        say(_help())
        return DONE
    if first == "--version":
        from nightleg import __version__

        say(f"nightleg {__version__}\n")
        return DONE
    if first == "--" and rest:
        first, rest = rest[0], rest[1:]
    elif first.startswith("-"):
        raise UsageError(f"unknown option {plain(repr(first))}\n{_calls()}")
    if not first.lower().endswith(".toml") and (os.path.isdir(first) or not os.path.exists(first)):
        raise UsageError(_unknown(first))
    if rest:
        raise UsageError(
            f"{plain(repr(rest[0]))} is one word too many: the window opens one flight file. "
            f"To solve several, write: nightleg solve FILE…"
        )
    return _open(first)


def _run(command: str, words: Sequence[str]) -> int:
    module = importlib.import_module(f"nightleg.commands.{command}")
    try:
        return int(module.run(words))
    except SystemExit as end:  # how the option parser ends after --help
        return end.code if isinstance(end.code, int) else DONE


def _open(path: str | None) -> int:
    from nightleg.commands.display import missing_display

    reason = missing_display()
    if reason is None:
        from nightleg.commands.opening import window

        return window(path)
    from nightleg.commands.opening import picture

    return picture(path, reason)


def _unknown(word: str) -> str:
    shown = plain(repr(word))
    if not word.strip():
        return f"an empty name: name a flight file or a command\n{_calls()}"
    if os.path.isdir(word):
        return f"{shown} is a folder; name a flight file in it, like {plain(os.path.join(word, 'night.flight.toml'))}"
    import difflib  # only a wrong call pays for it

    near = difflib.get_close_matches(word.lower(), COMMANDS, 1, 0.6)
    hint = f"; the nearest command is {near[0]}" if near else ""
    return f"{shown} is no command and no file{hint}\n{_calls()}"


def _calls() -> str:
    return f"commands: {', '.join(COMMANDS)}; nightleg --help says more"


def _help() -> str:
    from nightleg.commands import almanac, draw, solve

    rows = [(module.__name__.rsplit(".", 1)[1], module.SUMMARY) for module in (solve, almanac, draw)]
    lines = [
        "usage: nightleg [FILE]",
        "       nightleg COMMAND …",
        "",
        "The plotting table of a celestial air navigator, for practice, teaching and",
        "review. Without a command the window opens, with the flight file FILE or with",
        "the demo flight.",
        "",
        "commands:",
        *(f"  {name:<10}{summary}" for name, summary in rows),
        "",
        "nightleg COMMAND --help says more of each; nightleg --version names the version.",
        "",
        "Example:",
        "  nightleg solve night.flight.toml",
        "",
        "Not approved equipment, and not a means of navigation in flight.",
    ]
    return "\n".join(lines) + "\n"
