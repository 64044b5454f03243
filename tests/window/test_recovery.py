"""Recovery copies: written aside, found after a crash, never mixed between windows, never in the way."""

from __future__ import annotations

import os
import subprocess
import sys
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from PySide6.QtCore import QCoreApplication, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QPlainTextEdit
from pytestqt.qtbot import QtBot

from nightleg.flight.document import Document
from nightleg.flight.edits import Put
from nightleg.flight.read import read_flight
from nightleg.resources import scenario
from nightleg.window.app import main_window
from nightleg.window.documents import autosave
from nightleg.window.documents.recovering import differences, words
from nightleg.window.documents.recovery import SUFFIX, Copy, RecoveryFolder, lock_of, read
from nightleg.window.main import MainWindow
from nightleg.window.sight.draft import Draft

from .conftest import Answers

CRASH = """
import os, sys
from datetime import UTC, datetime
from pathlib import Path
from PySide6.QtCore import QCoreApplication
from nightleg.window.sight.draft import Draft
from nightleg.window.documents.recovery import Copy, RecoveryFolder
application = QCoreApplication([])
text = Path(sys.argv[2]).read_text(encoding="utf-8")
copy = Copy(saved=datetime.now(UTC), title="Left behind", text=text.replace("Dusk to", "Night to"),
            draft=Draft("Polaris", "2200", "29 18"), path=sys.argv[2], on_disk=text)
ours = RecoveryFolder(Path(sys.argv[1]))
ours.write(copy)
os._exit(9)
"""


def crash(folder: Path, flight: Path) -> None:
    """A process that writes a recovery copy and dies without a word."""
    app = str(Path(autosave.__file__).parents[2])
    environment = {**os.environ, "PYTHONPATH": app, "QT_QPA_PLATFORM": "offscreen"}
    done = subprocess.run(
        [sys.executable, "-c", CRASH, str(folder), str(flight)], env=environment, capture_output=True, check=False
    )
    assert done.returncode == 9, done.stderr.decode()


def copy_of(text: str = "x", **values: object) -> Copy:
    return Copy(saved=datetime.now(UTC), title="Any", text=text, draft=Draft(reading="29 18"))


@pytest.fixture
def flight(tmp_path: Path) -> Path:
    """A flight file of our own."""
    path = tmp_path / "night.flight.toml"
    path.write_bytes(scenario("demo").read_bytes())
    return path


@pytest.fixture
def folder(home: Path) -> Path:
    """Where the copies go."""
    return home / "recovery"


def opened(qtbot: QtBot, held: Document, folder: Path, answers: Answers | None = None) -> MainWindow:
    window = main_window(held)
    window.dialogs = answers or Answers()
    qtbot.addWidget(window)
    window.keep_copies(RecoveryFolder(folder))
    with qtbot.waitExposed(window):
        window.show()
    window.welcome()
    return window


def type_reading(window: MainWindow, text: str) -> None:
    window.form.reading.setFocus()
    window.form.reading.clear()
    QTest.keyClicks(window.form.reading, text)


def copies(folder: Path) -> list[Path]:
    return sorted(folder.glob(f"*{SUFFIX}"))


def test_a_copy_comes_back_as_it_was_written(qapp: QCoreApplication, tmp_path: Path) -> None:
    ours = RecoveryFolder(tmp_path / "deep" / "copies")
    held = copy_of("a flight")
    ours.write(held)
    assert read(ours.file) == held
    ours.close()
    assert list(ours.folder.iterdir()) == []


def test_two_windows_at_once_do_not_mix(qapp: QCoreApplication, tmp_path: Path) -> None:
    one, other = RecoveryFolder(tmp_path), RecoveryFolder(tmp_path)
    one.write(copy_of("one"))
    other.write(copy_of("other"))
    assert one.file != other.file
    assert one.left() == [] and other.left() == []  # both are at work
    assert RecoveryFolder(tmp_path).left() == []
    one.close(keep=True)
    assert [found.copy.text for found in other.left()] == ["one"]
    other.close()


def test_what_a_crash_left_is_found_and_its_lock_is_void(qapp: QCoreApplication, tmp_path: Path, flight: Path) -> None:
    crash(tmp_path / "copies", flight)
    ours = RecoveryFolder(tmp_path / "copies")
    assert len(list(ours.folder.glob("*.lock"))) == 1
    (found,) = ours.left()
    assert found.copy.title == "Left behind" and found.copy.draft.reading == "29 18"
    assert not lock_of(found.file).exists()
    assert ours.left() == [found]  # asking does no harm


