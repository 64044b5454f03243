"""The fix panel: which sights belong, its time and switches, the ellipse, how far to trust it."""

from __future__ import annotations

from typing import Any

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QHBoxLayout, QVBoxLayout, QWidget

from nightleg.flight.edits import Put
from nightleg.flight.model import Fix
from nightleg.flight.solution import FixResult
from nightleg.units.angles import write_arcmin
from nightleg.units.errors import EntryError
from nightleg.units.positions import write_position
from nightleg.units.times import nearest_date, read_clock, write_clock
from nightleg.window.explain.number import Number
from nightleg.window.fix.bars import ShotBars
from nightleg.window.fix.shots import belonging, fix_label, shot_rows
from nightleg.window.fix.suspects import FixSuspects
from nightleg.window.fix.ticks import Tick
from nightleg.window.parts import Choice, Entry, Row, Rows, label, wrapped
from nightleg.window.session import Session
from nightleg.window.sight.standing import left_over
from nightleg.window.words import axes, axis, direction, wind

SWITCHES: dict[str, tuple[str, str, str, bool]] = {
    "adopt": ("adopt", "Adopt: the DR restarts at this fix", "Adopt", True),
    "solve_common_error": ("common error", "Solve for an error common to all shots", "Common error", False),
    "prior": ("DR as prior", "Take the DR into the fix: most probable position", "DR as prior", False),
}
"""By key of the file: the text of the switch, what it does, the name of its step, and what it is by itself."""

_HELD = "With {id} as it could be worked last."


