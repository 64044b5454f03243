"""Explaining a disagreement in the window: named by itself, tried as a ghost, adopted as one step, taken back."""

from __future__ import annotations

import math
import re
import threading
from collections.abc import Iterator

import msgspec
import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QListWidget
from pytestqt.qtbot import QtBot

from nightleg.chart.themes import THEMES
from nightleg.flight.document import Document
from nightleg.flight.edits import Append, Put
from nightleg.flight.solve import solve
from nightleg.flight.suspects import asks
from nightleg.window.fix import search as suspectsearch
from nightleg.window.fix.suspects import FixSuspects
from nightleg.window.fix.trials import name_of, odds_words
from nightleg.window.helpsheet import sections
from nightleg.window.look import look
from nightleg.window.main import MainWindow

from .conftest import shown

FIX, SHOT = "f3", "s9"


@pytest.fixture(scope="module")
def misread(demo: Document) -> Document:
    """The demo with a degree misread in one shot of its last fix."""
    hs = next(sight.hs for sight in demo.flight.sights if sight.id == SHOT)
    assert hs is not None
    return demo.with_value(("sight", SHOT), "hs", hs + 1.0)


@pytest.fixture
def wrong(qtbot: QtBot, misread: Document) -> Iterator[MainWindow]:
    made = shown(qtbot, misread)
    made.fix.show_fix(FIX)
    yield made
    made.session.undo_stack.setClean()


def found(qtbot: QtBot, window: MainWindow) -> FixSuspects:
    suspects = window.fix.suspects
    qtbot.waitUntil(lambda: suspects.found is not None, timeout=20000)
    return suspects


def key(qtbot: QtBot, on: QListWidget, *keys: Qt.Key) -> None:
    for one in keys:
        qtbot.keyClick(on, one)


def test_a_disagreement_explains_itself(qtbot: QtBot, wrong: MainWindow) -> None:
    suspects = found(qtbot, wrong)
    assert "most likely Vega 2104: read one degree too high" in suspects.words.text()
    assert "disagree" in wrong.fix.trust.text() and "disagree" not in suspects.words.text()  # told once
    first = suspects.list.item(0)
    assert first is not None
    title, effect = first.text().split("\n")
    assert title == "Vega 2104: read one degree too high"
    assert " to 1; the fix moves " in effect and effect.endswith(" NM")
    assert suspects.list.isVisible() and suspects.ghost is None
    assert wrong.canvas.scene is not None and wrong.canvas.scene.ghost is None


def test_keys_try_change_take_away_and_adopt(qtbot: QtBot, wrong: MainWindow) -> None:
    """The ghost's fix is the fix after adopting, to the last figure."""
    suspects, before = found(qtbot, wrong), wrong.session.document.text
    qtbot.keyClick(wrong, Qt.Key.Key_F9, Qt.KeyboardModifier.ShiftModifier)
    qtbot.waitUntil(suspects.list.hasFocus)
    key(qtbot, suspects.list, Qt.Key.Key_Space)
    scene = wrong.canvas.scene
    assert scene is not None and scene.ghost is not None and scene.ghost == suspects.ghost
    view, place = wrong.canvas.view, scene.ghost.position
    assert view is not None and place is not None
    ((x, y),) = view.points([place])
    assert view.frame.holds(x, y)  # an older fix is brought into view
    assert "read one degree too high" in scene.ghost.text and len(scene.ghost.lines) == 1
    key(qtbot, suspects.list, Qt.Key.Key_Down)
    other = wrong.canvas.scene
    assert other is not None and other.ghost is not None and other.ghost != scene.ghost
    key(qtbot, suspects.list, Qt.Key.Key_Escape)
    assert wrong.canvas.scene is not None and wrong.canvas.scene.ghost is None
    assert wrong.session.document.text == before
    key(qtbot, suspects.list, Qt.Key.Key_Up, Qt.Key.Key_Return)
    assert wrong.session.document.text == before  # what has not been seen is only tried
    key(qtbot, suspects.list, Qt.Key.Key_Return)
    assert wrong.session.undo_stack.undoText() == "take s9 as read one degree too high"
    assert wrong.session.worked.solution.fix(FIX).position == scene.ghost.position
    assert wrong.session.worked.solution.fix(FIX).ellipse95 == scene.ghost.ellipse95
    assert wrong.canvas.scene is not None and wrong.canvas.scene.ghost is None
    wrong.session.undo_stack.undo()
    assert wrong.session.document.text == before


