"""Lines of other kinds, known fixes, drifts and heading checks, typed into the form with real keys."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QAction
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QAbstractButton, QApplication, QLabel, QMenu
from pytestqt.qtbot import QtBot

from nightleg.flight.check_lines import LINE_KEYS
from nightleg.flight.model import Line
from nightleg.flight.read import parse_flight
from nightleg.flight.schema import keys, tables
from nightleg.window.letters import letter_of
from nightleg.window.main import MainWindow
from nightleg.window.other.kinds import KINDS, SIGHT, kind_of
from nightleg.window.parts import Entry

from .conftest import shown

TYPED = {
    "pressure": {"time": "2150", "d1_ft": "210", "d2_ft": "260"},
    "bearing": {"time": "2152", "station": "28 30 N 018 00 W", "relative_bearing_deg": "12.0"},
    "radial": {"time": "2150", "station": "29 30 N 018 00 W", "radial_deg": "275"},
    "range": {"time": "2154", "station": "29 30 N 018 00 W", "range_nm": "98.0"},
    "latitude": {"time": "2156", "latitude": "29 12.0 N"},
    "known": {"time": "2155", "position": "29 12 N 019 45 W", "sigma_nm": "2"},
    "drift": {"time": "2150", "heading_deg": "130", "drift_deg": "6 L"},
    "check": {"time": "2150", "body": "Vega", "relative_bearing_deg": "160", "shown_deg": "140"},
    "landfall": {"body": "Polaris", "time": "2230", "destination": "LANTERN"},
}
LINES = ("pressure", "bearing", "radial", "range", "latitude")


def key_in(window: MainWindow, key: str, text: str) -> Entry:
    field = window.entry.other.fields[key]
    assert isinstance(field, Entry)
    field.setFocus()
    field.clear()
    for sign in text:
        QTest.keyClicks(field, sign)
    return field


def take(window: MainWindow, name: str) -> Entry:
    """Take a kind in hand and type an entry of it; the field that was typed last."""
    window.entry.take(name)
    last = None
    for key, text in TYPED[name].items():
        last = key_in(window, key, text)
    assert last is not None
    return last


def line(window: MainWindow, id: str) -> Line:
    return next(one for one in window.session.document.flight.lines if one.id == id)


def test_every_kind_is_a_row_that_fits_the_file() -> None:
    assert set(TYPED) == {kind.name for kind in KINDS}
    for kind in KINDS:
        declared = keys(tables()[kind.table].struct)
        typed = {one.key for one in kind.fields}
        assert typed | set(kind.fixed) | {"id"} <= set(declared) and kind.main in typed
        if kind.table == "line":
            wanted = LINE_KEYS[kind.name]
            assert typed - {"time"} == set(wanted.all)
            assert {one.key for one in kind.fields if one.needed} == {"time", *wanted.needed}
            assert kind.one_of == wanted.one_of
        else:
            needed = {name for name, key in declared.items() if key.required} - {"id"}
            assert needed <= {one.key for one in kind.fields if one.needed}


@pytest.mark.parametrize("name", TYPED)
def test_an_entry_is_typed_seen_filed_and_taken_back_as_one_step(window: MainWindow, name: str) -> None:
    session, kind = window.session, kind_of(name)
    before, steps = session.document, session.undo_stack.count()
    last = take(window, name)
    typing = session.worked.other
    assert typing is not None and typing.kind == name
    assert window.entry.other.main.text() not in ("", "—")
    row = next(row for row in window.log.log.rows if row.key == (typing.row, typing.id))
    assert row.typed and "being typed" in row.cells[-1]
    QTest.keyClick(last, Qt.Key.Key_Return)
    table = tables()[kind.table]
    held = getattr(session.document.flight, table.field)
    assert len(held) == len(getattr(before.flight, table.field)) + 1 and held[-1].id == typing.id
    if kind.in_fix:
        assert typing.id in next(fix for fix in session.document.flight.fixes if fix.id == "f4").sights
    assert session.undo_stack.count() == steps + 1 and session.undo_stack.undoText().endswith(typing.id)
    assert not next(row for row in window.log.log.rows if row.key == (typing.row, typing.id)).typed
    form = window.entry.other
    assert form.isAncestorOf(QApplication.focusWidget() or window)  # ready for the next
    main = form.fields[kind.main]
    assert isinstance(main, Entry) and main.text() == ""
    QTest.keySequence(window, "Ctrl+Z")
    assert session.document.text == before.text
    assert {key: session.draft.other.text(key) for key in TYPED[name]} == TYPED[name]  # to be mended


@pytest.mark.parametrize("name", LINES)
def test_its_line_falls_on_the_chart_at_each_keystroke(qtbot: QtBot, window: MainWindow, name: str) -> None:
    take(window, name)
    typing = window.session.worked.other
    assert typing is not None and window.canvas.scene is not None
    mark = next(one for one in window.canvas.scene.lines if one.id == typing.id)
    assert mark.kind == name and mark.text.startswith(TYPED[name]["time"]) and mark.text.endswith(name)
    scene, paintings = window.canvas.scene, window.canvas.item.paintings
    field = key_in(window, "sigma_nm" if "sigma_nm" in window.entry.other.fields else "sigma_deg", "9")
    assert window.canvas.scene is not scene
    qtbot.waitUntil(lambda: window.canvas.item.paintings > paintings, timeout=10000)
    assert window.entry.other.rows.rows[0].name == "1σ"
    assert field.property("wrong") is False
    result = window.session.worked.solution.line(typing.id)
    assert window.entry.other.rows.rows[0].value == f"{result.sigma_nm:.1f} NM"
    assert f"{abs(result.offset_nm or 0.0):.1f} NM" in window.entry.other.main.text()


def test_nothing_typed_is_lost_when_the_kind_is_changed(window: MainWindow) -> None:
    window.form.reading.setText("29 3")
    for name in TYPED:
        take(window, name)
    for name, texts in TYPED.items():
        window.entry.take(name)
        for key, text in texts.items():
            field = window.entry.other.fields[key]
            assert isinstance(field, Entry)
            if key not in ("time", "station"):  # which kinds share
                assert field.text() == text
    window.entry.take(SIGHT)
    assert window.form.isVisible() and not window.entry.other.isVisible()
    assert window.form.reading.text() == "29 3"
    window.form.reading.setText("29 34.5")
    window.form.file()
    window.entry.take("radial")  # a sight filed in between takes nothing away
    assert window.session.draft.other.text("radial_deg") == TYPED["radial"]["radial_deg"]


def test_the_kind_is_chosen_by_key_by_mouse_and_from_the_menus(qtbot: QtBot, window: MainWindow) -> None:
    QTest.keySequence(window, "Ctrl+F2")
    chooser = window.form.chooser
    popup = chooser.view()
    qtbot.waitUntil(popup.isVisible, timeout=5000)
    QTest.keyClicks(popup, "ran")
    QTest.keyClick(popup, Qt.Key.Key_Return)
    qtbot.waitUntil(lambda: not popup.isVisible(), timeout=5000)
    assert window.session.draft.other.kind == "range" and window.entry.other.isVisible()
    assert window.entry.other.isAncestorOf(QApplication.focusWidget() or window)
    actions = {action.text().replace("&", ""): action for action in _actions(window)}
    for kind in KINDS:
        actions[kind.title].trigger()
        assert window.session.draft.other.kind == kind.name
        assert window.entry.other.chooser.currentText() == kind.title
    actions["Sight"].trigger()
    assert window.form.isVisible() and window.form.chooser.currentText() == "Sight"


def _actions(window: MainWindow) -> Iterator[QAction]:
    menu = next(one.menu() for one in window.menuBar().actions() if one.text().replace("&", "") == "Sight")
    assert isinstance(menu, QMenu)
    inner = next(one.menu() for one in menu.actions() if one.menu() is not None)
    assert isinstance(inner, QMenu)
    yield from inner.actions()


def test_one_is_begun_at_flight_time_from_the_log(window: MainWindow) -> None:
    window.session.set_now(window.session.document.flight.legs[-1].time.replace(minute=15))
    window.to_flight()
    action = next(one for one in window.desk.others.actions() if one.text() == "Latitude")
    action.trigger()
    field = window.entry.other.fields["time"]
    assert isinstance(field, Entry) and field.text() == "2115"
    key_in(window, "latitude", "30 30 N")
    QTest.keyClick(window.entry.other.fields["latitude"], Qt.Key.Key_Return)
    assert line(window, "l1").time == window.session.now


@pytest.mark.parametrize(
    ("name", "key", "text", "wrong", "words"),
    [
        ("radial", "time", "22", False, "hours and minutes"),
        ("radial", "time", "2575", True, "2575"),
        ("radial", "time", "1200", True, "before the start"),
        ("radial", "station", "29 30", False, "then longitude"),
        ("radial", "station", "29 30 N 018", False, "then longitude"),
        ("radial", "station", "95 30 N 018 00 W", True, "95"),
        ("radial", "radial_deg", "275x", True, "not a number"),
        ("radial", "radial_deg", "400", True, "from 0 to 360"),
        ("latitude", "latitude", "91 N", True, "91"),
        ("drift", "drift_deg", "-", False, "right is"),
        ("check", "body", "Vegga", True, "nearest: Vega"),
        ("check", "body", "Ve", False, "Vega"),
        ("range", "range_nm", "2.0", True, "cannot be shorter than the height"),
        ("range", "range_nm", "8", False, "8 so far"),
        ("bearing", "bearing_deg", "120", True, ""),
    ],
)
def test_what_is_wrong_is_said_at_its_field_and_nothing_is_filed(
    window: MainWindow, name: str, key: str, text: str, wrong: bool, words: str
) -> None:
    take(window, name)
    field = key_in(window, key, text)
    form, before = window.entry.other, window.session.document
    told = [one for one in form.fields.values() if isinstance(one, Entry) and one.property("wrong")]
    assert bool(told) is wrong
    assert words in form.remark.text()
    if wrong:
        assert words in told[0].accessibleDescription() and told[0].toolTip()
    QTest.keyClick(field, Qt.Key.Key_Return)
    assert window.session.document is before and field.text() == text
    assert isinstance(QApplication.focusWidget(), Entry)


def test_wrong_text_leaves_the_last_line_on_the_chart(window: MainWindow) -> None:
    take(window, "radial")
    good, scene = window.session.worked, window.canvas.scene
    field = key_in(window, "sigma_deg", "x")
    assert window.session.worked.other == good.other and window.canvas.scene is not None
    assert [one.id for one in window.canvas.scene.lines] == [one.id for one in scene.lines] if scene else False
    QTest.keyClick(field, Qt.Key.Key_Backspace)
    assert not field.property("wrong") and window.session.worked.other == good.other


TROPICS = """
format = "nightleg-flight-1"
[start]
time = 2026-03-14T22:00:00Z
position = "12 00.0 N 031 00.0 W"
[[leg]]
time = 2026-03-14T22:00:00Z
heading_deg = 262
tas_kt = 400
altitude_ft = 18000
"""


def test_no_pressure_line_near_the_equator_and_why_at_the_field(qtbot: QtBot) -> None:
    """Within 20° the wind does not follow the pressure (common practice of the handbooks)."""
    window = shown(qtbot, parse_flight(TROPICS))
    window.entry.take("pressure")
    time = key_in(window, "time", "2220")
    assert time.property("wrong") is True  # known before D is read
    assert "within 20° of the equator the wind does not follow the pressure" in window.entry.other.remark.text()
    key_in(window, "d1_ft", "210")
    second = key_in(window, "d2_ft", "340")
    assert second.property("wrong") is True and "20° of the equator" in second.accessibleDescription()
    QTest.keyClick(second, Qt.Key.Key_Return)
    assert not window.session.document.flight.lines
    assert window.entry.other.main.text() == "—"


def test_choices_reach_the_file_and_the_usual_ones_do_not(window: MainWindow) -> None:
    take(window, "radial")
    field = window.entry.other.fields["reference"]
    assert not isinstance(field, Entry) and field.currentText() == "magnetic"
    field.setFocus()
    QTest.keyClicks(field, "t")
    assert field.currentText() == "true"
    assert window.session.draft.other.text("reference") == "true"  # by key, at once
    window.entry.other.file()
    assert line(window, "r1").reference == "true"
    take(window, "range")
    window.entry.other.file()
    text = window.session.document.text
    assert "slant" not in text.split('kind = "range"')[1].split("[[")[0]
    assert line(window, "r2").slant is None


def test_the_fix_is_chosen_as_with_sights(window: MainWindow) -> None:
    take(window, "latitude")
    form, session = window.entry.other, window.session
    assert form.fix.currentData() == "f4" and form.belongs.text() == "l1 of fix f4"
    for choice, said in (("none", "in no fix"), ("f3", "of fix f3"), ("new", "of fix f5")):
        number = form.fix.findData(choice)
        form.fix.setCurrentIndex(number)
        form.fix.activated.emit(number)
        assert said in form.belongs.text()
    form.file()
    assert session.document.flight.fixes[-1].sights == ("l1",) and session.document.flight.fixes[-1].id == "f5"


def test_the_first_reading_of_a_pressure_line_is_at_the_last_fix_or_where_it_is_said(window: MainWindow) -> None:
    take(window, "pressure")
    field = window.entry.other.fields["from"]
    assert not isinstance(field, Entry) and field.currentText() == "f3"
    shown_at = window.entry.other.main.text()
    number = field.findText("f1")
    field.setCurrentIndex(number)
    field.activated.emit(number)
    assert window.entry.other.main.text() != shown_at
    window.entry.other.file()
    assert line(window, "p1").from_ == "f1"


def test_drifts_on_two_headings_give_the_wind(window: MainWindow) -> None:
    take(window, "drift")
    form = window.entry.other
    assert form.main.text() == "no wind yet" and "two headings" in form.remark.text()
    form.file()
    for key, text in {"time": "2152", "heading_deg": "210", "drift_deg": "4 L"}.items():
        key_in(window, key, text)
    assert form.main.text().startswith("wind ")
    assert next(row for row in form.rows.rows if row.name == "Worked with").value == "d1 d2"


def test_a_flight_known_at_an_instant_shows_the_line_that_is_typed(window: MainWindow) -> None:
    window.session.set_now(window.session.document.flight.legs[-1].time.replace(minute=30))
    take(window, "latitude")
    typing = window.session.worked.other
    assert typing is not None and window.session.worked.solution.line(typing.id).position is not None
    window.entry.other.file()
    assert window.session.now >= line(window, "l1").time  # what has been entered is known


@pytest.mark.parametrize("name", TYPED)
def test_letters_and_names_of_fields(window: MainWindow, name: str) -> None:
    window.entry.take(name)
    menus = [one.text() for one in window.menuBar().actions()]
    assert [one.text() for one in window.findChildren(QLabel) if one.buddy() is window.entry.other.fix]
    labels = [one for one in window.findChildren(QLabel) if one.buddy() is not None and one.isVisible()]
    # Titles of parts name their box for those who hear it; letters are for the fields of the form.
    beside = [one.text() for one in labels if window.entry.isAncestorOf(one) or letter_of(one.text())]
    beside += [one.text() for one in window.findChildren(QAbstractButton) if one.isVisible() and letter_of(one.text())]
    letters = [letter_of(text) for text in (*menus, *beside)]
    assert len(set(letters)) == len(letters) and all(letters)
    for field in window.entry.other.fields.values():
        assert field.accessibleName()


def test_what_is_typed_of_a_line_is_asked_about_and_kept(window: MainWindow) -> None:
    from nightleg.window.documents.autosave import held_by, typed_words

    take(window, "radial")
    assert typed_words(window.session) == "radial from a station 2150 29 30 N 018 00 W 275"
    copy = held_by(window.session)
    assert copy is not None and copy.draft.other.text("radial_deg") == "275"


def test_a_flight_with_lines_of_every_kind_opens_and_all_are_in_the_log(qtbot: QtBot, window: MainWindow) -> None:
    for name in TYPED:
        take(window, name)
        window.entry.other.file()
    again = shown(qtbot, parse_flight(window.session.document.text))
    keys_shown = {row.key for row in again.log.log.rows}
    assert {("line", "p1"), ("line", "b1"), ("line", "r1"), ("line", "r2"), ("line", "l1")} <= keys_shown
    assert {("drift", "d1"), ("check", "h1"), ("landfall", "k1")} <= keys_shown
    again.session.undo_stack.setClean()
