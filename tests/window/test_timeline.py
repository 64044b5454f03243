"""The time line: its scale and ticks, its marks, and what mouse and keys do on it."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st
from PySide6.QtCore import QEvent, QPoint, QPointF, Qt
from PySide6.QtGui import QHelpEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QToolTip

from nightleg.flight.document import Document
from nightleg.flight.solve import solve
from nightleg.units.times import gmt_s
from nightleg.window.clock.marks import Mark, TimeScale, marks, scale_of, ticks
from nightleg.window.clock.paint import place_of
from nightleg.window.log.entries import entries
from nightleg.window.main import MainWindow
from nightleg.window.worked import last_entry

START = datetime(2026, 3, 14, 22, 3, tzinfo=UTC)
LABEL_PX = 36.0


@given(st.floats(30.0, 14 * 60.0), st.floats(500.0, 3800.0))
def test_ticks_are_readable_from_half_an_hour_to_fourteen(minutes: float, width: float) -> None:
    scale = scale_of(START, START + timedelta(minutes=minutes), 20.0, width)
    made = ticks(scale, LABEL_PX)
    lettered = [tick for tick in made if tick.text]
    assert 3 <= len(lettered) <= width / LABEL_PX
    assert all(b.x - a.x >= 6.0 - 1e-6 for a, b in pairwise(made))
    assert all(b.x - a.x >= 1.5 * LABEL_PX for a, b in pairwise(lettered))
    assert all(20.0 - 1e-6 <= tick.x <= 20.0 + width + 1e-6 for tick in made)


def test_hours_and_tens_of_minutes_have_ticks_of_their_own() -> None:
    made = ticks(scale_of(START, START + timedelta(hours=4), 0.0, 1300.0), LABEL_PX)
    assert {tick.text for tick in made if tick.size == 2} >= {"2300", "15 Mar", "0100", "0200"}
    tens = [tick for tick in made if tick.size == 1]
    assert len(tens) >= 15


@given(st.floats(0.0, 14 * 60.0), st.integers(0, 59))
def test_the_scale_holds_the_flight_and_room_after_it(minutes: float, second: int) -> None:
    last = START + timedelta(minutes=minutes, seconds=second)
    scale = scale_of(START, last, 20.0, 1000.0)
    assert scale.x(START) == pytest.approx(20.0)
    assert 20.0 <= scale.x(last) < 1020.0
    assert scale.last_s % 600.0 == 0.0


def test_the_scale_stands_while_time_moves_on_for_minutes() -> None:
    scales = {scale_of(START, START + timedelta(hours=4, seconds=s), 0.0, 1000.0) for s in range(0, 1800, 5)}
    assert len(scales) <= 3


def test_a_px_is_a_whole_minute_or_ten_seconds() -> None:
    wide = TimeScale(gmt_s(START), gmt_s(START) + 14 * 3600.0, 0.0, 1000.0)
    assert wide.time(123.4).second == 0
    narrow = TimeScale(gmt_s(START), gmt_s(START) + 1800.0, 0.0, 1000.0)
    assert narrow.time(123.4) == START + timedelta(seconds=220)
    assert wide.time(-50.0) == START and wide.time(1e6) == START + timedelta(hours=14)


def of_kind(found: tuple[Mark, ...], kind: str) -> list[Mark]:
    return [mark for mark in found if mark.kind == kind]


def test_everything_of_a_flight_has_its_mark(demo: Document) -> None:
    flight = demo.flight
    found = marks(flight, solve(flight, last_entry(flight)))
    shots, fixes = of_kind(found, "shot"), of_kind(found, "fix")
    assert len(shots) == len(flight.sights) + 1  # and the one that waits
    assert len(fixes) == len(flight.fixes) and len(of_kind(found, "remark")) == len(flight.log)
    assert len(of_kind(found, "leg")) == len(flight.legs) - 1
    sun = next(mark for mark in shots if mark.name == "Sun")
    lasts_s = (sun.end - sun.begin).total_seconds()  # from the first reading to the last
    assert lasts_s == pytest.approx(120.0, abs=0.01)  # the watch gains 1.8 s a day
    assert not next(mark for mark in shots if mark.id == "s3").used
    assert "waits" in next(mark for mark in shots if not mark.id).text
    assert "intercept" not in sun.text and "fix f1" in sun.text and "NM" in sun.text


def test_the_sight_being_typed_is_marked_as_that(window: MainWindow) -> None:
    QTest.keyClicks(window.form.reading, "29 34.5")
    typed = [mark for mark in window.timeline.marks if mark.kind == "shot" and not mark.id]
    assert [mark.name for mark in typed] == ["Polaris"] and "being typed" in typed[0].text


def at(window: MainWindow, mark: Mark) -> QPoint:
    line = window.timeline
    return place_of(mark, line.scale, window.timeline._look.base_px).center().toPoint()


def mark_of(window: MainWindow, kind: str, id: str) -> Mark:
    return next(mark for mark in window.timeline.marks if (mark.kind, mark.id) == (kind, id))


def test_dragging_moves_flight_time_and_the_chart_with_it(window: MainWindow) -> None:
    line = window.timeline
    y = round(line.axis_y())
    x = round(line.scale.x(window.ticker.moments[0]) + 333)
    QTest.mousePress(line, Qt.MouseButton.LeftButton, pos=QPoint(x, y))
    assert window.session.now == line.scale.time(x)
    scene = window.canvas.scene
    assert scene is not None and scene.now == window.session.now
    for step in (40, 80, -200):
        QTest.mouseMove(line, QPoint(x + step, y))
        assert window.session.now == line.scale.time(x + step)
        assert window.canvas.scene is not None and window.canvas.scene.now == window.session.now
    QTest.mouseRelease(line, Qt.MouseButton.LeftButton, pos=QPoint(x - 200, y))
    QTest.mouseMove(line, QPoint(x, y))
    assert window.session.now == line.scale.time(x - 200)  # let go, it stays


def test_a_click_on_a_mark_picks_its_entry_in_the_log(window: MainWindow) -> None:
    mark = mark_of(window, "fix", "f2")
    now = window.session.now
    QTest.mouseClick(window.timeline, Qt.MouseButton.LeftButton, pos=at(window, mark))
    assert window.session.now == now and window.timeline.chosen == mark
    row = window.log.log.rows[window.log.currentIndex().row()]
    assert (row.kind, row.id) == ("fix", "f2")


def test_a_double_click_takes_the_clock_to_a_mark(window: MainWindow) -> None:
    mark = mark_of(window, "leg", "4")
    QTest.mouseDClick(window.timeline, Qt.MouseButton.LeftButton, pos=at(window, mark))
    assert window.session.now == mark.end


def test_a_press_on_a_mark_that_moves_is_a_drag(window: MainWindow) -> None:
    line, mark = window.timeline, mark_of(window, "fix", "f1")
    place = at(window, mark)
    QTest.mousePress(line, Qt.MouseButton.LeftButton, pos=place)
    QTest.mouseMove(line, place + QPoint(60, 0))
    QTest.mouseRelease(line, Qt.MouseButton.LeftButton, pos=place + QPoint(60, 0))
    assert window.session.now == line.scale.time(place.x() + 60) and line.chosen is None


def test_an_entry_still_to_come_is_said_to_be_that(window: MainWindow) -> None:
    window.ticker.to_start()
    QTest.mouseClick(window.timeline, Qt.MouseButton.LeftButton, pos=at(window, mark_of(window, "fix", "f3")))
    assert "still to come" in window.read_out.text()


def test_hovering_tells_what_stands_there(window: MainWindow) -> None:
    line, mark = window.timeline, mark_of(window, "fix", "f2")
    QTest.mouseMove(line, at(window, mark))
    assert window.read_out.text() == mark.text and mark.text.startswith("2000 fix f2")
    QTest.mouseMove(line, QPoint(round(line.scale.x(mark.begin)) + 37, 4))
    assert window.read_out.text().endswith("GMT")
    place = at(window, mark)
    QApplication.sendEvent(line, QHelpEvent(QEvent.Type.ToolTip, place, line.mapToGlobal(place)))
    assert QToolTip.text() == mark.text
    QToolTip.hideText()
    QApplication.sendEvent(line, QEvent(QEvent.Type.Leave))
    assert window.read_out.text() == ""


@pytest.mark.parametrize(
    ("key", "modifier", "seconds"),
    [
        (Qt.Key.Key_Left, Qt.KeyboardModifier.NoModifier, -60),
        (Qt.Key.Key_Right, Qt.KeyboardModifier.NoModifier, 60),
        (Qt.Key.Key_Left, Qt.KeyboardModifier.ShiftModifier, -10),
        (Qt.Key.Key_PageDown, Qt.KeyboardModifier.NoModifier, 600),
        (Qt.Key.Key_PageUp, Qt.KeyboardModifier.NoModifier, -600),
    ],
)
def test_keys_move_flight_time(window: MainWindow, key: Qt.Key, modifier: Qt.KeyboardModifier, seconds: int) -> None:
    before = window.session.now
    QTest.keyClick(window, Qt.Key.Key_F5)
    assert window.timeline.hasFocus()
    QTest.keyClick(window.timeline, key, modifier)
    assert window.session.now == before + timedelta(seconds=seconds)


def test_keys_go_to_start_end_and_entries(window: MainWindow) -> None:
    line, times = window.timeline, window.ticker.moments
    line.setFocus()
    QTest.keyClick(line, Qt.Key.Key_Home)
    assert window.session.now == times[0]
    QTest.keyClick(line, Qt.Key.Key_Down)
    assert window.session.now == times[1]
    QTest.keyClick(line, Qt.Key.Key_Return)
    assert line.chosen is not None and line.chosen.end <= times[1]
    QTest.keyClick(line, Qt.Key.Key_Up)
    QTest.keyClick(line, Qt.Key.Key_End)
    assert window.session.now == times[-1]


def test_who_cannot_see_it_hears_the_time_and_what_comes_next(window: MainWindow) -> None:
    line = window.timeline
    assert line.accessibleName() == "Time line"
    assert "2200:00 GMT, standing, all entries shown" in line.accessibleDescription()
    window.ticker.set(mark_of(window, "shot", "s4").begin - timedelta(minutes=2))
    assert line.accessibleDescription().endswith("next 1951 Arcturus")


def test_it_is_painted_anew_only_where_something_changed(window: MainWindow) -> None:
    line = window.timeline
    window.ticker.set(window.ticker.moments[5] + timedelta(seconds=5))
    line.repaint()
    made = line.painter.paintings
    shown = line._shown
    window.ticker.set(window.session.now + timedelta(seconds=1))  # a fifteenth of a px
    assert line._shown == shown
    window.ticker.set(window.session.now + timedelta(seconds=40))
    assert line._shown != shown
    line.repaint()
    assert line.painter.paintings == made  # only the marker has moved
    window.ticker.to_next()
    line.repaint()
    assert line.painter.paintings == made + 1


def test_another_reading_changes_words_and_no_picture(window: MainWindow) -> None:
    """A keystroke changes what a mark tells, not where it stands: the pictures are kept, words and log are right."""
    line, reading = window.timeline, window.form.reading
    QTest.keyClicks(reading, "29 3")
    line.repaint()
    made, told = line.painter.paintings, {mark.text for mark in line.marks if mark.kind in ("shot", "fix")}
    QTest.keyClicks(reading, "2.5")
    line.repaint()
    worked = window.session.worked
    assert line.painter.paintings == made
    assert line.marks == marks(worked.flight, worked.solution, worked.typed_id)
    assert len(told - {mark.text for mark in line.marks}) == 2  # the shot's intercept and its fix
    rows = entries(worked.flight, worked.solution, worked.typed_id, window.session.document.flight, worked.typed_row)
    assert window.log.log.rows == rows


def test_marks_over_and_to_come_look_different(window: MainWindow) -> None:
    """A shot is filled once it is over: told without colour."""
    line, mark = window.timeline, mark_of(window, "shot", "s5")
    middle = place_of(mark, line.scale, line._look.base_px).center()

    def ink(at: QPointF) -> str:
        return line.grab().toImage().pixelColor(at.toPoint()).name()

    window.ticker.set(mark.begin - timedelta(minutes=40))
    before = ink(middle)
    window.ticker.set(mark.end + timedelta(minutes=40))
    assert before != ink(middle)
