"""The main job with real key events: a sight typed character by character, filed, and taken back."""

from __future__ import annotations

import math

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QLineEdit
from pytestqt.qtbot import QtBot

from nightleg.fix.ellipse import Ellipse
from nightleg.flight.document import Document
from nightleg.flight.edits import Append
from nightleg.flight.model import NextSight
from nightleg.flight.read import parse_flight
from nightleg.flight.solve import solve
from nightleg.units.angles import write_angle
from nightleg.window.main import MainWindow

from .conftest import shown


def settle(qtbot: QtBot, window: MainWindow, before: int) -> None:
    """Wait until the canvas has painted again."""
    qtbot.waitUntil(lambda: window.canvas.item.paintings > before, timeout=10000)


def waiting(window: MainWindow) -> NextSight:
    held = window.session.document.flight.next_sight
    assert held is not None
    return held


def reading_text(window: MainWindow) -> str:
    """The demo's reading as a person would type it, like 29 32.5."""
    degrees, minutes = write_angle(waiting(window).hs).removesuffix("′").split("°")
    return f"{degrees} {minutes}"


def key_in(field: QLineEdit, text: str) -> None:
    for sign in text:
        QTest.keyClicks(field, sign)


def area(ellipse: Ellipse | None) -> float:
    assert ellipse is not None
    return math.pi * ellipse.semi_major_nm * ellipse.semi_minor_nm


def test_the_demo_waits_with_body_and_time_filled_and_the_reading_to_type(window: MainWindow) -> None:
    form = window.form
    assert form.body.text() == waiting(window).body
    assert len(form.time.text()) in (4, 6)
    assert form.reading.text() == ""
    assert form.reading.hasFocus()
    assert f"reading given: {reading_text(window)}" in form.remark.text()
    assert form.result["Hc"].text() not in ("", "—")
    assert form.result["Ho"].text() == "—"


def test_every_key_that_makes_a_reading_gives_a_new_solution_and_a_new_chart(qtbot: QtBot, window: MainWindow) -> None:
    session, canvas, form = window.session, window.canvas, window.form
    fix_id = waiting(window).fix
    assert fix_id is not None
    before = session.base.fix(fix_id)
    text = reading_text(window)
    for number, sign in enumerate(text):
        solution, scene, paintings = session.worked.solution, canvas.scene, canvas.item.paintings
        QTest.keyClicks(form.reading, sign)
        assert form.reading.text() == text[: number + 1]
        if number == 0:  # the first figure of the degrees is no reading yet
            assert session.worked.typed_id is None
            continue
        assert not session.typed.remarks
        assert session.worked.solution is not solution
        assert canvas.scene is not scene
        settle(qtbot, window, paintings)
        assert canvas.item.sheet is not None and canvas.item.sheet.scene is canvas.scene
    after = session.worked.solution.fix(fix_id)
    assert session.worked.typed_id in after.sights
    assert after.position is not None and after.position != before.position
    assert area(after.ellipse95) < 0.8 * area(before.ellipse95)  # a third line, far from parallel to the two there are
    assert canvas.scene is not None
    assert waiting(window).body in " ".join(line.text for line in canvas.scene.lines)


@pytest.mark.parametrize("begun", ["2", "0", "8", "84", "2 0"])
def test_a_reading_that_is_only_begun_does_not_throw_the_fix_away(window: MainWindow, begun: str) -> None:
    session, form = window.session, window.form
    fix_id = waiting(window).fix
    assert fix_id is not None
    before = session.base.fix(fix_id).position
    assert before is not None
    key_in(form.reading, begun)
    shown = session.worked.solution.fix(fix_id).position
    assert shown == before
    assert form.reading.property("wrong") is False
    assert "Reading:" in form.remark.text()
    assert form.result["Hc"].text() not in ("", "—") and form.result["Ho"].text() == "—"
    QTest.keyClick(form.reading, Qt.Key.Key_Return)
    assert session.document.flight.next_sight is not None and form.reading.hasFocus()  # nothing was filed


def test_a_far_reading_counts_once_its_minutes_are_typed(window: MainWindow) -> None:
    key_in(window.form.reading, "40 00.0")  # Hc is 29°
    assert window.session.worked.typed_id is not None
    assert "NM toward" in window.form.intercept.text()


def test_the_form_says_what_the_core_computes(window: MainWindow) -> None:
    key_in(window.form.reading, reading_text(window))
    session = window.session
    result = solve(session.worked.flight, session.now).sight(session.worked.typed_id or "")
    assert result.ho is not None and result.intercept_nm is not None
    assert window.form.result["Ho"].text() == write_angle(result.ho)
    assert window.form.result["Hc"].text() == write_angle(result.hc)
    side = "toward" if result.intercept_nm > 0.0 else "away"
    assert window.form.intercept.text() == f"intercept  {abs(result.intercept_nm):.1f} NM {side}"
    steps = {row.name: row.value for row in window.worked.rows.rows}
    for correction in result.corrections:
        assert correction.name in steps
    assert steps["Ho"] == write_angle(result.ho)


