"""Menus and keys: everything can be done without the mouse."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from PySide6.QtCore import Qt
from PySide6.QtGui import QAction, QActionGroup, QKeySequence
from PySide6.QtWidgets import QMenu, QWidget

from nightleg.chart.themes import THEMES, ThemeName
from nightleg.window.chartmenu import ChartMenu
from nightleg.window.clock.menu import ClockMenu
from nightleg.window.documents.recent import RecentMenu
from nightleg.window.documents.settings import TypeSize
from nightleg.window.letters import settle
from nightleg.window.sight.menu import SightMenu
from nightleg.window.sizing import TYPE_SIZES

if TYPE_CHECKING:
    from nightleg.window.main import MainWindow

_THEME_WORDS: dict[ThemeName, str] = {"paper": "&Paper", "dim": "&Dim", "red": "&Red"}
Key = QKeySequence.StandardKey | str


class Menus:
    """The menu bar of a main window."""

    def __init__(self, window: MainWindow) -> None:
        self._window = window
        bar = window.menuBar()
        self._flight(bar.addMenu("&Flight"))
        self._edit(bar.addMenu("&Edit"))
        self.sight = SightMenu(window, bar.addMenu("&Sight"))
        window.desk.fill(bar.addMenu("&Log"))
        self.chart = ChartMenu(window.canvas, bar.addMenu("&Chart"))
        self.clock = ClockMenu(window, bar.addMenu("Cl&ock"))
        self.themes: dict[ThemeName, QAction] = {}
        self.type_sizes: dict[TypeSize, QAction] = {}
        self._view(bar.addMenu("&View"))
        self._help(bar.addMenu("&Help"))
        settle(bar)

    def show_theme(self, name: ThemeName) -> None:
        """Tick the theme in use."""
        self.themes[name].setChecked(True)

    def _add(self, menu: QMenu, text: str, does: Callable[[], object], *keys: Key) -> QAction:
        action = QAction(text, self._window)
        action.setShortcuts([QKeySequence(key) for key in keys])
        action.triggered.connect(lambda: does())
        menu.addAction(action)
        return action

    def _flight(self, menu: QMenu) -> None:
        window, documents = self._window, self._window.documents
        self._add(menu, "&New", documents.new, QKeySequence.StandardKey.New)
        self._add(menu, "&Open…", documents.ask_open, QKeySequence.StandardKey.Open)
        RecentMenu(menu.addMenu("&Recent flights"), documents)
        self._add(menu, "&Save", window.save, QKeySequence.StandardKey.Save)
        self._add(menu, "Save &as…", window.save_as, "Ctrl+Shift+S")
        menu.addSeparator()
        self._add(menu, "&Export chart…", documents.export_chart, "Ctrl+E")
        self._add(menu, "Export so&lution…", documents.export_solution, "Ctrl+Shift+E").setEnabled(
            bool(documents.writers)
        )
        self._add(menu, "&Print…", self._print, QKeySequence.StandardKey.Print)
        menu.addSeparator()
        self._add(menu, "&Quit", window.close, "Ctrl+Q")

    def _edit(self, menu: QMenu) -> None:
        stack = self._window.session.undo_stack
        undo, redo = stack.createUndoAction(menu, "&Undo"), stack.createRedoAction(menu, "&Redo")
        undo.setShortcuts([QKeySequence(QKeySequence.StandardKey.Undo)])
        redo.setShortcuts([QKeySequence("Ctrl+Shift+Z"), QKeySequence("Ctrl+Y")])
        menu.addActions([undo, redo])

    def _view(self, menu: QMenu) -> None:
        window = self._window
        group = QActionGroup(window)
        for number, name in enumerate(THEMES, 1):
            action = self._add(menu, _THEME_WORDS[name], self._theme(name), f"Ctrl+{number}")
            action.setCheckable(True)
            group.addAction(action)
            self.themes[name] = action
        menu.addSeparator()
        self._type_sizes(menu.addMenu("T&ype size"))
        self.projector = self._add(menu, "Pro&jector", lambda: window.projector.switch(not window.projector.on), "F11")
        self.projector.setCheckable(True)
        self._add(menu, "F&ull screen", self._full_screen, "Shift+F11")
        menu.addSeparator()
        self._add(menu, "Go to the &sight", window.to_sight, "F2")
        self._add(menu, "Go to the fl&ight form", window.to_flight, "Shift+F2")
        self._add(menu, "Go to the &chart", self._go(window.canvas, window.canvas), "F3")
        self._add(menu, "Go to the &log", window.desk.go, "F4")
        self._add(menu, "Go to the &time line", self._go(window.timeline, window.timeline), "F5")
        menu.addSeparator()
        self._add(menu, "Fold the f&orms", lambda: window.side.setVisible(window.side.isHidden()), "F7")
        self._add(menu, "Fold the lo&g", lambda: window.pane.setVisible(window.pane.isHidden()), "F8")

    def _type_sizes(self, menu: QMenu) -> None:
        window, group = self._window, QActionGroup(self._window)
        for size in TYPE_SIZES:
            action = self._add(menu, f"{size} %", self._type_size(size))
            action.setCheckable(True)
            action.setChecked(size == window.keeper.values.type_size)
            group.addAction(action)
            self.type_sizes[size] = action

    def _type_size(self, size: TypeSize) -> Callable[[], None]:
        return lambda: self._window.sizing.choose(size)

    def _theme(self, name: ThemeName) -> Callable[[], None]:
        return lambda: self._window.set_theme(name)

    def _go(self, to: QWidget, folds: QWidget) -> Callable[[], None]:
        def go() -> None:
            folds.show()
            to.setFocus()

        return go

    def _full_screen(self) -> None:
        window = self._window
        window.setWindowState(window.windowState() ^ Qt.WindowState.WindowFullScreen)

    def _print(self) -> None:
        from nightleg.window.documents.printing import preview  # seldom wanted, so it is no part of the start

        preview(self._window)

    def _keys(self) -> None:
        from nightleg.window.helpsheet import show_keys  # as above

        show_keys(self._window)

    def _help(self, menu: QMenu) -> None:
        window = self._window
        self._add(menu, "&All keys", self._keys, "F1")
        self._add(menu, "&First steps", window.first_steps.show, "Shift+F1")
        self._add(menu, "Go to the &message above the chart", window.strips.go, "F6")
