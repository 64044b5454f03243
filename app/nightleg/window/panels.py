"""The worked solution of the sight being typed."""

from __future__ import annotations

from PySide6.QtWidgets import QHBoxLayout, QVBoxLayout, QWidget

from nightleg.flight.latitude_hint import may_give_latitude
from nightleg.flight.model import Flight
from nightleg.flight.solution import SightResult, Solution
from nightleg.units.angles import write_angle, write_arcmin
from nightleg.units.positions import write_latitude
from nightleg.units.times import write_clock
from nightleg.window.explain.explain import TYPED
from nightleg.window.parts import Row, Rows, label, wrapped
from nightleg.window.session import Session
from nightleg.window.sight.standing import placed, unanswered
from nightleg.window.words import NONE, direction


class WorkedPanel(QWidget):
    """From watch time to intercept, each step with its size."""

    def __init__(self, session: Session) -> None:
        super().__init__()
        self._session, self._behind = session, False
        self.place = Rows("Place of the body", session.asked.emit, across=3)
        self.rows = Rows("Worked solution", session.asked.emit)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(2)
        self.when = label(kind="muted")
        head = QHBoxLayout()
        head.addWidget(label("Worked solution", "title"))
        head.addStretch(1)
        head.addWidget(self.when)
        column.addLayout(head)
        column.addWidget(self.place)
        column.addWidget(self.rows)
        self.empty = wrapped("muted")
        self.empty.setText("Appears as the sight is typed.")
        column.addWidget(self.empty)
        session.solved.connect(self.refresh)
        session.typed_changed.connect(self._keep_up)
        session.draft_replaced.connect(self._follow)
        self.refresh()
        self._follow()

    def asks(self) -> tuple[str, str] | None:
        """What a key that asks how a number came about means here."""
        return None if self._session.worked.sight is None else (TYPED, "Ho")

    def _follow(self) -> None:
        """Only a sight has a working here."""
        self.setVisible(not self._session.draft.other.kind)

    def _keep_up(self) -> None:
        """What is typed may have no answer any more; that is told by no other signal."""
        if self._behind or unanswered(self._session):
            self.refresh()

    def refresh(self) -> None:
        """Show the session's answer; of text that has none only the names of the steps stay."""
        sight, behind = self._session.worked.sight, unanswered(self._session)
        rows = [] if sight is None else worked_rows(sight, complete=self._session.worked.typed_id is not None)
        if rows and sight is not None:
            rows += latitude_rows(self._session.worked.flight, self._session.worked.solution, sight)
        stands = placed(self._session)
        if sight is None:
            self.when.setText("")
        elif not stands:
            self.when.setText("the entry cannot be worked yet")
        else:
            place = "assumed position" if sight.assumed else "DR"
            self.when.setText(f"{write_clock(sight.time, seconds=True)} GMT, from the {place}")
        places = [] if sight is None else place_rows(sight)
        self.place.show_rows(places if stands else [blank(row) for row in places], TYPED)
        if behind:
            rows = [row if stands and row.name == "Hc" else blank(row) for row in rows]
        self.rows.show_rows(rows, TYPED)
        self.empty.setVisible(sight is None)
        self._behind = behind


def blank(row: Row) -> Row:
    """A step whose figure is not known."""
    return Row(row.name, NONE, strong=row.strong)


def latitude_rows(flight: Flight, solution: Solution, sight: SightResult) -> list[Row]:
    """The latitude by Polaris or by meridian passage, for a sight that gives one."""
    if not may_give_latitude(sight):
        return []
    from nightleg.flight.latitudes import latitude_found  # only for those that may
    from nightleg.flight.working_latitude import PASSAGE

    found = latitude_found(flight, solution, sight)
    if found is None:
        return []
    off = f"off {found.difference_nm:+.2f} NM".replace("-", "−")
    if found.by == "polaris":
        return [Row("latitude", write_latitude(found.lat), f"by Polaris, {off}", step="latitude by Polaris")]
    return [Row("latitude", write_latitude(found.lat), f"by {found.transit} transit, {off}", step=PASSAGE)]


def place_rows(sight: SightResult) -> list[Row]:
    """Where the body stands."""
    return [
        Row("GHA", write_angle(sight.gha, wrap=True), step="GHA"),
        Row("Dec", write_latitude(sight.dec), step="Dec"),
        Row("LHA", write_angle(sight.lha, wrap=True), step="LHA"),
    ]


def worked_rows(sight: SightResult, *, complete: bool) -> list[Row]:
    """The worked solution in the order of the work; none without a reading."""
    if not complete:
        return []
    readings = f"mean of {sight.n_readings}" if sight.n_readings > 1 else ""
    rows = [Row("Hs", write_angle(sight.hs), readings, step="Hs")]
    rows += [Row(step.name, write_arcmin(step.arcmin), step.detail, step=step.name) for step in sight.corrections]
    rows.append(Row("Ho", NONE if sight.ho is None else write_angle(sight.ho), "", strong=True, step="Ho"))
    rows.append(Row("Hc", write_angle(sight.hc), f"Zn {direction(sight.zn, 1)}", strong=True, step="Hc"))
    return rows
