"""A filed sight in the form: what it holds, what is filed of a change, and how it is left."""

from __future__ import annotations

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from pytestqt.qtbot import QtBot

from nightleg.flight.document import Document
from nightleg.flight.model import Sight
from nightleg.flight.read import parse_flight
from nightleg.units.angles import write_angle
from nightleg.window.main import MainWindow
from nightleg.window.session import last_entry
from nightleg.window.sight.draft import Draft, understand
from nightleg.window.sight.filing import candidate, draft_of, filing, fix_of

from .conftest import shown


def of(window: MainWindow, id: str) -> Sight:
    return next(sight for sight in window.session.document.flight.sights if sight.id == id)


def test_every_filed_sight_goes_into_the_form_and_out_unchanged(demo: Document) -> None:
    flight = demo.flight
    assert len(flight.sights) >= 10
    for sight in flight.sights:
        draft = draft_of(flight, sight, None)
        typed = understand(draft, flight, last_entry(flight))
        assert not typed.remarks
        made = candidate(flight, draft, typed)
        assert made is not None and made.before is sight
        assert filing(flight, draft, made) == ()
        assert made.flight.fixes == flight.fixes


def test_a_change_is_one_step_and_touches_nothing_else(window: MainWindow) -> None:
    session, form = window.session, window.form
    form.reading.setText("29 3")  # begun, and not to be lost
    text = session.document.text
    form.edit_sight("s10")
    assert form.title.text() == "Change of s10" and form.body.text() == "Saturn"
    assert form.reading.text() == "46 37.0"
    form.reading.setText("46 41.5")
    worked = session.worked
    assert worked.typed_id == "s10" and len(worked.flight.sights) == len(session.document.flight.sights)
    QTest.keyClick(form.reading, Qt.Key.Key_Return)
    assert session.document.text == text.replace('"46 37.0"', '"46 41.5"')
    assert session.undo_stack.undoText() == "change of sight s10"
    assert form.title.text() == "Sight" and form.reading.text() == "29 3"  # what was being typed before
    session.undo_stack.undo()
    assert session.document.text == text
    assert form.title.text() == "Change of s10" and form.reading.text() == "46 41.5"


def test_escape_leaves_it_as_it_was(window: MainWindow) -> None:
    session, form = window.session, window.form
    text = session.document.text
    form.edit_sight("s7")
    form.reading.setText("10 00.0")
    assert form.leave.isVisible()
    QTest.keyClick(form.reading, Qt.Key.Key_Escape)
    assert session.document.text == text and session.undo_stack.count() == 0
    assert form.body.text() == "Polaris" and not form.leave.isVisible()


def test_a_series_is_changed_row_by_row(window: MainWindow) -> None:
    form = window.form
    form.edit_sight("s1")
    assert form.series.isVisible() and len(form.series.table.rows()) == 5
    form.series.table.fields[3][1].setText("11 52.0")
    form.file()
    readings = of(window, "s1").readings
    assert len(readings) == 5 and readings[3].hs == pytest.approx(11 + 52 / 60)
    assert readings[0].hs == pytest.approx(12 + 9 / 60)


def test_a_sight_is_moved_to_another_fix_and_out_of_all(window: MainWindow) -> None:
    session, form = window.session, window.form
    was = fix_of(session.document.flight, "s10")
    assert was == "f4"
    form.edit_sight("s10")
    for choice, expected in (("f3", "f3"), ("none", None)):
        number = form.fix.findData(choice)
        form.fix.setCurrentIndex(number)
        form.fix.activated.emit(number)
        form.file()
        assert fix_of(session.document.flight, "s10") == expected
        form.edit_sight("s10")


def test_a_sight_that_is_undone_while_it_is_changed_leaves_the_form(window: MainWindow) -> None:
    session, form = window.session, window.form
    form.reading.setText("29 34.5")
    form.file()
    id = session.document.flight.sights[-1].id
    form.edit_sight(id)
    session.undo_stack.undo()
    assert session.draft.sight is None
    assert form.title.text() == "Sight" and form.reading.text() == "29 34.5"


def test_the_log_sends_its_sight_to_the_form(window: MainWindow) -> None:
    window.log.select_entry("sight", "s10")
    QTest.keySequence(window, "Ctrl+K")
    assert window.session.draft.sight == "s10"
    window.log.select_entry("fix", "f3")
    window.session.leave_sight()
    QTest.keySequence(window, "Ctrl+K")
    assert window.session.draft.sight is None
    assert "Choose a sight" in window.told.text()


@pytest.mark.parametrize(
    ("field", "text", "key", "value"),
    [
        ("duration", "60", "duration_s", 60.0),
        ("turn", "0.5 L", "turn_deg_per_min", -0.5),
        ("turn", "0,5 R", "turn_deg_per_min", 0.5),
        ("speed", "-3", "speed_change_kt_per_min", -3.0),
        ("sigma", "4", "sigma_arcmin", 4.0),
    ],
)
def test_what_is_seldom_needed_is_filed(window: MainWindow, field: str, text: str, key: str, value: float) -> None:
    form = window.form
    form.reading.setText("29 34.5")
    QTest.keySequence(window, "Ctrl+M")
    entry = next(entry for name, entry in form.more.fields.items() if name == field)
    QTest.keyClicks(entry, text)
    QTest.keyClick(entry, Qt.Key.Key_Return)
    assert getattr(window.session.document.flight.sights[-1], key) == value
    assert entry.text() == ""  # the next sight is as usual


