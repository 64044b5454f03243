"""The sight form: body, watch time, reading, limb, fix; what comes of it is beside it at each keystroke."""

from __future__ import annotations

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QCompleter, QGridLayout, QHBoxLayout, QPushButton, QVBoxLayout, QWidget

from nightleg.flight.model import Flight, Limb
from nightleg.flight.reduce import SUN_CAUTION
from nightleg.sky.catalogue import BODIES
from nightleg.units.angles import write_angle
from nightleg.units.times import write_clock
from nightleg.window.draft import FIELDS, LIMBED, NEW_FIX, Draft, FieldName, Typed
from nightleg.window.parts import Choice, Entry, captioned, label, rekind, wrapped
from nightleg.window.session import Session, Worked
from nightleg.window.words import direction, intercept

_LIMBS: tuple[tuple[str, Limb], ...] = (("centre", "centre"), ("lower limb", "lower"), ("upper limb", "upper"))
_LOWEST_SEEN_DEG = -2.0  # from a height a body is seen somewhat below the horizontal
_NAMES: dict[FieldName, str] = {"body": "Body", "time": "Watch time", "reading": "Reading"}


class SightForm(QWidget):
    """Typing goes to the session; answers come from it."""

    filed = Signal()
    """Enter was pressed and the sight went into the log."""

    def __init__(self, session: Session) -> None:
        super().__init__()
        self._session = session
        self._filling = False
        self.body = Entry("Body", 11)
        self.time = Entry("Watch time", 7, figure=True)
        self.reading = Entry("Sextant reading, degrees and minutes", 8, figure=True)
        self.fields: dict[FieldName, Entry] = {"body": self.body, "time": self.time, "reading": self.reading}
        self.limb = Choice("Limb")
        for text, value in _LIMBS:
            self.limb.addItem(text, value)
        self.fix = Choice("Fix that the sight belongs to")
        self.enter = QPushButton("Enter in log")
        self.enter.setToolTip("Enter")
        self.remark = wrapped("muted")
        self.caution = wrapped("caution")
        self.caution.setText(f"{SUN_CAUTION}.")
        self.caution.hide()
        self.result = {name: label(kind="figure") for name in ("Hc", "Zn", "Ho")}
        self.intercept = label(kind="line")
        self.belongs = label(kind="muted")
        self._complete_bodies()
        self._lay_out()
        self._connect()
        self.show_draft()
        self.show_remarks()
        self.show_answer()

    def start(self) -> None:
        """Put the cursor where something is to be typed next."""
        first = next((name for name in FIELDS if not self.fields[name].text().strip()), FIELDS[-1])
        self.fields[first].setFocus(Qt.FocusReason.OtherFocusReason)
        self.fields[first].selectAll()

    def show_draft(self) -> None:
        """Fill the fields from the session's draft."""
        draft = self._session.draft
        self._filling = True
        self.body.setText(draft.body)
        self.time.setText(draft.time)
        self.reading.setText(draft.reading)
        self.limb.setCurrentIndex(max(self.limb.findData(draft.limb), 0))
        self._fill_fixes(draft)
        self._filling = False

    def show_remarks(self) -> None:
        """Say at the fields what is wrong with them, or what is still to come."""
        session = self._session
        typed, shown = session.typed, []
        for name in FIELDS:
            remark = typed.remarks.get(name)
            self.fields[name].set_wrong(bool(remark and remark.wrong), remark.text if remark else "")
            if remark:
                shown.append((remark.wrong, f"{_NAMES[name]}: {remark.text}"))
        wrong = any(is_wrong for is_wrong, _ in shown)
        rekind(self.remark, "wrong" if wrong else "muted")
        if shown:
            self.remark.setText("\n".join(text for is_wrong, text in shown if is_wrong == wrong))
        elif session.hint and not self.reading.text().strip() and _is_waiting(session):
            self.remark.setText(session.hint)
        else:
            self.remark.setText(_below_horizon(session.worked) or _still_to_come(typed, session.draft))
        self.caution.setVisible(typed.body == "Sun")
        self.limb.setEnabled(typed.body is None or typed.body in LIMBED)
        self.enter.setEnabled(typed.complete and not typed.remarks)

    def show_answer(self) -> None:
        """Show what the sight comes to."""
        worked = self._session.worked
        sight = worked.sight
        values = {name: "" for name in self.result}
        words = ""
        if sight is not None:
            values |= {"Hc": write_angle(sight.hc), "Zn": direction(sight.zn, 1)}
            if worked.typed_id is not None:
                values["Ho"] = "" if sight.ho is None else write_angle(sight.ho)
                words = intercept(sight.intercept_nm) if sight.ho is not None else "below the horizon"
        for name, shown in self.result.items():
            shown.setText(values[name] or "—")
            shown.setAccessibleName(f"{name} {values[name] or 'not known yet'}")
        self.intercept.setText(f"intercept  {words}" if words else "intercept  —")
        self.intercept.setAccessibleName(f"intercept {words or 'not known yet'}")
        self.belongs.setText(_belongs(worked))
        self._fill_fixes(self._session.draft)

    def _complete_bodies(self) -> None:
        completer = QCompleter(sorted(BODIES), self)
        completer.setCaseSensitivity(Qt.CaseSensitivity.CaseInsensitive)
        completer.setFilterMode(Qt.MatchFlag.MatchContains)
        completer.setMaxVisibleItems(10)
        self.body.setCompleter(completer)

    def _lay_out(self) -> None:
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(6)
        head = QHBoxLayout()
        head.addWidget(label("Sight", "title"))
        head.addStretch(1)
        head.addWidget(self.belongs)
        column.addLayout(head)
        grid = QGridLayout()
        grid.setHorizontalSpacing(8)
        grid.setVerticalSpacing(6)
        grid.addWidget(captioned("&Body", self.body), 0, 0)
        grid.addWidget(captioned("Watch &time", self.time), 0, 1)
        grid.addWidget(captioned("&Reading", self.reading), 0, 2)
        grid.addWidget(captioned("&Limb", self.limb), 1, 0)
        grid.addWidget(captioned("F&ix", self.fix), 1, 1)
        grid.addWidget(self.enter, 1, 2, Qt.AlignmentFlag.AlignBottom)
        grid.setColumnStretch(0, 4)
        grid.setColumnStretch(1, 3)
        grid.setColumnStretch(2, 3)
        column.addLayout(grid)
        self.remark.setMinimumHeight(self.remark.fontMetrics().height() + 2)
        self.remark.setAlignment(Qt.AlignmentFlag.AlignTop)
        column.addWidget(self.remark)
        column.addWidget(self.caution)
        figures = QHBoxLayout()
        figures.setSpacing(6)
        for name, value in self.result.items():
            figures.addWidget(label(name, "muted"))
            figures.addWidget(value)
            figures.addStretch(1)
        column.addLayout(figures)
        column.addWidget(self.intercept)

    def _connect(self) -> None:
        session = self._session
        for field in self.fields.values():
            field.textChanged.connect(self._typed)
            field.returnPressed.connect(self.file)
        self.body.editingFinished.connect(self._finish_body)
        self.limb.currentIndexChanged.connect(self._typed)
        self.fix.activated.connect(self._typed_fix)
        self.enter.clicked.connect(self.file)
        session.draft_replaced.connect(self.show_draft)
        session.typed_changed.connect(self.show_remarks)
        session.solved.connect(self.show_answer)

    def file(self) -> None:
        """Put the sight into the log, or go to the field that still needs something."""
        self._finish_body()
        session = self._session
        wanting = [name for name in FIELDS if name in session.typed.remarks or not self.fields[name].text().strip()]
        if wanting:
            self.fields[wanting[0]].setFocus(Qt.FocusReason.OtherFocusReason)
        elif session.file_sight():
            self.filed.emit()
            self.start()

    def _finish_body(self) -> None:
        """A name that was begun and fits one body is written out."""
        begun = self.body.text().strip().casefold()
        fitting = [name for name in BODIES if name.casefold().startswith(begun)] if begun else []
        if len(fitting) == 1 and fitting[0] != self.body.text():
            self.body.setText(fitting[0])

    def _typed(self) -> None:
        if not self._filling:
            self._session.type(self._draft(self._session.draft.fix))

    def _typed_fix(self) -> None:
        self._session.type(self._draft(self.fix.currentData()))

    def _draft(self, fix: str | None) -> Draft:
        return Draft(self.body.text(), self.time.text(), self.reading.text(), self.limb.currentData(), fix)

    def _fill_fixes(self, draft: Draft) -> None:
        """The fixes that a sight can go into, the one it goes into chosen."""
        flight = self._session.document.flight
        choices = _fixes(flight)
        if [self.fix.itemData(i) for i in range(self.fix.count())] != [id for _, id in choices]:
            self.fix.clear()
            for text, id in choices:
                self.fix.addItem(text, id)
        worked = self._session.worked
        goes_into = draft.fix
        if goes_into is None and worked.fix is not None:
            goes_into = worked.fix.id
        known = {id for _, id in choices}
        if goes_into is not None:
            self.fix.setCurrentIndex(self.fix.findData(goes_into if goes_into in known else NEW_FIX))


