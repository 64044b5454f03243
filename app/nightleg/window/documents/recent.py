"""The menu of recent flights, made anew each time it is opened."""

from __future__ import annotations

from pathlib import Path

from PySide6.QtCore import QObject
from PySide6.QtGui import QAction
from PySide6.QtWidgets import QMenu

from nightleg.flight.errors import visible
from nightleg.window.documents.commands import Documents


class RecentMenu(QObject):
    """Fills a menu with the files that the settings remember, the newest first."""

    def __init__(self, menu: QMenu, documents: Documents) -> None:
        super().__init__(menu)
        self._menu, self._documents = menu, documents
        menu.aboutToShow.connect(self.fill)
        self.fill()

    def fill(self) -> None:
        """Bring the menu to the settings."""
        self._menu.clear()
        held = self._documents.keeper.recent()
        for number, name in enumerate(held, 1):
            path = Path(name)
            text = f"{visible(path.name, 60)}   {visible(str(path.parent), 80)}".replace("&", "&&")
            action = QAction(f"&{number}  {text}" if number < 10 else f"1&0  {text}", self._menu)
            action.triggered.connect(lambda _=False, name=name: self._documents.open_recent(name))
            self._menu.addAction(action)
        if not held:
            none = QAction("none yet", self._menu)
            none.setEnabled(False)
            self._menu.addAction(none)
            return
        self._menu.addSeparator()
        clear = QAction("&Forget these", self._menu)
        clear.triggered.connect(lambda: self._documents.keeper.change(recent=()))
        self._menu.addAction(clear)
