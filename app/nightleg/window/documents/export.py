"""Writing the chart and the solution to files, for others to read."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from pathlib import Path
from typing import TYPE_CHECKING

from nightleg.flight.model import Flight
from nightleg.flight.solution import Solution
from nightleg.safefile import why, write_atomically

if TYPE_CHECKING:
    from nightleg.window.main import MainWindow

Writers = Mapping[str, Callable[[Flight, Solution, str], str]]
"""By ending (".json", ".txt"): the text of a solved flight of that name. Who starts the window brings them."""


def export_chart(window: MainWindow, path: Path) -> bool:
    """Draw the chart, as it is seen, into a file. False, and why is told, if it cannot be written."""
    from nightleg.chart.export import ending, render  # with it come the writers of PDF and SVG

    drawn = window.canvas.scene
    if drawn is None:
        return False
    try:
        write_atomically(path, render(drawn, ending(path), theme_name=window.theme_name))
    except (OSError, ValueError, MemoryError) as error:
        window.session.told.emit(f"No chart written: {why(error) or 'not enough memory'}")
        return False
    return True


def export_solution(window: MainWindow, writers: Writers, path: Path) -> bool:
    """Write the solution of the document (the sight being typed is not in it). False, and why is told, if it fails."""
    session = window.session
    write = writers.get(path.suffix.lower())
    if write is None:
        wanted = " or ".join(writers) or "a form that this start of the program does not have"
        session.told.emit(f"No solution written: {path.name} must end in {wanted}")
        return False
    document = session.document
    name = document.path.name if document.path else document.flight.title or "flight"
    try:
        write_atomically(path, write(document.flight, session.base, name).encode("utf-8"))
    except (OSError, ValueError) as error:
        session.told.emit(f"No solution written: {why(error)}")
        return False
    return True
