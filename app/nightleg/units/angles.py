"""Angles as navigators type them and as charts print them."""

from __future__ import annotations

import math
import re

from nightleg.units.errors import EntryError, quoted

MINUS = "\u2212"

_SIGNS = str.maketrans(
    {
        "\u2212": "-",  # minus
        "\u2013": "-",  # en dash
        "\u2010": "-",  # hyphen
        "\u2011": "-",  # hyphen that does not break
        "\u2032": "'",  # prime
        "\u2019": "'",  # closing quote
        "\u2018": "'",  # opening quote
        "\u00b4": "'",  # acute accent
        "\u2033": '"',  # double prime
        "\u201d": '"',  # closing double quote
        "\u201c": '"',  # opening double quote
        "\u00ba": "\u00b0",  # ordinal sign, typed for the degree sign
        "\u02da": "\u00b0",  # ring above
        "\u00a0": " ",  # spaces that do not break, and thin ones
        "\u202f": " ",
        "\u2009": " ",
    }
)
_NUMBER = r"[0-9]+\.?[0-9]*|\.[0-9]+"
_ANGLE = re.compile(
    rf"(?P<sign>[+-]?)\s*(?P<deg>{_NUMBER})"
    rf"(?:(?:\s*[\u00b0dD]\s*|-|\s+)(?P<min>{_NUMBER})"
    rf"(?:(?:\s*['mM]\s*|-|\s+)(?P<sec>{_NUMBER})\s*[\"]?|\s*['mM])?|\s*(?P<mark>[\u00b0dD]))?"
)
_DECIMAL_COMMA = re.compile(r"(?<=[0-9]),(?=[0-9])")
_FORM = "write degrees and minutes like 61 08.0, or degrees like 61.1333"


def plain_signs(text: str) -> str:
    """`text` with typographic minus, primes, degree signs and spaces brought to one form each (- ' " °)."""
    return text.translate(_SIGNS).replace("''", '"').strip()


def read_angle(
    text: str,
    *,
    lowest_deg: float = -360.0,
    highest_deg: float = 360.0,
    what: str = "angle",
    letters: str = "",
) -> float:
    """The angle written in `text`, in degrees.

    Taken are decimal degrees (`61.1333`), degrees and minutes (`61 08.0`, `61-08.0`, `61°08.0′`, `4123.5`), degrees,
    minutes and seconds (`61 08 00`), a sign before them, and comma for the decimal point. Four or five figures before
    the point are degrees and minutes. `letters` names two letters that may stand before or after instead of a sign, the
    positive one first ("NS"). Raises EntryError for anything else and outside `lowest_deg` to `highest_deg`.
    """
    given = _DECIMAL_COMMA.sub(".", plain_signs(text))
    letter = ""
    if letters:
        letter, given = _take_letter(given, letters)
    if not given:
        raise EntryError(f"{quoted(text)}: the {what} is missing; {_FORM}")
    match = _ANGLE.fullmatch(given)
    if match is None:
        raise EntryError(f"{quoted(text)} cannot be read as {what}; {_FORM}")
    sign, deg, minutes, seconds = match["sign"], match["deg"], match["min"], match["sec"]
    if sign and letter:
        raise EntryError(f"{quoted(text)} has both a sign and {letter}; give one of them")
    if minutes is None and not match["mark"] and len(deg.split(".")[0]) >= 4:
        whole = len(deg.split(".")[0])
        if whole > 5:
            raise EntryError(f"{quoted(text)} has {whole} figures before the point; {_FORM}")
        deg, minutes = deg[: whole - 2], deg[whole - 2 :]
    value = _joined(text, deg, minutes, seconds)
    if sign == "-" or (letter and letter == letters[1].upper()):
        value = 0.0 - value
    if not lowest_deg <= value <= highest_deg:
        raise EntryError(f"{quoted(text)} is {value:g}°; the {what} must be from {lowest_deg:g}° to {highest_deg:g}°")
    return value


def _take_letter(given: str, letters: str) -> tuple[str, str]:
    """The letter at either end of `given`, if there is one ('' if not), and the rest."""
    for at_start in (True, False):
        end = given[:1] if at_start else given[-1:]
        if end and end.upper() in letters.upper():
            return end.upper(), (given[1:] if at_start else given[:-1]).strip()
    return "", given


def _joined(text: str, deg: str, minutes: str | None, seconds: str | None) -> float:
    groups = [g for g in (deg, minutes, seconds) if g is not None]
    if any("." in group for group in groups[:-1]):
        raise EntryError(f"{quoted(text)}: only the last group may have decimals; {_FORM}")
    for name, group in (("minutes", minutes), ("seconds", seconds)):
        if group is not None and float(group) >= 60.0:
            raise EntryError(f"{quoted(text)} has {group} {name}; they must be below 60")
    return float(deg) + float(minutes or 0.0) / 60.0 + float(seconds or 0.0) / 3600.0


def rounded_units(value: float, per_unit: float) -> int:
    """|value|·per_unit rounded half up to an integer. Raises ValueError for nan and inf."""
    if not math.isfinite(value):
        raise ValueError(f"{value} cannot be written as an angle")
    return math.floor(abs(value) * per_unit + 0.5)


def write_angle(deg: float, places: int = 1, *, width: int = 1, wrap: bool = False) -> str:
    """`deg` as degrees and minutes, `41°23.5′`, with `places` decimals of the minute.

    `width` pads the degrees with zeros. `wrap` brings the angle to 0 up to 360 first and last, so that 359°59.97′ is
    `0°00.0′`. Rounded once, half away from zero. Raises ValueError for nan and inf.
    """
    scale = 10**places
    units = rounded_units(deg % 360.0 if wrap else deg, 60 * scale)
    if wrap:
        units %= 360 * 60 * scale
    sign = MINUS if deg < 0.0 and units and not wrap else ""
    return sign + split_minutes(units, places, width)


def split_minutes(units: int, places: int, width: int) -> str:
    """`units` of 10^-places minutes as degrees (at least `width` figures) and minutes."""
    scale = 10**places
    degrees, rest = divmod(units, 60 * scale)
    minutes, part = divmod(rest, scale)
    decimals = f".{part:0{places}d}" if places else ""
    return f"{degrees:0{width}d}°{minutes:02d}{decimals}′"


def write_bearing(deg: float, places: int = 0) -> str:
    """A direction as `068°` or `068.1°`; 360 is written 000. Raises ValueError for nan and inf."""
    if not math.isfinite(deg):
        raise ValueError(f"{deg} cannot be written as a bearing")
    scale = 10**places
    whole, part = divmod(rounded_units(deg % 360.0, scale) % (360 * scale), scale)
    return f"{whole:03d}" + (f".{part:0{places}d}" if places else "") + "°"


def write_arcmin(arcmin: float, places: int = 1) -> str:
    """A correction as `+0.4′`, `−0.8′`, and `0.0′` for what rounds to nothing. Raises ValueError for nan and inf."""
    scale = 10**places
    units = rounded_units(arcmin, scale)
    whole, part = divmod(units, scale)
    sign = "" if not units else MINUS if arcmin < 0.0 else "+"
    return f"{sign}{whole}" + (f".{part:0{places}d}" if places else "") + "′"
