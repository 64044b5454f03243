"""Every number explains itself: asked by click and by key, marked, live, closed with Esc."""

from __future__ import annotations

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication

from nightleg.flight.solve import solve
from nightleg.flight.working import explain
from nightleg.units.times import write_clock
from nightleg.window.ahead import ahead
from nightleg.window.explain.ahead import AHEAD, ahead_working
from nightleg.window.explain.explain import DR, TYPED, marked, working_of
from nightleg.window.explain.number import Number, question_at
from nightleg.window.main import MainWindow


def click(number: Number) -> None:
    QTest.mouseClick(number, Qt.MouseButton.LeftButton)


def typed(window: MainWindow) -> None:
    QTest.keyClicks(window.form.reading, "29 34.5")


def test_a_click_on_a_result_opens_its_working_and_typing_goes_on(window: MainWindow) -> None:
    typed(window)
    click(window.form.result["Ho"])
    sheet, sight = window.sheet, window.session.worked.sight
    assert sheet.isVisible() and sight is not None
    assert sheet.question == (TYPED, "Ho")
    assert "Polaris" in sheet.title.text()
    assert sheet.text.accessibleDescription().startswith(f"Ho: {window.form.result['Ho'].text()}")
    assert "Hs + all corrections" in sheet.text.toPlainText()
    assert window.form.reading.hasFocus()


def test_the_sheet_holds_every_step_that_the_core_gives(window: MainWindow) -> None:
    typed(window)
    click(window.form.intercept)
    session, text = window.session, window.sheet.text.toPlainText()
    worked = session.worked
    assert worked.typed_id is not None
    for step in explain(worked.flight, solve(worked.flight, session.now), worked.typed_id).steps:
        assert step.name in text and step.value in text
        for what, value in step.inputs:
            assert what in text and value in text


def test_the_sheet_follows_what_is_typed(window: MainWindow) -> None:
    typed(window)
    click(window.form.intercept)
    before = window.form.intercept.text().removeprefix("intercept  ")
    assert before in window.sheet.text.toPlainText()
    QTest.keyClick(window.form.reading, Qt.Key.Key_Backspace)
    QTest.keyClicks(window.form.reading, "9")
    after = window.form.intercept.text().removeprefix("intercept  ")
    assert after != before
    assert after in window.sheet.text.toPlainText()


def test_before_there_is_a_reading_only_the_place_of_the_body_is_explained(window: MainWindow) -> None:
    click(window.form.result["Hc"])
    text = window.sheet.text.toPlainText()
    assert "sin Hc" in text and "LHA" in text
    assert "refraction" not in text and "Hs" not in text
    assert window.form.result["Ho"].asks() is None  # there is nothing to ask yet


def test_by_keyboard_alone_and_back(window: MainWindow) -> None:
    typed(window)
    QTest.keySequence(window.form.reading, "Ctrl+I")
    assert window.sheet.isVisible() and window.sheet.text.hasFocus()
    assert window.sheet.question == (TYPED, "intercept")
    QTest.keyClick(window.sheet.text, Qt.Key.Key_Escape)
    assert window.sheet.isHidden()
    assert window.form.reading.hasFocus()


def test_numbers_are_one_stop_of_tab_and_arrows_go_on(window: MainWindow) -> None:
    typed(window)
    first, second = window.form.result["Hc"], window.form.result["Zn"]
    first.setFocus(Qt.FocusReason.TabFocusReason)
    QTest.keyClick(first, Qt.Key.Key_Right)
    assert second.hasFocus()
    assert first.focusPolicy() == Qt.FocusPolicy.TabFocus and second.focusPolicy() == Qt.FocusPolicy.NoFocus
    QTest.keyClick(second, Qt.Key.Key_Return)
    assert window.sheet.question == (TYPED, "Zn") and window.sheet.text.hasFocus()
    QTest.keyClick(window.sheet.text, Qt.Key.Key_Escape)
    assert second.hasFocus()


def test_escape_closes_from_the_form_too(window: MainWindow) -> None:
    click(window.form.result["Hc"])
    QTest.keyClick(window.form.reading, Qt.Key.Key_Escape)
    assert window.sheet.isHidden()
    assert window.form.reading.hasFocus()


def test_the_button_closes(window: MainWindow) -> None:
    click(window.form.result["Hc"])
    click_button = window.sheet.close_button
    QTest.mouseClick(click_button, Qt.MouseButton.LeftButton)
    assert window.sheet.isHidden()