def _fixes(flight: Flight) -> list[tuple[str, str]]:
    fixes = sorted((fix for fix in flight.fixes if fix.kind == "celestial"), key=lambda fix: fix.time)
    return [*((f"{fix.id}, {write_clock(fix.time)}", fix.id) for fix in fixes), ("new fix", NEW_FIX)]


def _belongs(worked: Worked) -> str:
    if worked.typed_id is None or worked.fix is None:
        return ""
    return f"{worked.typed_id} of fix {worked.fix.id}"


def _is_waiting(session: Session) -> bool:
    waiting = session.document.flight.next_sight
    return waiting is not None and session.typed.body == waiting.body


def _below_horizon(worked: Worked) -> str:
    sight = worked.sight
    if sight is None or sight.hc > _LOWEST_SEEN_DEG:
        return ""
    return f"{sight.body} stands {-sight.hc:.0f}° below the horizon at the DR: is it the right body, the right time?"


def _still_to_come(typed: Typed, draft: Draft) -> str:
    if typed.complete:
        return "Enter puts it in the log."
    if not (draft.body or draft.time or draft.reading):
        return "Body, watch time and reading, as on paper: Vega 2300 4123.5"
    missing = [_NAMES[name].lower() for name in FIELDS if not getattr(draft, name).strip()]
    return "Still to come: " + " and ".join(missing) if missing else ""