@pytest.mark.parametrize("data", [b"", b"{", b"null", b'{"format": "nightleg-recovery-1"}', b"\xff\xfe"])
def test_a_copy_that_cannot_be_read_is_passed_over_and_not_lost(
    qapp: QCoreApplication, tmp_path: Path, data: bytes
) -> None:
    (tmp_path / f"1-a{SUFFIX}").write_bytes(data)
    assert RecoveryFolder(tmp_path).left() == []
    assert (tmp_path / "1-a.unreadable").read_bytes() == data


def test_newest_first(qapp: QCoreApplication, tmp_path: Path) -> None:
    for number in range(3):
        ours = RecoveryFolder(tmp_path)
        saved = datetime(2026, 1, 1 + number, tzinfo=UTC)
        ours.write(Copy(saved=saved, title=str(number), text="", draft=Draft()))
        ours.close(keep=True)
    assert [found.copy.title for found in RecoveryFolder(tmp_path).left()] == ["2", "1", "0"]


def test_words_say_when_and_what(flight: Path) -> None:
    text = flight.read_text(encoding="utf-8")
    saved = datetime(2026, 10, 18, 22, 47, tzinfo=UTC)
    copy = Copy(
        saved=saved,
        title="Dusk to LANTERN",
        text=text.replace("Dusk to", "Night to"),
        draft=Draft("Polaris", "2200", "29 18"),
        path=str(flight),
        on_disk=text,
    )
    said = words(copy, saved + timedelta(minutes=5))
    for part in ("today at 2247 GMT", "night.flight.toml", "1 line new and 1 gone", "Polaris 2200 29 18"):
        assert part in said
    assert "2026-10-18" in words(copy, saved + timedelta(days=1))
    assert differences(copy) == ['− title = "Dusk to LANTERN"', '+ title = "Night to LANTERN"']


