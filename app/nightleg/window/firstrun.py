"""The first steps: from an empty field to one's own line on the chart. Shown until done or dismissed, then never."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QObject

from nightleg.units.angles import write_angle
from nightleg.window.documents.settings import Keeper
from nightleg.window.strips import Strip

if TYPE_CHECKING:
    from nightleg.window.main import MainWindow

_KEY = "first steps"


class FirstSteps(QObject):
    """A strip that goes along with what is typed."""

    def __init__(self, window: MainWindow, keeper: Keeper) -> None:
        super().__init__(window)
        self._window, self._keeper = window, keeper
        self._filed = False
        self._strip: Strip | None = None
        window.session.typed_changed.connect(self._follow)
        window.form.filed.connect(self._done)
        window.session.undo_stack.indexChanged.connect(self._undone)

    def start(self) -> None:
        """Show the steps where they are still to be shown, and nothing more pressing is."""
        if not self._keeper.values.hint_done and not self._window.strips.shown:
            self.show()

    def show(self) -> None:
        """Show the steps."""
        self._filed = False
        strip = Strip("First steps", self._words(), ("Got it", self._dismiss))
        self._strip = self._window.strips.put(_KEY, strip)

    def _words(self) -> str:
        session = self._window.session
        waiting = session.document.flight.next_sight
        if self._filed:
            fix = session.fix_in_hand()
            closed = ", and the fix has closed" if fix is not None and fix.position is not None else ""
            return f"In the log{closed}. Ctrl+Z takes it back; F1 shows all keys."
        if session.worked.typed_id is not None:
            return "That is your line on the chart, and the fix with it. Enter puts it in the log."
        if waiting is None:
            return (
                "Type a sight on the right: body, watch time, reading. Its line falls on the chart; "
                "Enter puts it in the log."
            )
        degrees, minutes = write_angle(waiting.hs).removesuffix("′").split("°")
        return (
            f"Type the reading {degrees} {minutes} on the right and watch the line of {waiting.body} fall; "
            "Enter puts it in the log."
        )

    def _undone(self) -> None:
        """Taken back, the sight is to be typed again."""
        if self._filed and not self._window.session.undo_stack.canUndo():
            self._filed = False
            self._follow()

    def _follow(self) -> None:
        if self._strip is not None:
            self._strip.say(self._words())

    def _done(self) -> None:
        self._keeper.change(hint_done=True)
        if self._strip is not None:
            self._filed = True
            self._follow()

    def _dismiss(self) -> None:
        self._keeper.change(hint_done=True)
        self._strip = None
        self._window.strips.take(_KEY)
