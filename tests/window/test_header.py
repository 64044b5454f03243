"""The strip above the chart: what it says, what goes where there is little room, and the clock set by typing."""

from __future__ import annotations

from datetime import timedelta

import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from nightleg.flight.document import Document
from nightleg.units.positions import write_position
from nightleg.units.times import write_clock, write_date
from nightleg.window.ahead import ahead
from nightleg.window.header import DROPPED, SAMPLES
from nightleg.window.main import MainWindow

from .conftest import shown


def test_it_says_what_the_solution_says(window: MainWindow) -> None:
    window.ticker.set(window.session.document.flight.start.time + timedelta(minutes=125, seconds=7))
    session, cells = window.session, window.header.cells
    state = session.worked.solution.dr[-1]
    point = ahead(session.document.flight, state)
    assert point is not None and point.heading_deg is not None
    assert window.header.clock.text() == "1955:07"
    assert cells["DR position"][1].text() == write_position(state.position)
    assert cells["ground speed"][1].text() == f"{state.gs_kt:.0f} kt"
    assert cells["DR 1σ"][1].text() == f"{state.sigma_nm:.1f} NM"
    assert cells["next"][0].text() == "next  GANNET"
    assert cells["next"][1].text().startswith(f"{point.distance_nm:.0f} NM")
    assert cells["steer"][1].text() == f"{point.heading_deg:03.0f}°"
    assert cells["to do"][1].text() == "shoot Schedar, 1:50 left"  # 1956 by a watch 3.6 s fast


def test_at_opening_it_asks_for_the_reading_that_waits(window: MainWindow) -> None:
    assert window.header.cells["to do"][1].text() == "enter Polaris"
    assert window.header.shown.text() == "all entries"
    window.ticker.to_start()
    assert window.header.shown.text() == "as known then"


@pytest.mark.parametrize("width", [1000, 1366, 1920])
def test_the_least_important_goes_first_and_nothing_is_clipped(qtbot: QtBot, demo: Document, width: int) -> None:
    window = shown(qtbot, demo, width, 768)
    header = window.header
    window.ticker.set(window.ticker.moments[4])
    for minutes in (0, 83, 117, 190):
        window.ticker.set(window.ticker.moments[0] + timedelta(minutes=minutes, seconds=13))
        QApplication.processEvents()
        here = [name for name in SAMPLES if header.cells[name][1].isVisible()]
        gone = [name for name in DROPPED if name not in here and header.cells[name][1].text()]
        assert gone == [name for name in DROPPED if header.cells[name][1].text()][: len(gone)]
        assert "DR position" in here and "to do" in here
        for name in here:
            for part in header.cells[name]:
                assert part.width() >= part.sizeHint().width(), part.text()
        right = header.run.mapTo(header, QPoint(header.run.width(), 0)).x()
        assert right <= header.width() <= window.width()
        missed = set(SAMPLES) - set(here) - {"grid track", "due"}  # the demo has no grid and no time due
        assert missed <= {1000: set(DROPPED[:7]), 1366: {"DR 1σ"}, 1920: set()}[width]


def test_nothing_moves_as_figures_change(window: MainWindow) -> None:
    places = set()
    for second in range(0, 60, 7):
        window.ticker.set(window.ticker.moments[4] + timedelta(seconds=second + 1))
        QApplication.processEvents()
        places.add(tuple(window.header.cells[name][1].x() + window.header._cells[name].x() for name in SAMPLES))
    assert len(places) == 1


@pytest.mark.parametrize("width", [1366, 1920])
def test_seconds_come_and_go_without_a_shift(qtbot: QtBot, demo: Document, width: int) -> None:
    window = shown(qtbot, demo, width, 768)
    places, texts = set(), set()
    for seconds in (0, 30, 0):
        window.ticker.set(demo.flight.start.time + timedelta(minutes=125, seconds=seconds))
        QApplication.processEvents()
        header = window.header
        cells = [header._cells[name].x() for name in SAMPLES if header.cells[name][1].isVisible()]
        places.add((header.zone.x(), *cells))
        texts.add(header.clock.text())
    assert {len(text) for text in texts} == {4, 7} and len(places) == 1


