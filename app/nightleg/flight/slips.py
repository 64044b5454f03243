"""The slips of the hand that make a text no TOML at all: what each one is, and what would be right.

TOML's own words name the sign at which reading stopped ("expected newline"), which is seldom what a person did.
"""

from __future__ import annotations

import calendar
import re
import unicodedata
from collections.abc import Callable

from nightleg.flight.schema import tables

_CURLY = "“”„‟«»‘’‚‹›"
_DASHES = "−–—‐‑"
_KEY_VALUE = re.compile(r"\s*([\w.-]+)[^\S\n]*=(.*)")
_HEADING = re.compile(r"\s*(\[{1,2})\s*([\w-]+)\s*(\]{0,2})")
# Keys whose value is a bare number, its unit being in the name.
_NUMERIC = re.compile(r".*_(deg|kt|ft|nm|m|s|c|arcmin|minutes|min|day)|mach|seed")
_DATE = re.compile(
    r"(\d{4})-(\d{1,2})-(\d{1,2})(?:[Tt ]\s*(\d{1,2}):(\d{1,2})(?::(\d{1,2})(\.\d+)?)?\s*(.*))?", re.ASCII
)
_DAY_FIRST = re.compile(r"(\d{1,2})([./])(\d{1,2})\2(\d{4})(?:[T ]+(\d{1,2}:\d{2})(:\d{2})?)?.*", re.ASCII)
_INSTANT = "2026-03-14T22:52:00Z"


def cause(lines: list[str], line: int, column: int | None, words: str) -> str:
    """What a person did, and what would be right, where TOML stopped reading; "" where nothing is recognised.

    `lines` are those of the text up to the one it stopped at, `line` its number from 1, `words` those of TOML.
    """
    written = lines[line - 1] if line <= len(lines) else ""
    sign = written[column - 1 : column] if column else ""
    if sign == "\r":
        return "a line ends with a carriage return (CR) alone; save the file with line ends LF or CR LF"
    if words.startswith("Cannot"):
        return _twice(lines, line)
    if sign and (sign == "\ufeff" or (unicodedata.category(sign) in ("Zs", "Cf") and sign != " ")):
        name = unicodedata.name(sign, "a sign that cannot be seen").lower()
        return f"a {name} (U+{ord(sign):04X}) stands there; write a common space, or nothing"
    if words.startswith("Illegal character") and sign:
        return "a control character stands there; take it out"
    if written.lstrip().startswith("[") and "=" not in written and "declaration" in words:
        return _heading(written)
    parts = _KEY_VALUE.fullmatch(written)
    if parts is None:
        return _no_value(written) or _list_fault(_token(written, column), words)
    key, value = parts[1], _bare(parts[2])
    if value.startswith("["):
        return _list_fault(_token(written, column), words)
    if "array" in words:  # it began above, and reading went on to the next key
        return "the list above is not closed with ], or a comma is missing between its values"
    return _value_fault(key, value, words)


def _twice(lines: list[str], line: int) -> str:
    """A heading or a key that stands there a second time."""
    written = lines[line - 1]
    heading = _HEADING.match(written)
    if heading is None or "=" in written:
        parts = _KEY_VALUE.fullmatch(written)
        key = parts[1] if parts else "this key"
        first = _line_above(lines, line, re.compile(rf"\s*{re.escape(key)}\s*="), stop=re.compile(r"\s*\["))
        return f"{key} is given twice{first}; keep one of them"
    name = heading[2]
    first = _line_above(lines, line, re.compile(rf"\s*\[{{1,2}}\s*{re.escape(name)}\s*\]"))
    table = tables().get(name)
    if table is not None and table.many:
        if heading[1] == "[[":
            return f"[{name}] stands in single brackets{first.replace('first ', '')}; each {name} is headed [[{name}]]"
        return f"[{name}] stands in single brackets; each {name} is headed [[{name}]]"
    if table is not None and heading[1] == "[[":
        return f"[[{name}]] stands in double brackets, but there is only one, headed [{name}]{first}"
    return f"the table [{name}] is given twice{first}; keep one of them"


def _line_above(lines: list[str], line: int, pattern: re.Pattern[str], stop: re.Pattern[str] | None = None) -> str:
    """Where the first line above stands that has the pattern, back to one that stops the search."""
    found = 0
    for number in range(line - 1, 0, -1):
        if pattern.match(lines[number - 1]):
            found = number
        elif stop is not None and stop.match(lines[number - 1]):
            break
    return f", first in line {found}" if found else ""


def _heading(written: str) -> str:
    name = _HEADING.match(written)
    table = tables().get(name[2]) if name else None
    right = table.heading if table else "[start] or [[sight]]"
    return f"a heading ends with as many brackets as it begins with: {right}"


