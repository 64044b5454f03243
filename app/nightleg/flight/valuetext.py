"""Values as text: as TOML that reads back as the same value, and as messages quote them."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, datetime, time, timedelta
from decimal import Decimal
from typing import Any

from nightleg.units.angles import rounded_units
from nightleg.units.errors import EntryError, quoted
from nightleg.units.times import write_instant

LONGEST_SHOWN = 40  # characters of a given value that a message repeats
SMALLEST = 1e-12  # degrees or knots that are written where there are no exponents; 1e-7 m on the ground


class WrittenFloat(float):
    """A number with the text that stands for it in a file, which messages repeat."""

    text: str

    def __new__(cls, text: str) -> WrittenFloat:
        """The number that `text` is, as TOML writes it."""
        made = super().__new__(cls, text)
        made.text = text
        return made


def degrees_and_minutes(value: float, read: Callable[[str], float], letters: str = "", width: int = 1) -> str:
    """`value` as quoted degrees and minutes, with the fewest decimals that `read` turns back into `value` exactly.

    `letters` (positive first) take the place of a sign. Empty if six decimals do not hold the value.
    """
    for places in range(1, 7):
        units = rounded_units(value, 60 * 10**places)
        degrees, rest = divmod(units, 60 * 10**places)
        minutes, part = divmod(rest, 10**places)
        text = f"{degrees:0{width}d} {minutes:02d}.{part:0{places}d}"
        if letters:
            text += " " + letters[value < 0.0]
        elif value < 0.0:
            text = "-" + text
        try:
            if read(text) == value:
                return f'"{text}"'
        except EntryError:  # no such angle: the reader of the file will say so
            return ""
    return ""


def decimal(value: float) -> str:
    """The shortest decimal text of `value` without an exponent, "310" for 310.0; what is below `SMALLEST` becomes 0."""
    text = f"{Decimal(repr(float(value) if abs(value) >= SMALLEST else 0.0)):f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


_ESCAPES = {"\n": "\\n", "\t": "\\t", '"': '\\"', "\\": "\\\\"}


def toml_text(text: str) -> str:
    """`text` as a TOML string; a text of several lines is written on several lines."""
    many = "\n" in text.rstrip("\n")

    def escaped(c: str) -> str:
        if many and c == "\n":
            return c
        return _ESCAPES.get(c) or (c if c.isprintable() else f"\\U{ord(c):08x}")

    body = "".join(map(escaped, text))
    return f'"""\n{body}"""' if many else f'"{body}"'


def toml_value(value: Any) -> str:
    """A plain value (text, number, flag, datetime, list or dict of these) as TOML on one line."""
    if isinstance(value, str):
        return toml_text(value)
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, datetime):
        return write_instant(value) if value.tzinfo else value.isoformat()
    if isinstance(value, (list, tuple)):
        return "[" + ", ".join(toml_value(one) for one in value) + "]"
    if isinstance(value, dict):
        return "{ " + ", ".join(f"{name} = {toml_value(one)}" for name, one in value.items()) + " }"
    return value.isoformat() if isinstance(value, (date, time)) else repr(value)


def short(text: str, longest: int = 60) -> str:
    """`text` without its end if it is longer than anything that can be read."""
    return text if len(text) <= longest else text[:longest] + "…"


def shown(given: Any) -> str:
    """A TOML value as a message quotes it: short, and on one line."""
    if isinstance(given, str):
        return quoted(given, LONGEST_SHOWN)
    if isinstance(given, WrittenFloat):
        return short(given.text, LONGEST_SHOWN)
    if isinstance(given, bool):
        return "true" if given else "false"
    if isinstance(given, datetime) and given.utcoffset() == timedelta():
        return write_instant(given)
    if isinstance(given, (datetime, date, time)):
        return given.isoformat()
    if isinstance(given, dict):
        return "a table"
    if isinstance(given, list):
        return f"a list of {len(given)}" if given else "an empty list"
    if isinstance(given, int) and abs(given) >= 10**18:
        return f"a whole number of about {int(given.bit_length() * 0.30103) + 1} figures"
    return str(given)
