"""The underlined letters of menus: each stands for one thing only."""

from __future__ import annotations

from collections.abc import Collection, Sequence

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


def lettered(texts: Sequence[str], taken: Collection[str] = ()) -> list[str]:
    """Captions of fields with a letter underlined in each: all different, none of `taken`; none where none is free."""
    held, made = {letter.upper() for letter in taken}, []
    for text in texts:
        plain = text.replace("&", "&&")
        free = [i for i in _places(plain) if plain[i].upper() not in held]
        if free:
            held.add(plain[free[0]].upper())
            plain = f"{plain[: free[0]]}&{plain[free[0] :]}"
        made.append(plain)
    return made


def _places(text: str) -> list[int]:
    """Where in a text letters stand, the first ones of words before the others: they are found most easily."""
    starts = [i for i in range(len(text)) if i == 0 or text[i - 1] == " "]
    return [i for i in dict.fromkeys((*starts, *range(len(text)))) if text[i].isalpha() and text[i].isascii()]


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
        free = [i for i in _places(text) if text[i].upper() not in taken]
        if free:
            taken.add(text[free[0]].upper())
            text = f"{text[: free[0]]}&{text[free[0] :]}"
        action.setText(text.replace("\0", "&&"))
