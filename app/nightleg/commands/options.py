"""Reading the words of a call: options, times and sizes. Whatever is malformed names itself and says what is right."""

from __future__ import annotations

import argparse
import re
from collections.abc import Sequence
from datetime import datetime
from typing import NamedTuple, NoReturn

from nightleg.commands.terminal import InputError, UsageError, plain, say
from nightleg.units.errors import EntryError, quoted
from nightleg.units.times import first_after, read_clock, read_instant

SMALLEST_PX, LARGEST_PX = 320, 8192
TIME_FORM = "write a clock time like 22:52:30 or 2252, or date and time with Z like 2026-03-14T22:52:00Z"

_SIZE = re.compile(r"([0-9]{1,6})[xX×]([0-9]{1,6})")
_LOOKS_LIKE_CLOCK = re.compile(r"[0-9]{1,2}:?[0-9]{2}(:?[0-9]{2}([.,][0-9]*)?)?[Zz]?")
_LOOKS_LIKE_DATE = re.compile(r"[0-9]{4}-")


class Words(argparse.ArgumentParser):
    """An argument parser that raises UsageError, reads options and files in any order, and knows near misses."""

    def __init__(self, command: str, description: str, example: str) -> None:
        super().__init__(
            prog=f"nightleg {command}",
            description=description,
            epilog=f"Example:\n  {example}",
            formatter_class=argparse.RawDescriptionHelpFormatter,
            allow_abbrev=False,
        )

    def error(self, message: str) -> NoReturn:
        """Raise UsageError with the message and the call's own form."""
        usage = " ".join(self.format_usage().split())
        raise UsageError(f"{plain(message)}\n{usage}\n{self.prog} --help says more")

    def print_help(self, file: object = None) -> None:
        """Write the help to standard output. Raises OutputClosed or OutputFailed."""
        say(self.format_help())

    def read(self, arguments: Sequence[str]) -> argparse.Namespace:
        """The options of a call. Raises UsageError; SystemExit(0) after --help."""
        values, strangers = self.parse_known_intermixed_args(self._joined(arguments))
        for word in strangers:
            if word.startswith("-") and word != "-":
                self._refuse_option(word.split("=")[0])
        if strangers:
            self.error(f"{quoted(strangers[0])} is one word too many")
        return values

    def _joined(self, arguments: Sequence[str]) -> list[str]:
        """The words of a call with a value that begins with a minus sign and a figure joined to its option."""
        joined: list[str] = []
        for word in arguments:
            action = self._option_string_actions.get(joined[-1]) if joined else None
            if action is not None and action.nargs is None and re.match("-[0-9]", word):
                joined[-1] += f"={word}"
            else:
                joined.append(word)
        return joined

    def _refuse_option(self, word: str) -> NoReturn:
        import difflib  # only a wrong call pays for it

        known = [option for action in self._actions for option in action.option_strings]
        near = difflib.get_close_matches(word, known, 1, 0.5)
        hint = f"; did you mean {near[0]}?" if near else ""
        self.error(f"unknown option {quoted(word)}{hint}")


class Moment(NamedTuple):
    """A time as given in a call: an instant, or a clock time that means its first coming at or after a start."""

    text: str
    instant: datetime | None = None
    clock_s: float = 0.0

    def after(self, start: datetime) -> datetime:
        """The instant meant in a flight that starts then. Raises InputError beyond the calendar."""
        if self.instant is not None:
            return self.instant
        try:
            return first_after(self.clock_s, start)
        except EntryError as error:
            raise InputError(f"--at {plain(self.text)}: {error}") from None


def moment(text: str) -> Moment:
    """A time of a flight: 2252, 225230, 22:52, or an instant. Raises argparse.ArgumentTypeError."""
    try:
        if _LOOKS_LIKE_CLOCK.fullmatch(text.strip()):
            return Moment(text, clock_s=read_clock(text))
        if not _LOOKS_LIKE_DATE.match(text.strip()):
            raise EntryError(f"{quoted(text)} is not a time; {TIME_FORM}")
        return Moment(text, instant=read_instant(text))
    except EntryError as error:
        raise argparse.ArgumentTypeError(str(error)) from None


def instant(text: str) -> datetime:
    """An instant with its zone, as an aware UTC datetime. Raises argparse.ArgumentTypeError."""
    try:
        return read_instant(text)
    except EntryError as error:
        raise argparse.ArgumentTypeError(str(error)) from None


def size(text: str) -> tuple[int, int]:
    """A picture's width and height in pixels, like 1920x1080. Raises argparse.ArgumentTypeError."""
    parts = _SIZE.fullmatch(text.strip())
    if parts is None:
        raise argparse.ArgumentTypeError(f"{quoted(text)} is no size; write width and height in pixels like 1920x1080")
    width, height = int(parts[1]), int(parts[2])
    if not (SMALLEST_PX <= width <= LARGEST_PX and SMALLEST_PX <= height <= LARGEST_PX):
        raise argparse.ArgumentTypeError(
            f"{quoted(text)}: width and height must be from {SMALLEST_PX} to {LARGEST_PX} pixels"
        )
    return width, height