def _no_value(written: str) -> str:
    """A line with no = where one belongs."""
    text = written.strip()
    name = text.strip("()<>{}: ")
    if text[:1] in "(<{" and name in tables():
        return f"a heading stands in square brackets: {tables()[name].heading}"
    if "=" not in text and re.fullmatch(r"[A-Za-z][\w-]*(?:\s*:\s*|\s+)\S.*", text):
        key, value = re.split(r"\s*:\s*|\s+", text, maxsplit=1)
        return f"a key and its value are joined by =: {key} = {value}"
    if re.match(r"[A-Za-z][\w-]*(?: +[\w-]+)+\s*=", text):
        key = text.split("=")[0].strip()
        return f"a key is one word: {re.sub(' +', '_', key)}"
    return ""


def _bare(value: str) -> str:
    """A value without the spaces around it and without a comment after it."""
    value = value.strip(" \t\r")
    quote = value[:1] if value[:1] in "\"'" else ""
    comment = value.find("#", value.rfind(quote) if quote else 0)
    return value[:comment].rstrip(" \t") if comment >= 0 else value


def _token(written: str, column: int | None) -> str:
    """The value of a list at that column."""
    at = min((column or 1) - 1, len(written))
    before = re.split(r"[\[\],{}]\s*", written[:at])[-1]
    after = re.split(r"[\[\],{}]", written[at:])[0]
    return (before + after).strip(" \t\r")


def _list_fault(token: str, words: str) -> str:
    if token[:1] in ('"', "'", "") or token[-1:] in ('"', "'"):
        fault = _quote_fault("", token) if token.count('"') % 2 else ""
    elif re.fullmatch(r"[A-Za-z][\w.-]*", token):
        return f'texts in a list are in quotes, like ["s1", "s2"]; {token} has none'
    elif not re.fullmatch(r"[+-]?\d+(\.\d+)?", token) or re.match(r"[+-]?0\d", token):
        fault = _value_fault("", token, words)
    else:
        fault = ""
    if not fault and "array" in words:
        return "a list is not closed with ], or a comma is missing between its values"
    return fault


def _value_fault(key: str, value: str, words: str) -> str:
    right = f"{key} = " if key else ""
    for fault in (_missing, _signs, _quote_fault, _tail, _date_fault, _number_fault, _word_fault):
        found = fault(right, value)
        if found:
            return found
    return ""


def _missing(right: str, value: str) -> str:
    return "" if value else "a value is missing after ="


def _signs(right: str, value: str) -> str:
    """Signs of typography for those of a keyboard."""
    if value[0] in _CURLY:
        inner = value.strip(_CURLY + " ")
        return f'these quotes are typographic; write straight ones: {right}"{inner}"'
    if value[0] not in "\"'" and any(sign in _DASHES for sign in value):
        plain = "".join("-" if sign in _DASHES else sign for sign in value)
        return f"the minus or dash in it is typographic; write the one of the keyboard: {right}{plain}"
    return ""


def _quote_fault(right: str, value: str) -> str:
    """Quotes that do not pair."""
    quote = value[0]
    if quote not in "\"'":
        if value[-1] in "\"'":
            return f'the quote at its beginning is missing: {right}"{value[:-1]}"'
        return ""
    inside = value[1:]
    if quote not in inside:
        return f"the quote at its end is missing: {right}{value}{quote}"
    if quote == '"' and re.search(r"(?<!\\)(?:\\\\)*\\(?![btnfrUu\"\\])", value):
        return "a backslash in a text in double quotes begins an escape; write two of them, or use single quotes"
    text, _, rest = inside.partition(quote)
    if quote in rest:
        whole = inside.rstrip(";, ").removesuffix(quote)
        other = f": {right}'{whole}'" if quote == '"' and "'" not in whole else ""
        right = f"write single ones around a text that has double ones in it{other}" if other else "leave those out"
        return f"there are quotes inside the quotes; {right}"
    if rest.strip().startswith(("//", "--", "%", "/*")):
        return f"a comment begins with #: {right}{quote}{text}{quote}  # …"
    if rest.strip() in (";", ",", "."):
        return f"a line ends without {rest.strip()}: {right}{quote}{text}{quote}"
    return f"something stands after the quote at its end; one value stands on a line: {right}{quote}{text}{quote}"


def _tail(right: str, value: str) -> str:
    """What stands after a value that is sound by itself."""
    if value[-1] in ";" or (value[-1] == "," and value.count(",") == 1):
        return f"a line ends without {value[-1]}: {right}{value[:-1].rstrip()}"
    comment = re.match(r"(\S+)\s+(?://|--|/\*)", value)
    return f"a comment begins with #: {right}{comment[1]}  # …" if comment else ""


