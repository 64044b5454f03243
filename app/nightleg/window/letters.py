"""The underlined letters of menus: each stands for one thing only."""

from __future__ import annotations

from PySide6.QtGui import QAction, QKeySequence
from PySide6.QtWidgets import QMenu, QMenuBar


def settle(bar: QMenuBar) -> None:
    """Give commands that share a letter with one above them, or have none, another of their own letters."""
    for entry in bar.actions():
        menu = entry.menu()
        if isinstance(menu, QMenu):
            _settle([action for action in menu.actions() if not action.isSeparator()])


def letter_of(text: str) -> str:
    """The underlined letter, upper case; empty where there is none."""
    return QKeySequence.mnemonic(text).toString().removeprefix("Alt+")


def _settle(actions: list[QAction]) -> None:
    taken: set[str] = set()
    wanting = []
    for action in actions:
        letter = letter_of(action.text())
        if letter and letter not in taken:
            taken.add(letter)
        else:
            wanting.append(action)
    for action in wanting:
        text = action.text().replace("&&", "\0").replace("&", "")
        # The first letter of a word is found most easily.
        starts = [i for i in range(len(text)) if i == 0 or text[i - 1] == " "]
        places = [*starts, *(i for i in range(len(text)) if i not in starts)]
        free = [i for i in places if text[i].isalpha() and text[i].isascii() and text[i].upper() not in taken]
        if free:
            taken.add(text[free[0]].upper())
            text = f"{text[: free[0]]}&{text[free[0] :]}"
        action.setText(text.replace("\0", "&&"))