def test_the_mouse_does_the_same(qtbot: QtBot, wrong: MainWindow) -> None:
    suspects = found(qtbot, wrong)
    wrong.side.ensureWidgetVisible(suspects.adopt_button)
    for row in (1, 0):
        item = suspects.list.item(row)
        assert item is not None
        at = suspects.list.visualItemRect(item).center()
        qtbot.mouseClick(suspects.list.viewport(), Qt.MouseButton.LeftButton, pos=at)
        assert suspects.list.currentRow() == row and suspects.ghost is not None
    qtbot.mouseClick(suspects.adopt_button, Qt.MouseButton.LeftButton)
    assert wrong.session.undo_stack.undoText() == "take s9 as read one degree too high"


def test_shots_that_agree_are_said_to_agree(qtbot: QtBot, window: MainWindow) -> None:
    window.fix.show_fix(FIX)
    suspects = window.fix.suspects
    qtbot.wait(400)
    assert suspects.found is None and not suspects.list.isVisible()  # nobody asked
    qtbot.mouseClick(suspects.button, Qt.MouseButton.LeftButton)
    found(qtbot, window)
    assert suspects.words.text().startswith("Least unlikely, if one were wrong")
    assert "agree" in window.fix.trust.text()
    rows = [suspects.list.item(row) for row in range(suspects.list.count())]
    assert rows and all(row and re.search("unlikely, 1 to |hardly, under 1 to 1000", row.text()) for row in rows)
    qtbot.keyClick(suspects.list, Qt.Key.Key_Escape)
    assert not suspects.list.isVisible()


def test_typing_drops_what_was_found_and_finds_anew(qtbot: QtBot, wrong: MainWindow) -> None:
    """Nothing is left on the chart of a flight that is another by now."""
    suspects = found(qtbot, wrong)
    key(qtbot, suspects.list, Qt.Key.Key_Space)
    hs = next(sight.hs for sight in wrong.session.document.flight.sights if sight.id == "s7")
    assert hs is not None

    wrong.session.edit("reading of s7", Put(("sight", "s7"), "hs", hs + 1 / 600))
    assert suspects.found is None and suspects.ghost is None
    assert wrong.canvas.scene is not None and wrong.canvas.scene.ghost is None
    assert found(qtbot, wrong).found is not None


def test_a_typed_sight_is_put_right_in_the_form(qtbot: QtBot, wrong: MainWindow) -> None:
    assert wrong.session.edit_sight(SHOT)
    suspects, before = found(qtbot, wrong), wrong.session.draft
    text = wrong.session.document.text
    assert wrong.session.worked.typed_id == SHOT
    key(qtbot, suspects.list, Qt.Key.Key_Space)
    ghost = suspects.ghost
    key(qtbot, suspects.list, Qt.Key.Key_Return)
    degrees = int(before.reading.split()[0])
    assert wrong.session.draft.reading == f"{degrees - 1} {before.reading.split()[1]}"
    assert wrong.form.reading.text() == wrong.session.draft.reading
    assert wrong.session.document.text == text
    assert ghost is not None and wrong.session.worked.solution.fix(FIX).position == ghost.position
    wrong.session.undo_stack.undo()
    assert wrong.session.draft == before


def test_a_line_is_shown_tried_and_adopted(qtbot: QtBot, demo: Document) -> None:
    """A latitude a degree too far north beside the stars of the fix: the ghost is its line, adopting writes its key."""
    fix = next(one for one in demo.flight.fixes if one.id == FIX)
    place = solve(demo.flight).fix(FIX).position
    assert place is not None
    values = {"id": "x1", "kind": "latitude", "time": fix.time, "latitude": round(place.lat, 2) + 1.0}
    sights = [*fix.sights, "x1"]
    held = demo.with_edits(Append("line", values), Put(("fix", FIX), "sights", sights))
    window = shown(qtbot, held)
    window.fix.show_fix(FIX)
    suspects = found(qtbot, window)
    first = suspects.list.item(0)
    assert first is not None and first.text().startswith("latitude 2100: read one degree too far north\n")
    key(qtbot, suspects.list, Qt.Key.Key_Space)
    ghost = suspects.ghost
    assert ghost is not None and len(ghost.lines) == 1 and ghost.position is not None
    key(qtbot, suspects.list, Qt.Key.Key_Return)
    assert window.session.undo_stack.undoText() == "take x1 as read one degree too far north"
    (line,) = [one for one in window.session.document.flight.lines if one.id == "x1"]
    assert line.latitude == pytest.approx(round(place.lat, 2), abs=1e-9)
    assert window.session.worked.solution.fix(FIX).position == ghost.position
    window.session.undo_stack.undo()
    assert window.session.document.text == held.text
    window.session.undo_stack.setClean()


