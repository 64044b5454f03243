"""What is said for a while lies over the chart, which keeps its size."""

from __future__ import annotations

import pytest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from nightleg.flight.document import Document
from nightleg.window.strips import Strip

from .conftest import shown

LONG = "This cannot be worked, " + "for reasons that take more than one line to tell, " * 5


@pytest.mark.parametrize("width", [1000, 1366])
def test_words_come_and_go_and_the_chart_stands(qtbot: QtBot, demo: Document, width: int) -> None:
    window = shown(qtbot, demo, width, 768)
    canvas = window.canvas
    size, view = canvas.size(), canvas.view
    window.first_steps.show()
    window.strips.put("another", Strip("Another", LONG, ("OK", lambda: None)))
    window.session.told.emit(LONG)
    qtbot.wait(50)
    assert canvas.size() == size and canvas.view == view
    strips, told, room = window.strips.geometry(), window.told.geometry(), canvas.geometry()
    assert strips.topLeft() == room.topLeft() and strips.width() == room.width() == told.width()
    assert told.bottomLeft() == room.bottomLeft() and strips.bottom() < told.top()
    for words in (window.told, *(strip.words for strip in window.strips.shown.values())):
        assert words.isVisible() and words.height() >= words.heightForWidth(words.width())
    window.resize(width + 200, 800)
    qtbot.wait(50)
    assert window.strips.width() == window.told.width() == canvas.width()
    assert window.told.geometry().bottom() == canvas.geometry().bottom()
    window.strips.take("another")
    window.strips.take("first steps")
    window.session.told.emit("")
    QApplication.processEvents()
    assert not window.strips.isVisible() and not window.told.isVisible()
    window.session.told.emit("Short again")
    qtbot.wait(50)
    assert window.told.height() < told.height() and window.told.geometry().bottom() == canvas.geometry().bottom()
