"""Slips that make a file no TOML: the message says what was done and what would be right, at its line."""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest

from nightleg.flight.errors import FlightError
from nightleg.flight.read import parse_flight

SMALL = (Path(__file__).parent / "fixtures" / "small.flight.toml").read_text(encoding="utf-8")


def refused(text: str) -> str:
    with pytest.raises(FlightError) as caught:
        parse_flight(text)
    message = str(caught.value)
    assert all(line.isprintable() for line in message.split("\n"))
    assert "expected newline" not in message
    assert "('" not in message  # no tuples of the parser
    return message


# What a person may write for a value, and the whole line that would be right.
RIGHT = [
    ("heading_deg = 262,0", "heading_deg = 262.0"),
    ("heading_deg = 262,5", "heading_deg = 262.5"),
    ("heading_deg = 062", "heading_deg = 62"),
    ("heading_deg = 262°", "heading_deg = 262"),
    ("heading_deg = 262 deg  # by compass", "heading_deg = 262"),
    ("tas_kt = 430.", "tas_kt = 430.0"),
    ("tas_kt = 430 kt", "tas_kt = 430"),
    ("tas_kt = 430.0;", "tas_kt = 430.0"),
    ("tas_kt = 430.0 // fast", "tas_kt = 430.0  # …"),
    ("tas_kt: 430", "tas_kt = 430"),
    ("tas_kt 430", "tas_kt = 430"),
    ("altitude_ft = 31,000", "altitude_ft = 31000"),
    ("altitude_ft = 1,031,000", "altitude_ft = 1031000"),
    ("sigma_arcmin = .5", "sigma_arcmin = 0.5"),
    ("temperature_c = -.5", "temperature_c = -0.5"),
    ("temperature_c = −46.5", "temperature_c = -46.5"),
    ("hs = 061.5", "hs = 61.5"),
    ("hs = 61-08", 'hs = "61-08"'),
    ("hs = 61 08.0", 'hs = "61 08.0"'),
    ("hs = 61°08.0", 'hs = "61°08.0"'),
    ("time = 2026-3-14T22:52:00Z", "time = 2026-03-14T22:52:00Z"),
    ("time = 2026-03-14T22:52Z", "time = 2026-03-14T22:52:00Z"),
    ("time = 2026-03-14T22:52:00 GMT", "time = 2026-03-14T22:52:00Z"),
    ("time = 14.03.2026 22:00", "time = 2026-03-14T22:00:00Z"),
    ("wind = 310/45", 'wind = "310/45"'),
    ("wind = “310/45”", 'wind = "310/45"'),
    ('wind = "310/45', 'wind = "310/45"'),
    ('wind = 310/45"', 'wind = "310/45"'),
    ('wind = "310/45";', 'wind = "310/45"'),
    ('wind = "310/45" // strong', 'wind = "310/45"  # …'),
    ("body = Capella", 'body = "Capella"'),
    ("title = ‘T’", 'title = "T"'),
    ("title = „T“", 'title = "T"'),
    ('title = "the "big" one"', "title = 'the \"big\" one'"),
    ("use = True", "use = true"),
    ("use = no", "use = false"),
]


@pytest.mark.parametrize(("written", "right"), RIGHT)
def test_what_would_be_right_is_said(written: str, right: str) -> None:
    message = refused(f"a = 1\n{written}\n")
    assert message.startswith("line 2, column ")
    assert right in message.split('": ', 1)[1]
    assert tomllib.loads(right)


