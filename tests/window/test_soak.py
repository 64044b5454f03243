"""Twelve hours of flight at rate 60 with ten thousand things done meanwhile: memory stays flat, and nothing breaks."""

from __future__ import annotations

import gc
import weakref

import pytest
import shiboken6
from PySide6.QtCore import QEvent
from PySide6.QtGui import QGuiApplication
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from nightleg.flight.document import Document

from .conftest import shown
from .hand import Hand, Held, twelve_hours

ACTS = 10_000
WARM = 4_000
"""After so many all that is kept to be quick is kept: answers, coasts, texts, glyphs."""
ACTS_A_FRAME = 14
"""A second of real time, a minute of flight, and a painted frame for each so many: twelve hours in all."""


@pytest.mark.slow
@pytest.mark.timeout(900)
def test_twelve_hours_and_ten_thousand_edits(qtbot: QtBot) -> None:
    document = twelve_hours()
    window = shown(qtbot, document)
    window.canvas.board.lay()  # else it comes at the first touch, in the middle of the measurement
    hand, session, ticker = Hand(window, seed=20260314), window.session, window.ticker
    while ticker.clock.rate < 60:
        ticker.faster()
    ticker.to_start()
    held: dict[int, Held] = {}
    steps = 0
    for number in range(ACTS):
        hand.act()
        if number % ACTS_A_FRAME == 0:
            if not ticker.running:
                ticker.run()
            hand.fly(1.0)
            qtbot.wait(0)
        if number in (WARM, ACTS - 1):
            held[number] = Held.by(window)
            steps = max(steps, session.undo_stack.count())
    ticker.pause()
    warm, end = held[WARM], held[ACTS - 1]
    print(f"{hand.done}\n{warm}\n{end}\n{session.undo_stack.count()} steps")
    assert sum(hand.done.values()) == ACTS and min(hand.done.values()) > 5
    # One for each hundred acts would be 60; what is open at one of the two moments only is a handful.
    assert end.objects - warm.objects < 15
    assert end.widgets - warm.widgets < 15
    assert end.windows - warm.windows <= 2
    assert end.items - warm.items <= 1
    # Steps to be undone are held as the text that changes, some twenty objects each; a step of the clock is none.
    assert end.python - warm.python < 10_000
    assert end.rss_mb - warm.rss_mb < 40.0  # a scene left at each frame would be 100 MB
    session.undo_stack.setIndex(0)
    assert session.document.text == document.text
    assert session.document.flight == document.flight


def test_a_closed_window_leaves_nothing(qtbot: QtBot, demo: Document) -> None:
    def open_and_close() -> tuple[int, int, int]:
        window = shown(qtbot, demo)
        gone = weakref.ref(window)
        QTest.keyClicks(window.form.reading, "29 34.5")
        window.close()
        window.deleteLater()
        QApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete)
        assert not shiboken6.isValid(window)
        del window
        gc.collect()
        assert gone() is None
        return (
            len(QApplication.topLevelWidgets()),
            len(QApplication.allWidgets()),
            len(QGuiApplication.topLevelWindows()),
        )

    open_and_close()
    assert open_and_close() == open_and_close() == (0, 0, 0)
