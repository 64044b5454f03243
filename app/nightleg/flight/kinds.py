"""The kinds of value a flight file holds: how each is read, what is accepted, and how it is written.

A kind is attached to a field of `flight.model` once, as an annotation, and serves reader, messages and writer. Every
kind has `words`, which complete "right is …", `read`, which turns a value as TOML gives it into the model's value or
raises EntryError, and `write`, which gives TOML text that reads back as exactly the same value.
"""

from __future__ import annotations

import math
from typing import Any

from msgspec import Struct

from nightleg.flight.valuetext import degrees_and_minutes, short, shown, toml_text
from nightleg.units.angles import read_angle
from nightleg.units.errors import EntryError
from nightleg.units.positions import read_latitude

LONGEST_NAME = 60  # characters of an id or a body
MOST_ROWS_WRONG = 20_000  # rows of one list that are counted; the rest of it is not looked at


class RowErrors(EntryError):
    """What is wrong with the rows of a list, as pairs of row (counted from 0) and message."""

    def __init__(self, rows: list[tuple[int, str]]) -> None:
        super().__init__("; ".join(f"row {row + 1}: {message}" for row, message in rows[:3]))
        self.rows = rows


class Kind(Struct, frozen=True):
    """Base of all kinds."""

    @property
    def words(self) -> str:
        """What would be right."""
        return ""

    def read(self, given: Any) -> Any:
        """The model's value of `given` (as tomllib returns it). Raises EntryError."""
        raise EntryError(self.wrong(given))

    def write(self, value: Any) -> str:
        """TOML text of the model's `value`."""
        return toml_text(str(value))

    def wrong(self, given: Any, why: str = "") -> str:
        """The message for a value that is refused."""
        return f"given {shown(given)}{', ' + why if why else ''}; right is {self.words}"


class Number(Kind, frozen=True):
    """A finite number from `low` to `high`; `above` leaves `low` itself out. `unit` is in words."""

    low: float
    high: float
    unit: str
    above: bool = False

    @property
    def words(self) -> str:
        """The range, as in "a number from 0 to 360 (degrees)"."""
        low = f"above {_plain(self.low)} and at most" if self.above else f"from {_plain(self.low)} to"
        return f"a number {low} {_plain(self.high)}" + (f" ({self.unit})" if self.unit else "")

    def read(self, given: Any) -> float:
        """A float in range. Raises EntryError for text, booleans, nan, inf and what is out of range."""
        if isinstance(given, bool) or not isinstance(given, (int, float)):
            why = "a text, where a number without quotes belongs" if isinstance(given, str) else ""
            raise EntryError(self.wrong(given, why))
        return self.checked(float(given) if abs(given) < 1e300 else math.inf, given)

    def checked(self, value: float, given: Any) -> float:
        """`value` if it is finite and in range. Raises EntryError that quotes `given`."""
        if not math.isfinite(value):
            raise EntryError(self.wrong(given, "not a usable number"))
        if not self.low <= value <= self.high or (self.above and value == self.low):
            raise EntryError(self.wrong(given, "out of range"))
        return value

    def write(self, value: float) -> str:
        """The shortest decimal text that reads back as `value`."""
        return repr(float(value))


class Angle(Number, frozen=True):
    """An angle that may be written as text in degrees and minutes, or as a number of decimal degrees."""

    @property
    def words(self) -> str:
        """How an altitude may be written."""
        return (
            f'degrees and minutes in quotes like "61 08.0", or decimal degrees like 61.1333, '
            f"from {_plain(self.low)} to {_plain(self.high)}"
        )

    def read(self, given: Any) -> float:
        """Degrees. Raises EntryError."""
        if isinstance(given, str):
            return self.checked(self.from_text(short(given)), given)
        return super().read(given)

    def from_text(self, text: str) -> float:
        """Degrees of the angle written in `text`. Raises EntryError."""
        return read_angle(text)

    def write(self, value: float) -> str:
        """Degrees and minutes where up to six decimals of the minute hold the value exactly, else decimal degrees."""
        return degrees_and_minutes(value, self.from_text) or repr(float(value))


class Latitude(Angle, frozen=True):
    """A latitude alone, with N or S or a sign."""

    words = 'a latitude like "41 30.0 N" or 41.5, from -90 to 90'

    def from_text(self, text: str) -> float:
        """Degrees, north positive. Raises EntryError."""
        return read_latitude(text)

    def write(self, value: float) -> str:
        """Degrees and minutes with N or S where they hold the value exactly, else decimal degrees."""
        return degrees_and_minutes(value, read_latitude, "NS", 2) or repr(float(value))


