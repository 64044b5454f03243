"""What undo and redo go back and forth between."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtGui import QUndoCommand

from nightleg.flight.document import Document
from nightleg.window.draft import Draft

State = tuple[Document, Draft]


class Change(QUndoCommand):
    """A change of the document, held as what was before and what came after; the form's text goes with it."""

    def __init__(self, label: str, before: State, after: State, show: Callable[[Document, Draft], None]) -> None:
        super().__init__(label)
        self._before, self._after, self._show = before, after, show

    def undo(self) -> None:
        """Back to what was."""
        self._show(*self._before)

    def redo(self) -> None:
        """What came after; also how the change is made at first."""
        self._show(*self._after)
