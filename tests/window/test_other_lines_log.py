"""Lines and other readings in the log: every field in its cell, moved, taken away, renamed with all that refers."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from pytestqt.qtbot import QtBot

from nightleg.flight.document import Document
from nightleg.flight.read import parse_flight
from nightleg.flight.schema import tables
from nightleg.window.flight.renaming import renamed
from nightleg.window.log.full import FULL
from nightleg.window.log.others import kind_of_row, record_of
from nightleg.window.main import MainWindow
from nightleg.window.other.kinds import KINDS
from nightleg.window.parts import Entry

from .conftest import shown

TEXT = """
format = "nightleg-flight-1"
notes = "for the class"

[start]
time = 2026-03-14T22:00:00Z
position = "41 30.0 N 028 15.0 W"

[[leg]]
time = 2026-03-14T22:00:00Z
heading_deg = 262
tas_kt = 430
wind = "310/45"
altitude_ft = 31000

[[leg]]
time = 2026-03-14T22:50:00Z
wind = "fix:f1"

[[sight]]
id = "s1"
body = "Capella"
time = 2026-03-14T22:28:00Z
hs = "61 08.0"

[[line]]
id = "r1"
kind = "range"
time = 2026-03-14T22:30:00Z
station = "41 00 N 030 30 W"
range_nm = 98

[[line]]
id = "v1"
kind = "radial"
time = 2026-03-14T22:30:00Z
station = "41 00 N 030 30 W"
radial_deg = 290

[[line]]
id = "b1"
kind = "bearing"
time = 2026-03-14T22:32:00Z
station = "40 00 N 033 30 W"
bearing_deg = 190

[[line]]
id = "l1"
kind = "latitude"
time = 2026-03-14T22:33:00Z
latitude = "41 20 N"

[[line]]
id = "p1"
kind = "pressure"
time = 2026-03-14T23:00:00Z
from = "f1"
d1_ft = 210
d2_ft = 340

[[fix]]
id = "f1"
time = 2026-03-14T22:35:00Z
sights = ["r1", "v1", "s1"]

[[fix]]
id = "f2"
time = 2026-03-14T23:10:00Z
kind = "known"
position = "41 00 N 037 00 W"
sigma_nm = 2

[[heading_check]]
id = "h1"
body = "Capella"
time = 2026-03-14T22:20:00Z
relative_bearing_deg = 31
shown_deg = 281

[[drift]]
id = "d1"
time = 2026-03-14T22:20:00Z
heading_deg = 262
drift_deg = -5

[[plotted]]
of = "f1"
by = "student"
intercept_nm = 1.0

[[plotted]]
of = "r1"
by = "student"
intercept_nm = 2.0

