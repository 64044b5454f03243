"""A window on the demo flight, with dialogs that answer by themselves."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path

import pytest
from PySide6.QtCore import QCoreApplication, QEvent, QPoint
from PySide6.QtWidgets import QApplication, QWidget
from pytestqt.qtbot import QtBot

from nightleg.chart.canvas import ChartCanvas
from nightleg.chart.scene import ChartScene, scene
from nightleg.chart.themes import THEMES
from nightleg.flight.document import Document
from nightleg.flight.solve import solve
from nightleg.window.app import document, main_window
from nightleg.window.dialogs import Answer, Dialogs, Versions
from nightleg.window.documents.folders import VARIABLE
from nightleg.window.main import MainWindow

# What the platform that draws in memory remarks on: it has no frame, no other windows and no keyboard of its own.
_IN_MEMORY = (
    "does not support propagateSizeHints",
    r"does not support raise\(\)",
    "does not support grabbing the keyboard",
)


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Let those remarks pass in the window's tests; any other message of Qt fails them."""
    for item in items:
        if Path(__file__).parent in item.path.parents:
            item.add_marker(pytest.mark.qt_log_ignore(*_IN_MEMORY, extend=True))


CANVAS = (900, 600)
"""The size of a canvas by itself, px."""


class Answers(Dialogs):
    """Dialogs answered before they are asked."""

    def __init__(self, first: Answer = "discard", path: Path | None = None, version: Versions = "cancel") -> None:
        self.first, self.path, self.version = first, path, version
        self.folder = ""
        self.asked = 0
        self.useless = ""
        self.said: list[tuple[bool, str]] = []

    def open_path(self) -> Path | None:
        return self.path

    def save_path(self, old: Path | None) -> Path | None:
        return self.path

    def chart_path(self) -> Path | None:
        return self.path

    def solution_path(self) -> Path | None:
        return self.path

    def save_first(self, changed: bool = True, typed: str = "", useless: str = "") -> Answer:
        self.asked += 1
        self.useless = useless
        self.said.append((changed, typed))
        return self.first

    def versions(self, name: str) -> Versions:
        self.asked += 1
        return self.version


def shown(qtbot: QtBot, held: Document, width: int = 1366, height: int = 768) -> MainWindow:
    """A window that has been painted."""
    window = main_window(held)
    window.dialogs = Answers()
    qtbot.addWidget(window)
    window.resize(width, height)
    with qtbot.waitExposed(window):
        window.show()
    qtbot.waitUntil(lambda: window.canvas.item.paintings > 0, timeout=20000)
    return window


@pytest.fixture(autouse=True)
def _taken_down() -> Iterator[None]:
    """After a test, and after qtbot has closed its windows: delete them now, not while the next test runs."""
    yield
    QCoreApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete)
    assert not QApplication.topLevelWidgets(), "a test left a window, a dialog or a menu behind"


@pytest.fixture(autouse=True)
def home(tmp_path_factory: pytest.TempPathFactory, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Settings and recovery copies of a test, apart from those of whoever runs it."""
    folder = tmp_path_factory.mktemp("home")
    monkeypatch.setenv(VARIABLE, str(folder))
    return folder


@pytest.fixture(scope="session")
def demo() -> Document:
    """The demo flight, read once."""
    return document(None)


@pytest.fixture
def window(qtbot: QtBot, demo: Document) -> Iterator[MainWindow]:
    """The window on the demo flight."""
    made = shown(qtbot, demo)
    yield made
    made.session.undo_stack.setClean()


@pytest.fixture(scope="module")
def picture(demo: Document) -> ChartScene:
    """The demo flight's scene at its end."""
    end = max(fix.time for fix in demo.flight.fixes) + timedelta(minutes=5)
    return scene(demo.flight, solve(demo.flight, end), end)


@pytest.fixture
def canvas(qtbot: QtBot, picture: ChartScene) -> ChartCanvas:
    """A canvas that has been painted."""
    made = ChartCanvas(THEMES["paper"])
    qtbot.addWidget(made)
    made.resize(*CANVAS)
    made.show_scene(picture)
    with qtbot.waitExposed(made):
        made.show()
    qtbot.waitUntil(lambda: made.item.paintings > 0, timeout=20000)
    return made


def viewport(canvas: ChartCanvas) -> QWidget:
    """The part of a canvas that takes the mouse."""
    found = canvas.childAt(QPoint(CANVAS[0] // 2, CANVAS[1] // 2))
    assert found is not None
    return found