@pytest.mark.parametrize(
    ("written", "words"),
    [
        ("time = 14/03/2026", "a date stands year first"),
        ("time = 22:52", "a time has its date and a Z: time = 2026-03-14T22:52:00Z"),
        ("time = 2026-03-14T24:00:00Z", "no hour 24"),
        ("time = 2026-13-14T22:00:00Z", "no month 13"),
        ("time = 2026-02-30T22:00:00Z", "no day 30; February 2026 has 28"),
        ("time = 2026-03-14T22:61:00Z", "no minute 61"),
        ("time = 2026-03-14T22:00:61Z", "no second 61"),
        ("time = 2026-03-14T22:00:60Z", "leap second"),
        ("time = 2026‑03‑14T22:52:00Z", "dash in it is typographic"),
        ("tas_kt =\u00a0430", "no-break space (U+00A0)"),
        ("tas_kt = 430\u00a0", "no-break space (U+00A0)"),
        ("tas_kt\u00a0= 430", "no-break space (U+00A0)"),
        ("tas_kt =", "a value is missing"),
        ("tas_kt = NaN", "leave the key out"),
        ("tas_kt = 4__30", "cannot be read as a number"),
        ("tas kt = 430", "a key is one word: tas_kt"),
        ('title = "a\x1b[31m"', "a control character stands there"),
        ('title = "\\d"', "a backslash"),
        ('position = "41°30\'00" N"', "quotes inside the quotes"),
        ("sights = [s1, s2]", 'texts in a list are in quotes, like ["s1", "s2"]; s1 has none'),
        ('sights = ["s1" "s2"]', "a comma is missing between its values"),
        ("table = [[010, 0.3]]", "no zeros before it"),
        ("table = [[10, .3]]", "a point has a figure before it: 0.3"),
        ('readings = [["22:51:00", 61 10.2]]', 'text belongs in quotes: "61 10.2"'),
        ("[[leg]", "[[leg]]"),
        ("[start", "[start]"),
        ("(leg)", "a heading stands in square brackets: [[leg]]"),
    ],
)
def test_slip_is_named(written: str, words: str) -> None:
    message = refused(f"a = 1\n{written}\n")
    assert message.startswith("line 2, column ")
    assert words in message


def test_list_that_is_not_closed_is_told_where_reading_stopped() -> None:
    assert "not closed" in refused("a = [1,\n2")
    message = refused('sights = ["s1", "s2"\nkind = "known"\n')
    assert message.startswith("line 2") and "the list above is not closed" in message


def test_what_is_given_twice_is_told_with_its_first_line() -> None:
    assert "tas_kt is given twice, first in line 3" in refused("[[leg]]\na = 1\ntas_kt = 1\nb = 1\ntas_kt = 2\n")
    assert "the table [start] is given twice, first in line 1" in refused("[start]\n[watch]\n[start]\n")
    assert "there is only one, headed [start], first in line 1" in refused("[start]\n[[start]]\n")


def test_single_bracket_is_named_whether_it_comes_first_or_later() -> None:
    first = refused('[sight]\nid = "s1"\n[[sight]]\nid = "s2"\n')
    assert "[sight] stands in single brackets, in line 1; each sight is headed [[sight]]" in first
    assert "[sight] stands in single brackets" in refused('[[sight]]\nid = "s1"\n[sight]\nid = "s2"\n')


def test_line_ends_of_carriage_returns_alone_are_told() -> None:
    assert "carriage return (CR) alone" in refused(SMALL.replace("\n", "\r"))


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        ("tas_kt = 430.0", "tas.kt = 430.0", '"tas.kt"; nearest is tas_kt, without a point'),
        ("heading_deg", 'title = "x"\nheading_deg', "title stands above all tables: move it up"),
        ("tas_kt = 430.0", "tas_kt = 1e400", "given 1e400, not a usable number"),
        ("tas_kt = 430.0", "tas_kt = -4_30.50", "given -4_30.50, out of range"),
        (
            "tas_kt = 430.0",
            'tas_kt = 430.0\nwind = "-1/10"',
            'given "-1/10": the direction is -1; right is from 0 to 360',
        ),
        ("tas_kt = 430.0", 'tas_kt = 430.0\nwind = "310/1e3"', 'given "310/1e3"; right is a wind like'),
        ('"41 30.0 N 028 15.0 W"', '"41 70.0 N 028 15.0 W"', 'right is a position in quotes like "41 30.0 N'),
        ('id = "s1"', 'id = "s\\u0007"', '[[sight]] 1, id: given "s\\x07"'),
    ],
)
def test_values_and_keys_are_shown_as_they_are_written(old: str, new: str, words: str) -> None:
    assert old in SMALL
    assert words in refused(SMALL.replace(old, new, 1).replace('["s1"]', "[]"))