@pytest.mark.parametrize("style", ["{d} {m}", "{d}{m}", "{d}-{m}", "{d}°{m}'"])
def test_readings_are_typed_as_on_paper(window: MainWindow, style: str) -> None:
    degrees, minutes = reading_text(window).split()
    window.form.reading.setText(style.format(d=degrees, m=minutes))
    assert window.session.typed.hs_deg == pytest.approx(waiting(window).hs, abs=1e-9)


def test_enter_files_the_sight_and_undo_takes_it_back(window: MainWindow) -> None:
    session, form = window.session, window.form
    asked, text = waiting(window), reading_text(window)
    before = session.document
    key_in(form.reading, text)
    QTest.keyClick(form.reading, Qt.Key.Key_Return)
    flight = session.document.flight
    assert len(flight.sights) == len(before.flight.sights) + 1
    new = flight.sights[-1]
    assert (new.body, new.time) == (asked.body, asked.time)
    assert new.hs == pytest.approx(asked.hs, abs=1e-9)
    fix = next(fix for fix in flight.fixes if fix.id == asked.fix)
    assert new.id in fix.sights
    assert flight.next_sight is None
    assert text in session.document.text  # as it was typed
    assert (form.body.text(), form.time.text(), form.reading.text()) == ("", "", "")
    assert form.body.hasFocus()
    assert window.windowTitle().count("*") == 1
    assert session.base.fix(fix.id).position is not None and new.id in session.base.fix(fix.id).sights

    QTest.keySequence(QApplication.focusWidget() or form.body, "Ctrl+Z")
    assert session.document.text == before.text
    assert session.document.flight == before.flight
    assert form.reading.text() == text  # the typing is there again, to be mended
    QTest.keySequence(window, "Ctrl+Shift+Z")
    assert session.document.flight == flight


def test_what_is_wrong_is_said_and_the_last_answer_stays(window: MainWindow) -> None:
    session, form = window.session, window.form
    text = reading_text(window)
    key_in(form.reading, text)
    good, scene = session.worked, window.canvas.scene
    key_in(form.reading, "x")
    assert session.worked is good and window.canvas.scene is scene
    assert "cannot be read as reading" in form.remark.text()
    assert form.reading.property("wrong") is True
    assert "cannot be read" in form.reading.accessibleDescription()
    QTest.keyClick(form.reading, Qt.Key.Key_Return)
    assert session.document.flight.next_sight is not None  # nothing was filed
    assert form.reading.hasFocus()
    QTest.keyClick(form.reading, Qt.Key.Key_Backspace)
    assert form.reading.property("wrong") is False
    assert session.worked.typed_id is not None


def test_a_wrong_body_leaves_the_other_fields_at_work(window: MainWindow) -> None:
    form = window.form
    form.body.setText("Vegga")
    assert form.body.property("wrong") is True
    assert "nearest: Vega" in form.remark.text()
    form.body.setText("Veg")
    assert form.body.property("wrong") is False  # only begun
    form.body.setFocus()
    QTest.keyClick(form.body, Qt.Key.Key_Tab)
    assert form.body.text() == "Vega"


def test_the_sun_brings_its_caution_at_once(window: MainWindow) -> None:
    assert not window.form.caution.isVisible()
    window.form.body.setText("sun")
    assert window.form.caution.isVisible()
    assert "filters" in window.form.caution.text()
    assert window.form.limb.isEnabled()
    window.form.body.setText("Vega")
    assert not window.form.caution.isVisible()


def test_a_reading_below_the_horizon_is_told_in_words(window: MainWindow) -> None:
    window.form.reading.setText("-1 30")
    assert "horizon" in window.told.text()
    assert window.form.intercept.text() == "intercept  below the horizon"


def test_a_body_that_is_not_up_is_said_to_be_down(window: MainWindow) -> None:
    window.form.body.setText("Sun")  # the demo waits at 2200 GMT, three hours after sunset
    assert "below the horizon" in window.form.remark.text()


def test_enter_goes_to_what_is_still_missing(window: MainWindow) -> None:
    form = window.form
    form.time.clear()
    form.body.setFocus()
    QTest.keyClick(form.body, Qt.Key.Key_Return)
    assert form.time.hasFocus()


