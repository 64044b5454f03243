"""Panels of results: the worked solution of the sight being typed, and the fix in hand."""

from __future__ import annotations

from PySide6.QtWidgets import QHBoxLayout, QVBoxLayout, QWidget

from nightleg.flight.solution import FixResult, SightResult
from nightleg.units.angles import write_angle, write_arcmin
from nightleg.units.positions import write_latitude, write_position
from nightleg.units.times import write_clock
from nightleg.window.parts import Row, Rows, label, wrapped
from nightleg.window.session import Session
from nightleg.window.words import NONE, axes, axis, clock, direction, wind


class WorkedPanel(QWidget):
    """From watch time to intercept, each step with its size."""

    def __init__(self, session: Session) -> None:
        super().__init__()
        self._session = session
        self.rows = Rows("Worked solution")
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(2)
        self.when = label(kind="muted")
        head = QHBoxLayout()
        head.addWidget(label("Worked solution", "title"))
        head.addStretch(1)
        head.addWidget(self.when)
        column.addLayout(head)
        column.addWidget(self.rows)
        self.empty = wrapped("muted")
        self.empty.setText("Appears as the sight is typed.")
        column.addWidget(self.empty)
        session.solved.connect(self.refresh)
        self.refresh()

    def refresh(self) -> None:
        """Show the session's answer."""
        sight = self._session.worked.sight
        rows = [] if sight is None else worked_rows(sight, complete=self._session.worked.typed_id is not None)
        self.when.setText("" if sight is None else f"{write_clock(sight.time, seconds=True)} GMT")
        self.rows.show_rows(rows)
        self.empty.setVisible(not rows)


def worked_rows(sight: SightResult, *, complete: bool) -> list[Row]:
    """The worked solution in the order of the work; without a reading, only where the body stands."""
    place = "assumed position" if sight.assumed else "DR"
    rows = [
        Row("GHA", write_angle(sight.gha, wrap=True)),
        Row("Dec", write_latitude(sight.dec)),
        Row("LHA", write_angle(sight.lha, wrap=True), f"from the {place}"),
    ]
    if not complete:
        return rows
    readings = f"mean of {sight.n_readings}" if sight.n_readings > 1 else ""
    rows.append(Row("Hs", write_angle(sight.hs), readings))
    rows += [Row(step.name, write_arcmin(step.arcmin), step.detail) for step in sight.corrections]
    rows.append(Row("Ho", NONE if sight.ho is None else write_angle(sight.ho), "", strong=True))
    rows.append(Row("Hc", write_angle(sight.hc), f"Zn {direction(sight.zn, 1)}", strong=True))
    return rows


class FixPanel(QWidget):
    """The fix in hand: position, ellipse, how far to trust it."""

    def __init__(self, session: Session) -> None:
        super().__init__()
        self._session = session
        self.title = label("Fix", "title")
        self.position = label(kind="fix")
        self.rows = Rows("Fix")
        self.residuals = Rows("Residuals at the fix")
        self.trust = wrapped()
        self.warnings = wrapped("wrong")
        head = QHBoxLayout()
        head.addWidget(self.title)
        head.addStretch(1)
        head.addWidget(self.position)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(2)
        column.addLayout(head)
        column.addWidget(self.trust)
        column.addWidget(self.rows)
        column.addWidget(self.residuals)
        column.addWidget(self.warnings)
        session.solved.connect(self.refresh)
        self.refresh()

    def refresh(self) -> None:
        """Show the fix in hand."""
        fix = self._session.fix_in_hand()
        if fix is None:
            self.title.setText("Fix")
            self.position.setText("")
            self.trust.setText("No fix yet.")
            self.rows.show_rows([])
            self.residuals.show_rows([])
            self.warnings.hide()
            return
        self.title.setText(f"Fix {clock(fix.time)}")
        self.position.setText("no position" if fix.position is None else write_position(fix.position))
        self.position.setAccessibleName(f"Position of the fix: {self.position.text()}")
        self.trust.setText("\n".join(fix.trust))
        self.trust.setVisible(bool(fix.trust))
        self.rows.show_rows(fix_rows(fix))
        shares = [f"{id} {write_arcmin(residual)}" for id, residual in fix.residuals_arcmin.items()]
        self.residuals.show_rows([Row("Ho − Hc", ",  ".join(shares))] if shares else [])
        said = [warning for warning in fix.warnings if warning not in fix.trust]
        self.warnings.setText("\n".join(said))
        self.warnings.setVisible(bool(said))


def fix_rows(fix: FixResult) -> list[Row]:
    """What there is to say of a fix in figures."""
    rows = []
    if fix.ellipse95 is not None:
        axis_text = f"long axis {axis(fix.ellipse95.azimuth_deg)}"
        rows.append(Row("95 % ellipse", axes(fix.ellipse95), axis_text))
    if fix.from_dr_nm is not None:
        rows.append(Row("from the DR", f"{fix.from_dr_nm:.1f} NM, {direction(fix.from_dr_deg)}"))
    if fix.wind_from_deg is not None:
        since = f"since {clock(fix.wind_since)}" if fix.wind_since else ""
        rows.append(Row("wind found", wind(fix.wind_from_deg, fix.wind_kt), since))
    if fix.common_error_arcmin is not None:
        rows.append(Row("common error", write_arcmin(fix.common_error_arcmin)))
    return rows
