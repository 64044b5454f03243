"""The clock's menu and its keys."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from PySide6.QtCore import Qt
from PySide6.QtGui import QAction, QKeyEvent, QKeySequence
from PySide6.QtWidgets import QAbstractButton, QComboBox, QMenu, QWidget

from nightleg.chart.canvas import ChartCanvas

if TYPE_CHECKING:
    from nightleg.window.main import MainWindow


class ClockMenu:
    """Its actions. A bare key goes to a field while one has the cursor, so each has a second key."""

    def __init__(self, window: MainWindow, menu: QMenu) -> None:
        self._window, self._menu = window, menu
        ticker = window.ticker
        self.run = self._add("&Run", ticker.toggle, "Space", "Ctrl+Space")
        self._add("&Faster", ticker.faster, "+", "=", "Ctrl+.")
        self._add("S&lower", ticker.slower, "-", "Ctrl+,")
        menu.addSeparator()
        self._add("&Set the time…", window.header.ask, "Ctrl+T")
        self._add("&Next entry", ticker.to_next, "]", "Alt+Right")
        self._add("&Previous entry", ticker.to_previous, "[", "Alt+Left")
        self._add("To the s&tart", ticker.to_start, "Alt+Home")
        self._add("To the last &entry", ticker.to_last, "Alt+End")
        menu.addSeparator()
        self.every = self._add("Show &all entries", ticker.all_entries, "Ctrl+Shift+A")
        self.as_known = self._add("As it was &known then", self._switch, "Ctrl+Shift+T")
        self.as_known.setCheckable(True)
        ticker.changed.connect(self.refresh)
        self.refresh()

    def refresh(self) -> None:
        """Say what the clock does."""
        window = self._window
        self.run.setText("&Pause" if window.ticker.running else "&Run")
        self.every.setEnabled(window.session.clock_set)
        self.as_known.setChecked(self._is_partly())

    def _switch(self) -> None:
        self._window.ticker.set_as_known(not self._is_partly())

    def _is_partly(self) -> bool:
        return self._window.session.clock_set and self._window.session.as_known

    def _add(self, text: str, does: Callable[[], object], *keys: str) -> QAction:
        action = QAction(text, self._window)
        action.setShortcuts([QKeySequence(key) for key in keys])
        action.triggered.connect(lambda: does())
        self._menu.addAction(action)
        return action


def keeps(widget: QWidget | None, event: QKeyEvent) -> bool:
    """Whether a key belongs to the widget that has the cursor before it belongs to the clock.

    A button and a choice need the space bar; the chart zooms with plus and minus.
    """
    if event.modifiers() & ~(Qt.KeyboardModifier.ShiftModifier | Qt.KeyboardModifier.KeypadModifier):
        return False
    key = Qt.Key(event.key())
    if isinstance(widget, (QAbstractButton, QComboBox)):
        return key == Qt.Key.Key_Space
    return isinstance(widget, ChartCanvas) and key in (Qt.Key.Key_Plus, Qt.Key.Key_Minus, Qt.Key.Key_Equal)
