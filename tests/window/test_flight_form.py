"""The flight form with real keys: edited in place, solved at each keystroke, undone by name."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from itertools import pairwise

import pytest
from msgspec.structs import replace
from PySide6.QtCore import QPoint, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QComboBox, QLabel, QLineEdit, QWidget
from pytestqt.qtbot import QtBot

from nightleg.air.speeds import mach_from_tas
from nightleg.chart.follow import in_sight
from nightleg.chart.themes import THEMES
from nightleg.earth.atmosphere import temperature_c
from nightleg.flight.document import Document
from nightleg.flight.legs import held_legs
from nightleg.units.positions import Position
from nightleg.window.flight.fields import FlightEntry
from nightleg.window.flight.form import FlightForm
from nightleg.window.flight.leg import derived_rows
from nightleg.window.main import MainWindow
from nightleg.window.parts import ElidedLabel

from .conftest import shown


@pytest.fixture
def form(window: MainWindow) -> FlightForm:
    """The flight form folded out, the last leg in it."""
    window.to_flight()
    window.flight.legs.choose(4)
    return window.flight


def retype(field: FlightEntry, text: str) -> None:
    field.setFocus()
    field.selectAll()
    QTest.keyClicks(field, text)


def choose(box: QComboBox, data: str) -> None:
    """By keyboard: the first letters of what it says."""
    box.setFocus()
    box.setCurrentIndex(box.findData(data))
    box.activated.emit(box.currentIndex())


def row(form: FlightForm, name: str) -> str:
    return next(one.value for one in form.legs.derived.rows if one.name == name)


def test_every_keystroke_is_solved_and_all_of_a_field_is_one_step(window: MainWindow, form: FlightForm) -> None:
    before, session = window.session.document.text, window.session
    field = form.legs.direction
    field.setFocus()
    field.selectAll()
    seen = []
    for sign in "140":
        QTest.keyClicks(field, sign)
        seen.append(session.worked.solution.dr[-1].heading_deg)
    assert len(set(seen)) == 3
    assert session.undo_stack.count() == 1 and session.undo_stack.undoText() == "compass heading of leg 5"
    assert "heading_compass_deg = 140.0" in session.document.text
    retype(form.legs.plain["wind"], "260/40")
    assert session.undo_stack.count() == 2 and session.undo_stack.undoText() == "wind of leg 5"
    retype(field, "141")  # the same field again, but the cursor had left it
    assert session.undo_stack.count() == 3
    for _ in range(3):
        session.undo_stack.undo()
    assert session.document.text == before
    assert field.text() == "133" and form.legs.plain["wind"].text() == "250/38"
    session.undo_stack.redo()
    assert field.text() == "140"


def test_wrong_text_stays_and_the_flight_is_as_before_the_typing(window: MainWindow, form: FlightForm) -> None:
    before = window.session.document.text
    field = form.legs.plain["wind"]
    retype(field, "250/4x")  # on the way to it 250/4 was a wind
    assert field.property("wrong") is False  # still being typed
    QTest.keyClick(field, Qt.Key.Key_Tab)
    assert field.text() == "250/4x" and field.property("wrong") is True
    assert window.session.document.text == before
    assert not window.session.undo_stack.canUndo() and not window.session.undo_stack.canRedo()
    words = next(one for one in form.findChildren(QLabel) if "250/4x" in one.text())
    assert words.isVisible() and "310/45" in words.text() and "not applied" in words.text()
    assert words.mapTo(form, QPoint(0, 0)).y() > field.mapTo(form, QPoint(0, 0)).y()
    retype(form.legs.plain["altitude_ft"], "16000")  # the rest keeps working
    assert field.text() == "250/4x"
    retype(field, "250/40")
    assert not words.isVisible() and 'wind = "250/40"' in window.session.document.text


def test_escape_gives_the_text_back(window: MainWindow, form: FlightForm) -> None:
    before = window.session.document.text
    field = form.legs.direction
    retype(field, "200")
    QTest.keyClick(field, Qt.Key.Key_Escape)
    assert field.text() == "133" and window.session.document.text == before
    assert not window.session.modified


def test_what_a_leg_leaves_out_is_held_and_seen_in_grey(window: MainWindow, form: FlightForm) -> None:
    speed = form.legs.speed
    assert speed.text() == "" and speed.placeholderText() == "200"
    retype(speed, "210")
    assert "tas_kt = 210" in window.session.document.text
    retype(speed, " ")
    QTest.keyClick(speed, Qt.Key.Key_Backspace)
    assert window.session.document.flight.legs[4].tas_kt is None
    first = form.legs
    first.choose(0)
    retype(first.speed, " ")
    QTest.keyClick(first.speed, Qt.Key.Key_Tab)
    assert "speed" in " ".join(one.text() for one in form.findChildren(QLabel) if one.isVisible())
    assert window.session.document.flight.legs[0].tas_kt == 200.0


@pytest.mark.parametrize("of", ["true", "magnetic", "track"])
def test_another_form_of_direction_is_flown_as_before(window: MainWindow, form: FlightForm, of: str) -> None:
    before = window.session.whole.solution.dr[-1]
    choose(form.legs.form, of)
    after = window.session.whole.solution.dr[-1]
    assert abs(after.heading_deg - before.heading_deg) < 0.06  # written to a tenth of a degree
    assert abs(after.gs_kt - before.gs_kt) < 0.2  # and of a knot
    key = {"true": "heading_deg", "magnetic": "heading_magnetic_deg", "track": "track_deg"}[of]
    leg = window.session.document.flight.legs[4]
    assert getattr(leg, key) is not None and leg.heading_compass_deg is None
    assert window.session.undo_stack.count() == 1
    assert form.legs.speed_form.currentData() == ("gs" if of == "track" else "tas")
    choose(form.legs.form, "compass")
    assert abs(window.session.whole.solution.dr[-1].heading_deg - before.heading_deg) < 0.06
    assert window.session.document.flight.legs[4].heading_compass_deg == pytest.approx(133.0, abs=0.11)


@pytest.mark.parametrize("by", ["cas", "mach", "gs"])
def test_another_form_of_speed_is_flown_as_before(window: MainWindow, form: FlightForm, by: str) -> None:
    before = window.session.whole.solution.dr[-1]
    choose(form.legs.speed_form, by)
    after = window.session.whole.solution.dr[-1]
    assert abs(after.tas_kt - before.tas_kt) < 0.4  # half of a thousandth of Mach is 0.3 kt
    assert form.legs.speed.text() != ""


def test_what_a_leg_comes_to_stands_beside_it(window: MainWindow, form: FlightForm) -> None:
    state = next(one for one in reversed(window.session.whole.solution.dr) if one.kind == "leg")
    assert state.track_deg is not None
    assert row(form, "track") == f"{state.track_deg:05.1f}°"
    assert row(form, "ground speed") == f"{state.gs_kt:.0f} kt"
    assert row(form, "true heading") == f"{state.heading_deg:05.1f}°"
    details = {one.name: one.detail for one in form.legs.derived.rows}
    assert f"Mach {float(mach_from_tas(200.0, 15000.0, -11.0)):.3f}" in details["TAS"]
    assert "dev +0.5°" in details["true heading"] and details["track"] == "drift 8° L"
    retype(form.legs.plain["wind"], "000/00")
    assert {one.name: one.detail for one in form.legs.derived.rows}["track"] == "drift 0°"


def test_legs_come_and_go(window: MainWindow, form: FlightForm) -> None:
    window.session.set_now(window.session.document.flight.legs[-1].time.replace(minute=40))
    QTest.mouseClick(form.legs.add, Qt.MouseButton.LeftButton)
    assert form.legs.which.count() == 6 and form.legs.number == 5
    assert form.legs.direction.hasFocus()  # first of all what is steered
    QTest.mouseClick(form.legs.remove, Qt.MouseButton.LeftButton)
    assert form.legs.which.count() == 5 and form.legs.number == 4


def test_the_route(window: MainWindow, form: FlightForm) -> None:
    lines = form.route.lines
    retype(lines[1].name, "GULL")
    assert 'name = "GULL"' in window.session.document.text
    retype(lines[2].position, "28 30 N 018 00 X")
    QTest.keyClick(lines[2].position, Qt.Key.Key_Tab)
    assert lines[2].words.isVisible() and lines[2].position.text() == "28 30 N 018 00 X"
    retype(lines[2].position, "28 30 N 018 00 W")
    assert window.session.document.flight.waypoints[2].position.lat == 28.5
    choose(lines[2].path, "great_circle")
    assert window.session.document.flight.waypoints[2].path == "great_circle"
    QTest.mouseClick(lines[0].remove, Qt.MouseButton.LeftButton)
    assert [one.name for one in window.session.document.flight.waypoints] == ["GULL", "LANTERN"]
    assert not lines[2].isVisible() and lines[0].name.text() == "GULL"
    QTest.mouseClick(form.route.add, Qt.MouseButton.LeftButton)
    assert len(window.session.document.flight.waypoints) == 3 and lines[2].isVisible()


@pytest.mark.parametrize(
    ("place", "text", "in_file", "comment"),
    [
        (("start", "position"), "39 44 N 031 00 W", 'position = "39 44 N 031 00 W"', "# 5 NM east of the northernmost"),
        (("start", "sigma_nm"), "1.5", "sigma_nm = 1.5", ""),
        (("watch", "error_s"), "4", "error_s = 4.0", "# fast at the noon check"),
        (("watch", "check"), "1205", "check = 2026-10-18T12:05:00Z", ""),
        (("sextant", "correction_arcmin"), "-1", "correction_arcmin = -1.0", ""),
        (("sextant", "table"), "10 0.5; 45 0.1", "table = [[10, 0.5], [45, 0.1]]", "# the dome"),
        (("sextant", "height_of_eye_m"), "12", "height_of_eye_m = 12", ""),
        (("wind_uncertainty", "sigma_kt"), "15", "sigma_kt = 15.0", ""),
        (("", "title"), "Night work", 'title = "Night work"', ""),
    ],
)
def test_the_rest_of_the_flight(
    window: MainWindow, form: FlightForm, place: tuple[str, str], text: str, in_file: str, comment: str
) -> None:
    retype(form.fields[place], text)
    assert in_file in window.session.document.text and comment in window.session.document.text
    assert window.session.undo_stack.count() == 1
    window.session.undo_stack.undo()
    assert form.fields[place].text() != text


def test_it_folds_out_over_the_sight_and_away(window: MainWindow) -> None:
    assert not window.fold.open and not window.flight.isVisible()
    QTest.keySequence(window, "Shift+F2")
    assert window.fold.open and window.flight.isVisible() and not window.form.isVisible()
    assert window.flight.isAncestorOf(QApplication.focusWidget() or window)
    QTest.keyClick(window, Qt.Key.Key_F2)
    assert not window.fold.open and window.form.isVisible() and window.form.reading.hasFocus()
    QTest.mouseClick(window.fold.bar, Qt.MouseButton.LeftButton)
    assert window.fold.open
    QTest.mouseClick(window.fold.bar, Qt.MouseButton.LeftButton)
    assert not window.fold.open
    assert window.side.geometry().contains(window.side.geometry().topLeft() + window.fold.bar.geometry().bottomLeft())


@pytest.mark.parametrize("size", [(1366, 768), (1920, 1080)])
@pytest.mark.parametrize("theme", ["paper", "dim", "red"])
def test_no_word_is_clipped_and_every_field_has_a_name(
    qtbot: QtBot, demo: Document, size: tuple[int, int], theme: str
) -> None:
    window = shown(qtbot, demo, *size)
    window.set_theme(next(name for name in THEMES if name == theme))
    window.to_flight()
    for number in range(5):
        window.flight.legs.choose(number)
        QApplication.processEvents()
        assert window.side.horizontalScrollBar().maximum() == 0
        assert window.flight.width() <= window.side.viewport().width()
    names = []
    for one in window.flight.findChildren(QWidget):
        if not one.isVisible() or not isinstance(one, (QLineEdit, QComboBox, QLabel)):
            continue
        if isinstance(one, QLabel):
            plain = not isinstance(one, ElidedLabel) and not one.wordWrap()
            assert not plain or one.width() >= one.sizeHint().width(), one.text()
        else:
            names.append(one.accessibleName())
        if isinstance(one, QLineEdit):
            assert one.fontMetrics().horizontalAdvance(one.text()) <= one.width() - 18, one.text()
    assert all(names) and len(set(names)) == len(names)
    window.session.undo_stack.setClean()


def test_tab_goes_through_the_fields_of_a_leg_in_their_order(window: MainWindow, form: FlightForm) -> None:
    legs = form.legs
    order = [legs.time, legs.form, legs.direction, legs.deviation, legs.speed_form, legs.speed, legs.plain["wind"]]
    order[0].setFocus()
    for one, after in pairwise(order):
        QTest.keyClick(one, Qt.Key.Key_Tab)
        assert after.hasFocus(), after.accessibleName()


def test_a_new_flight_is_dated_and_placed_where_the_cursor_stands(window: MainWindow) -> None:
    window.documents.new()
    field = window.flight.fields["start", "time"]
    assert QApplication.focusWidget() is field and field.selectedText() == field.text()
    QTest.keyClicks(field, "2026-03-14 2200")
    flight = window.session.document.flight
    assert flight.start.time == datetime(2026, 3, 14, 22, 0, tzinfo=UTC)
    assert flight.legs[0].time == flight.start.time  # the leg that began with the flight still does
    assert field.property("wrong") is not True
    QTest.keyClick(field, Qt.Key.Key_Tab)
    assert field.text() == "2026-03-14 2200"
    place = window.flight.fields["start", "position"]
    retype(place, "10 N 100 E")
    scene, view = window.canvas.scene, window.canvas.view
    assert scene is not None and view is not None and scene.dr is not None
    assert scene.dr.position == Position(10.0, 100.0)
    assert in_sight(view, scene.dr.position)


def test_a_later_leg_stays_where_it_is_when_the_start_moves(window: MainWindow, form: FlightForm) -> None:
    flight = window.session.document.flight
    then = [leg.time for leg in flight.legs]
    start = flight.start.time - timedelta(minutes=7)
    retype(form.fields["start", "time"], f"{start:%H%M}")
    after = window.session.document.flight
    assert after.start.time == after.legs[0].time == start
    assert [leg.time for leg in after.legs[1:]] == then[1:]


def test_boxes_and_fields_are_named_and_described_for_those_who_hear_them(window: MainWindow, form: FlightForm) -> None:
    # On Linux a box without a label says its value in place of its name.
    for box in form.findChildren(QComboBox):
        labels = [one for one in box.parentWidget().findChildren(QLabel) if one.buddy() is box]
        assert [one.text() for one in labels if one.parentWidget() is box.parentWidget()], box.accessibleName()
    speed = form.legs.plain["altitude_ft"]
    assert "feet" in speed.accessibleDescription()
    retype(speed, "high")
    form.legs.speed.setFocus()
    assert '"high" is not a number' in speed.accessibleDescription()
    speed.setFocus()
    QTest.keyClick(speed, Qt.Key.Key_Escape)
    assert "feet" in speed.accessibleDescription()


def test_the_temperature_is_told_against_the_standard_in_words(window: MainWindow) -> None:
    state, (held, *_) = window.session.whole.solution.dr[0], held_legs(window.session.document.flight)
    standard = round(float(temperature_c(held.altitude_ft)))

    def told(temperature: float | None) -> list[str]:
        rows = derived_rows(replace(held, temperature_c=temperature), state, None)
        return [row.detail for row in rows if row.name == "temperature"]

    assert told(standard + 3.0) == ["3° warmer than standard"]
    assert told(standard - 12.0) == ["12° colder than standard"]
    assert told(standard + 0.2) == ["as standard"]
    assert told(None) == []
