"""Odd texts in each field, disks that refuse, times beyond all: a word at its place, and what was typed stays."""

from __future__ import annotations

import errno
import os
from datetime import timedelta
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QLineEdit
from pytestqt.qtbot import QtBot

from nightleg.flight import document as document_module
from nightleg.flight.document import Document
from nightleg.flight.edits import Put
from nightleg.flight.read import read_flight
from nightleg.resources import scenario
from nightleg.sky.ephemeris import LAST
from nightleg.window.log.model import WRONG_MARK
from nightleg.window.main import MainWindow

from .conftest import Answers, shown
from .hand import eastward
from .test_any_order import ODD, paste

# What no number, time or name of a body can be.
_READINGS = ("24 60.0", "−29°34.5′", "29\t34\n5")
NEVER = [text for text in ODD if text.strip() and not text.isdecimal() and text not in _READINGS]


def said(window: MainWindow) -> str:
    """All that is told above and under the chart."""
    return " ".join([window.told.text(), *(strip.words.text() for strip in window.strips.shown.values())])


def sight_fields(window: MainWindow) -> tuple[QLineEdit, ...]:
    return window.form.body, window.form.time, window.form.reading


@pytest.mark.parametrize("number", range(3), ids=["body", "time", "reading"])
def test_odd_texts_stay_in_the_sight_form_and_are_told_of(window: MainWindow, number: int) -> None:
    field, session = sight_fields(window)[number], window.session
    text, good = session.document.text, field.text()
    for odd in NEVER:
        if number == 2 and ";" in odd:
            continue  # readings in a row, which go to the table of the series
        taken = paste(field, odd)
        QTest.keyClick(field, Qt.Key.Key_Tab)
        assert field.text() == taken
        assert session.typed.remarks, odd
        QTest.keyClick(field, Qt.Key.Key_Return)  # it cannot be filed
        assert session.document.text == text
        window.ticker.to_start()  # and stays whatever goes on beside it
        window.ticker.all_entries()
        assert field.text() == taken
    field.setText(good)
    window.form.reading.setText("29 34.5")
    assert session.worked.typed_id is not None


def test_odd_texts_in_the_flight_form_change_nothing(qtbot: QtBot, window: MainWindow) -> None:
    window.to_flight()
    QApplication.processEvents()
    session = window.session
    fields = [one for one in window.flight.findChildren(QLineEdit) if one.isVisible() and one.isEnabled()]
    assert len(fields) > 12
    numbers = 0
    for field in fields:
        before, good = session.document.text, field.text()
        for odd in ("nan", "1e999", "\u202e12\u202c", "🌟", "12 cows"):
            taken = paste(field, odd)
            QTest.keyClick(field, Qt.Key.Key_Tab)
            if session.document.text == before:
                assert field.text() in (taken, good)  # it is still there, with its words; or given up in words
                numbers += 1
                assert field.text() == good or field.accessibleDescription(), (field.accessibleName(), odd)
            assert field.text() == taken or field.text() == good, (field.accessibleName(), odd)
            session.undo_stack.setIndex(0)
            field.setFocus()
            QTest.keyClick(field, Qt.Key.Key_Escape)
            window.to_flight()
        assert session.document.text == before
    assert numbers > 3 * len(fields)  # most fields hold numbers; a name may be anything


@pytest.mark.parametrize("column", ["time", "entry", "reading", "use"])
def test_odd_texts_in_the_log_stay_in_their_cell(window: MainWindow, column: str) -> None:
    model, session = window.log.log, window.session
    before = session.document.text
    row = model.number_of(("sight", "s10"))
    assert row is not None
    index = model.index(row, model.columns.index(column))
    for odd in NEVER:
        words = model.enter(index, odd)
        assert words and session.document.text == before, odd
        assert str(index.data()) == f"{WRONG_MARK}{odd}"
    model.forget(index)
    assert WRONG_MARK not in str(index.data())


@pytest.mark.parametrize("code", [errno.ENOSPC, errno.EROFS, errno.EACCES, errno.EIO, errno.EDQUOT])
def test_a_disk_that_refuses_is_told_of_and_all_is_kept(
    qtbot: QtBot, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, code: int
) -> None:
    path = tmp_path / "night.flight.toml"
    path.write_bytes(scenario("demo").read_bytes())
    window = shown(qtbot, read_flight(path))
    session, asked = window.session, Answers("cancel")
    window.dialogs = asked
    assert session.edit("title", Put((), "title", "Mine"))
    QTest.keyClicks(window.form.reading, "29 3")
    old = path.read_bytes()

    def refuse(target: Path, data: bytes, **rest: object) -> None:
        raise OSError(code, os.strerror(code), str(target))

    with monkeypatch.context() as patch:
        patch.setattr(document_module, "write_atomically", refuse)
        assert not window.save()
        assert os.strerror(code) in said(window) and "Errno" not in said(window)
        assert session.modified and path.read_bytes() == old
        asked.first = "save"  # closing saves, which fails, so that it stays open
        assert not window.close() and window.isVisible()
        QTest.keyClicks(window.form.reading, "4.5")
        assert window.form.reading.text() == "29 34.5" and session.worked.typed_id is not None
        asked.first = "discard"
    assert window.save() and read_flight(path).flight.title == "Mine"
    assert not session.modified and window.form.reading.text() == "29 34.5"


def test_a_file_and_its_folder_that_vanish_are_made_good_elsewhere(qtbot: QtBot, tmp_path: Path) -> None:
    folder = tmp_path / "flights"
    folder.mkdir()
    path = folder / "night.flight.toml"
    path.write_bytes(scenario("demo").read_bytes())
    window = shown(qtbot, read_flight(path))
    assert window.session.edit("title", Put((), "title", "Mine"))
    path.unlink()
    folder.rmdir()
    window.dialogs = Answers(path=tmp_path / "other.flight.toml", version="mine")
    assert not window.save()
    assert said(window) and window.session.modified
    assert window.save_as()
    assert read_flight(tmp_path / "other.flight.toml").flight.title == "Mine"


def test_beyond_the_flight_and_the_ephemeris_the_work_goes_on(window: MainWindow, demo: Document) -> None:
    ticker, session = window.ticker, window.session
    last = session.now
    for when, pole in ((last + timedelta(hours=40), False), (last + timedelta(days=3), True), (LAST, True)):
        before = session.now
        ticker.set(when)
        QApplication.processEvents()
        # Off to the south-east at 223 kt from 29° N the DR comes to the pole some 65 hours on.
        assert ("pole" in window.told.text()) is pole
        assert session.now == ticker.clock.now == (before if pole else when)
        QTest.keyClicks(window.form.reading, "29 34.5")
        assert window.form.reading.text() == "29 34.5"
        assert session.worked.sight is not None and not session.typed.remarks
        window.form.reading.clear()
        ticker.run()
        ticker.pause()
    assert session.edit("wind", Put(("leg", 0), "wind", "310/60"))
    session.undo_stack.undo()
    ticker.all_entries()
    assert session.document.text == demo.text


def test_a_clock_of_years_is_drawn_and_stops_at_the_end_of_the_ephemeris(qtbot: QtBot) -> None:
    """On a leg due east no pole ends the course."""
    window = shown(qtbot, eastward())
    window.ticker.set(LAST)
    QApplication.processEvents()
    assert window.session.now == LAST
    window.ticker.run()
    assert not window.ticker.running and "2053-10-08" in window.told.text()
