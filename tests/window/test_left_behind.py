"""What goes with its flight, what stays when a flight is left, and what is seen when it is entered."""

from __future__ import annotations

from datetime import timedelta

from PySide6.QtCore import Qt
from PySide6.QtTest import QTest

from nightleg.chart.follow import in_sight
from nightleg.flight.parse import flight_of
from nightleg.window.documents.autosave import held_by, typed_words
from nightleg.window.documents.commands import plain_name
from nightleg.window.documents.recovering import words
from nightleg.window.main import MainWindow


def retype(window: MainWindow, text: str) -> None:
    field = window.flight.legs.direction
    field.setFocus()
    field.selectAll()
    QTest.keyClicks(field, text)


def test_refused_text_of_the_flight_form_is_in_the_recovery_copy(window: MainWindow) -> None:
    assert held_by(window.session) is None
    window.to_flight()
    retype(window, "26x")
    held = held_by(window.session)
    assert held is not None and held.refused == ("Direction: 26x",)
    assert "typed and not to be used: Direction: 26x" in words(held, held.saved)
    QTest.keyClick(window.flight.legs.direction, Qt.Key.Key_Escape)
    assert held_by(window.session) is None


def test_a_watch_time_alone_is_kept(window: MainWindow) -> None:
    window.form.body.clear()
    window.form.time.setText("23o3")
    assert typed_words(window.session) == "23o3"


def test_words_and_working_of_a_flight_go_with_it(window: MainWindow) -> None:
    window.documents.say("The chart is in a.png.")
    window.session.asked.emit("dr", "position")
    assert not window.sheet.isHidden() and "done" in window.strips.shown
    window.to_flight()
    window.documents.new()
    assert window.sheet.isHidden() and "done" not in window.strips.shown
    assert window.fold.open  # the start of a new flight comes first
    window.documents.take_up(window.session.document)
    assert not window.fold.open


def test_what_was_known_then_is_shown_from_the_last_entry_too(window: MainWindow) -> None:
    window.menus.clock.as_known.trigger()
    assert window.session.clock_set and window.header.shown.text() == "as known then"
    assert window.menus.clock.as_known.isChecked()
    window.ticker.to_previous()
    assert window.header.shown.text() == "as known then"
    window.menus.clock.as_known.trigger()
    assert window.header.shown.text() == "all entries" and not window.menus.clock.as_known.isChecked()


def test_all_entries_are_on_the_chart_with_the_aircraft_where_it_is_then(window: MainWindow) -> None:
    flight = window.session.document.flight
    then = flight.fixes[-1].time - timedelta(minutes=30)
    window.session.set_now(then, as_known=False)
    scene = window.canvas.scene
    assert scene is not None and scene.dr is not None and scene.now == then
    assert [fix.id for fix in scene.fixes] == [fix.id for fix in flight.fixes]
    assert scene.current_fix is not None and scene.current_fix.id == flight.fixes[-1].id
    assert scene.dr.position == window.session.worked.solution.dr[-1].position
    window.session.set_now(then, as_known=True)
    scene = window.canvas.scene
    assert scene is not None and flight.fixes[-1].id not in [fix.id for fix in scene.fixes]


def test_a_fix_that_is_entered_out_of_sight_is_brought_into_view(window: MainWindow) -> None:
    QTest.keyClicks(window.form.reading, "32 34.5")  # three degrees misread: the fix lies far off
    fix, view = window.session.worked.fix, window.canvas.view
    assert fix is not None and fix.position is not None and view is not None
    assert not in_sight(view, fix.position)  # a slip of the finger does not carry the chart away
    QTest.keyClick(window.form.reading, Qt.Key.Key_Return)
    view = window.canvas.view
    assert view is not None and in_sight(view, fix.position)


def test_a_leg_that_is_put_in_is_the_one_to_go_on_with(window: MainWindow) -> None:
    window.to_flight()
    legs = window.flight.legs
    legs.choose(0)
    window.session.set_now(window.session.document.flight.legs[1].time + timedelta(minutes=20))
    QTest.keySequence(window, "Ctrl+Shift+L")
    assert legs.number == 2
    assert flight_of(window.session.document.text).legs[2].time == window.session.now


def test_a_title_makes_the_name_of_a_file() -> None:
    assert plain_name("Dusk to LANTERN") == "dusk-to-lantern"
    assert plain_name("  ///  ") == "flight"
    assert plain_name("Nuit à Orly: 2ᵉ vol") == "nuit-à-orly-2ᵉ-vol"


def test_names_of_new_files_begin_with_the_flight(window: MainWindow) -> None:
    window.documents.new()
    assert window.dialogs.stem == "new-flight"
