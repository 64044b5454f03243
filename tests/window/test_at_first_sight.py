"""What a person sees without looking for it: the newest entries, the leg that is flown, answers that were asked for."""

from __future__ import annotations

from datetime import timedelta

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QColor
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from nightleg.chart.themes import THEMES, ThemeName
from nightleg.flight.document import Document
from nightleg.flight.edits import Put
from nightleg.window.look import look
from nightleg.window.main import MainWindow

from .conftest import shown


def rows_seen(window: MainWindow) -> int:
    """Whole rows of the log in its room."""
    return window.log.viewport().height() // window.log.verticalHeader().defaultSectionSize()


def luminance(colour: str) -> float:
    """Relative luminance by WCAG 2.2."""
    of = QColor(colour)
    parts = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in (of.redF(), of.greenF(), of.blueF())]
    return 0.2126 * parts[0] + 0.7152 * parts[1] + 0.0722 * parts[2]


def contrast(one: str, other: str) -> float:
    """Contrast ratio by WCAG 2.2."""
    low, high = sorted((luminance(one), luminance(other)))
    return (high + 0.05) / (low + 0.05)


@pytest.mark.parametrize("height", [768, 1080])
def test_the_log_opens_at_its_newest_row(qtbot: QtBot, demo: Document, height: int) -> None:
    window = shown(qtbot, demo, 1366, height)
    for _ in range(3):
        QApplication.processEvents()  # what the views put off
    bar = window.log.verticalScrollBar()
    assert bar.maximum() > 0 and bar.value() == bar.maximum()
    last = window.log.log.index(len(window.log.log.rows) - 1, 0)
    assert window.log.viewport().rect().contains(window.log.visualRect(last))


def test_more_height_is_more_rows_of_the_log_and_more_chart(qtbot: QtBot, demo: Document) -> None:
    low, high = shown(qtbot, demo, 1366, 768), shown(qtbot, demo, 1920, 1080)
    assert rows_seen(low) >= 4
    assert rows_seen(high) >= rows_seen(low) + 2
    assert high.canvas.height() >= low.canvas.height() + 200


def test_the_flight_form_opens_on_the_leg_that_is_flown(window: MainWindow) -> None:
    legs = window.session.document.flight.legs
    window.ticker.set(legs[2].time + timedelta(minutes=1))
    window.to_flight()
    assert window.flight.legs.number == 2
    window.flight.legs.choose(0)
    window.to_sight()
    window.to_flight()
    assert window.flight.legs.number == 0  # the one that was being worked on


def test_the_grid_stands_last_in_the_flight_form_and_bank_is_read_whole(qtbot: QtBot, window: MainWindow) -> None:
    window.to_flight()
    QApplication.processEvents()
    form = window.flight
    assert all(form.grid.y() > field.mapTo(form, field.rect().bottomLeft()).y() for field in form.fields.values())
    for key in ("altitude_ft", "temperature_c", "bank_deg"):
        field = form.legs.plain[key]
        room = field.width() - 18  # less frame and padding
        assert field.fontMetrics().horizontalAdvance(field.placeholderText()) <= room, key


def test_a_reading_that_is_entered_is_no_shot_to_be_taken(window: MainWindow) -> None:
    QTest.keyClicks(window.form.reading, "2934.5")
    QTest.keyClick(window.form.reading, Qt.Key.Key_Return)
    assert window.session.document.flight.sights[-1].body == "Polaris"
    assert "Polaris" not in window.header.cells["to do"][1].text()
    window.ticker.set(window.session.now)  # on the clock it is being taken, and not known before it is over
    assert window.header.cells["to do"][1].text().startswith("shoot Polaris")


def test_explanations_that_are_asked_for_come_into_view_with_their_buttons(qtbot: QtBot, window: MainWindow) -> None:
    suspects = window.fix.suspects
    QTest.keyClicks(window.form.reading, "2934.5")
    QTest.keyClick(window.form.reading, Qt.Key.Key_Return)
    number = [sight.id for sight in window.session.document.flight.sights].index("s11")
    assert window.session.edit("reading of s11", Put(("sight", number), "hs", "49 28.0"))  # one degree too high
    QTest.keySequence(window, "Shift+F9")
    qtbot.waitUntil(lambda: suspects.found is not None, timeout=20000)
    QApplication.processEvents()
    for part in (suspects.words, suspects.list, suspects.try_button, suspects.adopt_button):
        assert part.isVisible()
        below = part.mapTo(window.side, part.rect().bottomLeft()).y()
        assert below <= window.side.viewport().geometry().bottom()


@pytest.mark.parametrize("name", list(THEMES))
def test_the_row_of_the_cursor_stands_out_and_is_read(name: ThemeName) -> None:
    of = look(THEMES[name])
    assert contrast(of.chosen, of.panel) >= 1.08  # a tint beside the rows about it; bold type and focus say it as well
    assert contrast(of.ink, of.chosen) >= 4.5
