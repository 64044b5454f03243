"""Documents: new, open, save, recent flights, dropped files, exports, and closing with work that is in no file."""

from __future__ import annotations

import json
from datetime import UTC, datetime
from pathlib import Path

import pytest
from PySide6.QtCore import QMimeData, QPoint, QPointF, Qt, QUrl
from PySide6.QtGui import QDragEnterEvent, QDropEvent, QGuiApplication
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QMenu, QPlainTextEdit, QPushButton
from pytestqt.qtbot import QtBot

from nightleg.flight.document import Document
from nightleg.flight.edits import Put
from nightleg.flight.errors import FlightError
from nightleg.flight.read import read_flight
from nightleg.flight.solve import solve
from nightleg.resources import scenario
from nightleg.window.app import main_window
from nightleg.window.dialogs import Answer
from nightleg.window.documents.export import Writers
from nightleg.window.documents.faults import FaultSheet, listed
from nightleg.window.documents.settings import Keeper
from nightleg.window.documents.starter import new_flight
from nightleg.window.main import MainWindow

from .conftest import Answers, shown

BAD = """format = "nightleg-flight-1"
[start]
time = 2026-01-01T00:00:00Z
position = "99 0"
[[leg]]
time = 2026-01-01T00:00:00Z
heading_deg = 400
tas_kt = -1
wind = "0/0"
altitude_ft = 0
"""
WRITERS: Writers = {
    ".json": lambda flight, solution, name: json.dumps({"title": flight.title, "fixes": len(solution.fixes)}),
    ".txt": lambda flight, solution, name: f"{name}: {len(solution.sights)} sights\n",
}
CTRL = Qt.KeyboardModifier.ControlModifier


@pytest.fixture
def flight(tmp_path: Path) -> Path:
    """A flight file of our own."""
    path = tmp_path / "night.flight.toml"
    path.write_bytes(scenario("demo").read_bytes())
    return path


@pytest.fixture
def window(qtbot: QtBot, flight: Path, tmp_path: Path) -> MainWindow:
    """A window on that file, with settings and writers."""
    made = main_window(read_flight(flight), Keeper(tmp_path / "settings.json"), WRITERS)
    made.dialogs = Answers()
    qtbot.addWidget(made)
    made.resize(1366, 768)
    with qtbot.waitExposed(made):
        made.show()
    return made


def answers(window: MainWindow, first: Answer = "discard", path: Path | None = None) -> Answers:
    held = Answers(first, path)
    window.dialogs = held
    return held


def retitle(window: MainWindow, title: str = "Another") -> None:
    assert window.session.edit("title", Put((), "title", title))


def test_a_new_flight_can_be_solved_and_typed_into() -> None:
    document = new_flight(datetime(2026, 3, 14, 22, 52, 41, tzinfo=UTC))
    assert document.flight.start.time == datetime(2026, 3, 14, 22, 52, tzinfo=UTC)
    assert len(document.flight.legs) == 1 and document.path is None
    solution = solve(document.flight)
    assert not solution.problems and not solution.warnings


def test_new_is_ready_to_type(window: MainWindow) -> None:
    QTest.keyClick(window, Qt.Key.Key_N, CTRL)
    assert window.session.document.flight.title == "New flight"
    assert "not saved yet" in window.windowTitle() and not window.session.modified
    assert window.flight.fields["start", "time"].hasFocus()  # where and when it begins comes first
    QTest.keySequence(window, "F2")
    assert window.form.body.hasFocus()
    QTest.keyClicks(window.form.body, "Vega")
    start = window.session.document.flight.start.time
    window.form.time.setText(f"{start:%H%M}")
    window.form.reading.setText("45 00")
    assert window.session.worked.typed_id == "s1"


def test_open_asks_for_a_file(window: MainWindow, tmp_path: Path) -> None:
    other = tmp_path / "other.flight.toml"
    other.write_text(new_flight(datetime(2026, 1, 1, tzinfo=UTC)).text, encoding="utf-8")
    answers(window, path=other)
    QTest.keyClick(window, Qt.Key.Key_O, CTRL)
    assert window.session.document.path == other


