"""A file changed under the window: noticed, both versions kept, and nothing saved over unasked."""

from __future__ import annotations

import os
from pathlib import Path

import pytest
from PySide6.QtCore import QFileSystemWatcher, QTimer
from PySide6.QtTest import QTest
from pytestqt.qtbot import QtBot

from nightleg.flight.edits import Put
from nightleg.flight.read import read_flight
from nightleg.resources import scenario
from nightleg.window.documents.disk import beside, disk_state
from nightleg.window.documents.faults import FaultSheet
from nightleg.window.main import MainWindow

from .conftest import Answers, shown


@pytest.fixture
def flight(tmp_path: Path) -> Path:
    """A flight file of our own."""
    path = tmp_path / "night.flight.toml"
    path.write_bytes(scenario("demo").read_bytes())
    return path


@pytest.fixture
def window(qtbot: QtBot, flight: Path) -> MainWindow:
    """A window on that file, with a change of our own."""
    made = shown(qtbot, read_flight(flight))
    assert made.session.edit("title", Put((), "title", "Mine"))
    return made


def theirs(flight: Path, title: str = "Theirs") -> str:
    """Another program replaces the file, as most editors do; what it wrote."""
    text = scenario("demo").read_text(encoding="utf-8").replace("Dusk to LANTERN", title)
    other = flight.with_name("written-by-another")
    other.write_text(text, encoding="utf-8")
    os.replace(other, flight)
    return text


def noticed(qtbot: QtBot, window: MainWindow) -> None:
    qtbot.waitUntil(lambda: "disk" in window.strips.shown, timeout=5000)


def press(window: MainWindow, number: int) -> None:
    window.strips.shown["disk"].buttons[number].click()


@pytest.mark.parametrize("in_place", [False, True])
def test_a_change_is_noticed_however_it_is_made(qtbot: QtBot, window: MainWindow, flight: Path, in_place: bool) -> None:
    if in_place:
        flight.write_text(flight.read_text(encoding="utf-8") + "\n# more\n", encoding="utf-8")
    else:
        theirs(flight)
    noticed(qtbot, window)
    assert "night.flight.toml" in window.strips.shown["disk"].words.text()
    assert window.session.document.flight.title == "Mine"
    press(window, 3)  # later
    theirs(flight, "Theirs again")  # the file is another one by now, and still watched
    noticed(qtbot, window)


def test_mine_saves_over_it(qtbot: QtBot, window: MainWindow, flight: Path) -> None:
    theirs(flight)
    noticed(qtbot, window)
    press(window, 0)
    assert read_flight(flight).flight.title == "Mine"
    QTest.qWait(400)
    assert window.strips.shown == {} and not window.session.modified  # our own writing is no change of others


def test_theirs_is_loaded_and_can_be_undone(qtbot: QtBot, window: MainWindow, flight: Path) -> None:
    text = theirs(flight)
    noticed(qtbot, window)
    press(window, 1)
    session = window.session
    assert session.document.text == text and not session.modified
    assert window.strips.shown == {}
    session.undo_stack.undo()
    assert session.document.flight.title == "Mine" and session.modified
    assert session.document.path == flight
    session.undo_stack.redo()
    assert session.document.text == text and not session.modified


def test_both_are_kept_under_two_names(qtbot: QtBot, window: MainWindow, flight: Path) -> None:
    text = theirs(flight)
    noticed(qtbot, window)
    press(window, 2)
    other = flight.with_name("night (2).flight.toml")
    assert read_flight(other).flight.title == "Mine"
    assert flight.read_text(encoding="utf-8") == text
    assert window.session.document.path == other
    assert other.name in window.strips.shown["done"].words.text()


def test_theirs_that_cannot_be_read_is_not_taken(qtbot: QtBot, window: MainWindow, flight: Path) -> None:
    flight.write_text('format = "nightleg-flight-1"\nodd = 1\n[start]\nposition = "99 0"\n', encoding="utf-8")
    noticed(qtbot, window)
    press(window, 1)
    assert window.session.document.flight.title == "Mine"
    (sheet,) = window.findChildren(FaultSheet)
    assert "line 4" in sheet.text.toPlainText()
    sheet.close()


def test_a_file_that_is_gone_can_be_saved_again(qtbot: QtBot, window: MainWindow, flight: Path) -> None:
    flight.unlink()
    noticed(qtbot, window)
    assert "is gone" in window.strips.shown["disk"].words.text()
    press(window, 0)
    assert read_flight(flight).flight.title == "Mine"
    assert window.strips.shown == {}


def test_a_file_that_is_put_back_as_it_was_is_no_matter_any_more(
    qtbot: QtBot, window: MainWindow, flight: Path
) -> None:
    before = flight.read_bytes()
    flight.unlink()
    noticed(qtbot, window)
    flight.write_bytes(before)
    qtbot.waitUntil(lambda: window.strips.shown == {}, timeout=5000)


@pytest.mark.parametrize(
    ("version", "saved", "title_on_disk"),
    [("cancel", False, "Theirs"), ("mine", True, "Mine"), ("theirs", True, "Theirs"), ("both", True, "Theirs")],
)
def test_saving_asks_first_even_where_nothing_told_of_the_change(
    window: MainWindow, flight: Path, version: str, saved: bool, title_on_disk: str
) -> None:
    window.documents.watch.stop()  # a file system that tells of nothing
    theirs(flight)
    held = Answers()
    held.version = next(one for one in ("mine", "theirs", "both", "cancel") if one == version)
    window.dialogs = held
    assert window.save() is saved
    assert held.asked == 1
    assert read_flight(flight).flight.title == title_on_disk
    assert window.session.modified is not saved


def test_saving_what_nobody_changed_asks_nothing(window: MainWindow, flight: Path) -> None:
    held = Answers()
    window.dialogs = held
    assert window.save() and held.asked == 0
    assert disk_state(window.session.document) == "same"


def test_names_beside_are_free(tmp_path: Path) -> None:
    for name, other in (
        ("night.flight.toml", "night (2).flight.toml"),
        ("night.toml", "night (2).toml"),
        ("night", "night (2)"),
    ):
        assert beside(tmp_path / name).name == other
    (tmp_path / "night (2).toml").touch()
    assert beside(tmp_path / "night.toml").name == "night (3).toml"


def test_a_closed_window_watches_nothing(qtbot: QtBot, window: MainWindow, flight: Path) -> None:
    watchers = window.findChildren(QFileSystemWatcher)
    assert any(one.files() for one in watchers)
    timers = window.findChildren(QTimer)
    window.close()
    theirs(flight)
    QTest.qWait(400)
    assert not any(one.files() or one.directories() for one in watchers)
    assert not any(timer.isActive() for timer in timers)
