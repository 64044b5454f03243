"""The Sight menu: the form's folds, the fix panel, and how a number came about."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from PySide6.QtCore import Qt
from PySide6.QtGui import QAction, QKeyEvent, QKeySequence
from PySide6.QtWidgets import QApplication, QMenu

from nightleg.window.explain.explain import DR
from nightleg.window.explain.number import question_at
from nightleg.window.other.kinds import SIGHT

if TYPE_CHECKING:
    from nightleg.window.main import MainWindow


class SightMenu:
    """Fills the menu of a window."""

    def __init__(self, window: MainWindow, menu: QMenu) -> None:
        self._window, self._menu = window, menu
        form = window.form
        self._add("&Kind of entry…", self._kind, "Ctrl+F2")
        window.entry.fill(menu.addMenu("Sight, &line or reading"), lambda name: lambda: self._take(name))
        menu.addSeparator()
        self._add("&Bodies that are up", self._bodies, "Ctrl+B")
        self._add("&Series of readings", lambda: self._fold(form.series_button.toggle), "Ctrl+R")
        self._add("&More of the sight", lambda: self._fold(form.more_button.toggle), "Ctrl+M")
        self._change = self._add("&Change the log's sight here", self._change_sight, "Ctrl+K")
        self._leave = self._add("&Leave the filed sight as it was", self._leave_sight, "Ctrl+L")
        menu.addSeparator()
        self._add("Go to the &fix", self._to_fix, "F9")
        suspects = window.fix.suspects
        self._add("E&xplain a disagreement", self._explain_fix, "Shift+F9")
        self._add("&Try the explanation on the chart", lambda: self._explained(suspects.toggle), "Ctrl+F9")
        self._add("&Adopt the explanation tried", lambda: self._explained(suspects.adopt), "Ctrl+Shift+F9")
        menu.addSeparator()
        self._add("&How this number came about", self.explain, "Ctrl+I")
        self._close = self._add("&Close the working", window.sheet.leave, "Ctrl+Shift+I")
        menu.aboutToShow.connect(self._offer)

    def explain(self) -> None:
        """Open the working of what has the cursor, else of the DR, and go there."""
        window = self._window
        of, step = question_at(QApplication.focusWidget()) or (DR, "position")
        asker = QApplication.focusWidget()
        window.session.asked.emit(of, step)
        window.sheet.take_cursor(asker)

    def _add(self, text: str, does: Callable[[], object], key: str = "") -> QAction:
        action = QAction(text, self._window)
        if key:
            action.setShortcut(QKeySequence(key))
        action.triggered.connect(lambda: does())
        self._menu.addAction(action)
        return action

    def _offer(self) -> None:
        self._change.setEnabled(self._sight_of_log() is not None)
        self._leave.setEnabled(self._window.session.draft.sight is not None)
        self._close.setEnabled(not self._window.sheet.isHidden())

    def _kind(self) -> None:
        self._window.show_sight()
        self._window.entry.choose()

    def _take(self, name: str) -> None:
        self._window.show_sight()
        self._window.entry.take(name)

    def _bodies(self) -> None:
        self._take(SIGHT)
        body = self._window.form.body
        body.setFocus(Qt.FocusReason.ShortcutFocusReason)
        body.open_list()

    def _fold(self, toggle: Callable[[], object]) -> None:
        if self._window.session.draft.other.kind:
            self._take(SIGHT)
        self._window.show_sight()
        toggle()

    def _sight_of_log(self) -> str | None:
        """The id of the filed sight that the log's cursor stands on."""
        log = self._window.log
        index = log.currentIndex()
        row = log.log.rows[index.row()] if index.isValid() else None
        return row.id if row is not None and row.kind == "sight" and not row.typed else None

    def _change_sight(self) -> None:
        id = self._sight_of_log()
        if id is None:
            self._window.session.told.emit("Choose a sight in the log; it is then changed in the form.")
        else:
            self._window.side.show()
            self._window.form.edit_sight(id)

    def _leave_sight(self) -> None:
        self._window.session.leave_sight()
        self._window.form.start()

    def _explain_fix(self) -> None:
        self._window.show_sight()
        self._window.fix.suspects.ask()
        self._window.side.ensureWidgetVisible(self._window.fix.suspects)

    def _explained(self, does: Callable[[], object]) -> None:
        self._window.show_sight()
        does()

    def _to_fix(self) -> None:
        window = self._window
        window.show_sight()
        window.fix.which.setFocus(Qt.FocusReason.ShortcutFocusReason)
        window.side.ensureWidgetVisible(window.fix)


def closes_sheet(window: MainWindow, event: QKeyEvent) -> bool:
    """Esc that nothing else has a use for closes the working."""
    if event.key() != Qt.Key.Key_Escape or window.sheet.isHidden():
        return False
    window.sheet.leave()
    return True