def test_all_faults_of_a_file_are_shown_with_their_lines_and_the_old_flight_stays(
    window: MainWindow, tmp_path: Path
) -> None:
    bad = tmp_path / "bad.flight.toml"
    bad.write_text(BAD, encoding="utf-8")
    before = window.session.document
    retitle(window)
    held = answers(window)
    window.open(bad)
    assert held.asked == 0  # nothing is left for it
    (sheet,) = window.findChildren(FaultSheet)
    text = sheet.text.toPlainText()
    assert sheet.isVisible()
    for part in ("line 4, [start], position", "line 7, [[leg]] 1, heading_deg", "line 8, [[leg]] 1, tas_kt"):
        assert part in text
    assert window.session.document.path == before.path and window.session.modified
    copy = next(one for one in sheet.findChildren(QPushButton) if "Copy" in one.text().replace("&", ""))
    copy.click()
    assert QGuiApplication.clipboard().text() == text
    QTest.keyClick(sheet, Qt.Key.Key_Escape)
    assert not sheet.isVisible()


@pytest.mark.parametrize("data", [b"\xff\xfe\0", b"\0" * 40, b"[[[[", b"a = " + b"[" * 5000])
def test_what_is_no_flight_is_told(window: MainWindow, tmp_path: Path, data: bytes) -> None:
    path = tmp_path / "noise.toml"
    path.write_bytes(data)
    before = window.session.document
    window.open(path)
    shown = [one.toPlainText() for one in window.findChildren(QPlainTextEdit)]
    assert "cannot be opened" in window.told.text() or shown
    assert window.session.document is before
    window.open(tmp_path / "none.toml")
    assert "no such file" in window.told.text()
    window.open(tmp_path)
    assert "cannot be opened" in window.told.text()
    for sheet in window.findChildren(FaultSheet):
        sheet.close()


def test_a_long_list_of_faults_says_how_many_more(tmp_path: Path) -> None:
    legs = "[[leg]]\ntime = 2026-01-01T00:00:00Z\nheading_deg = 400\n" * 200
    with pytest.raises(FlightError) as refused:
        path = tmp_path / "many.toml"
        path.write_text(BAD + legs, encoding="utf-8")
        read_flight(path)
    assert "more" in listed(refused.value.problems, refused.value.more).splitlines()[-1]


def test_save_writes_and_the_star_goes(window: MainWindow, flight: Path) -> None:
    retitle(window)
    assert "*" in window.windowTitle()
    QTest.keyClick(window, Qt.Key.Key_S, CTRL)
    assert flight.read_text(encoding="utf-8") == window.session.document.text
    assert "*" not in window.windowTitle()


def test_save_as_goes_on_in_the_new_file(window: MainWindow, flight: Path, tmp_path: Path) -> None:
    before = flight.read_bytes()
    retitle(window)
    answers(window, path=tmp_path / "copy.flight.toml")
    QTest.keyClick(window, Qt.Key.Key_S, CTRL | Qt.KeyboardModifier.ShiftModifier)
    assert window.session.document.path == tmp_path / "copy.flight.toml"
    assert flight.read_bytes() == before
    answers(window, path=None)  # asked, and thought better of
    assert not window.save_as()


