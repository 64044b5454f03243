"""Grid and landfall in the window: typed, shown in header, log and chart, taken back."""

from __future__ import annotations

import dataclasses

import pytest
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QComboBox

from nightleg.earth.projection import PolarStereographic
from nightleg.flight.grids import GREENWICH, convergence
from nightleg.flight.model import Grid
from nightleg.flight.reduce import SUN_CAUTION
from nightleg.units.times import write_clock
from nightleg.window.explain.explain import TYPED
from nightleg.window.flight.grid import FIRST, ONE, SECOND, GridPart
from nightleg.window.log.entries import entries
from nightleg.window.main import MainWindow
from nightleg.window.other.entry import choose_kind, file_other
from nightleg.window.other.kinds import kind_of
from nightleg.window.other.words import remark_of, warnings_of


@pytest.fixture
def grid(window: MainWindow) -> GridPart:
    """The grid's part of the flight form, folded out."""
    window.to_flight()
    return window.flight.grid


def choose(box: QComboBox, data: str) -> None:
    box.setCurrentIndex(box.findData(data))
    box.activated.emit(box.currentIndex())


def retype(part: GridPart, key: str, text: str) -> None:
    field = part.fields[key]
    field.setFocus()
    field.selectAll()
    QTest.keyClicks(field, text)


def type_landfall(window: MainWindow, **texts: str) -> None:
    session = window.session
    choose_kind(session, "landfall")
    other = session.draft.other
    for key, text in texts.items():
        other = other.put(key, text)
    session.replace_draft(dataclasses.replace(session.draft, other=other))


def test_a_grid_is_chosen_changed_and_taken_away(window: MainWindow, grid: GridPart) -> None:
    session = window.session
    assert grid.chart.currentData() == "" and window.header.cells["grid track"][1].text() == ""
    choose(grid.chart, "polar")
    assert session.document.flight.grid == Grid()
    state = session.worked.solution.dr[-1]
    wanted = (state.track_deg or 0.0) - convergence(GREENWICH, *state.position)
    told = float(window.header.cells["grid track"][1].text().rstrip("°"))
    assert abs((told - wanted + 180.0) % 360.0 - 180.0) <= 0.5
    choose(grid.chart, "lambert")  # with a cone, or it would be refused
    made = session.document.flight.grid
    assert made is not None and made.chart == "lambert" and made.cone_latitude_deg is not None
    retype(grid, FIRST, "33")
    made = session.document.flight.grid
    assert made is not None and (made.first_parallel_deg, made.second_parallel_deg) == (33.0, 3.0)
    retype(grid, SECOND, "45")
    retype(grid, "reference_deg", "-30")
    made = session.document.flight.grid
    assert made == Grid(chart="lambert", first_parallel_deg=33.0, second_parallel_deg=45.0, reference_deg=-30.0)
    retype(grid, ONE, "40")
    made = session.document.flight.grid
    assert made == Grid(chart="lambert", cone_latitude_deg=40.0, reference_deg=-30.0)
    choose(grid.chart, "polar")
    assert session.document.flight.grid == Grid(reference_deg=-30.0)
    choose(grid.chart, "")
    assert session.document.flight.grid is None and "[grid]" not in session.document.text


def test_a_leg_takes_a_grid_heading_that_flies_as_before(window: MainWindow, grid: GridPart) -> None:
    session, legs = window.session, window.flight.legs
    choose(grid.chart, "polar")
    legs.choose(1)
    before = session.worked.solution.dr[-1].position
    choose(legs.form, "grid")
    assert session.document.flight.legs[1].heading_grid_deg is not None
    after = session.worked.solution.dr[-1].position
    assert after == pytest.approx(before, abs=0.02)  # degrees: the heading is rounded to a tenth
    assert any("GH" in row.detail and "convergence" in row.detail for row in legs.derived.rows)


def test_the_chart_goes_to_the_grids_own_projection(window: MainWindow, grid: GridPart) -> None:
    choose(grid.chart, "polar")
    canvas = window.canvas
    scene = canvas.scene
    assert scene is not None and scene.grid == GREENWICH
    canvas.fit_plot()
    view = canvas.view
    assert view is not None
    # the demo flies at 30° to 40° of latitude, where a polar chart does not serve
    assert not isinstance(view.projection, PolarStereographic)


def test_a_landfall_is_typed_filed_and_undone(window: MainWindow) -> None:
    session = window.session
    point = session.document.flight.waypoints[-1]
    type_landfall(window, body="Sun", destination=point.name)
    typed = session.other
    assert typed is not None and typed.missing == ("time",) and typed.values["side"] == "left"
    expected = session.worked.solution.dr[-1].time
    type_landfall(window, body="Sun", destination=point.name, time=write_clock(expected), side="right")
    assert session.worked.other is not None and session.worked.other.row == "landfall"
    (said,) = [one for one in warnings_of(session.worked) if one == SUN_CAUTION]
    assert said in remark_of(session.draft.other, session.other, session.worked)[0]
    before = session.now
    assert file_other(session)
    (made,) = session.document.flight.landfalls
    assert (made.body, made.destination, made.side) == ("Sun", point.name, "right")
    assert session.now == before  # what is planned does not move the clock
    rows = entries(session.document.flight, session.worked.solution)
    assert any(row.kind == "landfall" and "aim off right" in row.cells[2] for row in rows)
    session.undo_stack.undo()
    assert session.document.flight.landfalls == ()


def test_a_destination_that_there_is_not_is_told(window: MainWindow) -> None:
    session = window.session
    names = [point.name for point in session.document.flight.waypoints]
    type_landfall(window, body="Vega", destination="NOWHERE", time="2200")
    assert session.other is not None and session.other.remarks["destination"].wrong
    assert names[0] in session.other.remarks["destination"].text
    type_landfall(window, body="Vega", destination=names[-1][:3], time="2200")
    assert not session.other.remarks["destination"].wrong
    type_landfall(window, body="Vega", destination="29 30 N 014 00 W", time="2200")
    assert "destination" not in session.other.remarks


def test_the_kind_of_entry_has_every_key_of_the_file() -> None:
    from nightleg.flight.model import Landfall

    known = {one.key for one in kind_of("landfall").fields}
    assert known | {"id", "begin"} == set(Landfall.__struct_fields__)


def test_the_worked_solution_of_polaris_has_its_latitude_and_explains_it(window: MainWindow) -> None:
    session = window.session
    form = window.form
    when = session.worked.solution.dr[-1].time
    form.fields["body"].setText("Polaris")
    form.fields["time"].setText(write_clock(when))
    form.fields["reading"].setText("29 30.0")
    assert session.worked.sight is not None and session.worked.typed_id is not None
    row = next(one for one in window.worked.rows.rows if one.name == "latitude")
    assert row.detail.startswith("by Polaris, ") and row.value.endswith("N")
    session.asked.emit(TYPED, row.step)
    working = window.sheet.working
    assert working is not None
    step = next(one for one in working.steps if one.name == row.step)
    assert step.value == row.value and step.formula.startswith("Ho − p·cos t")
    form.fields["body"].setText("Vega")
    assert not any(one.name == "latitude" for one in window.worked.rows.rows)


def test_the_worked_solution_says_from_where_it_is(window: MainWindow) -> None:
    form, when = window.form, window.session.worked.solution.dr[-1].time
    form.fields["body"].setText("Vega")
    form.fields["time"].setText(write_clock(when))
    form.fields["reading"].setText("45 00.0")
    assert window.worked.when.text().endswith("from the DR")
    form.more.assumed.setText("29 00 N 019 27 W")
    assert window.worked.when.text().endswith("from the assumed position")
