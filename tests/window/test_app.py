"""Starting and leaving: files and words, saving first, exporting, and nothing left running."""

from __future__ import annotations

import threading
from collections.abc import Callable
from pathlib import Path

import pytest
from PySide6.QtCore import QTimer
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from nightleg.flight.document import Document
from nightleg.resources import scenario
from nightleg.window import app
from nightleg.window.dialogs import Answer
from nightleg.window.main import MainWindow

from .conftest import Answers, shown


def close_soon(then: Callable[[MainWindow], None] = lambda window: None) -> None:
    """Close the window that is about to open."""

    def close() -> None:
        for widget in QApplication.topLevelWidgets():
            if isinstance(widget, MainWindow) and widget.isVisible():
                then(widget)
                widget.close()
                widget.deleteLater()

    QTimer.singleShot(0, close)


def test_without_a_file_the_demo_opens(qtbot: QtBot) -> None:
    titles: list[str] = []
    close_soon(lambda window: titles.append(window.windowTitle()))
    assert app.run(None) == 0
    assert len(titles) == 1 and "Nightleg" in titles[0]


def test_a_file_opens(qtbot: QtBot, tmp_path: Path) -> None:
    path = tmp_path / "mine.flight.toml"
    path.write_bytes(scenario("demo").read_bytes())
    titles: list[str] = []
    close_soon(lambda window: titles.append(window.windowTitle()))
    assert app.run(path) == 0
    assert "mine.flight.toml" in titles[0]


@pytest.mark.parametrize(
    ("text", "said"),
    [
        (None, "no such file"),
        ('format = "nightleg-flight-1"\n', "start"),
        (
            'format = "nightleg-flight-1"\n[start]\ntime = 2060-01-01T00:00:00Z\nposition = "0 0"\n[[leg]]\n'
            'time = 2060-01-01T00:00:00Z\nheading_deg = 0\ntas_kt = 100\nwind = "0/0"\naltitude_ft = 0\n'
            '[[sight]]\nid = "s1"\nbody = "Vega"\ntime = 2060-01-01T00:10:00Z\nhs = "40"\n',
            "2053",
        ),
    ],
)
def test_what_cannot_be_opened_is_told_on_standard_error(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], text: str | None, said: str
) -> None:
    path = tmp_path / "bad.flight.toml"
    if text is not None:
        path.write_text(text, encoding="utf-8")
    assert app.run(path) == 1
    error = capsys.readouterr().err
    assert str(path) in error and said in error
    assert "Traceback" not in error


@pytest.mark.parametrize(("answer", "closed"), [("cancel", False), ("discard", True), ("save", True)])
def test_changes_are_asked_about_before_they_are_lost(
    qtbot: QtBot, demo: Document, tmp_path: Path, answer: Answer, closed: bool
) -> None:
    window = shown(qtbot, demo)
    path = tmp_path / "kept.flight.toml"
    asking = Answers(answer, path)
    window.dialogs = asking
    window.form.reading.setText("29 32.5")
    window.form.file()
    assert window.close() is closed
    assert asking.asked == 1
    assert path.exists() is (answer == "save")
    window.session.undo_stack.setClean()


@pytest.mark.parametrize("ending", ["png", "svg", "pdf"])
def test_the_chart_is_exported(window: MainWindow, tmp_path: Path, ending: str) -> None:
    path = tmp_path / f"chart.{ending}"
    window.export(path)
    assert path.stat().st_size > 5000
    assert window.told.text() == ""


def test_an_export_that_cannot_be_is_told(window: MainWindow, tmp_path: Path) -> None:
    window.export(tmp_path / "chart.bmp")
    assert ".png, .svg or .pdf" in window.told.text()
    window.export(tmp_path / "none" / "chart.png")
    assert "No chart written" in window.told.text()
    assert list(tmp_path.iterdir()) == []


def test_opening_another_flight_shows_it(window: MainWindow, tmp_path: Path) -> None:
    text = scenario("demo").read_text(encoding="utf-8").replace("Dusk to LANTERN", "Another crossing")
    path = tmp_path / "other.flight.toml"
    path.write_text(text, encoding="utf-8")
    window.open(path)
    assert "Another crossing" in window.windowTitle()
    assert window.header.title.whole == "Another crossing"


def test_nothing_runs_on_after_the_window_is_gone(qtbot: QtBot, demo: Document) -> None:
    threads = set(threading.enumerate())
    window = shown(qtbot, demo)
    window.canvas.pan(10.0, 10.0)
    timers = window.findChildren(QTimer)
    window.close()
    QTest.qWait(400)
    assert not any(timer.isActive() for timer in timers)
    assert set(threading.enumerate()) == threads
