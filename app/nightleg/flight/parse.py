"""From the bytes of a flight file to text, from text to tables, from tables to a checked flight."""

from __future__ import annotations

import codecs
import re
import tomllib
from collections.abc import Mapping
from datetime import datetime
from itertools import islice
from pathlib import Path
from typing import Any

from nightleg.flight.check import check_alone, check_draft
from nightleg.flight.errors import FileProblem, FlightError
from nightleg.flight.findings import EnoughError, Findings, place_text
from nightleg.flight.limits import beyond, place_of, too_deep
from nightleg.flight.model import Flight, Record
from nightleg.flight.tables import read_table, read_tables
from nightleg.flight.valuetext import WrittenFloat
from nightleg.units.errors import quoted

LARGEST_BYTES = 16 * 1024 * 1024

_WRONG_ENCODINGS = (
    (codecs.BOM_UTF32_LE, "UTF-32"),
    (codecs.BOM_UTF32_BE, "UTF-32"),
    (codecs.BOM_UTF16_LE, "UTF-16"),
    (codecs.BOM_UTF16_BE, "UTF-16"),
)
_AT = re.compile(r"\s*\(at (?:line (\d+), column (\d+)|end of document)\)$")


def flight_of(text: str) -> Flight:
    """The flight in a TOML text. Raises FlightError with all that is wrong with it."""
    raw = _toml(text)
    findings = Findings()
    try:
        draft = read_tables(raw, findings)
        check_draft(draft, findings)
    except EnoughError:
        pass
    if findings.count:
        raise findings.error(raw, text)
    return draft.flight()


def record_of(name: str, given: Mapping[str, Any], start: datetime) -> Record:
    """One table alone, from values as a file would hold them: a sight while it is being typed.

    What it refers to is not looked up. `start` is the start of the flight, from which undated readings count. Raises
    FlightError whose problems have paths like ("sight", "hs").
    """
    findings = Findings()
    entry = read_table(name, given, findings)
    check_alone(entry, start, findings)
    if findings.count:
        raise FlightError([FileProblem(place_text(path, {}), message, path) for path, message in findings.found])
    return entry.record()


def _refused(message: str, line: int | None = None, place: str = "") -> FlightError:
    return FlightError([FileProblem(place, message, (), line)])


def contents(path: Path) -> bytes:
    """The bytes of a file. Raises FlightError if it cannot be read or is far too large."""
    try:
        if path.is_dir():
            raise _refused("this is a folder; a flight file was expected")
        with open(path, "rb") as file:
            data = file.read(LARGEST_BYTES + 1)
    except FileNotFoundError:
        raise _refused("there is no such file") from None
    except PermissionError:
        raise _refused("this file may not be read by you: its permissions forbid it") from None
    except (OSError, ValueError) as error:
        reason = error.strerror if isinstance(error, OSError) and error.strerror else str(error)
        raise _refused(f"this file cannot be read: {reason}") from None
    if len(data) > LARGEST_BYTES:
        raise _refused(f"this file is larger than {LARGEST_BYTES // 2**20} MB; a flight file is far smaller")
    return data


def decoded(data: bytes) -> str:
    """The text of a file's bytes, UTF-8, mark and line ends kept. Raises FlightError for any other encoding."""
    for mark, encoding in _WRONG_ENCODINGS:
        if data.startswith(mark):
            raise _refused(f"this file is {encoding} text; save it as UTF-8")
    if b"\0" in data[:4096]:
        halves = data[:4096][1::2].count(0), data[:4096][0::2].count(0)
        if max(halves) > len(data[:4096]) // 4 and min(halves) == 0:
            raise _refused("this file looks like UTF-16 text; save it as UTF-8")
        raise _refused("this is a binary file; a flight file is TOML text in UTF-8")
    try:
        return data.decode("utf-8")
    except UnicodeDecodeError as error:
        line = data.count(b"\n", 0, error.start) + 1
        message = (
            f"byte 0x{data[error.start]:02x} is no UTF-8: the file is binary or in another encoding; save it as UTF-8"
        )
        raise _refused(message, line, f"line {line}") from None


def _toml(text: str) -> dict[str, Any]:
    """The tables of a TOML text. Raises FlightError with line and column of a fault."""
    body = text.removeprefix("\ufeff")
    if not body.strip():
        raise _refused('this file is empty; a flight file begins with format = "nightleg-flight-1"')
    if (limit := beyond(body)) is not None:
        raise _beyond(body, *limit)
    try:
        return tomllib.loads(body, parse_float=WrittenFloat)
    except tomllib.TOMLDecodeError as error:
        raise _syntax(str(error), body) from None
    except RecursionError:
        raise _beyond(body, *too_deep(body)) from None
    except ValueError as error:
        raise _refused(f"this is no TOML: {error}") from None


def _beyond(body: str, at: int, words: str) -> FlightError:
    return _refused(words, *place_of(body, at))


def _syntax(message: str, body: str) -> FlightError:
    from nightleg.flight.slips import cause  # only when something is wrong

    at = _AT.search(message)
    words = message[: at.start()] if at else message
    line = int(at[1]) if at and at[1] else body.count("\n") + 1
    column = int(at[2]) if at and at[2] else None
    place = f"line {line}, column {column}" if column else f"line {line}, the end"
    lines = list(islice(body.split("\n", line), line))
    written = lines[-1].strip()
    given = f"in {quoted(written)}: " if written and "\r" not in written else ""
    meant = cause(lines, line, column, words)
    return _refused(given + (meant or words[:1].lower() + words[1:]), line, place)
