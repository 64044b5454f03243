"""Text of a file as one line of a chart."""

from __future__ import annotations

_JOINERS = "\u200c\u200d"  # which some scripts need between their letters


def one_line(text: str) -> str:
    """The text with control, direction and unassigned characters taken out, and one space for each gap in it."""
    seen = "".join(c if c.isprintable() or c in _JOINERS else " " if c.isspace() else "" for c in text)
    return " ".join(seen.split())
