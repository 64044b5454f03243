"""What is entered at the side: the form of a sight, or that of another kind; only one is seen."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from PySide6.QtCore import Qt
from PySide6.QtGui import QAction
from PySide6.QtWidgets import QMenu, QVBoxLayout, QWidget

from nightleg.units.times import write_clock
from nightleg.window.other.choice import KindChoice
from nightleg.window.other.entry import choose_kind
from nightleg.window.other.form import OtherForm
from nightleg.window.other.kinds import KINDS, SIGHT, SIGHT_TITLE
from nightleg.window.session import Session
from nightleg.window.sight.form import SightForm


class EntryForm(QWidget):
    """Holds both forms; the kind in the session's draft says which is seen."""

    def __init__(self, session: Session, sight: SightForm) -> None:
        super().__init__()
        self._session = session
        self.sight, self.other = sight, OtherForm(session)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.addWidget(self.sight)
        column.addWidget(self.other)
        session.draft_replaced.connect(self.follow)
        self.follow()

    @property
    def chooser(self) -> KindChoice:
        """That of the form in sight."""
        return self.other.chooser if self._session.draft.other.kind else self.sight.chooser

    def follow(self) -> None:
        """Show the form of the kind in hand. The cursor goes along."""
        other = bool(self._session.draft.other.kind)
        shown, hidden = (self.other, self.sight) if other else (self.sight, self.other)
        had_cursor = hidden.isVisible() and hidden.isAncestorOf(self.focusWidget() or self)
        hidden.hide()
        shown.show()
        if had_cursor:
            self.start()

    def start(self) -> None:
        """Put the cursor where something is to be typed next."""
        if self._session.draft.other.kind:
            self.other.start()
        else:
            self.sight.start()

    def choose(self) -> None:
        """Open the list of kinds."""
        self.chooser.setFocus(Qt.FocusReason.ShortcutFocusReason)
        self.chooser.showPopup()

    def take(self, name: str) -> None:
        """Take a kind in hand, the cursor in its form."""
        choose_kind(self._session, name)
        self.start()

    def begin(self, name: str) -> None:
        """Begin an entry of a kind at flight time."""
        choose_kind(self._session, name)
        draft = self._session.draft
        clock = write_clock(self._session.now, seconds=self._session.now.second != 0)
        self._session.replace_draft(replace(draft, other=draft.other.put("time", clock)))
        self.start()

    def fill(self, menu: QMenu, does: Callable[[str], Callable[[], object]]) -> None:
        """Put the kinds into a menu, each doing what `does` gives for its name."""
        for name, title in [(SIGHT, SIGHT_TITLE), *((kind.name, kind.title) for kind in KINDS)]:
            action = QAction(title, menu)
            action.triggered.connect(does(name))
            menu.addAction(action)