def test_a_typed_sight_is_kept_within_seconds(
    qtbot: QtBot, demo: Document, folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(autosave, "DELAY_MS", 50)
    window = opened(qtbot, demo, folder)
    assert copies(folder) == []
    type_reading(window, "29 18")
    qtbot.waitUntil(lambda: len(copies(folder)) == 1, timeout=3000)
    held = read(copies(folder)[0])
    assert held is not None and held.draft.reading == "29 18" and not held.changed
    window.form.reading.clear()
    qtbot.waitUntil(lambda: copies(folder) == [], timeout=3000)
    window.close()


def test_an_edit_is_kept_and_saving_makes_the_copy_needless(
    qtbot: QtBot, flight: Path, folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(autosave, "DELAY_MS", 50)
    before = flight.read_bytes()
    window = opened(qtbot, read_flight(flight), folder)
    window.session.edit("title", Put((), "title", "Another"))
    qtbot.waitUntil(lambda: len(copies(folder)) == 1, timeout=3000)
    assert flight.read_bytes() == before  # never over the original
    window.save()
    qtbot.waitUntil(lambda: copies(folder) == [], timeout=3000)
    window.close()
    assert list(folder.iterdir()) == []


def test_leaving_the_window_for_another_writes_at_once(qtbot: QtBot, demo: Document, folder: Path) -> None:
    window = opened(qtbot, demo, folder)
    type_reading(window, "29 18")
    other = QPlainTextEdit()
    qtbot.addWidget(other)
    other.show()
    other.activateWindow()
    qtbot.waitUntil(lambda: len(copies(folder)) == 1, timeout=autosave.DELAY_MS - 1000)
    window.close()


def test_a_clean_close_leaves_nothing(qtbot: QtBot, demo: Document, folder: Path) -> None:
    answers = Answers("discard")
    window = opened(qtbot, demo, folder, answers)
    type_reading(window, "29 18")
    assert window.recovering is not None and window.recovering.autosave.write_now()
    assert window.close()
    assert answers.said == [(False, "Polaris 2200 29 18")]
    assert list(folder.iterdir()) == []


def test_a_sight_kept_on_closing_is_offered_at_the_next_start(qtbot: QtBot, demo: Document, folder: Path) -> None:
    window = opened(qtbot, demo, folder, Answers("save"))
    type_reading(window, "29 18")
    assert window.close()
    assert len(copies(folder)) == 1
    again = opened(qtbot, demo, folder)
    assert "Polaris 2200 29 18" in again.strips.shown["recovery"].words.text()
    again.strips.shown["recovery"].buttons[0].click()
    assert again.form.reading.text() == "29 18"
    assert not again.session.modified and "recovery" not in again.strips.shown
    again.close()


def test_after_a_crash_the_copy_is_offered_and_taken_by_keyboard(
    qtbot: QtBot, demo: Document, folder: Path, flight: Path
) -> None:
    crash(folder, flight)
    window = opened(qtbot, demo, folder)
    assert "Left behind" in window.strips.shown["recovery"].words.text()
    QTest.keyClick(window, Qt.Key.Key_F6)
    button = window.strips.shown["recovery"].buttons[0]
    assert button.hasFocus()
    QTest.keyClick(button, Qt.Key.Key_Return)
    session = window.session
    assert session.document.flight.title == "Night to LANTERN"
    assert session.modified and session.document.path == flight
    assert window.form.reading.text() == "29 18"
    held = [read(file) for file in copies(folder)]
    assert [copy.title for copy in held if copy] == ["Night to LANTERN"]  # now ours
    assert window.save() and flight.read_text(encoding="utf-8") == session.document.text
    window.close()
    assert list(folder.iterdir()) == []


def test_what_differs_can_be_looked_at_before(qtbot: QtBot, demo: Document, folder: Path, flight: Path) -> None:
    crash(folder, flight)
    window = opened(qtbot, demo, folder)
    window.strips.shown["recovery"].buttons[1].click()
    (shown,) = [one for one in window.findChildren(QPlainTextEdit) if one.accessibleName() == "Lines that differ"]
    assert '+ title = "Night to LANTERN"' in shown.toPlainText()
    QTest.keyClick(shown, Qt.Key.Key_Escape)
    assert not shown.isVisible()
    window.close()


def test_later_leaves_it_and_throwing_away_does_not(qtbot: QtBot, demo: Document, folder: Path, flight: Path) -> None:
    crash(folder, flight)
    window = opened(qtbot, demo, folder)
    QTest.keyClick(window.strips.shown["recovery"], Qt.Key.Key_Escape)
    assert "recovery" not in window.strips.shown and len(copies(folder)) == 1
    window.close()
    again = opened(qtbot, demo, folder)
    again.strips.shown["recovery"].buttons[2].click()
    assert "recovery" not in again.strips.shown and len(copies(folder)) == 1  # a click may be a slip
    again.strips.shown["thrown away"].buttons[0].click()
    again.strips.shown["recovery"].buttons[2].click()
    again.strips.shown["thrown away"].buttons[1].click()
    assert copies(folder) == [] and again.strips.shown == {}
    again.close()


def test_a_copy_thrown_away_is_gone_when_the_window_is_left(
    qtbot: QtBot, demo: Document, folder: Path, flight: Path
) -> None:
    crash(folder, flight)
    window = opened(qtbot, demo, folder)
    window.strips.shown["recovery"].buttons[2].click()
    window.close()
    assert copies(folder) == []


@pytest.mark.parametrize("error", [OSError(28, "No space left on device"), PermissionError(13, "Permission denied")])
def test_a_full_or_closed_folder_is_said_once_and_the_work_goes_on(
    qtbot: QtBot, demo: Document, folder: Path, monkeypatch: pytest.MonkeyPatch, error: OSError
) -> None:
    def refuse(self: RecoveryFolder, copy: Copy) -> None:
        raise error

    write = RecoveryFolder.write
    monkeypatch.setattr(RecoveryFolder, "write", refuse)
    monkeypatch.setattr(autosave, "DELAY_MS", 50)
    window = opened(qtbot, demo, folder)
    type_reading(window, "29 1")
    qtbot.waitUntil(lambda: "no recovery copy" in window.strips.shown, timeout=3000)
    assert str(error.strerror) in window.strips.shown["no recovery copy"].words.text()
    window.strips.shown["no recovery copy"].buttons[0].click()
    QTest.keyClicks(window.form.reading, "8")
    QTest.qWait(300)
    assert "no recovery copy" not in window.strips.shown  # said once
    assert window.session.worked.typed_id is not None
    monkeypatch.setattr(RecoveryFolder, "write", write)
    QTest.keyClicks(window.form.reading, ".5")
    qtbot.waitUntil(lambda: len(copies(folder)) == 1, timeout=3000)
    window.close()
