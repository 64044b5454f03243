"""The grid in the flight form: its chart, its cone, its reference meridian, and the grid directions of the moment."""

from __future__ import annotations

from typing import Any

from PySide6.QtWidgets import QVBoxLayout, QWidget

from nightleg.flight.document import Document
from nightleg.flight.edits import Edit, Put, Remove
from nightleg.flight.grids import grid_state, grid_words, used_grid
from nightleg.window.flight.edits import said
from nightleg.window.flight.fields import FieldLine, FlightChoice, FlightEntry
from nightleg.window.parts import Row, Rows, label
from nightleg.window.session import Session
from nightleg.window.words import direction

PLACE = ("grid",)
MERIDIAN = "reference_deg"
ONE, FIRST, SECOND = "cone_latitude_deg", "first_parallel_deg", "second_parallel_deg"


def chart_edits(document: Document, chart: str) -> tuple[Edit, ...]:
    """The edits that give a flight a grid of a chart, or take it away (empty), with what must go along."""
    grid = document.flight.grid
    if not chart:
        return () if grid is None else (Remove(PLACE),)
    if chart == "polar":
        held = [] if grid is None else [key for key in (ONE, FIRST, SECOND) if getattr(grid, key) is not None]
        return (*(Put(PLACE, key, None) for key in held), Put(PLACE, "chart", chart))
    if grid is not None and grid.chart == "lambert":
        return ()
    lat = document.flight.start.position.lat
    cone = float(max(-80, min(80, round(lat)))) or 45.0
    return (Put(PLACE, "chart", chart), Put(PLACE, ONE, cone))


def cone_edits(document: Document, key: str, value: Any) -> tuple[Edit, ...]:
    """The edits that give a cone one parallel, or one of two: the chart becomes that of a cone, the other form goes."""
    grid = document.flight.grid
    held = {one: None if grid is None else getattr(grid, one) for one in (ONE, FIRST, SECOND)}
    others: list[Edit] = []
    if grid is None or grid.chart != "lambert":
        others.append(Put(PLACE, "chart", "lambert"))
    if key == ONE:
        others += [Put(PLACE, one, None) for one in (FIRST, SECOND) if held[one] is not None]
    else:
        others += [Put(PLACE, ONE, None)] if held[ONE] is not None else []
        other = SECOND if key == FIRST else FIRST
        others += [Put(PLACE, other, value)] if held[other] is None else []
    return (*others, Put(PLACE, key, value))


class GridChoice(FlightChoice):
    """The chart of the grid, or none."""

    def refresh(self) -> None:
        """Show what the flight holds."""
        grid = self._session.document.flight.grid
        self.setCurrentIndex(max(self.findData("" if grid is None else grid.chart), 0))

    def _chosen(self) -> None:
        edits = chart_edits(self._session.document, self.currentData())
        if edits:
            words = said(self._session.attempt("chart of the grid", *edits), "chart")
            if words:
                self._session.told.emit(words)
        self.refresh()


class GridPart(QWidget):
    """Chart, parallels, meridian; below them the grid directions of now."""

    def __init__(self, session: Session) -> None:
        super().__init__()
        self._session = session
        self.chart = GridChoice(session, "Chart of the grid", ("polar", "lambert"), PLACE, "chart", held="none")
        self.fields = {
            MERIDIAN: FlightEntry(session, "Grid: reference meridian, degrees, east positive", 4, PLACE, MERIDIAN),
            ONE: FlightEntry(session, "Grid: standard parallel of the cone", 4, PLACE, ONE),
            FIRST: FlightEntry(session, "Grid: first of two standard parallels", 4, PLACE, FIRST),
            SECOND: FlightEntry(session, "Grid: second of two standard parallels", 4, PLACE, SECOND),
        }
        self.fields[MERIDIAN].setPlaceholderText("0")
        self.derived = Rows("Directions by the grid")
        self.words = label(kind="caption")
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(6)
        column.addWidget(label("Grid", "title"))
        column.addWidget(FieldLine(("Chart", self.chart, 3), ("Meridian, ° E +", self.fields[MERIDIAN], 3)))
        column.addWidget(
            FieldLine(
                ("One parallel", self.fields[ONE], 3),
                ("or two", self.fields[FIRST], 3),
                ("and", self.fields[SECOND], 3),
            )
        )
        column.addWidget(self.words)
        column.addWidget(self.derived)
        session.document_changed.connect(self.refresh)
        session.solved.connect(self._derive)
        session.moved.connect(self._derive)
        self.refresh()

    def refresh(self) -> None:
        """A polar chart has no cone."""
        grid = self._session.document.flight.grid
        for key in (ONE, FIRST, SECOND):
            self.fields[key].setEnabled(grid is not None and grid.chart == "lambert")
        self._derive()

    def _derive(self) -> None:
        grid, state = used_grid(self._session.document.flight), self._session.worked.solution.dr[-1]
        self.words.setText("" if grid is None else grid_words(grid).capitalize())
        self.words.setVisible(grid is not None)
        if grid is None:
            self.derived.show_rows([])
            return
        by = grid_state(grid, state)
        turn = f"{by.convergence_deg:+.1f}°".replace("-", "−")
        self.derived.show_rows(
            [
                Row("grid heading", direction(by.heading_deg, 1)),
                Row("grid track", direction(by.track_deg, 1)),
                Row("convergence", turn, "true less grid"),
            ]
        )