def test_a_save_that_fails_is_said_until_it_is_read(
    window: MainWindow, flight: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    before = flight.read_bytes()

    def full(path: object, data: bytes) -> None:
        raise OSError(28, "No space left on device", str(path))

    retitle(window)
    with monkeypatch.context() as broken:
        broken.setattr("nightleg.flight.document.write_atomically", full)
        assert not window.save()
    strip = window.strips.shown["not saved"]
    assert "No space left on device" in strip.words.text()
    assert flight.read_bytes() == before and window.session.modified
    window.form.reading.setText("29 18")
    assert "not saved" in window.strips.shown  # typing does not wipe it away
    answers(window, path=tmp_path / "elsewhere.flight.toml")
    strip.buttons[0].click()
    assert (tmp_path / "elsewhere.flight.toml").exists() and not window.session.modified
    assert "not saved" not in window.strips.shown


def test_recent_flights_are_in_the_menu(window: MainWindow, flight: Path, tmp_path: Path) -> None:
    other = tmp_path / "a & b.flight.toml"
    other.write_text(new_flight(datetime(2026, 1, 1, tzinfo=UTC)).text, encoding="utf-8")
    window.open(other)
    menu = next(
        action.menu()
        for bar in window.menuBar().actions()
        if isinstance(outer := bar.menu(), QMenu)
        for action in outer.actions()
        if "Recent" in action.text()
    )
    assert isinstance(menu, QMenu)
    menu.aboutToShow.emit()
    texts = [action.text() for action in menu.actions()]
    assert texts[0].startswith("&1  a && b.flight.toml") and texts[1].startswith("&2  night.flight.toml")
    menu.actions()[1].trigger()
    assert window.session.document.path == flight
    other.unlink()
    window.documents.open_recent(str(other))
    assert "not there any more" in window.told.text()
    assert str(other) not in window.keeper.recent()
    menu.aboutToShow.emit()
    menu.actions()[-1].trigger()
    assert window.keeper.recent() == ()


def drag(window: MainWindow, onto: object, *urls: QUrl, text: str = "") -> bool:
    """Drag over a part of the window and let go, as the system does; whether it was taken."""
    data = QMimeData()
    if urls:
        data.setUrls(list(urls))
    if text:
        data.setText(text)
    at, action = QPoint(300, 300), Qt.DropAction.CopyAction
    enter = QDragEnterEvent(at, action, data, Qt.MouseButton.LeftButton, Qt.KeyboardModifier.NoModifier)
    enter.ignore()
    QApplication.sendEvent(window, enter)
    if enter.isAccepted():
        drop = QDropEvent(QPointF(at), action, data, Qt.MouseButton.LeftButton, Qt.KeyboardModifier.NoModifier)
        QApplication.sendEvent(window, drop)
    return enter.isAccepted()


def test_a_file_dragged_in_is_opened(qtbot: QtBot, window: MainWindow, tmp_path: Path) -> None:
    other = tmp_path / "other.flight.toml"
    other.write_text(new_flight(datetime(2026, 1, 1, tzinfo=UTC)).text, encoding="utf-8")
    assert drag(window, window, QUrl.fromLocalFile(str(other)))
    qtbot.waitUntil(lambda: window.session.document.path == other, timeout=3000)


def test_what_is_no_single_file_is_not_taken(window: MainWindow, flight: Path) -> None:
    before = window.session.document
    assert not drag(window, window, text="some words")
    assert not drag(window, window, QUrl("https://example.org/a.toml"))
    assert not drag(window, window, QUrl.fromLocalFile(str(flight)), QUrl.fromLocalFile(str(flight)))
    assert window.session.document is before
    assert not window.form.reading.acceptDrops()  # a path is not typed into the field that it falls on


def test_chart_and_solution_are_exported_from_the_menu(window: MainWindow, tmp_path: Path) -> None:
    answers(window, path=tmp_path / "chart.svg")
    QTest.keyClick(window, Qt.Key.Key_E, CTRL)
    assert b"<svg" in (tmp_path / "chart.svg").read_bytes()
    assert "chart.svg" in window.strips.shown["done"].words.text()
    window.form.reading.setText("29 34.5")
    for ending, part in ((".json", '"fixes": 4'), (".txt", "night.flight.toml: 11 sights")):
        answers(window, path=tmp_path / f"solution{ending}")
        QTest.keyClick(window, Qt.Key.Key_E, CTRL | Qt.KeyboardModifier.ShiftModifier)
        assert part in (tmp_path / f"solution{ending}").read_text(encoding="utf-8")
    answers(window, path=tmp_path / "solution.doc")
    window.documents.export_solution()
    assert ".json or .txt" in window.told.text()


@pytest.mark.parametrize(("answer", "closed"), [("cancel", False), ("discard", True), ("save", True)])
def test_a_typed_sight_counts_as_work_and_is_asked_about_once(window: MainWindow, answer: Answer, closed: bool) -> None:
    held = answers(window, answer)
    QTest.keyClicks(window.form.reading, "29 18")
    assert window.close() is closed
    assert held.said == [(False, "Polaris 2200 29 18")]


def test_one_question_for_flight_and_sight_together(window: MainWindow, flight: Path) -> None:
    held = answers(window, "save")
    retitle(window)
    QTest.keyClicks(window.form.reading, "29 18")
    assert window.close()
    assert held.said == [(True, "Polaris 2200 29 18")]
    assert read_flight(flight).flight.title == "Another"


def test_nothing_typed_nothing_asked(window: MainWindow) -> None:
    held = answers(window)
    assert window.close()
    assert held.asked == 0


def test_a_filed_sight_that_is_only_looked_at_is_no_work(window: MainWindow) -> None:
    held = answers(window)
    assert window.session.edit_sight("s9")
    assert window.close()
    assert held.asked == 0


def test_closing_is_called_off_where_saving_fails(window: MainWindow, monkeypatch: pytest.MonkeyPatch) -> None:
    def full(path: object, data: bytes) -> None:
        raise OSError(28, "No space left on device", str(path))

    answers(window, "save")
    retitle(window)
    with monkeypatch.context() as broken:
        broken.setattr("nightleg.flight.document.write_atomically", full)
        assert not window.close()
    assert window.isVisible() and window.session.modified
    answers(window, "discard")
    assert window.close()


def test_new_and_open_ask_too(window: MainWindow, flight: Path) -> None:
    held = answers(window, "cancel")
    retitle(window)
    QTest.keyClick(window, Qt.Key.Key_N, CTRL)
    window.open(flight)
    assert held.asked == 2 and window.session.document.flight.title == "Another"


def test_the_demo_is_in_no_file_and_saving_asks_where(qtbot: QtBot, demo: Document, tmp_path: Path) -> None:
    window = shown(qtbot, demo)
    answers(window, path=tmp_path / "mine.flight.toml")
    QTest.keyClick(window, Qt.Key.Key_S, CTRL)
    assert (tmp_path / "mine.flight.toml").read_text(encoding="utf-8") == demo.text


def test_body_and_time_of_a_shot_to_come_are_work_too(window: MainWindow) -> None:
    held = answers(window)
    for field, text in ((window.form.body, "Vega"), (window.form.time, "2212")):
        field.setFocus()
        field.selectAll()
        QTest.keyClicks(field, text)
    assert window.close()
    assert held.said == [(False, "Vega 2212")]


def test_a_body_that_is_only_looked_for_is_none(window: MainWindow) -> None:
    held = answers(window)
    window.form.body.setText("Vega")
    assert window.close()
    assert held.asked == 0


def test_text_that_a_field_of_the_flight_refuses_is_asked_about(window: MainWindow) -> None:
    held = answers(window, "cancel")
    window.to_flight()
    field = window.flight.legs.direction
    field.setFocus()
    field.selectAll()
    QTest.keyClicks(field, "26x")
    assert not window.close()
    assert held.useless == "Direction: 26x" and field.text() == "26x"
    QTest.keyClick(field, Qt.Key.Key_Backspace)
    assert window.session.refused == {}


def test_refused_text_goes_with_its_flight(window: MainWindow) -> None:
    answers(window)
    window.to_flight()
    field = window.flight.fields["start", "sigma_nm"]
    field.setFocus()
    field.selectAll()
    QTest.keyClicks(field, "two")
    window.documents.new()
    assert window.session.refused == {}
    assert field.text() == "2" and field.property("wrong") is not True
