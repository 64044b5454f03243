"""Quoted texts, comments and gaps end where tomllib says that they do, in little memory, on every Python 3.11."""

from __future__ import annotations

import re
import tomllib
import tracemalloc
from pathlib import Path

import pytest

import nightleg
from nightleg.flight.layout import line_numbers, statements
from nightleg.flight.quotes import gap_end, quoted_end

VALUES = (
    '""', '"a"', r'"a\"b"', r'"\\"', r'"\\\""', '"# no comment"', '"[a] = {"', "''", "'\\'", "'\"'", '""""""',
    '"""a"""', '"""a"b""c"""', '""""a""""', '"""a\\"""b"""', '"""a\nb = 1\n[c]"""', "'''a'b''c'''",
    "'''\n# a\n'''", "''''a''''",
)  # fmt: skip


@pytest.mark.parametrize("value", VALUES)
@pytest.mark.parametrize("after", ["", " # told", "\t"])
def test_a_value_ends_where_the_parser_ends_it(value: str, after: str) -> None:
    text = f"a = {value}{after}\nb = 2\n[c]\nd = 3\n"
    assert list(tomllib.loads(text)) == ["a", "b", "c"]
    first, second, *_ = statements(text)
    assert text[first.value_start : first.value_end] == value
    assert second.path == ("b",) and text[second.start :].startswith("b = 2")
    assert quoted_end(f"{value}{after}\n", 0) == (len(value), True)


@pytest.mark.parametrize("value", ['"a', "'a", '"""a"', "'''a''", '"a\\"'])
def test_what_is_not_closed_is_told(value: str) -> None:
    assert not quoted_end(value, 0)[1] and not quoted_end(value + "\nb = 1", 0)[1]


def test_gaps_hold_blanks_and_comments() -> None:
    text = "\ufeff \t\n# a = 1\n\n#\n  # [b]\nc = 1"
    assert text[gap_end(text, 0) :] == "c = 1"
    assert line_numbers(text) == {("c",): 6}


def test_long_texts_take_little_memory() -> None:
    """A repeated group without a bound would hold on to every turn: 100 MB here."""
    for text in ("#\n" * 400_000 + "a = 1\n", 'a = "' + "\\n" * 400_000 + '"\n', 'a = """' + '"x' * 400_000 + '"""\n'):
        tracemalloc.start()
        assert [one.path for one in statements(text)] == [("a",)]
        peak = tracemalloc.get_traced_memory()[1]
        tracemalloc.stop()
        assert peak < 20e6  # bytes; slices of the text itself are 2 MB


def test_no_group_is_repeated_possessively() -> None:
    """Before Python 3.11.5 such a pattern ends too early where the group has alternatives (CPython issue 106052)."""
    package = Path(nightleg.__file__).parent
    for path in package.rglob("*.py"):
        assert not re.search(r"\)[*+?]\+|\)\{[0-9,]+\}\+|\(\?>", path.read_text(encoding="utf-8")), path.name
