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
    plain = [text.replace("&", "&&") for text in texts]
    held = {letter.upper() for letter in taken}
    return [
        text if at is None else f"{text[:at]}&{text[at:]}"
        for text, at in zip(plain, _matched(plain, held), strict=True)
    ]


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
    texts = [action.text().replace("&&", "\0").replace("&", "") for action in wanting]
    for action, text, at in zip(wanting, texts, _matched(texts, taken), strict=True):
        named = text if at is None else f"{text[:at]}&{text[at:]}"
        action.setText(named.replace("\0", "&&"))


def _matched(texts: Sequence[str], taken: Collection[str]) -> list[int | None]:
    """Where in each text its letter stands, so that as many as can be have one: one gives way that has another."""
    holder: dict[str, int] = {}
    at: list[int | None] = [None] * len(texts)

    def settled(number: int, asked: set[str]) -> bool:
        for place in _places(texts[number]):
            letter = texts[number][place].upper()
            if letter in taken or letter in asked:
                continue
            asked.add(letter)
            if letter not in holder or settled(holder[letter], asked):
                holder[letter], at[number] = number, place
                return True
        return False

    for number in range(len(texts)):
        settled(number, set())
    return at
