"""Text that has no answer: the figures of the last one are not shown beside it, as if they came from it."""

from __future__ import annotations

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QLineEdit
from pytestqt.qtbot import QtBot

from nightleg.flight.read import parse_flight
from nightleg.window.main import MainWindow

from .conftest import shown

GOOD = "29 34.5"
FIGURES = ("reading", "Ho", "intercept")


def over(field: QLineEdit, text: str) -> None:
    """Type over what is in a field."""
    field.setFocus()
    field.selectAll()
    QTest.keyClicks(field, text)


def log_row(window: MainWindow) -> dict[str, str]:
    model = window.log.log
    (number,) = (number for number, row in enumerate(model.rows) if row.typed)
    return dict(zip(model.columns, model.texts(number), strict=True))


def worked(window: MainWindow) -> dict[str, str]:
    return {row.name: row.value for row in (*window.worked.place.rows, *window.worked.rows.rows)}


def typed_shot(window: MainWindow) -> str:
    return next(row.value for row in window.fix.shots.rows if row.typed)


@pytest.fixture
def good(window: MainWindow) -> MainWindow:
    """The window with a sight typed that has an answer."""
    QTest.keyClicks(window.form.reading, GOOD)
    assert window.form.result["Ho"].text() != "—" and typed_shot(window) != "not read"
    return window


@pytest.mark.parametrize("bad", ["xyz", "61 75", "-5 00"])
def test_a_refused_reading_leaves_no_figure_that_seems_to_come_from_it(good: MainWindow, bad: str) -> None:
    form, scene = good.form, good.canvas.scene
    before = {name: shown.text() for name, shown in form.result.items()}
    form.reading.selectAll()
    form.reading.insert(bad)  # as if pasted: each sign by itself may have an answer of its own
    assert form.reading.property("wrong") is True
    assert form.result["Ho"].text() == "—" and form.intercept.text() == "intercept  —"
    assert form.result["Hc"].text() == before["Hc"] and form.result["Zn"].text() == before["Zn"]  # body and time stand
    steps = worked(good)
    assert {value for name, value in steps.items() if name not in ("GHA", "Dec", "LHA", "Hc")} == {"—"}
    assert steps["Hc"] == before["Hc"] and steps["GHA"] != "—"
    row = log_row(good)
    assert [row[name] for name in FIGURES] == ["—", "—", "—"] and "cannot be worked" in row["note"]
    assert typed_shot(good) == "not read"
    assert "as it could be worked last" in good.fix.trust.text()
    assert not form.enter.isEnabled()
    assert form.result["Ho"].asks() is None and form.intercept.asks() is None
    assert good.canvas.scene is scene  # the chart has not jumped


@pytest.mark.parametrize("field", ["time", "body"])
def test_a_refused_time_or_body_leaves_no_figure_at_all(good: MainWindow, field: str) -> None:
    form = good.form
    over(form.fields["time" if field == "time" else "body"], "9999" if field == "time" else "qqq")
    assert [shown.text() for shown in form.result.values()] == ["—", "—", "—"]
    assert form.intercept.text() == "intercept  —"
    assert set(worked(good).values()) == {"—"}
    assert "cannot be worked" in good.worked.when.text()
    assert typed_shot(good) == "not read"
    assert [log_row(good)[name] for name in ("Hc", "Zn", "Ho")] == ["—", "—", "—"]


def test_all_figures_are_there_again_with_the_text(good: MainWindow) -> None:
    form = good.form
    before = worked(good), {name: shown.text() for name, shown in form.result.items()}, typed_shot(good)
    trust, row = good.fix.trust.text(), log_row(good)
    QTest.keyClicks(form.reading, "x")
    assert worked(good) != before[0]
    QTest.keyClick(form.reading, Qt.Key.Key_Backspace)
    assert (worked(good), {name: shown.text() for name, shown in form.result.items()}, typed_shot(good)) == before
    assert (good.fix.trust.text(), log_row(good)) == (trust, row)
    assert form.enter.isEnabled()


AT_THE_END = """format = "nightleg-flight-1"
[start]
time = 2053-10-08T22:00:00Z
position = "41 30.0 N 028 15.0 W"
[[leg]]
time = 2053-10-08T22:00:00Z
heading_deg = 262.0
tas_kt = 430.0
wind = "310/45"
altitude_ft = 31000
"""


def test_a_time_past_the_ephemeris_is_told_at_the_time_and_keeps_enter_dark(qtbot: QtBot) -> None:
    window = shown(qtbot, parse_flight(AT_THE_END))
    form = window.form
    QTest.keyClicks(form.body, "Vega")
    QTest.keyClicks(form.time, "0030")
    QTest.keyClicks(form.reading, "41 00.0")
    assert form.time.property("wrong") is True and "ephemeris" in form.time.accessibleDescription()
    assert form.remark.text().startswith("Watch time: ") and "ephemeris" in form.remark.text()
    assert not form.enter.isEnabled()


def test_what_can_be_read_and_not_be_worked_says_why_in_the_form(qtbot: QtBot) -> None:
    flight = AT_THE_END.replace("2053-10-08", "2026-03-14").replace("41 30.0 N", "89 30.0 N")
    window = shown(qtbot, parse_flight(flight.replace("heading_deg = 262.0", "heading_deg = 0.0")))
    form = window.form
    QTest.keyClicks(form.body, "Vega")
    QTest.keyClicks(form.time, "2330")
    QTest.keyClicks(form.reading, "41 00.0")
    assert "pole" in form.remark.text() and form.remark.property("kind") == "wrong"
    assert not form.enter.isEnabled() and form.result["Ho"].text() == "—"
