"""Settings: by name and value, broken files kept aside, two windows at once, and what a window brings back."""

from __future__ import annotations

import json
import os
from pathlib import Path

import pytest
from PySide6.QtCore import QRect, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from nightleg.flight.document import Document
from nightleg.window.app import main_window
from nightleg.window.documents import folders
from nightleg.window.documents.remembered import on_screen, remember, restore
from nightleg.window.documents.settings import FORMAT, RECENT, Keeper, Settings

from .conftest import Answers


@pytest.fixture
def path(tmp_path: Path) -> Path:
    """Where the settings go; the folder is not there yet."""
    return tmp_path / "deep" / "settings.json"


def test_without_a_file_there_are_defaults_and_nothing_is_written(path: Path) -> None:
    keeper = Keeper(path)
    assert keeper.values == Settings()
    assert keeper.change(theme="paper")  # as it is
    assert not path.exists() and keeper.fault == ""


def test_a_change_is_there_at_the_next_start(path: Path) -> None:
    assert Keeper(path).change(theme="red", geometry=(10, 20, 1366, 768), hint_done=True)
    assert Keeper(path).values == Settings(theme="red", geometry=(10, 20, 1366, 768), hint_done=True)
    held = json.loads(path.read_text(encoding="utf-8"))
    assert held["format"] == FORMAT and held["theme"] == "red"  # by name, not by number


@pytest.mark.parametrize(
    "text", ["", "{", "[]", "7", '{"format": "another"}', "\0\xff", '{"theme": "dim"}', "[" * 100_000]
)
def test_a_broken_file_is_kept_aside(path: Path, text: str) -> None:
    path.parent.mkdir(parents=True)
    path.write_text(text, encoding="latin-1")
    keeper = Keeper(path)
    assert keeper.values == Settings()
    aside = path.with_name("settings.broken-1.json")
    assert aside.read_text(encoding="latin-1") == text
    assert aside.name in keeper.fault
    assert keeper.change(theme="dim") and Keeper(path).values.theme == "dim"


def test_several_broken_files_do_not_take_each_others_place(path: Path) -> None:
    path.parent.mkdir(parents=True)
    for number in range(3):
        path.write_text(f"broken {number}", encoding="utf-8")
        Keeper(path)
    kept = sorted(one.read_text(encoding="utf-8") for one in path.parent.glob("settings.broken-*"))
    assert kept == ["broken 0", "broken 1", "broken 2"]


def test_one_wrong_value_costs_only_itself(path: Path) -> None:
    path.parent.mkdir(parents=True)
    path.write_text(json.dumps({"format": FORMAT, "theme": "green", "hint_done": True, "geometry": "wide"}))
    keeper = Keeper(path)
    assert keeper.values == Settings(hint_done=True)
    assert path.with_name("settings.broken-1.json").exists()


def test_names_of_a_later_version_stay(path: Path) -> None:
    path.parent.mkdir(parents=True)
    path.write_text(json.dumps({"format": FORMAT, "theme": "dim", "sound": {"bell": True}}))
    keeper = Keeper(path)
    assert keeper.values.theme == "dim" and keeper.fault == ""
    keeper.change(projector=True)
    assert json.loads(path.read_text())["sound"] == {"bell": True}


def test_two_windows_do_not_undo_each_others_changes(path: Path, tmp_path: Path) -> None:
    one, other = Keeper(path), Keeper(path)
    one.change(theme="red")
    other.change(hint_done=True)
    one.remember(tmp_path / "a.flight.toml")
    other.remember(tmp_path / "b.flight.toml")
    held = Keeper(path).values
    assert held.theme == "red" and held.hint_done
    assert [Path(name).name for name in held.recent] == ["b.flight.toml", "a.flight.toml"]


def test_recent_flights_are_few_and_each_is_there_once(path: Path, tmp_path: Path) -> None:
    keeper = Keeper(path)
    for number in (*range(RECENT + 5), 7):
        keeper.remember(tmp_path / f"{number}.flight.toml")
    names = [Path(name).name for name in Keeper(path).values.recent]
    assert len(names) == RECENT and names[0] == "7.flight.toml" and len(set(names)) == RECENT
    keeper.forget(str(tmp_path / "7.flight.toml"))
    assert "7.flight.toml" not in [Path(name).name for name in Keeper(path).values.recent]


def test_a_folder_that_cannot_be_written_is_a_word_and_no_more(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("in the way")
    keeper = Keeper(tmp_path / "file" / "settings.json")
    assert not keeper.change(theme="dim")
    assert keeper.values.theme == "dim"  # for this window
    assert "cannot be kept" in keeper.fault


def test_one_variable_moves_all_folders(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setenv(folders.VARIABLE, str(tmp_path))
    assert folders.settings_folder() == tmp_path / "settings"
    assert folders.recovery_folder() == tmp_path / "recovery"
    monkeypatch.delenv(folders.VARIABLE)
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path / "config"))
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))
    if os.name == "posix" and os.uname().sysname == "Linux":  # where the XDG base directories hold
        assert folders.settings_folder() == tmp_path / "config" / "nightleg"
        assert folders.recovery_folder() == tmp_path / "state" / "nightleg" / "recovery"
    assert folders.settings_folder().name == "nightleg"


def test_a_place_that_no_screen_shows_is_not_used(qapp: QApplication) -> None:
    room = qapp.primaryScreen().availableGeometry()
    assert on_screen(QRect(room.left() + 20, room.top() + 20, 400, 300)) == QRect(
        room.left() + 20, room.top() + 20, 400, 300
    )
    assert on_screen(QRect(room.right() + 1000, room.top(), 800, 600)) is None
    cut = on_screen(QRect(room.left() - 50, room.top() - 50, room.width() * 2, room.height() * 2))
    assert cut is not None and room.contains(cut)


def test_a_window_comes_back_as_it_was_left(qtbot: QtBot, demo: Document, path: Path) -> None:
    window = main_window(demo, Keeper(path))
    window.dialogs = Answers()
    qtbot.addWidget(window)
    with qtbot.waitExposed(window):
        window.show()
    QTest.keyClick(window, Qt.Key.Key_3, Qt.KeyboardModifier.ControlModifier)
    QTest.keyClick(window, Qt.Key.Key_F8)
    window.close()
    again = main_window(demo, Keeper(path))
    qtbot.addWidget(again)
    restore(again, again.keeper)
    assert again.theme_name == "red"
    assert again.pane.isHidden() and not again.side.isHidden()
    assert again.size() == window.size().boundedTo(window.screen().availableSize())


def test_folded_for_the_projector_is_not_folded_for_good(qtbot: QtBot, demo: Document, path: Path) -> None:
    window = main_window(demo, Keeper(path))
    window.dialogs = Answers()
    qtbot.addWidget(window)
    with qtbot.waitExposed(window):
        window.show()
    QTest.keyClick(window, Qt.Key.Key_F11)
    remember(window, window.keeper)
    held = Keeper(path).values
    assert held.projector and not held.forms_folded and not held.log_folded
    window.close()