def _date_fault(right: str, value: str) -> str:
    day_first = _DAY_FIRST.fullmatch(value)
    if day_first:
        day, mark, month, year, clock, seconds = day_first.groups()
        given = f"{year}-{month:0>2}-{day:0>2}T{(clock or '22:52'):0>5}{seconds or ':00'}Z"
        return f"a date stands year first: {right}{given if mark == '.' and int(month) <= 12 else _INSTANT}"
    parts = _DATE.fullmatch(value)
    if parts is None:
        if re.fullmatch(r"\d{1,2}:\d{2}(:\d{2}(\.\d+)?)?\s*[A-Za-z]*", value, re.ASCII):
            return f"a time has its date and a Z: {right}{_INSTANT}"
        return ""
    year, month, day, hour, minute, second, decimals, _zone = parts.groups()
    if not 1 <= int(month) <= 12:
        return f"there is no month {month}; months run from 01 to 12"
    days = calendar.monthrange(max(int(year), 1), int(month))[1]
    if not 1 <= int(day) <= days:
        return f"there is no day {day}; {calendar.month_name[int(month)]} {year} has {days}"
    if hour is None:
        return f"a date has its time and a Z: {right}{_INSTANT}"
    if int(hour) > 23:
        return f"there is no hour {hour}; hours run from 00 to 23, and midnight is 00:00 of the day that begins"
    if int(minute) > 59:
        return f"there is no minute {minute}; minutes run from 00 to 59"
    if second == "60":
        return "a leap second (:60) cannot be used; write the second before or after it"
    if second and int(second) > 59:
        return f"there is no second {second}; seconds run from 00 to 59"
    given = f"{year}-{month:0>2}-{day:0>2}T{hour:0>2}:{minute:0>2}:{(second or '00'):0>2}{decimals or ''}Z"
    whole = all(len(part or "") == 2 for part in (month, day, hour, minute, second))
    what = "is written with Z for GMT" if whole else "has two figures each for month, day, hour, minute and second"
    return f"a time {what}: {right}{given}"


_Shape = tuple[str, Callable[[re.Match[str]], str]]


def _number_fault(right: str, value: str) -> str:
    """Numbers that are written otherwise on paper."""
    unit = _NUMERIC.fullmatch(right.removesuffix(" = "))
    shapes: tuple[_Shape, ...] = (
        (r"([+-]?)0+(\d+(?:\.\d*)?)", lambda m: f"a number has no zeros before it: {right}{m[1]}{_pointed(m[2])}"),
        (r"([+-]?\d+)\.", lambda m: f"a point has a figure after it: {right}{m[1]}.0"),
        (r"([+-]?)(\.\d+)", lambda m: f"a point has a figure before it: {right}{m[1]}0{m[2]}"),
        (
            r"([+-]?\d{1,3}),(\d{3})",
            lambda m: f"a number has no comma: {right}{m[1]}{m[2]}, or {m[1]}.{m[2]} if it marks the decimals",
        ),
        (r"([+-]?\d+),(\d+)", lambda m: f"a point marks the decimals, not a comma: {right}{m[1]}.{m[2]}"),
        (r"([+-]?\d{1,3}(?:[, ']\d{3})+)", lambda m: f"figures are not grouped: {right}{re.sub('[^0-9+-]', '', m[1])}"),
    )
    for pattern, words in shapes:
        found = re.fullmatch(pattern, value, re.ASCII)
        if found:
            return words(found)
    with_unit = re.fullmatch(r"([+-]?\d+(?:\.\d+)?)\s*(?![eE]$)(?:[A-Za-z°′″'%]+)[.]?", value, re.ASCII)
    if unit and with_unit:
        return f"the unit is in the name of the key; write the number alone: {right}{with_unit[1]}"
    return ""


def _pointed(number: str) -> str:
    return number + "0" if number.endswith(".") else number


def _word_fault(right: str, value: str) -> str:
    if value.lower() in ("true", "yes", "on", "false", "no", "off"):
        return f"a flag is true or false in small letters: {right}{str(value.lower() in ('true', 'yes', 'on')).lower()}"
    if value.lower() in ("null", "none", "nil", "nan", "-", "?", "n/a"):
        return f"{value} is no value; leave the key out where there is none"
    numeric = _NUMERIC.fullmatch(right.removesuffix(" = "))
    if numeric or (re.fullmatch(r"[\d+-][\d_.eE+-]*", value) and not re.fullmatch(r"\d+-\d+(\.\d+)?", value)):
        return "this cannot be read as a number; a number is written like 262 or -46.5"
    return f'text belongs in quotes: {right}"{value}"'
