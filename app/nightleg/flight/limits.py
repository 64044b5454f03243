"""What a flight file may hold at most, looked at before a parser sees it.

The parser takes time with the square of some of these, and all of them are far more than any flight needs: a track of
half a day, a point a second, fits. Text in quotes and comments may be as long as they like.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from itertools import islice

from nightleg.flight.quotes import OPENING, quoted_end

MOST = {
    "=": ("keys (signs =)", 100_000),
    "[": ("lists and tables (signs [)", 120_000),
    "=,[{#\"'": ("values (signs = , [ { #, and quotes)", 450_000),
}
DEEPEST_KEY = 16
DEEPEST_LIST = 16
LONGEST_WORD = 4000

_DEEP_KEY = rf"(?<![\w-])(?:(?:[\w-]++|\"[^\"\n]*+\"|'[^'\n]*+')[ \t]*+\.[ \t]*+){{{DEEPEST_KEY}}}"
_LONG_WORD = rf"(?<![\w.+-])[\w.+-]{{{LONGEST_WORD}}}"
_KEY = re.compile(r"[ \t]*([\w.-]{1,60})[ \t]*=")


def beyond(body: str) -> tuple[int, str] | None:
    """Where a text goes beyond what is read, and what the limit is; None for a text that may be read."""
    for signs, (what, most) in MOST.items():
        if sum(map(body.count, signs)) > most:
            last = next(islice(re.finditer(f"[{re.escape(signs)}]", body), most, None))
            return last.start(), f"this file has more than {most:,} {what} up to here; a flight has far fewer".replace(
                ",", " ", 1
            )
    lines = body.split("\n")  # whole lines are counted fast, and few need a closer look
    for may_be, pattern, words in (
        (
            any(len(line) >= LONGEST_WORD for line in lines),
            _LONG_WORD,
            f"a number or name of more than {LONGEST_WORD} characters begins here; text belongs in quotes",
        ),
        (
            any(line.count(".") >= DEEPEST_KEY for line in lines),
            _DEEP_KEY,
            f"a key of more than {DEEPEST_KEY} parts begins here; a flight needs one or two",
        ),
    ):
        if may_be and re.search(pattern, body):
            found = next(_outside_text(pattern, body), None)
            if found is not None:
                return found, words
    return None


def too_deep(body: str) -> tuple[int, str]:
    """Where lists or tables are nested beyond what can be read."""
    depth = 0
    for at in _outside_text(r"[\[\]{}]", body):
        depth += 1 if body[at] in "[{" else -1
        if depth > DEEPEST_LIST:
            break
    else:
        at = 0
    return at, f"lists or tables are nested more than {DEEPEST_LIST} deep here; a flight needs three levels at most"


def place_of(body: str, at: int) -> tuple[int, str]:
    """The line of a sign of the text, from 1, and its place in words, with the key if one stands in that line."""
    line = body.count("\n", 0, at) + 1
    key = _KEY.match(body, body.rfind("\n", 0, at) + 1)
    return line, f"line {line}, {key[1]}" if key else f"line {line}"


def _outside_text(pattern: str, body: str) -> Iterator[int]:
    """Where a pattern is found outside quotes and comments."""
    either, pos = re.compile(f"({pattern})|{OPENING}"), 0
    while found := either.search(body, pos):
        if found[1] is None:
            pos = quoted_end(body, found.start())[0]
        else:
            yield found.start()
            pos = found.end()
