"""The sheet of all keys, the first steps, menus without conflicts, and words for those who do not see the chart."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QAccessible, QAction
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QAbstractButton, QComboBox, QLabel, QLineEdit, QMenu, QTableView, QWidget
from pytestqt.qtbot import QtBot

from nightleg.flight.document import Document
from nightleg.window.app import main_window
from nightleg.window.documents.settings import Keeper
from nightleg.window.helpsheet import PLACES, HelpSheet, html, keys, sections, words
from nightleg.window.letters import letter_of
from nightleg.window.main import MainWindow
from nightleg.window.other.choice import KindChoice

from .conftest import Answers


def commands(menu: QMenu) -> Iterator[QAction]:
    """All commands of a menu and of the menus in it, but for lists that are filled as they open."""
    for action in menu.actions():
        inner = action.menu()
        if isinstance(inner, QMenu):
            yield from commands(inner)
        elif not action.isSeparator():
            yield action


def menus(window: MainWindow) -> dict[str, QMenu]:
    return {one.text(): menu for one in window.menuBar().actions() if isinstance(menu := one.menu(), QMenu)}


def test_the_sheet_has_every_key_of_every_menu(window: MainWindow) -> None:
    QTest.keyClick(window, Qt.Key.Key_F1)
    (sheet,) = window.findChildren(HelpSheet)
    assert sheet.isVisible()
    shown = {one.text() for one in sheet.findChildren(QLabel)}
    listed = [action for menu in menus(window).values() for action in commands(menu) if action.shortcuts()]
    assert len(listed) >= 22
    for action in listed:
        assert keys(action) in shown, action.text()
        assert any(words(action) in one for one in shown), action.text()
    QTest.keyClick(sheet, Qt.Key.Key_Escape)
    assert not sheet.isVisible()


def test_the_sheet_has_the_keys_of_places_that_no_menu_has(window: MainWindow) -> None:
    held = {section.title: {line.keys for line in section.lines} for section in sections(window.menuBar())}
    assert {"Ctrl+Home  Ctrl+End", "Enter  F2", "Space", "Delete"} <= held["In the log"]
    assert {"← →; Shift+← →", "PgUp  PgDown", "↑ ↓", "Home  End"} <= held["On the time line"]
    assert {"arrow keys", "Enter  Space"} <= held["On a figure"]


def test_f1_closes_the_sheet_too_and_work_goes_on_beside_it(window: MainWindow) -> None:
    QTest.keyClick(window, Qt.Key.Key_F1)
    (sheet,) = window.findChildren(HelpSheet)
    assert not sheet.isModal()
    QTest.keyClicks(window.form.reading, "29 18")
    assert window.session.worked.typed_id is not None
    QTest.keyClick(sheet, Qt.Key.Key_F1)
    assert not sheet.isVisible()


def test_a_new_command_is_on_the_sheet_by_itself(window: MainWindow) -> None:
    action = QAction("Sharpen && &point…", window)
    action.setShortcut("Ctrl+Alt+P")
    menus(window)["&Chart"].addAction(action)
    held = {line.words: line.keys for section in sections(window.menuBar()) for line in section.lines}
    assert held["Sharpen & point"] == "Ctrl+Alt+P"


def test_undo_is_named_without_its_step(window: MainWindow) -> None:
    window.form.reading.setText("29 34.5")
    window.form.file()
    held = {line.words for section in sections(window.menuBar()) for line in section.lines}
    assert {"Undo", "Redo"} <= held


def test_the_sheet_on_paper_holds_the_same(window: MainWindow) -> None:
    held = sections(window.menuBar())
    text = html(held)
    for section in (*held, *PLACES):
        assert section.title in text
        for line in section.lines:
            assert line.keys.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;") in text


@pytest.mark.parametrize("size", [(1366, 768), (1920, 1080)])
def test_the_sheet_needs_no_scrolling(window: MainWindow, size: tuple[int, int]) -> None:
    window.resize(*size)
    QTest.keyClick(window, Qt.Key.Key_F1)
    (sheet,) = window.findChildren(HelpSheet)
    QTest.qWait(50)
    assert sheet.area.verticalScrollBar().maximum() == 0
    assert sheet.area.horizontalScrollBar().maximum() == 0
    sheet.close()


def test_no_letter_stands_for_two_things(window: MainWindow) -> None:
    for name, menu in menus(window).items():
        texts = [action.text() for action in menu.actions() if not action.isSeparator()]
        held = Counter(letter_of(text) for text in texts)
        assert not held.get(""), (name, [text for text in texts if not letter_of(text)])
        assert max(held.values()) == 1, (name, held)
    beside = [one.text() for one in window.findChildren(QLabel) if one.buddy() is not None and one.isVisible()]
    beside += [one.text() for one in window.findChildren(QAbstractButton) if one.isVisible() and letter_of(one.text())]
    held = Counter(letter_of(text) for text in (*menus(window), *beside))
    assert max(held.values()) == 1, held


def test_no_key_stands_for_two_commands(window: MainWindow) -> None:
    listed = [action for menu in menus(window).values() for action in commands(menu)]
    held = Counter(key.toString() for action in listed for key in action.shortcuts())
    assert max(held.values()) == 1, held
    letters = {f"Alt+{letter_of(name)}" for name in menus(window)}
    assert not letters & set(held)


def test_every_field_can_be_named_aloud(window: MainWindow) -> None:
    """A field has a name for screen readers of its own, or the text of what it is."""
    kinds = (QLineEdit, QComboBox, QTableView, QAbstractButton)
    for one in window.findChildren(QWidget):
        if isinstance(one, kinds) and one.isVisible() and one.focusPolicy() != Qt.FocusPolicy.NoFocus:
            text = one.text() if isinstance(one, QAbstractButton) else ""
            assert one.accessibleName() or text, one


def test_the_chart_is_told_in_words(window: MainWindow) -> None:
    said = window.canvas.accessibleDescription()
    for part in ("DR at 2200 GMT: 29°", "track 120°", "Fix f4 at 2200", "95 % ellipse"):
        assert part in said
    window.form.reading.setText("29 34.5")
    assert window.canvas.accessibleDescription() != said


@pytest.fixture
def first(qtbot: QtBot, demo: Document, tmp_path: Path) -> MainWindow:
    """A window that opens for the first time."""
    made = main_window(demo, Keeper(tmp_path / "settings.json"))
    made.dialogs = Answers()
    qtbot.addWidget(made)
    made.resize(1366, 768)
    with qtbot.waitExposed(made):
        made.show()
    made.welcome()
    return made


def step(window: MainWindow) -> str:
    return window.strips.shown["first steps"].words.text() if "first steps" in window.strips.shown else ""


def test_first_steps_lead_to_the_first_line_and_never_return(
    qtbot: QtBot, first: MainWindow, demo: Document, tmp_path: Path
) -> None:
    assert step(first) == "Type the reading 29 34.5 on the right and watch the line of Polaris fall; " + (
        "Enter puts it in the log."
    )
    assert first.form.reading.hasFocus()  # ready for it
    QTest.keyClicks(first.form.reading, "29 34.5")
    assert "your line" in step(first)
    QTest.keyClick(first.form.reading, Qt.Key.Key_Return)
    assert "In the log" in step(first) and "F1" in step(first)
    assert Keeper(tmp_path / "settings.json").values.hint_done
    again = main_window(demo, Keeper(tmp_path / "settings.json"))
    qtbot.addWidget(again)
    again.welcome()
    assert again.strips.shown == {}


def test_first_steps_can_be_dismissed_and_asked_for_again(first: MainWindow, tmp_path: Path) -> None:
    QTest.keyClick(first, Qt.Key.Key_F6)
    button = first.strips.shown["first steps"].buttons[0]
    assert button.hasFocus()
    QTest.keyClick(button, Qt.Key.Key_Escape)
    assert step(first) == ""
    assert Keeper(tmp_path / "settings.json").values.hint_done
    QTest.keyClick(first, Qt.Key.Key_F1, Qt.KeyboardModifier.ShiftModifier)
    assert "29 34.5" in step(first)


def test_first_steps_of_a_flight_that_waits_for_nothing(first: MainWindow) -> None:
    first.documents.new()
    first.first_steps.show()
    assert "body, watch time, reading" in step(first)


def test_first_steps_go_back_with_undo_and_name_a_fix_only_where_there_is_one(first: MainWindow) -> None:
    QTest.keyClicks(first.form.reading, "29 34.5")
    QTest.keyClick(first.form.reading, Qt.Key.Key_Return)
    assert "the fix has closed" in step(first)
    QTest.keySequence(first, "Ctrl+Z")
    assert "In the log" not in step(first)
    first.documents.new()
    first.first_steps.show()
    QTest.keySequence(first, "F2")
    start = first.session.document.flight.start.time
    for field, text in ((first.form.body, "Vega"), (first.form.time, f"{start:%H%M}"), (first.form.reading, "45 00")):
        field.setFocus()
        QTest.keyClicks(field, text)
    QTest.keyClick(first.form.reading, Qt.Key.Key_Return)
    assert "In the log" in step(first) and "fix" not in step(first)


def test_f6_goes_round_the_messages(first: MainWindow) -> None:
    first.documents.say("Something was done.")
    for name in ("first steps", "done", "first steps"):
        QTest.keyClick(first, Qt.Key.Key_F6)
        assert first.strips.shown[name].holds_focus()


def test_the_list_of_kinds_has_a_label_that_names_it(window: MainWindow) -> None:
    """On some systems a list is read by its label and its choice, and not by its name."""
    for chooser in window.findChildren(KindChoice):
        told = QAccessible.queryAccessibleInterface(chooser)
        labels = [one for one, how in told.relations() if how == QAccessible.RelationFlag.Label]
        assert [one.text(QAccessible.Text.Name) for one in labels] == ["Kind of entry"]
