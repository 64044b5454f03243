"""The steps that undo and redo go back and forth between."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from PySide6.QtGui import QUndoCommand

from nightleg.window.sight.draft import Draft


@dataclass(frozen=True, slots=True)
class Delta:
    """What tells two texts apart: from `start` on, `old` stands in one and `new` in the other.

    A step is kept so, and not as two documents, since ten thousand of them are to be held.
    """

    start: int
    old: str
    new: str

    def forward(self, text: str) -> str:
        """The later text of the earlier one."""
        return text[: self.start] + self.new + text[self.start + len(self.old) :]

    def back(self, text: str) -> str:
        """The earlier text of the later one."""
        return text[: self.start] + self.old + text[self.start + len(self.new) :]


def delta(before: str, after: str) -> Delta:
    """The least that turns one text into the other."""
    start = _alike(before, after)
    rest = _alike(before[start:][::-1], after[start:][::-1])
    return Delta(start, before[start : len(before) - rest], after[start : len(after) - rest])


def _alike(one: str, other: str) -> int:
    """How many characters are the same at the beginning, by halving: texts are long, and what differs is short."""
    low, high = 0, min(len(one), len(other))
    while low < high:
        middle = (low + high + 1) // 2
        if one[low:middle] == other[low:middle]:
            low = middle
        else:
            high = middle - 1
    return low


class Change(QUndoCommand):
    """One named step: what of the flight's text it changes, and the form's text before and after it.

    Steps with the same `merge` number that follow each other become one: the typing in one field while it has the
    cursor. Steps that come to nothing together go away. `text` tells the text of the moment; `show` takes another.
    """

    def __init__(
        self,
        label: str,
        texts: tuple[str, str],
        drafts: tuple[Draft, Draft],
        text: Callable[[], str],
        show: Callable[[str, Draft], None],
        merge: int = -1,
    ) -> None:
        super().__init__(label)
        self.delta = delta(*texts)
        self.drafts = drafts
        self.passing = False  # whether it is gone once it is undone
        self._text, self._show, self._merge = text, show, merge

    def id(self) -> int:
        """Number of what may be merged; −1 for what stands alone."""
        return self._merge

    def mergeWith(self, other: QUndoCommand) -> bool:
        """Take in a step that has just been made."""
        if not isinstance(other, Change):
            return False
        after = self._text()
        before = self.delta.back(other.delta.back(after))
        self.delta, self.drafts = delta(before, after), (self.drafts[0], other.drafts[1])
        self.setText(other.text())
        self.setObsolete(before == after and self.drafts[0] == self.drafts[1])
        return True

    def undo(self) -> None:
        """Back to what was."""
        self.setObsolete(self.passing)
        self._show(self.delta.back(self._text()), self.drafts[0])

    def redo(self) -> None:
        """What came after; also how the step is made at first."""
        self._show(self.delta.forward(self._text()), self.drafts[1])