[next_sight]
body = "Vega"
time = 2026-03-14T23:20:00Z
hs = "40 00"
fix = "f1"
"""


@pytest.fixture
def window(qtbot: QtBot) -> Iterator[MainWindow]:
    made = shown(qtbot, parse_flight(TEXT))
    yield made
    made.session.undo_stack.setClean()


def cell_of(window: MainWindow, kind: str, id: str, column: str) -> Entry:
    """The editor of a cell of the full log, opened by key."""
    log = window.log
    if not log.log.full:
        QTest.keySequence(window, "Shift+F4")
    number = log.log.number_of((kind, id))
    assert number is not None
    log.setFocus()
    log.setCurrentIndex(log.log.index(number, FULL.index(column)))
    QTest.keyClick(log, Qt.Key.Key_F2)
    found = [one for one in window.findChildren(Entry) if one.property("cell") and one.isVisible()]
    assert len(found) == 1
    return found[0]


def type_in(window: MainWindow, kind: str, id: str, column: str, text: str) -> Entry:
    editor = cell_of(window, kind, id, column)
    editor.selectAll()
    QTest.keyClicks(editor, text)
    QTest.keyClick(editor, Qt.Key.Key_Return)
    return editor


def held(window: MainWindow) -> Document:
    return window.session.document


CELLS = [
    ("line", "r1", "reading", "87.5", "range_nm = 87.5"),
    ("line", "r1", "position", "41 05 N 030 30 W", 'station = "41 05 N 030 30 W"'),
    ("line", "r1", "by", "no", "slant = false"),
    ("line", "r1", "altitude", "1200", "station_elevation_ft = 1200"),
    ("line", "r1", "1σ", "0.5", "sigma_nm = 0.5"),
    ("line", "r1", "use", "no", "use = false"),
    ("line", "r1", "time", "2231", "time = 2026-03-14T22:31:00Z"),
    ("line", "v1", "reading", "291", "radial_deg = 291"),
    ("line", "v1", "by", "true", 'reference = "true"'),
    ("line", "v1", "var", "-8", "station_variation_deg = -8"),
    ("line", "v1", "1σ", "1", "sigma_deg = 1"),
    ("line", "b1", "reading", "191", "bearing_deg = 191"),
    ("line", "b1", "reading", "290 rel", "relative_bearing_deg = 290"),
    ("line", "l1", "reading", "41 22 N", 'latitude = "41 22 N"'),
    ("line", "p1", "D1", "200", "d1_ft = 200"),
    ("line", "p1", "reading", "350", "d2_ft = 350"),
    ("line", "p1", "by", "start", 'from = "start"'),
    ("check", "h1", "entry", "Sirius", 'body = "Sirius"'),
    ("check", "h1", "reading", "33", "relative_bearing_deg = 33"),
    ("check", "h1", "CH", "282", "shown_deg = 282"),
    ("check", "h1", "by", "magnetic", 'shown = "magnetic"'),
    ("drift", "d1", "TH", "263", "heading_deg = 263"),
    ("drift", "d1", "reading", "-6", "drift_deg = -6"),
    ("drift", "d1", "1σ", "2", "sigma_deg = 2"),
    ("fix", "f2", "position", "41 02 N 037 00 W", 'position = "41 02 N 037 00 W"'),
    ("fix", "f2", "1σ", "3", "sigma_nm = 3"),
    ("fix", "f1", "prior", "yes", "prior = true"),
    ("sight", "s1", "duration", "60", "duration_s = 60"),
    ("sight", "s1", "assumed", "41 00 N 032 00 W", 'assumed = "41 00 N 032 00 W"'),
    ("sight", "s1", "1σ", "4", "sigma_arcmin = 4"),
    ("sight", "s1", "use", "no", "use = false"),
    ("start", "start", "note", "for another class", 'notes = "for another class"'),
]


@pytest.mark.parametrize("number", range(4))
def test_every_field_is_edited_in_its_cell_as_one_named_step(window: MainWindow, number: int) -> None:
    for kind, id, column, text, written in CELLS[number::4]:
        before, steps = held(window).text, window.session.undo_stack.index()
        type_in(window, kind, id, column, text)
        assert written in held(window).text and written not in before, (kind, id, column)
        assert window.session.undo_stack.index() == steps + 1
        assert window.session.undo_stack.undoText().endswith(id if kind != "start" else "flight")
        window.session.undo_stack.undo()
        assert held(window).text == before


def test_no_field_of_a_kind_is_without_its_cell(window: MainWindow) -> None:
    log = window.log.log
    log.set_full(True)
    flight = held(window).flight
    seen = set()
    for number, row in enumerate(log.rows):
        if row.kind not in ("line", "check", "drift"):
            continue
        record = record_of(flight, row)
        assert record is not None
        kind = kind_of_row(row.kind, record)
        seen.add(kind.name)
        reached = {cell.key for i in range(len(FULL)) if (cell := log.cell(log.index(number, i))) is not None}
        wanted = {one.key for one in kind.fields} - set(kind.one_of)
        assert wanted <= reached and (not kind.one_of or reached & set(kind.one_of))
        assert "id" in reached
    assert seen == {kind.name for kind in KINDS if kind.table in ("line", "heading_check", "drift")}


def test_a_bearing_changes_its_form_and_keeps_one(window: MainWindow) -> None:
    type_in(window, "line", "b1", "reading", "290 rel")
    line = next(one for one in held(window).flight.lines if one.id == "b1")
    assert line.bearing_deg is None and line.relative_bearing_deg == 290.0
    type_in(window, "line", "b1", "reading", "true 190")
    line = next(one for one in held(window).flight.lines if one.id == "b1")
    assert line.bearing_deg == 190.0 and line.relative_bearing_deg is None


@pytest.mark.parametrize(
    ("kind", "id", "column", "text", "words"),
    [
        ("line", "r1", "reading", "far", "not a number"),
        ("line", "r1", "position", "41 00 N", "no E or W"),
        ("line", "v1", "by", "grid", "magnetic, true"),
        ("line", "p1", "by", "f9", "there is no fix"),
        ("line", "p1", "by", "f2", "is not before this line"),
        ("drift", "d1", "1σ", "-1", "from 0 to"),
        ("line", "r1", "id", "v1", "is taken"),
        ("fix", "f1", "id", "start", "use for something else"),
        ("line", "l1", "time", "2100", "before the start"),
    ],
)
def test_what_is_wrong_is_said_at_the_cell_and_kept_there(
    window: MainWindow, kind: str, id: str, column: str, text: str, words: str
) -> None:
    before = held(window)
    editor = type_in(window, kind, id, column, text)
    assert held(window) is before and editor.isVisible() and editor.text() == text
    assert editor.property("wrong") is True
    assert words in editor.accessibleDescription() and words in window.log.words.text()
    QTest.keyClick(editor, Qt.Key.Key_Escape)


def test_a_line_moved_in_time_goes_to_its_place(window: MainWindow) -> None:
    type_in(window, "line", "l1", "time", "2205")
    kinds = [row.key for row in window.log.log.rows]
    assert kinds.index(("line", "l1")) < kinds.index(("drift", "d1"))
    assert window.log.log.rows[window.log.currentIndex().row()].key == ("line", "l1")  # the cursor goes along


def test_lines_are_set_aside_by_key_and_taken_away(window: MainWindow) -> None:
    window.log.setFocus()
    window.log.select_entry("line", "r1")
    QTest.keyClick(window.log, Qt.Key.Key_Space)
    assert not next(one for one in held(window).flight.lines if one.id == "r1").use
    QTest.keyClick(window.log, Qt.Key.Key_Delete)  # a person's work refers to it
    assert "refer" in window.told.text() and len(held(window).flight.lines) == 5
    window.log.select_entry("line", "v1")
    QTest.keyClick(window.log, Qt.Key.Key_Delete)
    assert [one.id for one in held(window).flight.lines] == ["r1", "b1", "l1", "p1"]
    assert held(window).flight.fixes[0].sights == ("r1", "s1")


def test_filters_show_lines_and_readings(window: MainWindow) -> None:
    QTest.keySequence(window, "Alt+5")
    assert {row.kind for row in window.log.log.rows} == {"line"} and len(window.log.log.rows) == 5
    QTest.keySequence(window, "Alt+6")
    assert {row.kind for row in window.log.log.rows} == {"check", "drift"}
    QTest.keySequence(window, "Alt+0")


def test_a_new_name_goes_through_all_references_in_one_step(window: MainWindow) -> None:
    before = held(window)
    type_in(window, "fix", "f1", "id", "noon")
    flight = held(window).flight
    assert flight.fixes[0].id == "noon" and flight.lines[-1].from_ == "noon"
    assert 'wind = "fix:noon"' in held(window).text and flight.plotted[0].of == "noon"
    assert flight.next_sight is not None and flight.next_sight.fix == "noon"
    assert flight.plotted[1].of == "r1"
    assert window.session.undo_stack.count() == 1
    assert window.log.log.rows[window.log.currentIndex().row()].key == ("fix", "noon")
    QTest.keySequence(window, "Ctrl+Z")
    assert held(window).text == before.text
    type_in(window, "line", "r1", "id", "dme1")
    flight = held(window).flight
    assert flight.fixes[0].sights == ("dme1", "v1", "s1") and flight.plotted[1].of == "dme1"
    assert window.session.base.line("dme1").position is not None


def test_renaming_leaves_everything_else_as_it_was() -> None:
    document = parse_flight(TEXT)
    for table in ("sight", "line", "fix", "heading_check", "drift"):
        for entry in getattr(document.flight, tables()[table].field):
            there = document.with_edits(*renamed(document, (table, entry.id), "zz"))
            back = there.with_edits(*renamed(there, (table, "zz"), entry.id))
            assert back.flight == document.flight and there.flight != document.flight
    with pytest.raises(KeyError):
        renamed(document, ("sight", "s9"), "s8")
