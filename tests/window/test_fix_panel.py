"""The fix panel: each change is a named step in the document; bars and words say what the solution says."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QWidget
from pytestqt.qtbot import QtBot

from nightleg.chart.themes import THEMES
from nightleg.flight.document import Document
from nightleg.flight.model import Fix
from nightleg.flight.working import explain
from nightleg.units.angles import write_arcmin
from nightleg.units.positions import write_position
from nightleg.window.fix.bars import ResidualBar
from nightleg.window.fix.shots import REACH_SIGMAS, ShotRow
from nightleg.window.look import look
from nightleg.window.main import MainWindow
from nightleg.window.words import axes

from .conftest import shown


def held(window: MainWindow, id: str) -> Fix:
    return next(fix for fix in window.session.document.flight.fixes if fix.id == id)


def space(window: MainWindow, key: str) -> None:
    box = window.fix.switches[key]
    box.setFocus()
    QTest.keyClick(box, Qt.Key.Key_Space)


def row(window: MainWindow, id: str) -> int:
    return next(number for number, one in enumerate(window.fix.shots.rows) if one.id == id)


def test_the_panel_says_what_the_solution_says(window: MainWindow) -> None:
    window.fix.show_fix("f3")
    fix = window.session.worked.solution.fix("f3")
    assert fix.position is not None and fix.cep_nm is not None
    shown = {one.name: one.value for one in window.fix.rows.rows}
    assert window.fix.position.text() == write_position(fix.position)
    assert shown["95 %"] == axes(fix.ellipse95) and shown["50 %"] == axes(fix.ellipse50)
    assert shown["CEP"] == f"{fix.cep_nm:.1f} NM"
    assert "from DR" in shown and "wind found" in shown
    assert window.fix.trust.text() == "\n".join(fix.trust)
    residuals = {one.id: one.value for one in window.fix.shots.rows if one.belongs}
    assert residuals == {id: write_arcmin(left) for id, left in fix.residuals_arcmin.items()}


@pytest.mark.parametrize(
    ("key", "step"),
    [("solve_common_error", "Common error of f3"), ("prior", "DR as prior of f3"), ("adopt", "Adopt of f3")],
)
def test_switches_are_steps_that_can_be_undone(window: MainWindow, key: str, step: str) -> None:
    window.fix.show_fix("f3")
    text, before = window.session.document.text, getattr(held(window, "f3"), key)
    space(window, key)
    assert getattr(held(window, "f3"), key) is not before
    assert window.fix.switches[key].isChecked() is not before
    assert window.session.undo_stack.undoText() == step
    QTest.keySequence(window, "Ctrl+Z")
    assert window.session.document.text == text
    assert window.fix.switches[key].isChecked() is before


def test_the_prior_and_the_common_error_change_the_fix(window: MainWindow) -> None:
    window.fix.show_fix("f3")
    before = window.session.worked.solution.fix("f3")
    space(window, "prior")
    after = window.session.worked.solution.fix("f3")
    assert after.prior and after.dof == before.dof + 2
    assert "with the DR" in window.fix.trust.text()
    space(window, "prior")
    space(window, "solve_common_error")
    names = [one.name for one in window.fix.rows.rows]
    assert "common error" in names


def test_bars_show_what_is_left_after_the_common_error(qtbot: QtBot, demo: Document) -> None:
    """All readings 6′ too high are one error common to all: hardly more is left of each than before."""
    changed = demo
    for sight in demo.flight.sights:
        if sight.id in ("s3", "s4", "s5", "s6"):
            assert sight.hs is not None
            changed = changed.with_value(("sight", sight.id), "hs", sight.hs + 0.1)
    window = shown(qtbot, changed.with_value(("fix", "f2"), "solve_common_error", True))
    window.fix.show_fix("f2")
    fix = window.session.worked.solution.fix("f2")
    common = fix.common_error_arcmin
    assert common is not None and common > 3.0
    for row in window.fix.shots.rows:
        if row.belongs and row.residual is not None:
            assert row.residual == pytest.approx(fix.residuals_arcmin[row.id] - common, abs=1e-9)
            assert "common to all shots" in row.spoken
    left = sum(row.residual for row in window.fix.shots.rows if row.residual is not None)
    assert abs(left) < 0.25 * abs(sum(fix.residuals_arcmin.values()))
    value = next(one.value for one in window.fix.rows.rows if one.name == "common error")
    assert value.startswith(write_arcmin(common)) and "1σ" in value
    working = explain(window.session.worked.flight, window.session.worked.solution, "f2")
    step = next(step for step in working.steps if step.name.startswith("line s4"))
    (said,) = [what for name, what in step.inputs if name == "left after the common error"]
    assert said == write_arcmin(fix.residuals_arcmin["s4"] - common)


def test_a_shot_is_taken_out_and_in_again_by_keyboard(window: MainWindow) -> None:
    window.fix.show_fix("f3")
    sights = held(window, "f3").sights
    number = row(window, sights[0])
    box = window.fix.shots.lines[number][0]
    box.setFocus()
    QTest.keyClick(box, Qt.Key.Key_Space)
    assert held(window, "f3").sights == sights[1:]
    assert window.session.undo_stack.undoText() == f"{sights[0]} out of f3"
    number = row(window, sights[0])  # it is still offered
    assert window.fix.shots.rows[number].note == "not in this fix"
    assert not window.fix.shots.lines[number][0].isChecked()
    QTest.mouseClick(window.fix.shots.lines[number][0], Qt.MouseButton.LeftButton)
    assert set(held(window, "f3").sights) == set(sights)
    assert window.session.undo_stack.undoText() == f"{sights[0]} into f3"


def test_the_time_is_typed_and_filed_with_enter(window: MainWindow) -> None:
    window.fix.show_fix("f3")
    field, before = window.fix.time, held(window, "f3").time
    field.setFocus()
    field.selectAll()
    QTest.keyClicks(field, "2103")
    assert held(window, "f3").time == before  # not while it is typed
    QTest.keyClick(field, Qt.Key.Key_Return)
    assert held(window, "f3").time == before.replace(hour=21, minute=3)
    assert window.session.undo_stack.undoText() == "Time of f3"
    QTest.keySequence(window, "Ctrl+Z")
    assert held(window, "f3").time == before
    assert field.text() == "2100"


def test_a_wrong_time_is_told_at_the_field_and_kept(window: MainWindow) -> None:
    window.fix.show_fix("f3")
    field, before = window.fix.time, held(window, "f3").time
    field.setFocus()
    field.selectAll()
    QTest.keyClicks(field, "2175")
    QTest.keyClick(field, Qt.Key.Key_Return)
    assert held(window, "f3").time == before
    assert "minute 75" in window.fix.said.text() and field.property("wrong") is True
    assert field.text() == "2175"
    field.selectAll()
    QTest.keyClicks(field, "1200")  # before the start of the flight
    QTest.keyClick(field, Qt.Key.Key_Return)
    assert "before the start" in window.fix.said.text()
    field.selectAll()
    QTest.keyClicks(field, "2101")
    QTest.keyClick(field, Qt.Key.Key_Return)
    assert window.fix.said.text() == "" and held(window, "f3").time.minute == 1


def test_another_fix_is_chosen_by_keyboard_and_the_one_in_hand_is_followed_again(window: MainWindow) -> None:
    which = window.fix.which
    hand = window.session.fix_in_hand()
    assert hand is not None and which.currentData() == hand.id
    which.setFocus()
    QTest.keyClick(which, Qt.Key.Key_Up)
    assert window.fix.fix() is not None and which.currentData() != hand.id
    QTest.keyClick(which, Qt.Key.Key_Down)
    shown = window.fix.fix()
    assert shown is not None and shown.id == hand.id


def test_the_sight_being_typed_is_listed_and_not_to_be_taken_out(window: MainWindow) -> None:
    window.form.reading.setText("29 34.5")
    id = window.session.worked.typed_id
    assert id is not None
    box, _, value = window.fix.shots.lines[row(window, id)]
    assert box.isChecked() and not box.isEnabled() and "typed" in box.text()
    assert value.text() != "—"


def shot(residual: float, sigma: float = 2.0) -> ShotRow:
    return ShotRow(
        "s1",
        "s1 Vega",
        datetime(2026, 10, 18, 22, 0, tzinfo=UTC),
        belongs=True,
        counts=True,
        residual=residual,
        sigma=sigma,
    )


def test_bars_reach_as_far_as_the_residual_in_sigmas(qtbot: QtBot) -> None:
    bar = ResidualBar()
    qtbot.addWidget(bar)
    bar.resize(116, 18)
    half = (116 - 16) / 2
    for residual in (2.0, -2.0, 6.0, -40.0):
        bar.show_row(shot(residual))
        reach = bar.reach()
        share = min(abs(residual) / 2.0 / REACH_SIGMAS, 1.0)
        assert reach.width() == pytest.approx(share * half)
        assert (reach.center().x() > 58) is (residual > 0)


def test_bars_are_told_apart_by_shape_too(qtbot: QtBot) -> None:
    bar = ResidualBar()
    qtbot.addWidget(bar)
    bar.resize(116, 18)

    def filled(residual: float) -> bool:
        bar.show_row(shot(residual))
        image, reach = bar.grab().toImage(), bar.reach()
        within = image.pixelColor(round(reach.center().x()) + 2, 10)  # below the axis, within the outline
        return within.rgb() != image.pixelColor(2, 1).rgb()

    assert filled(3.0)  # 1.5 σ
    assert not filled(5.0)  # 2.5 σ: an outline


def test_words_of_a_bar() -> None:
    assert shot(3.0).spoken == "s1 Vega: +3.0′, 1.5 σ"
    assert shot(-9.0).spoken == "s1 Vega: −9.0′, beyond 3 σ"


@pytest.mark.parametrize("theme", ["paper", "dim", "red"])
def test_boxes_and_bars_wear_the_theme(window: MainWindow, theme: str) -> None:
    window.set_theme(next(name for name in THEMES if name == theme))
    window.fix.show_fix("f3")
    of = look(THEMES[window.theme_name].scaled(window.system_scale))
    box = window.fix.switches["adopt"]
    assert box.isChecked()
    assert has_colour(box, of.ink) and has_colour(box, of.field)
    assert any(has_colour(bar, of.line) for _, bar, _ in window.fix.shots.lines if bar.isVisible())


def has_colour(widget: QWidget, colour: str) -> bool:
    image = widget.grab().toImage()
    pixels = (image.pixelColor(x, y).name() for x in range(image.width()) for y in range(image.height()))
    return colour.lower() in pixels
