"""What stands in an open editor of the log when the flight is saved or left."""

from __future__ import annotations

from pathlib import Path

import pytest
from PySide6.QtCore import Qt, QTimer
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QMessageBox
from pytestqt.qtbot import QtBot

from nightleg.flight.document import Document, save
from nightleg.flight.edits import Append
from nightleg.window.dialogs import Dialogs
from nightleg.window.main import MainWindow
from nightleg.window.parts import Entry

from .conftest import Answers, shown


@pytest.fixture
def saved(qtbot: QtBot, demo: Document, tmp_path: Path) -> MainWindow:
    """A window on a flight that has a file."""
    return shown(qtbot, save(demo, tmp_path / "night.flight.toml"))


def answers(window: MainWindow) -> Answers:
    assert isinstance(window.dialogs, Answers)
    return window.dialogs


def begin(window: MainWindow, kind: str, id: str, column: str, text: str) -> Entry:
    """Type into a cell and leave its editor open."""
    window.log.edit_entry(kind, id, column)
    field = QApplication.focusWidget()
    assert isinstance(field, Entry) and field.property("cell")
    field.selectAll()
    QTest.keyClicks(field, text)
    return field


def on_disk(window: MainWindow) -> str:
    path = window.session.document.path
    assert path is not None
    return path.read_text("utf-8")


def test_save_takes_what_stands_in_the_open_editor(saved: MainWindow) -> None:
    field = begin(saved, "leg", "5", "intercept", "255/40")
    QTest.keySequence(field, "Ctrl+S")
    assert 'wind = "255/40"' in on_disk(saved) and not saved.session.modified
    assert saved.log.editing and field.hasFocus() and saved.told.text() == ""  # typing goes on
    QTest.keyClick(field, Qt.Key.Key_Escape)
    assert 'wind = "255/40"' in saved.session.document.text
    saved.session.undo_stack.undo()
    assert 'wind = "250/38"' in saved.session.document.text
    saved.session.undo_stack.redo()


def test_save_of_a_time_that_moves_its_row(saved: MainWindow) -> None:
    field = begin(saved, "sight", "s11", "time", "2140")
    QTest.keySequence(field, "Ctrl+S")
    assert "21:40:00Z" in on_disk(saved)
    focus = QApplication.focusWidget()
    assert focus is not None and (focus is saved.log or saved.log.isAncestorOf(focus))
    assert saved.log.log.rows[saved.log.currentIndex().row()].id == "s11"


def test_save_leaves_text_that_cannot_be_used_where_it_is_and_says_so(saved: MainWindow) -> None:
    field = begin(saved, "leg", "5", "intercept", "250-38")
    saved.session.edit_sight("s9")
    QTest.keySequence(field, "Ctrl+S")
    assert saved.log.editing and field.hasFocus() and field.text() == "250-38"
    assert saved.log.words.isVisible() and "wind" in saved.log.words.text()
    assert "250-38 as wind of leg 5" in saved.told.text()
    assert "250-38" not in on_disk(saved)


def test_an_editor_stays_with_its_row_when_rows_come_above_it(saved: MainWindow) -> None:
    field = begin(saved, "leg", "5", "intercept", "255/4")
    early = saved.session.document.flight.start.time.replace(minute=59)
    assert saved.session.edit("two remarks", *(Append("log", {"time": early, "text": "x"}) for _ in range(2)))
    QTest.keyClicks(field, "1")
    QTest.keyClick(field, Qt.Key.Key_Return)
    assert saved.session.undo_stack.undoText() == "wind of leg 5"
    assert 'wind = "255/41"' in saved.session.document.text and not saved.log.editing
    saved.session.undo_stack.setClean()


def test_leaving_asks_about_valid_text_in_an_open_editor(saved: MainWindow) -> None:
    answers(saved).first = "save"
    field = begin(saved, "remark", "8", "reading", "Polaris is next")
    QTest.keySequence(field, "Ctrl+Q")
    assert answers(saved).said == [(True, "")] and not saved.isVisible()
    assert "Polaris is next" in on_disk(saved)


def test_leaving_asks_about_text_that_cannot_be_used(saved: MainWindow) -> None:
    answers(saved).first = "cancel"
    field = begin(saved, "leg", "5", "intercept", "250-38")
    QTest.keySequence(field, "Ctrl+Q")
    assert answers(saved).said == [(False, "")] and answers(saved).useless == "250-38 as wind of leg 5"
    assert saved.isVisible() and saved.log.editing and field.text() == "250-38" and saved.log.words.isVisible()
    QTest.mouseClick(saved.form.reading, Qt.MouseButton.LeftButton)  # the cell keeps it
    QTest.keySequence(saved.form.reading, "Ctrl+Q")
    assert answers(saved).asked == 2 and saved.isVisible()
    answers(saved).first = "discard"
    QTest.keySequence(saved.form.reading, "Ctrl+N")
    assert saved.log.log.left_over() == "" and not saved.log.editing
    assert not any("×" in str(saved.log.log.index(row, 6).data()) for row in range(len(saved.log.log.rows)))


def test_an_open_editor_does_not_stay_over_another_flight(saved: MainWindow) -> None:
    begin(saved, "start", "start", "intercept", "somewhere")
    QTest.keySequence(QApplication.focusWidget(), "Ctrl+N")
    assert saved.session.document.path is None and not saved.log.editing
    assert saved.log.log.left_over() == ""


@pytest.mark.parametrize(("text", "buttons"), [("250-38", 2), ("255/40", 3)])
def test_the_question_itself_leaves_the_editor_open(qtbot: QtBot, saved: MainWindow, text: str, buttons: int) -> None:
    seen: list[str] = []

    def cancel() -> None:
        box = QApplication.activeModalWidget()
        assert isinstance(box, QMessageBox)
        seen.append(box.text())
        assert len(box.buttons()) == buttons
        QTest.keyClick(box, Qt.Key.Key_Escape)

    kept, saved.dialogs = saved.dialogs, Dialogs(saved)
    field = begin(saved, "leg", "5", "intercept", text)
    QTimer.singleShot(100, saved, cancel)
    QTest.keySequence(field, "Ctrl+Q")
    saved.dialogs = kept
    assert len(seen) == 1 and ("lost in any case: 250-38 as wind of leg 5" in seen[0]) == (text == "250-38")
    qtbot.wait(20)
    assert saved.isVisible() and saved.log.editing and field.text() == text
    QTest.keyClick(field, Qt.Key.Key_Escape)
    saved.session.undo_stack.setClean()