def test_nothing_runs_on_after_the_window(qtbot: QtBot, wrong: MainWindow) -> None:
    wrong.fix.suspects.ask()
    wrong.session.undo_stack.setClean()
    wrong.close()
    assert not [thread for thread in threading.enumerate() if thread.name == "explanations"]


def test_menus_and_the_sheet_of_keys_have_them(wrong: MainWindow) -> None:
    lines = {line.words: line.keys for section in sections(wrong.menuBar()) for line in section.lines}
    assert lines["Explain a disagreement"] == "Shift+F9"
    assert lines["Try the explanation on the chart"] == "Ctrl+F9"
    assert lines["Adopt the explanation tried"] == "Ctrl+Shift+F9"


def test_all_of_it_has_a_name(qtbot: QtBot, wrong: MainWindow) -> None:
    suspects = found(qtbot, wrong)
    for part in (suspects.list, suspects.button, suspects.try_button, suspects.adopt_button):
        assert part.accessibleName()
    assert "Space" in suspects.list.accessibleDescription()


def test_bars_and_marks_wear_the_theme_at_once(qtbot: QtBot, wrong: MainWindow) -> None:
    wrong.set_theme("red")
    red = look(THEMES["red"])
    bar = wrong.fix.shots.lines[0][1]
    image = bar.grab().toImage()
    seen = {image.pixelColor(x, y).name().upper() for x in range(image.width()) for y in range(image.height())}
    assert red.ink in seen
    run = wrong.header.run.grab().toImage()
    assert red.ink in {run.pixelColor(x, y).name().upper() for x in range(run.width()) for y in range(run.height())}


@pytest.mark.parametrize(
    ("odds", "words"),
    [
        (20.0, "very likely, 20 to 1"),
        (3.0, "likely, 3 to 1"),
        (1.0, "about even, 1 to 1"),
        (1 / 4, "unlikely, 1 to 4"),
        (1 / 230, "very unlikely, 1 to 200"),
        (1e6, "almost certain, over 1000 to 1"),
        (1e-6, "hardly, under 1 to 1000"),
    ],
)
def test_odds_in_words_and_figures(odds: float, words: str) -> None:
    assert odds_words(math.log(odds)) == words


def test_a_reading_that_is_half_typed_is_not_called_into_question(qtbot: QtBot, demo: Document) -> None:
    """Its line disagrees until the last figure is there; no word comes and goes in the panel."""
    window = shown(qtbot, demo)
    suspects = window.fix.suspects
    asked = []
    for figure in "29 34.5":
        qtbot.keyClicks(window.form.reading, figure)
        fix = window.fix.fix()
        asked.append(fix is not None and asks(fix))
        assert suspects.words.isHidden() and suspects.button.text() == "Explain"
    assert any(asked) and not asked[-1]


@pytest.mark.filterwarnings("ignore::pytest.PytestUnhandledThreadExceptionWarning")
def test_a_search_that_fails_says_so(qtbot: QtBot, wrong: MainWindow, monkeypatch: pytest.MonkeyPatch) -> None:
    def failing(*_: object) -> None:
        raise ZeroDivisionError

    found(qtbot, wrong)
    wrong.fix.suspects.leave()
    monkeypatch.setattr(suspectsearch, "trials", failing)
    wrong.fix.show_fix("f2")
    wrong.fix.suspects.ask()
    words = wrong.fix.suspects.words
    assert words.text().startswith("Weighing")
    qtbot.waitUntil(lambda: not words.text().startswith("Weighing"), timeout=20000)
    assert words.text() == "What may have gone wrong could not be worked out." and not words.isHidden()


def test_two_shots_of_one_name_are_told_apart_by_their_ids(demo: Document) -> None:
    solution = solve(demo.flight)
    fix = solution.fix(FIX)
    assert name_of(solution, fix, SHOT) == "Vega 2104" and name_of(solution, fix, "all") == "all shots"
    twin = msgspec.structs.replace(solution.sight(SHOT), id="s99")
    both = msgspec.structs.replace(solution, sights=(*solution.sights, twin))
    assert name_of(both, msgspec.structs.replace(fix, sights=(*fix.sights, "s99")), SHOT) == "Vega 2104 (s9)"