@pytest.mark.parametrize("cell", ["DR position", "track", "ground speed", "next", "steer"])
def test_numbers_of_the_header(window: MainWindow, cell: str) -> None:
    window.resize(1920, 1000)
    QApplication.processEvents()
    number = window.header.cells[cell][1]
    assert isinstance(number, Number)
    click(number)
    description = window.sheet.text.accessibleDescription()
    assert description  # a step is marked
    if cell == "track":
        assert description.startswith("track: ")
        assert f"{round(float(description[7:12])):03d}°" == number.text()


def test_numbers_of_the_fix(window: MainWindow) -> None:
    window.fix.show_fix("f3")
    click(window.fix.position)
    assert window.sheet.question == ("f3", "position")
    assert window.fix.position.text() in window.sheet.text.accessibleDescription()
    value = window.fix.shots.lines[0][2]
    click(value)
    assert window.sheet.question[1].startswith("line s")
    assert value.text() in window.sheet.text.accessibleDescription()


def test_every_number_of_the_panels_finds_its_step(window: MainWindow) -> None:
    typed(window)
    worked = window.session.worked
    asked = [number for number in window.findChildren(Number) if number.isVisible() and number.asks()]
    assert len(asked) > 25
    for number in asked:
        of, step = number.asks() or ("", "")
        working = working_of(worked.flight, worked.solution, worked.sight, True, of)
        assert working is not None, (of, step)
        assert marked(working, step) is not None, (of, step)


def test_a_line_of_a_fix_leads_to_the_working_of_its_sight(window: MainWindow) -> None:
    window.session.asked.emit("f3", "position")
    assert 'href="s' in window.sheet.text.toHtml()
    window.sheet.text.anchorClicked.emit("s7")
    assert window.sheet.question == ("s7", "intercept")
    assert "GMT" in window.sheet.title.text()


def test_what_has_gone_is_said_to_have_gone(window: MainWindow) -> None:
    typed(window)
    QTest.keyClick(window.form.reading, Qt.Key.Key_Return)
    id = window.session.document.flight.sights[-1].id
    window.session.asked.emit(id, "Ho")
    assert "Polaris" in window.sheet.title.text()
    window.session.undo_stack.undo()
    window.form.reading.clear()
    window.form.body.clear()
    assert "not in the flight now" in window.sheet.title.whole


def test_the_log_explains_figures_that_were_worked_out(window: MainWindow) -> None:
    log = window.log
    number = log.log.number_of(("sight", "s10"))
    assert number is not None
    index = log.log.index(number, log.log.columns.index("Hc"))
    log.scrollTo(index)
    QTest.mouseClick(log.viewport(), Qt.MouseButton.LeftButton, pos=log.visualRect(index).center())
    assert window.sheet.question == ("s10", "Hc")
    assert question_at(log) == ("s10", "Hc")


def test_the_working_of_the_way_ahead(window: MainWindow) -> None:
    flight, state = window.session.worked.flight, window.session.worked.solution.dr[-1]
    working = ahead_working(flight, window.session.worked.solution, state)
    assert working is not None
    values = {step.name: step.value for step in working.steps}
    assert set(values) == {
        "distance",
        "course",
        "heading to steer",
        "ETA",
        "1σ of the ETA",
        "1σ across the course",
    }
    shown = window.header.cells["next"][1].text().split()
    assert float(values["distance"].split()[0]) == pytest.approx(float(shown[0]), abs=0.5)
    point = ahead(flight, state)
    assert point is not None and point.eta is not None
    assert values["ETA"] == write_clock(point.eta, seconds=True)
    bare = working_of(flight, window.session.worked.solution, None, False, AHEAD)
    assert bare == working


def test_unknown_names_have_no_working(window: MainWindow) -> None:
    worked = window.session.worked
    assert working_of(worked.flight, worked.solution, None, False, "s99") is None
    assert working_of(worked.flight, worked.solution, None, False, TYPED) is None
    assert working_of(worked.flight, worked.solution, None, False, f"{DR} 2026-10-18T21:10:00Z") is not None


def test_colours_of_the_sheet_follow_the_theme(window: MainWindow) -> None:
    click(window.form.result["Hc"])
    paper = window.sheet.text.toHtml()
    window.set_theme("red")
    assert window.sheet.text.toHtml() != paper