def test_before_a_projector_the_way_ahead_stays(qtbot: QtBot, demo: Document) -> None:
    window = shown(qtbot, demo, 1366, 768)
    QTest.keyClick(window, Qt.Key.Key_F11)
    QApplication.processEvents()
    assert all(window.header.cells[name][1].isVisible() for name in ("DR position", "next", "steer", "to do"))
    QTest.keyClick(window, Qt.Key.Key_F11)
    QApplication.processEvents()
    assert window.header.shown.isVisible()


def test_the_clock_is_set_by_typing(window: MainWindow) -> None:
    reading = window.form.reading
    reading.setFocus()
    QTest.keyClick(reading, Qt.Key.Key_T, Qt.KeyboardModifier.ControlModifier)
    entry = window.header.entry
    assert entry.hasFocus() and not window.header.clock.isVisible()
    QTest.keyClicks(entry, "201530")
    QTest.keyClick(entry, Qt.Key.Key_Return)
    assert window.header.clock.text() == "2015:30" and window.header.clock.isVisible()
    assert window.session.now.day == 18 and window.session.clock_set
    assert reading.hasFocus()


def test_a_wrong_time_is_told_beside_it_and_escape_leaves_the_clock(window: MainWindow) -> None:
    now, entry = window.session.now, window.header.entry
    window.header.ask()
    QTest.keyClicks(entry, "2475")
    QTest.keyClick(entry, Qt.Key.Key_Return)
    assert entry.text() == "2475" and entry.hasFocus()
    assert window.header.remark.isVisible() and "hour 24" in window.header.remark.text()
    assert "hour 24" in entry.accessibleDescription()
    QTest.keyClick(entry, Qt.Key.Key_Backspace)
    assert not window.header.remark.isVisible()
    QTest.keyClick(entry, Qt.Key.Key_Escape)
    assert window.header.clock.isVisible() and window.session.now == now and not window.session.clock_set


def test_leaving_the_field_leaves_the_clock(window: MainWindow) -> None:
    window.header.ask()
    QTest.keyClicks(window.header.entry, "2015")
    window.form.reading.setFocus()
    assert window.header.clock.isVisible() and not window.session.clock_set


def test_without_a_route_and_a_plan_it_is_shorter(qtbot: QtBot, demo: Document) -> None:
    text = demo.text
    head, _, tail = text.partition("# ---- Route ----")
    _, _, legs = tail.partition("# ---- Legs ----")
    from nightleg.flight.read import parse_flight

    window = shown(qtbot, parse_flight(head + legs.partition("[next_sight]")[0]))
    assert window.header.cells["next"][1].text() == "—" and window.header.cells["steer"][1].text() == "—"
    assert not window.header.cells["to do"][1].isVisible()


def test_the_date_stands_beside_the_clock_and_changes_at_midnight(window: MainWindow) -> None:
    start = window.session.document.flight.start.time
    window.ticker.set(start)
    assert window.header.zone.text() == f"GMT\n{write_date(start, short=True)}"
    window.ticker.set(start + timedelta(days=1))
    assert window.header.zone.text() == f"GMT\n{write_date(start + timedelta(days=1), short=True)}"
    assert write_date(start + timedelta(days=1)) in window.header.clock.accessibleName()


def test_the_dr_says_which_fix_it_sets_out_from(window: MainWindow) -> None:
    cells = window.header.cells
    window.ticker.to_start()
    assert cells["DR position"][0].text() == "DR position"
    first = next(fix for fix in window.session.document.flight.fixes if fix.adopt)
    window.ticker.set(first.time)
    made = window.session.worked.solution.fix(first.id)
    assert made.position is not None
    assert cells["DR position"][0].text() == f"DR from fix {write_clock(first.time)}"
    assert cells["DR position"][1].text() == write_position(made.position)
    window.canvas.hovered.emit(made.position)
    assert window.read_out.text().endswith("0.0 NM from the fix")


def test_past_the_end_of_the_route_nothing_is_steered_for(window: MainWindow) -> None:
    cells = window.header.cells
    window.ticker.set(window.session.document.flight.start.time + timedelta(hours=12))
    last = window.session.document.flight.waypoints[-1].name
    assert cells["next"][0].text() == f"past  {last}"
    assert cells["next"][1].text().endswith("NM behind")
    assert cells["steer"][1].text() == "—"
    assert last not in cells["to do"][1].text()
