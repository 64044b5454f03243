"""Where quoted texts, comments and gaps of a TOML text end, however long they are.

Long ones are passed in steps, each a repetition with a bound: without one, a repeated group takes a hundred bytes of
memory for every turn. Possessive repetition of a group would not, but before Python 3.11.5 it ends too early where the
group has alternatives (CPython issue 106052).
"""

from __future__ import annotations

import re

OPENING = r"\"\"\"|'''|[\"'#]"
"""What a quoted text or a comment begins with."""

_OPENING = re.compile(OPENING)
_GAP = re.compile(r"(?:[\s\ufeff]++|#[^\n]*+){1,500}")
_QUOTED = {  # a part of the inside, and the end
    '"""': (re.compile(r"(?:[^\"\\]++|\\.|\"(?!\"\")){1,500}", re.DOTALL), re.compile(r"\"{3,5}")),
    "'''": (re.compile(r"(?:[^']++|'(?!'')){1,500}"), re.compile(r"'{3,5}")),
    '"': (re.compile(r"(?:[^\"\\\n]++|\\[^\n]){1,500}"), re.compile(r"\"")),
    "'": (re.compile(r"[^'\n]++"), re.compile(r"'")),
}


def gap_end(text: str, start: int) -> int:
    """Where blank space and comments that begin at `start` end."""
    return _past(_GAP, text, start)


def quoted_end(text: str, start: int) -> tuple[int, bool]:
    """Where the quoted text or comment ends whose `OPENING` stands at `start`, and whether it is closed there."""
    opening = _OPENING.match(text, start)
    if opening is None:
        return start, False
    if opening[0] == "#":
        end = text.find("\n", start)
        return (len(text) if end < 0 else end), True
    inside, closing = _QUOTED[opening[0]]
    pos = _past(inside, text, opening.end())
    closed = closing.match(text, pos)
    return (closed.end(), True) if closed else (pos, False)


def _past(part: re.Pattern[str], text: str, pos: int) -> int:
    while found := part.match(text, pos):
        pos = found.end()
    return pos