class Whole(Kind, frozen=True):
    """A whole number from `low` to `high`."""

    low: int
    high: int

    @property
    def words(self) -> str:
        """The range."""
        return f"a whole number from {self.low} to {self.high}"

    def read(self, given: Any) -> int:
        """An int in range. Raises EntryError."""
        if isinstance(given, bool) or not isinstance(given, int) or not self.low <= given <= self.high:
            raise EntryError(self.wrong(given))
        return given

    def write(self, value: int) -> str:
        """Its digits."""
        return str(value)


class Choice(Kind, frozen=True):
    """One of a few words."""

    options: tuple[str, ...]

    @property
    def words(self) -> str:
        """All the words."""
        return "one of " + ", ".join(f'"{option}"' for option in self.options)

    def read(self, given: Any) -> str:
        """The word. Raises EntryError."""
        if not isinstance(given, str) or given not in self.options:
            raise EntryError(self.wrong(given))
        return given


class Flag(Kind, frozen=True):
    """True or false."""

    words = "true or false, without quotes"

    def read(self, given: Any) -> bool:
        """The flag. Raises EntryError."""
        if not isinstance(given, bool):
            raise EntryError(self.wrong(given))
        return given

    def write(self, value: bool) -> str:
        """As TOML."""
        return "true" if value else "false"


class Text(Kind, frozen=True):
    """Any text."""

    words = "a text in quotes"

    def read(self, given: Any) -> str:
        """The text as it stands. Raises EntryError."""
        if not isinstance(given, str):
            raise EntryError(self.wrong(given))
        return given


class Id(Text, frozen=True):
    """The name by which other tables refer to an entry."""

    words = f'a short name in quotes like "s1", of at most {LONGEST_NAME} printable characters'
    reserved = ("start", "dr")

    def read(self, given: Any) -> str:
        """The id. Raises EntryError."""
        text = super().read(given)
        if not text.strip() or text != text.strip() or len(text) > LONGEST_NAME or not text.isprintable():
            raise EntryError(self.wrong(given))
        return text


class Destination(Text, frozen=True):
    """A place meant by the name of a waypoint, or given as a position."""

    words = 'the name of a [[waypoint]] or a position, in quotes, like "KILO" or "41 30.0 N 028 15.0 W"'

    def read(self, given: Any) -> str:
        """The text. Raises EntryError for none; whether there is such a waypoint is checked with the others."""
        text = super().read(given)
        if not text.strip() or len(text) > LONGEST_NAME:
            raise EntryError(self.wrong(given))
        return text


class NewId(Id, frozen=True):
    """The id that an entry gives itself."""

    def read(self, given: Any) -> str:
        """The id. Raises EntryError, also for the words that references use for the start and the DR."""
        text = super().read(given)
        if text in self.reserved:
            raise EntryError(self.wrong(given, "a word that references use for something else"))
        return text


class Ids(Kind, frozen=True):
    """A list of ids."""

    words = 'a list of ids like ["s1", "s2"]'

    def read(self, given: Any) -> tuple[str, ...]:
        """The ids in order. Raises EntryError."""
        if not isinstance(given, list):
            raise EntryError(self.wrong(given))
        ids: list[str] = []
        wrong: list[tuple[int, str]] = []
        for i, one in enumerate(given):
            try:
                ids.append(Id().read(one))
            except EntryError as error:
                wrong.append((i, str(error)))
                if len(wrong) == MOST_ROWS_WRONG:
                    break
        if wrong:
            raise RowErrors(wrong)
        return tuple(ids)

    def write(self, value: tuple[str, ...]) -> str:
        """As a TOML array."""
        return "[" + ", ".join(toml_text(one) for one in value) + "]"


class BodyName(Kind, frozen=True):
    """A body of the catalogue."""

    words = 'the name of a body in quotes, like "Sun", "Moon", "Venus" or "Capella"'

    def read(self, given: Any) -> str:
        """The catalogue's spelling. Raises EntryError that names the nearest bodies."""
        from nightleg.sky.catalogue import find_body

        if not isinstance(given, str) or not 0 < len(given) <= LONGEST_NAME or not given.isprintable():
            raise EntryError(self.wrong(given))
        return find_body(given)


def declared(quantity: Any) -> Kind:
    """The kind that a quantity (an annotated type) declares."""
    kind = quantity.__metadata__[0]
    assert isinstance(kind, Kind)
    return kind


def _plain(value: float) -> str:
    return f"{value:g}" if abs(value) < 1e5 else f"{value:.0f}"
