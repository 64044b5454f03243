"""What goes to standard output and standard error, whatever they are connected to.

Text of a file may hold anything, so control characters are shown by their escapes; an output that cannot encode
typographic signs gets their plain neighbours, one sign for one so that columns stay aligned.
"""

from __future__ import annotations

import codecs
import errno
import os
import re
import sys
from typing import TextIO

LONGEST_MESSAGE = 4000  # characters on standard error for one file
_LEFT_OUT = re.compile(r"(\s*)… and (more than )?([0-9]+) more")

_NEIGHBOURS = {
    "°": " ",
    "′": "'",
    "″": '"',
    "−": "-",
    "–": "-",
    "—": "-",
    "×": "x",
    "±": "+",
    "·": ".",
    "…": "~",
    "σ": "s",
    "χ": "X",
    "²": "2",
    "½": "1",
    "“": '"',
    "”": '"',
    "‘": "'",
    "’": "'",
    "\u00a0": " ",
    "\u202f": " ",
}


class UsageError(Exception):
    """The call is wrong: exit 2."""


class InputError(Exception):
    """What the call names is wrong, or its target cannot be written: exit 1."""


class OutputClosed(Exception):
    """The reader of standard output has gone away."""


class OutputFailed(Exception):
    """Standard output cannot be written; the text says why."""


def plain(text: str) -> str:
    """The text on one line, with control, direction and lone surrogate characters shown as escapes."""
    return "".join(character if character.isprintable() else _escape(character) for character in text)


def _escape(character: str) -> str:
    if character in "\u00a0\u202f\u2009":  # not "printable", but harmless spaces of typography
        return character
    return character.encode("unicode_escape", "surrogatepass").decode("ascii")


def limited(message: str, longest: int = LONGEST_MESSAGE) -> str:
    """The message cut to whole lines within `longest` characters, saying how much was left out."""
    if len(message) <= longest:
        return message
    lines = message.split("\n")
    room = longest - 60
    kept: list[str] = []
    for line in lines:
        if len(line) + 1 > room:
            break
        kept.append(line)
        room -= len(line) + 1
    if not kept:
        return message[: longest - 60] + " … (shortened)"
    counted = _LEFT_OUT.fullmatch(lines[-1])  # what whoever wrote the message has left out already
    if counted is None:
        return "\n".join([*kept, f"… and {len(lines) - len(kept)} more lines"])
    left_out = int(counted[3]) + len(lines) - 1 - len(kept)
    return "\n".join([*kept, f"{counted[1]}… and {counted[2] or ''}{left_out} more"])


def say(text: str) -> None:
    """Write text (with its line ends) to standard output at once. Raises OutputClosed or OutputFailed."""
    stream = sys.stdout
    if stream is None:
        raise OutputFailed("standard output is closed")
    try:
        stream.write(encodable(text, stream))
        stream.flush()
    except BrokenPipeError:
        raise OutputClosed from None
    except OSError as error:
        if os.name == "nt" and error.errno == errno.EINVAL:  # how a closed pipe shows there
            raise OutputClosed from None
        raise OutputFailed(f"standard output cannot be written: {error.strerror or error}") from None
    except ValueError:  # a stream object that was closed
        raise OutputFailed("standard output is closed") from None


def complain(message: str) -> None:
    """Write a message, under the program's name, to standard error; a standard error that is gone is no matter."""
    stream = sys.stderr
    if stream is None:
        return
    lines = [plain(line) for line in limited(f"nightleg: {message}", LONGEST_MESSAGE - 1).split("\n")]
    try:
        stream.write(encodable(limited("\n".join(lines), LONGEST_MESSAGE - 1) + "\n", stream))
        stream.flush()
    except (OSError, ValueError):
        silence(stream)


def encodable(text: str, stream: TextIO) -> str:
    """The text with every sign that the stream cannot encode replaced by its plain neighbour, or by "?"."""
    encoding = getattr(stream, "encoding", None) or "utf-8"
    codecs.register_error("nightleg-neighbours", _neighbour)
    return text.encode(encoding, "nightleg-neighbours").decode(encoding)


def _neighbour(error: UnicodeError) -> tuple[str, int]:
    if not isinstance(error, UnicodeEncodeError):
        raise error
    bad = error.object[error.start : error.end]
    return "".join(_NEIGHBOURS.get(character, "?") for character in bad), error.end


def silence(stream: TextIO | None) -> None:
    """Point a stream whose reader is gone at nothing, so that the interpreter's last flush says nothing."""
    if stream is None:
        return
    try:
        nothing = os.open(os.devnull, os.O_WRONLY)
        os.dup2(nothing, stream.fileno())
        os.close(nothing)
    except (OSError, ValueError):
        return


def hold_standard_files() -> None:
    """Occupy closed file descriptors 0 to 2, so that no file opened later is taken for a standard stream."""
    for descriptor in (0, 1, 2):
        try:
            os.fstat(descriptor)
        except OSError:
            os.open(os.devnull, os.O_RDWR)
