"""Rows of the log as text in aligned columns. No Qt here."""

from __future__ import annotations

from collections.abc import Sequence

GAP = "  "


def aligned(columns: Sequence[str], rows: Sequence[Sequence[str]], spans: Sequence[Sequence[tuple[int, int]]]) -> str:
    """A table of plain text with its headings; a column that nothing stands in is left out.

    `spans` tells of each row which cells take more than their own column: first column, how many.
    """
    shown = [i for i in range(len(columns)) if any(row[i] for row in rows)]
    if not shown:
        return ""
    free = [{i for first, count in wide for i in range(first, first + count)} for wide in spans]
    widths = {
        i: max([len(columns[i]), *(len(row[i]) for row, wide in zip(rows, free, strict=True) if i not in wide)])
        for i in shown
    }
    lines = [GAP.join(columns[i].ljust(widths[i]) for i in shown).rstrip()]
    for row, wide in zip(rows, spans, strict=True):
        lines.append(_line(row, shown, widths, dict(wide)))
    return "\n".join(lines) + "\n"


def _line(row: Sequence[str], shown: Sequence[int], widths: dict[int, int], wide: dict[int, int]) -> str:
    """One row: a wide cell runs over the columns that it takes, and pushes the rest where it is longer still."""
    text, due, number = "", 0, 0
    while number < len(shown):
        i = shown[number]
        count = sum(1 for j in shown if i <= j < i + wide.get(i, 1))
        taken = shown[number : number + count]
        if text:
            text = text.ljust(due) if len(text) < due else text + GAP
        text += row[i]
        due += sum(widths[j] for j in taken) + len(GAP) * count
        number += count
    return text.rstrip()