class FixPanel(QWidget):
    """The fix in hand, or the one chosen. Each change is one step that can be undone."""

    def __init__(self, session: Session) -> None:
        super().__init__()
        self._session = session
        self._filling = False
        self._chosen: str | None = None
        self._behind = ""  # id of the entry of which an earlier text is in the fix
        self.which = Choice("Fix shown")
        self.which.keep_narrow(1)
        self.position = Number(session.asked.emit, "fix")
        self.time = Entry("Time of the fix, GMT", 4)
        self.which.setAccessibleDescription("The fix of which the panel tells; each with its time in GMT")
        self.time.describe("GMT in hours and minutes, like 2300; seconds may follow. Enter puts it into the flight")
        self.switches = {key: Tick(text) for key, (text, _, _, _) in SWITCHES.items()}
        for key, box in self.switches.items():
            box.setAccessibleName(SWITCHES[key][1])
            box.setToolTip(SWITCHES[key][1])
        self.said = wrapped("wrong")
        self.trust, self.warnings = wrapped(), wrapped("wrong")
        self.rows = Rows("Fix", session.asked.emit, across=2)
        self.shots = ShotBars(session.asked.emit)
        self.suspects = FixSuspects(session)
        self._lay_out()
        self.which.activated.connect(self._choose)
        self.time.editingFinished.connect(self._retime)
        self.time.textEdited.connect(lambda: self._say(""))
        for key, box in self.switches.items():
            box.clicked.connect(lambda checked, name=key: self._switch(name, checked))
        self.shots.chosen.connect(self._belong)
        session.solved.connect(self.refresh)
        session.typed_changed.connect(self._keep_up)
        self.refresh()

    def asks(self) -> tuple[str, str] | None:
        """What a key that asks how a number came about means here."""
        fix = self.fix()
        return None if fix is None else (fix.id, "position")

    def fix(self) -> FixResult | None:
        """The fix that is shown."""
        for fix in self._session.worked.solution.fixes:
            if fix.id == self._chosen:
                return fix
        return self._session.fix_in_hand()

    def show_fix(self, id: str | None) -> None:
        """Show a fix by its id; None shows the one in hand again, and follows it."""
        self._chosen = id
        self.refresh()

    def _keep_up(self) -> None:
        """What is typed may have no answer any more, or one again."""
        if self._behind != left_over(self._session):
            self.refresh()

    def refresh(self) -> None:
        """Show the fix."""
        fix = self.fix()
        self._fill_which(fix)
        self.suspects.show_fix(fix)
        for part in (self.time, *self.switches.values(), self.rows, self.shots, self.warnings):
            part.setVisible(fix is not None)
        if fix is None:
            self.position.setText("")
            self.position.ask("", "")
            self.trust.setText("No fix yet.")
            return
        self.position.setText("no position" if fix.position is None else write_position(fix.position))
        self.position.setAccessibleName(f"Position of the fix: {self.position.text()}")
        self.position.ask(fix.id, "position")
        self._behind = left_over(self._session)
        held = self._behind in fix.sights and bool(self._behind)
        self.trust.setText(_HELD.format(id=self._behind) if held else "\n".join(fix.trust))
        self.trust.setVisible(held or bool(fix.trust))
        self.rows.show_rows(fix_rows(fix), fix.id)
        said = [warning for warning in fix.warnings if warning not in fix.trust]
        self.warnings.setText("\n".join(said))
        self.warnings.setVisible(bool(said))
        self._fill_controls(fix)
        worked = self._session.worked
        rows = shot_rows(worked.flight, worked.solution, fix, worked.typed_id, self._behind)
        self.shots.show_rows(rows, fix.id, self._declared(fix.id) is not None and fix.kind == "celestial")

    def _declared(self, id: str) -> Fix | None:
        """The fix as the document has it; None for one that comes with the sight being typed."""
        return next((fix for fix in self._session.document.flight.fixes if fix.id == id), None)

    def _fill_which(self, shown: FixResult | None) -> None:
        fixes = sorted(self._session.worked.solution.fixes, key=lambda fix: fix.time)
        items = [(fix.id, fix.id) for fix in fixes]
        if [(self.which.itemText(i), self.which.itemData(i)) for i in range(self.which.count())] != items:
            self.which.clear()
            for text, id in items:
                self.which.addItem(text, id)
            for number, fix in enumerate(fixes):
                self.which.setItemData(number, fix_label(fix), Qt.ItemDataRole.ToolTipRole)
                self.which.setItemData(number, fix_label(fix), Qt.ItemDataRole.AccessibleTextRole)
        self.which.setCurrentIndex(-1 if shown is None else self.which.findData(shown.id))
        self.which.setEnabled(bool(items))

    def _fill_controls(self, fix: FixResult) -> None:
        declared = self._declared(fix.id)
        for key, box in self.switches.items():
            box.setChecked(SWITCHES[key][3] if declared is None else bool(getattr(declared, key)))
            box.setEnabled(declared is not None and (key == "adopt" or fix.kind == "celestial"))
        self.time.setEnabled(declared is not None)
        if not (self.time.hasFocus() and self.time.isModified()):
            self.time.setText(write_clock(fix.time, seconds=fix.time.second != 0).replace(":", ""))
            self._say("")

    def _choose(self) -> None:
        id = self.which.currentData()
        hand = self._session.fix_in_hand()
        self.show_fix(None if hand is not None and id == hand.id else id)

    def _retime(self) -> None:
        """The typed time goes to the document when the field is left or Enter is pressed."""
        fix = self.fix()
        if fix is None or not self.time.isModified():
            return
        try:
            time = nearest_date(read_clock(self.time.text()), fix.time)
        except EntryError as error:
            self._say(f"Fix time: {error}")
            return
        if time == fix.time or self._put(fix.id, f"Time of {fix.id}", "time", time):
            self.time.setModified(False)
            self.refresh()

    def _switch(self, key: str, checked: bool) -> None:
        fix = self.fix()
        if fix is not None:
            usual = SWITCHES[key][3]
            self._put(fix.id, f"{SWITCHES[key][2]} of {fix.id}", key, None if checked == usual else checked)
            self.refresh()

    def _belong(self, id: str, belongs: bool) -> None:
        fix = self.fix()
        declared = None if fix is None else self._declared(fix.id)
        if declared is not None:
            step, edits = belonging(self._session.document.flight, declared, id, belongs)
            self._tell(self._session.attempt(step, *edits))
        self.refresh()

    def _put(self, id: str, step: str, key: str, value: Any) -> bool:
        return self._tell(self._session.attempt(step, Put(("fix", id), key, value)))

    def _tell(self, problems: tuple[Any, ...]) -> bool:
        self._say("\n".join(problem.message for problem in problems))
        return not problems

    def _say(self, text: str) -> None:
        self.time.set_wrong(bool(text), text)
        self.said.setText(text)
        self.said.setVisible(bool(text))

    def _lay_out(self) -> None:
        head = QHBoxLayout()
        title = label("Fix", "title")
        title.setBuddy(self.which)
        head.addWidget(title)
        head.addWidget(self.which)
        head.addWidget(self.time)
        head.addStretch(1)
        head.addWidget(self.position)
        controls = QHBoxLayout()
        head.setSpacing(6)
        controls.setSpacing(9)  # beside a scroll bar too, nothing is wider than the panel
        for box in self.switches.values():
            controls.addWidget(box)
        controls.addStretch(1)
        controls.addWidget(self.suspects.button)
        self.time.spare_px = 20
        for field in (self.which, self.time):
            field.setProperty("small", True)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(2)
        column.addLayout(head)
        column.addLayout(controls)
        for part in (self.said, self.trust, self.rows, self.shots, self.warnings, self.suspects):
            column.addWidget(part)
        self.said.hide()


def fix_rows(fix: FixResult) -> list[Row]:
    """What there is to say of a fix in figures."""
    rows = []
    if fix.ellipse95 is not None:
        rows.append(Row("95 %", axes(fix.ellipse95), step="95 % ellipse"))
        rows.append(Row("long axis", axis(fix.ellipse95.azimuth_deg), step="95 % ellipse"))
        rows.append(Row("50 %", axes(fix.ellipse50), step="50 % ellipse"))
    if fix.cep_nm is not None:
        rows.append(Row("CEP", f"{fix.cep_nm:.1f} NM", step="CEP"))
    if fix.from_dr_nm is not None:
        rows.append(Row("from DR", f"{fix.from_dr_nm:.1f} NM, {direction(fix.from_dr_deg)}", step="position"))
    if fix.wind_from_deg is not None:
        rows.append(Row("wind found", wind(fix.wind_from_deg, fix.wind_kt), step="wind found"))
    if fix.common_error_arcmin is not None:
        sigma = fix.common_error_sigma_arcmin
        size = "" if sigma is None else f", 1σ {sigma:.1f}′"
        rows.append(Row("common error", f"{write_arcmin(fix.common_error_arcmin)}{size}", step="position"))
    return rows
