"""Any text in any field, any order of actions: what is wrong is said, nothing typed is lost, and the rest works on."""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QAction, QGuiApplication
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QAbstractButton, QApplication, QComboBox, QDialog, QLineEdit, QMenu, QWidget
from pytestqt.qtbot import QtBot

from nightleg.flight.document import Document
from nightleg.flight.parse import flight_of
from nightleg.window.main import MainWindow

from .conftest import shown
from .hand import Hand

ODD = (
    "nan",
    "1e999",
    "-1e308",
    "٣",
    "٢٩ ٣٤",
    "1" * 5000,
    "שלום 12",
    "\u202e29 34.5\u202c",
    "🌟",
    "a\u0301\u0302\u0303" * 40,
    "29\x00 34",
    "29\t34\n5",
    "\x1b[31m29",
    "\ud7ff\uffff\ufdd0",
    '"; [[leg]] #',
    "'''\\",
    " ",
    "",
    "−29°34.5′",
    "９９ ９９",
    "0x10",
    "1_0 0_1",
    "infinity",
    "99999999999999999999",
    "9999-12-31T23:59:59Z",
    "0000",
    "2400",
    "24 60.0",
    "90 00.0 N 180 00.0 E",
    "360/999",
)
# What leaves the window, or opens one of the desktop's own.
_NOT = ("Quit", "Print…")


def visible(window: MainWindow, kind: type[QWidget]) -> list[QWidget]:
    return [one for one in window.findChildren(kind) if one.isVisible() and one.isEnabled()]


def paste(field: QLineEdit, text: str) -> str:
    """Put a text into a field as a person would who has it on the clipboard; what the field made of it."""
    field.setFocus()
    field.selectAll()
    QGuiApplication.clipboard().setText(text)
    if text:
        QTest.keySequence(field, "Ctrl+V")
    else:
        QTest.keyClick(field, Qt.Key.Key_Delete)
    return field.text()


def commands(menu: QMenu) -> list[QAction]:
    found = []
    for action in menu.actions():
        inner = action.menu()
        if isinstance(inner, QMenu):
            found += commands(inner)
        elif not action.isSeparator() and action.text().replace("&", "") not in _NOT:
            found.append(action)
    return found


class Rough(Hand):
    """A hand that knows no manners."""

    def __init__(self, window: MainWindow, seed: int) -> None:
        super().__init__(window, seed)
        bar = [action.menu() for action in window.menuBar().actions()]
        self._actions = [one for menu in bar if isinstance(menu, QMenu) for one in commands(menu)]
        acts: tuple[Callable[[], None], ...] = (self.odd, self.odd, self.menu, self.press, self.choose, self.any_key)
        self._acts = [*acts * 8, self.cell, self.undo, self.redo, self.jump, self.drag, self.wheel, self.fill]

    def odd(self) -> None:
        """An odd text in any field, then a key that takes it or leaves it."""
        fields = visible(self.window, QLineEdit)
        if fields:
            field = self.chance.choice(fields)
            assert isinstance(field, QLineEdit)
            if not field.isReadOnly():
                paste(field, self.chance.choice(ODD))
                ends = (Qt.Key.Key_Return, Qt.Key.Key_Tab, Qt.Key.Key_Escape, Qt.Key.Key_Down)
                QTest.keyClick(QApplication.focusWidget() or field, self.chance.choice(ends))

    def menu(self) -> None:
        """Any command of the menus."""
        action = self.chance.choice(self._actions)
        if action.isEnabled():
            action.trigger()

    def press(self) -> None:
        """Any button that is seen."""
        buttons = visible(self.window, QAbstractButton)
        if buttons:
            button = self.chance.choice(buttons)
            if not getattr(button, "menu", lambda: None)():  # a menu would wait for a hand
                QTest.mouseClick(button, Qt.MouseButton.LeftButton)

    def choose(self) -> None:
        """Any choice of any box."""
        boxes = visible(self.window, QComboBox)
        box = self.chance.choice(boxes) if boxes else None
        if isinstance(box, QComboBox) and box.count():
            number = self.chance.randrange(box.count())
            box.setCurrentIndex(number)
            box.activated.emit(number)

    def any_key(self) -> None:
        """A key, wherever the cursor is."""
        keys = (
            "0",
            "9",
            ".",
            "a",
            "Return",
            "Tab",
            "Backtab",
            "Escape",
            "Up",
            "Down",
            "Left",
            "Home",
            "PgUp",
            "PgDown",
        )
        keys += ("F2", "F6", "Delete", "Space", "+", "-", "[")
        QTest.keySequence(QApplication.focusWidget() or self.window, self.chance.choice(keys))


def works(window: MainWindow) -> None:
    """The main job can still be done."""
    session = window.session
    window.to_sight()
    form, before = window.form, len(session.document.flight.sights)
    session.leave_sight()
    window.desk.new_sight()
    when = session.document.flight.start.time + timedelta(minutes=30)
    form.body.setText("Polaris")
    form.time.setText(f"{when:%H%M}")
    form.reading.setText("40 00.0")
    assert not session.typed.remarks, session.typed.remarks
    assert session.worked.typed_id is not None
    QTest.keyClick(form.reading, Qt.Key.Key_Return)
    assert len(session.document.flight.sights) == before + 1


@pytest.mark.parametrize("seed", range(6))
def test_any_order_of_actions(qtbot: QtBot, demo: Document, seed: int) -> None:
    window = shown(qtbot, demo)
    hand, session = Rough(window, seed), window.session
    for _ in range(80):
        hand.act()
        hand.fly(0.5)
        if hand.chance.random() < 0.3:
            QApplication.processEvents()
        for sheet in window.findChildren(QDialog):
            if sheet.isVisible():
                sheet.close()
        assert session.document.flight == flight_of(session.document.text)
    window.ticker.pause()
    works(window)