def test_a_sight_for_a_new_fix_brings_the_fix(window: MainWindow) -> None:
    form, session = window.form, window.session
    fixes = len(session.document.flight.fixes)
    key_in(form.reading, reading_text(window))
    number = form.fix.findText("new fix")
    form.fix.setCurrentIndex(number)
    form.fix.activated.emit(number)
    assert session.worked.fix is not None
    assert session.worked.fix.id not in {fix.id for fix in session.document.flight.fixes}
    assert session.worked.fix.position is None  # one line is no position
    assert window.fix.position.text() == "no position"
    QTest.keyClick(form.reading, Qt.Key.Key_Return)
    assert len(session.document.flight.fixes) == fixes + 1


def test_a_body_is_chosen_from_the_list_by_keyboard(qtbot: QtBot, window: MainWindow) -> None:
    body = window.form.body
    body.setFocus()
    body.clear()
    QTest.keyClicks(body, "al")
    qtbot.waitUntil(body.list.isVisible, timeout=5000)
    QTest.keyClick(body, Qt.Key.Key_Down)
    QTest.keyClick(body, Qt.Key.Key_Return)
    assert not body.list.isVisible()
    assert window.session.typed.body == body.text()
    assert "al" in body.text().casefold()


def test_the_log_shows_the_sight_being_typed_and_its_fix(window: MainWindow) -> None:
    key_in(window.form.reading, reading_text(window)[:2])  # the row has just come
    rows = window.log.log.rows
    number = next(i for i, row in enumerate(rows) if row.typed)
    assert rows[number].cells[1] == waiting(window).body
    assert "being typed" in rows[number].cells[-1]
    for line in (number, number + 1):
        place = window.log.visualRect(window.log.log.index(line, 0))
        assert window.log.viewport().rect().contains(place)


def test_the_choice_of_a_fix_tells_the_time_that_was_set_in_the_fix_panel(window: MainWindow) -> None:
    form, field = window.form, window.fix.time
    assert form.fix.currentText() == "f4, 2200"
    field.setFocus()
    field.selectAll()
    QTest.keyClicks(field, "2203")
    QTest.keyClick(field, Qt.Key.Key_Return)
    assert form.fix.currentText() == "f4, 2203" and form.fix.currentData() == "f4"


@pytest.mark.parametrize(("off_deg", "asked"), [(1.0, True), (-5.2, True), (0.2, False)])
def test_an_intercept_far_beyond_the_doubt_of_the_dr_asks_for_a_second_look(
    window: MainWindow, off_deg: float, asked: bool
) -> None:
    form, sight = window.form, window.session.worked.sight
    assert sight is not None
    degrees, minutes = write_angle(waiting(window).hs + off_deg).removesuffix("′").split("°")
    key_in(form.reading, f"{degrees} {minutes}")
    found = window.session.worked.sight
    assert found is not None and found.intercept_nm is not None
    words = f"Intercept of {abs(found.intercept_nm):.0f} NM: wrong body, time or degree?"
    assert (form.remark.text() == words) is asked
    assert form.enter.isEnabled() and form.remark.property("kind") == "muted"


def test_a_doubtful_dr_is_not_called_into_question_by_a_degree(qtbot: QtBot) -> None:
    """A DR of 50 NM at 1 sigma: a line 70 NM off is nothing strange; one 130 NM off is."""
    text = """format = "nightleg-flight-1"
[start]
time = 2026-03-14T22:00:00Z
position = "41 30.0 N 028 15.0 W"
sigma_nm = 50.0
[[leg]]
time = 2026-03-14T22:00:00Z
heading_deg = 262.0
tas_kt = 430.0
wind = "310/45"
altitude_ft = 31000
"""
    window = shown(qtbot, parse_flight(text))
    key_in(window.form.body, "Capella")
    key_in(window.form.time, "2210")
    sight = window.session.worked.sight
    assert sight is not None
    for off_deg, asked in ((70.0 / 60.0, False), (130.0 / 60.0, True)):
        degrees, minutes = write_angle(sight.hc + off_deg).removesuffix("′").split("°")
        window.form.reading.clear()
        key_in(window.form.reading, f"{degrees} {minutes}")
        assert ("wrong body" in window.form.remark.text()) is asked


def test_the_list_of_fixes_shows_every_name_whole(qtbot: QtBot, demo: Document) -> None:
    fix = demo.flight.fixes[0]
    long = {"id": "halfway-to-the-islands", "time": fix.time, "sights": list(fix.sights)}
    window = shown(qtbot, demo.with_edits(Append("fix", long)))
    choice = window.form.fix
    choice.showPopup()
    view = choice.view()
    width = max(choice.fontMetrics().horizontalAdvance(choice.itemText(row)) for row in range(choice.count()))
    assert view.viewport().width() >= width + 16 > choice.width()
    assert window.side.horizontalScrollBar().maximum() == 0
    last = view.visualRect(view.model().index(choice.count() - 1, 0))
    assert choice.itemText(choice.count() - 1) == "no fix" and last.bottom() < view.viewport().height()
    choice.hidePopup()
