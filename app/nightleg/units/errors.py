"""The one exception for what a person typed or wrote."""

from __future__ import annotations


class EntryError(ValueError):
    """An entry that cannot be read or used. The message says what was given and what would be right."""


def quoted(text: str, longest: int = 60) -> str:
    """`text` in double quotes for a message: control characters made visible, long text cut."""
    shown = "".join(c if c.isprintable() else repr(c)[1:-1] for c in text[:longest])
    return f'"{shown}…"' if len(text) > longest else f'"{shown}"'