def test_an_assumed_position_is_filed_as_typed(window: MainWindow) -> None:
    form = window.form
    form.reading.setText("29 34.5")
    before = window.session.worked.fix
    form.more.assumed.setText("29 00 N 019 27 W")
    assert window.session.worked.sight is not None and window.session.worked.sight.assumed
    after = window.session.worked.fix
    assert before is not None and after is not None and before.position is not None and after.position is not None
    assert after.position == pytest.approx(before.position, abs=1e-6)  # the same circle
    form.file()
    assert 'assumed = "29 00 N 019 27 W"' in window.session.document.text


@pytest.mark.parametrize(
    ("field", "text", "said"),
    [
        ("duration", "-5", "from 0 to"),
        ("duration", "abc", "is no number"),
        ("sigma", "0", "above 0"),
        ("assumed", "41 00 N", "no E or W"),
        ("turn", "9999", "out of range"),
    ],
)
def test_what_is_wrong_is_said_at_its_field_and_nothing_is_filed(
    window: MainWindow, field: str, text: str, said: str
) -> None:
    form = window.form
    form.reading.setText("29 34.5")
    QTest.keySequence(window, "Ctrl+M")
    entry = next(entry for name, entry in form.more.fields.items() if name == field)
    entry.setText(text)
    assert said in form.more.said.text() and said in entry.accessibleDescription()
    assert entry.property("wrong") is True
    count = len(window.session.document.flight.sights)
    QTest.keyClick(form.reading, Qt.Key.Key_Return)
    assert len(window.session.document.flight.sights) == count
    assert entry.hasFocus() and entry.text() == text


def test_turns_are_only_begun_with_their_sign(demo: Document) -> None:
    remarks = understand(Draft(turn="-"), demo.flight, last_entry(demo.flight)).remarks
    assert not remarks["turn"].wrong


PLAIN = """format = "nightleg-flight-1"
[watch]
error_s = 30.0
[start]
time = 2026-03-14T22:00:00Z
position = "41 30.0 N 028 15.0 W"
[[leg]]
time = 2026-03-14T22:00:00Z
heading_deg = 262.0
tas_kt = 430.0
wind = "310/45"
altitude_ft = 31000
"""


@pytest.fixture
def plain(qtbot: QtBot) -> MainWindow:
    """A window on a flight without entries, whose watch is 30 s fast."""
    return shown(qtbot, parse_flight(PLAIN))


def enter(window: MainWindow, body: str, time: str) -> None:
    """Type a sight that reads its Hc, and file it."""
    form = window.form
    form.body.setFocus()
    for field, text in ((form.body, body), (form.time, time)):
        QTest.keyClicks(field, text)
    sight = window.session.worked.sight
    assert sight is not None
    degrees, minutes = write_angle(sight.hc).removesuffix("′").split("°")
    QTest.keyClicks(form.reading, f"{degrees} {minutes}")
    QTest.keyClick(form.reading, Qt.Key.Key_Return)


def fix_times(window: MainWindow) -> list[str]:
    return [f"{fix.time:%H%M:%S}" for fix in window.session.document.flight.fixes]


def test_a_fix_made_from_the_form_stands_at_its_last_shot(plain: MainWindow) -> None:
    enter(plain, "Capella", "2240")
    assert fix_times(plain) == ["2239:30"]
    enter(plain, "Regulus", "2248")
    assert fix_times(plain) == ["2247:30"]
    assert plain.session.worked.solution.fixes[0].time.minute == 47
    enter(plain, "Polaris", "2244")  # entered late: the last one stays the last
    assert fix_times(plain) == ["2247:30"]
    plain.session.undo_stack.undo()
    plain.session.undo_stack.undo()
    assert fix_times(plain) == ["2239:30"]  # shot and time are one step
    plain.session.undo_stack.setClean()


def test_a_fix_follows_a_shot_whose_time_is_put_right(plain: MainWindow) -> None:
    enter(plain, "Capella", "2240")
    plain.form.edit_sight("s1")
    plain.form.time.setText("2244")
    QTest.keyClick(plain.form.time, Qt.Key.Key_Return)
    assert fix_times(plain) == ["2243:30"]
    plain.session.undo_stack.setClean()


def test_a_fix_whose_time_was_set_by_hand_keeps_it(plain: MainWindow) -> None:
    enter(plain, "Capella", "2240")
    field = plain.fix.time
    field.setFocus()
    field.selectAll()
    QTest.keyClicks(field, "2250")
    QTest.keyClick(field, Qt.Key.Key_Return)
    enter(plain, "Regulus", "2244")
    enter(plain, "Polaris", "2253")
    assert fix_times(plain) == ["2250:00"] and len(plain.session.document.flight.fixes[0].sights) == 3
    plain.session.undo_stack.setClean()
