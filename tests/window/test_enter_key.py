"""Enter presses a button that has the cursor, and nothing else."""

from __future__ import annotations

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QAbstractButton, QApplication, QCheckBox

from nightleg.window.main import MainWindow

ENTERS = [Qt.Key.Key_Return, Qt.Key.Key_Enter]


@pytest.mark.parametrize("key", ENTERS)
def test_enter_presses_every_button_that_can_have_the_cursor(window: MainWindow, key: Qt.Key) -> None:
    found = [
        one
        for one in window.findChildren(QAbstractButton)
        if one.isVisible() and one.isEnabled() and one.focusPolicy() & Qt.FocusPolicy.TabFocus and not menu_of(one)
    ]
    assert len(found) >= 5
    for button in found:
        if not (button.isVisible() and button.isEnabled()):  # one before it has put it away
            continue
        pressed: list[bool] = []
        button.clicked.connect(lambda *_, pressed=pressed: pressed.append(True))
        button.setFocus()
        QTest.keyClick(button, key)
        QApplication.processEvents()
        assert pressed == [True], button.text()


def menu_of(button: QAbstractButton) -> bool:
    """Whether a button opens a menu, which waits for a choice."""
    held = getattr(button, "menu", None)
    return held is not None and held() is not None


def test_a_switch_is_turned(window: MainWindow) -> None:
    switch = next(one for one in window.fix.findChildren(QCheckBox) if one.isVisible() and one.isEnabled())
    before = switch.isChecked()
    switch.setFocus()
    QTest.keyClick(switch, Qt.Key.Key_Return)
    QApplication.processEvents()
    assert switch.isChecked() is not before


def test_enter_in_a_field_files_the_sight_and_presses_nothing(window: MainWindow) -> None:
    form = window.form
    pressed: list[bool] = []
    form.enter.clicked.connect(lambda *_: pressed.append(True))
    form.reading.setFocus()
    QTest.keyClicks(form.reading, "29 34.5")
    count = len(window.session.document.flight.sights)
    QTest.keyClick(form.reading, Qt.Key.Key_Return)
    assert len(window.session.document.flight.sights) == count + 1 and pressed == []


def test_enter_that_gives_the_cursor_back_to_a_button_does_not_press_it(window: MainWindow) -> None:
    form, pressed = window.form, []
    form.reading.setText("29 34.5")
    form.enter.clicked.connect(lambda *_: pressed.append(True))
    form.enter.setFocus()
    window.header.ask()
    QTest.keyClicks(window.header.entry, "2101")
    QTest.keyClick(window.header.entry, Qt.Key.Key_Return)
    assert form.enter.hasFocus() and pressed == []
