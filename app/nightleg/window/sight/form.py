"""The sight form: body, watch time, reading, limb, fix; what comes of it is beside it at each keystroke."""

from __future__ import annotations

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QKeyEvent

from nightleg.air.reckoning import Reckoning
from nightleg.flight.model import Flight
from nightleg.flight.shots import watch_to_gmt
from nightleg.sky.catalogue import BODIES
from nightleg.sky.ephemeris import EphemerisRangeError
from nightleg.units.angles import write_angle
from nightleg.units.times import gmt_s, write_clock
from nightleg.window.explain.explain import TYPED
from nightleg.window.parts import rekind
from nightleg.window.session import Session
from nightleg.window.sight.bodies import Standing, standings, sun_caution
from nightleg.window.sight.draft import FIELDS, LIMBED, NEW_FIX, NO_FIX, Draft, in_series
from nightleg.window.sight.more import is_unusual, tenths
from nightleg.window.sight.parts import SightParts
from nightleg.window.sight.series import is_series
from nightleg.window.sight.standing import placed, unanswered
from nightleg.window.sight.words import belongs, remark_of
from nightleg.window.words import direction, intercept


class SightForm(SightParts):
    """Typing goes to the session; answers come from it."""

    filed = Signal()
    """Enter was pressed and the sight went into the log."""

    def __init__(self, session: Session) -> None:
        super().__init__(session, self.standings)
        self._session = session
        self._filling = self._behind = False
        self._connect()
        self.show_draft()
        self.show_remarks()
        self.show_answer()

    def start(self) -> None:
        """Put the cursor where something is to be typed next."""
        if in_series(self._session.draft):
            self.series.table.start()
            return
        first = next((name for name in FIELDS if not self.fields[name].text().strip()), FIELDS[-1])
        self.fields[first].setFocus(Qt.FocusReason.OtherFocusReason)
        self.fields[first].selectAll()

    def asks(self) -> tuple[str, str] | None:
        """What a key that asks how a number came about means here."""
        return None if self._session.worked.sight is None else (TYPED, "intercept")

    def standings(self) -> tuple[Standing, ...]:
        """Where the bodies stand at the time typed, else now; none outside the ephemeris."""
        try:
            return standings(*self._moment())
        except (EphemerisRangeError, ValueError):
            return ()

    def show_draft(self) -> None:
        """Fill the fields from the session's draft."""
        draft = self._session.draft
        self._filling = True
        self.body.setText(draft.body)
        self.limb.setCurrentIndex(max(self.limb.findData(draft.limb), 0))
        self.series.table.show_rows(draft.series)
        if not in_series(draft):
            self.time.setText(draft.time)
            self.reading.setText(draft.reading)
            self.series.put_away = ()
        self.more.show_draft(draft)
        self._fill_fixes(draft)
        self._filling = False
        if in_series(draft):
            self.series_button.setChecked(True)
        if is_unusual(draft):
            self.more_button.setChecked(True)
        changing = draft.sight is not None
        self.title.setText(f"Change of {draft.sight}" if changing else "Sight")
        self.enter.setText("Enter change" if changing else "Enter in log")
        for part, seen in ((self.leave, changing), (self.title, changing), (self.chooser, not changing)):
            part.setVisible(seen)

    def show_remarks(self) -> None:
        """Say at the fields what is wrong with them, or what is still to come."""
        session = self._session
        typed, draft = session.typed, session.draft
        for name in FIELDS:
            remark = typed.remarks.get(name)
            self.fields[name].set_wrong(bool(remark and remark.wrong), remark.text if remark else "")
        self._say(*remark_of(session, folded=self.series.isHidden()))
        self._show_mean(in_series(draft))
        self.series.show_answer(typed, session.worked)
        self.more.show_remarks(typed)
        self._caution()
        self.limb.setEnabled(typed.body is None or typed.body in LIMBED)
        unfit = any(remark.wrong or name != "series" for name, remark in typed.remarks.items())
        self.enter.setEnabled(typed.complete and not unfit and not unanswered(session))
        if self._behind or unanswered(session):
            self.show_answer()

    def _hear(self, told: str) -> None:
        """Where text can be read and yet not be worked, the reason stands in the form too."""
        if told and unanswered(self._session) and not self._session.typed.remarks:
            self._say(told, True)

    def _say(self, text: str, wrong: bool) -> None:
        rekind(self.remark, "wrong" if wrong else "muted")
        self.remark.setText(text)
        self.remark.setVisible(bool(text))

    def show_answer(self) -> None:
        """Show what the sight comes to."""
        worked = self._session.worked
        sight = worked.sight
        values = {name: "" for name in self.result}
        words = ""
        self._behind = unanswered(self._session)
        if sight is not None and placed(self._session):
            values |= {"Hc": write_angle(sight.hc), "Zn": direction(sight.zn, 1)}
            if worked.typed_id is not None and not self._behind:
                values["Ho"] = "" if sight.ho is None else write_angle(sight.ho)
                words = intercept(sight.intercept_nm) if sight.ho is not None else "below the horizon"
        for name, shown in self.result.items():
            shown.setText(values[name] or "—")
            shown.setAccessibleName(f"{name} {values[name] or 'not known yet'}")
            shown.ask(TYPED if values[name] else "", name)
        self.intercept.setText(f"intercept  {words}" if words else "intercept  —")
        self.intercept.setAccessibleName(f"intercept {words or 'not known yet'}")
        self.intercept.ask(TYPED if words else "", "intercept")
        self.belongs.setText("" if self._behind else belongs(worked))
        self._fill_fixes(self._session.draft)

    def file(self) -> None:
        """Put the sight into the log, or go to the field that still needs something."""
        session = self._session
        if not self._go_on() and session.file_sight():
            self.series.put_away = ()
            self.series_button.setChecked(in_series(session.draft))
            self.filed.emit()
            self.start()

    def _go_on(self) -> bool:
        """Go to the field that still needs something; whether there is one."""
        self._finish_body()
        typed = self._session.typed
        needed = ("body",) if in_series(self._session.draft) else FIELDS
        wanting = [name for name in needed if name in typed.remarks or not self.fields[name].text().strip()]
        fields = self.fields | self.more.fields
        wanting += [name for name in typed.remarks if name not in wanting and name in fields]
        if wanting:
            if wanting[0] in self.more.fields:
                self.more_button.setChecked(True)
            fields[wanting[0]].setFocus(Qt.FocusReason.OtherFocusReason)
        elif typed.rows or not typed.complete:
            self.series_button.setChecked(True)
            self.series.table.start(min(typed.rows, default=None))
        else:
            return False
        return True

    def edit_sight(self, id: str) -> None:
        """Take a filed sight into the form, to be changed."""
        if self._session.edit_sight(id):
            self.start()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Esc leaves a filed sight as it was; typing over the mean of a series opens its rows."""
        if event.text().isprintable() and event.text().strip() and self._over_mean():
            self.series_button.setChecked(True)
            self.series.table.start()
        elif event.key() == Qt.Key.Key_Escape and self._session.draft.sight is not None:
            self._session.leave_sight()
            self.start()
        else:
            super().keyPressEvent(event)

    def _over_mean(self) -> bool:
        return any(field.hasFocus() and field.isReadOnly() for field in (self.time, self.reading))

    def _connect(self) -> None:
        session = self._session
        for field in self.fields.values():
            field.textChanged.connect(self._typed)
            field.returnPressed.connect(self.file)
        for field in self.more.fields.values():
            field.returnPressed.connect(self.file)
        self.body.editingFinished.connect(self._finish_body)
        self.body.picked.connect(self._go_on)  # on to what is still to come; a whole sight is not filed by it
        self.limb.currentIndexChanged.connect(self._typed)
        self.fix.activated.connect(self._typed_fix)
        self.enter.clicked.connect(self.file)
        self.leave.clicked.connect(session.leave_sight)
        self.series.changed.connect(self._typed)
        self.series.finished.connect(self.file)
        self.more.changed.connect(self._typed)
        self.series_button.toggled.connect(self._fold_series)
        self.more_button.toggled.connect(self._fold_more)
        session.draft_replaced.connect(self.show_draft)
        session.typed_changed.connect(self.show_remarks)
        session.solved.connect(self.show_answer)
        session.told.connect(self._hear)

    def _fold_series(self, out: bool) -> None:
        self.series.setVisible(out)
        if not self._filling:
            self.show_remarks()
        if out and not self._filling:
            self.series.open()

    def _fold_more(self, out: bool) -> None:
        self.more.setVisible(out)
        if out and not is_unusual(self._session.draft):
            self.more.duration.setFocus(Qt.FocusReason.OtherFocusReason)

    def _show_mean(self, series: bool) -> None:
        """While there is a series, time and reading are its means, and are typed there."""
        typed = self._session.typed
        self._filling = True
        for field in (self.time, self.reading):
            if field.isReadOnly() != series:
                field.setReadOnly(series)
                field.setText("")
        if series:
            when, hs = typed.watch_time, typed.hs_deg
            self.time.setText("" if when is None else write_clock(when, seconds=True))
            self.reading.setText("" if hs is None else tenths(hs))
        elif self.time.text() != self._session.draft.time or self.reading.text() != self._session.draft.reading:
            self.time.setText(self._session.draft.time)
            self.reading.setText(self._session.draft.reading)
        self._filling = False

    def _moment(self) -> tuple[Reckoning, float]:
        """The plot and the GMT that are typed for, else now."""
        session = self._session
        flight, solution, when = session.worked.flight, session.worked.solution, session.now
        if session.typed.watch_time is not None:
            when = watch_to_gmt(flight.watch, flight.start.time, session.typed.watch_time)
        return solution.plot_at(when), gmt_s(when)

    def _caution(self) -> None:
        try:
            said = sun_caution(self._session.typed.body, *self._moment())
        except (EphemerisRangeError, ValueError):
            said = ""
        self.caution.setText(said)
        self.caution.setVisible(bool(said))

    def _finish_body(self) -> None:
        """A name that was begun and fits one body is written out."""
        begun = self.body.text().strip().casefold()
        fitting = [name for name in BODIES if name.casefold().startswith(begun)] if begun else []
        if len(fitting) == 1 and fitting[0] != self.body.text():
            self.body.setText(fitting[0])

    def _typed(self) -> None:
        if self._filling:
            return
        if is_series(self.reading.text()) and not self.reading.isReadOnly():
            self._paste_series(self.reading.text())
            return
        self._session.type(self._draft(self._session.draft.fix))

    def _paste_series(self, text: str) -> None:
        """A list pasted where one reading goes is a series."""
        self._filling = True
        self.reading.clear()
        self._filling = False
        self.series_button.setChecked(True)
        self.series.table.take(text)
        rows = self._session.typed.rows
        self.series.table.start(min((at for at, remark in rows.items() if remark.wrong), default=None))

    def _typed_fix(self) -> None:
        self._session.type(self._draft(self.fix.currentData()))

    def _draft(self, fix: str | None) -> Draft:
        kept = self._session.draft
        lone = not self.time.isReadOnly()
        return Draft(
            self.body.text(),
            self.time.text() if lone else kept.time,
            self.reading.text() if lone else kept.reading,
            self.limb.currentData(),
            fix,
            self.series.table.rows(),
            **{name: field.text() for name, field in self.more.fields.items()},
            sight=kept.sight,
            aside=kept.aside,
            other=kept.other,
        )

    def _fill_fixes(self, draft: Draft) -> None:
        """The fixes that a sight can go into, the one it goes into chosen."""
        flight = self._session.document.flight
        choices = _fixes(flight)
        if [(self.fix.itemText(i), self.fix.itemData(i)) for i in range(self.fix.count())] != choices:
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
    known = [(f"{fix.id}, {write_clock(fix.time)}", fix.id) for fix in fixes]
    return [*known, ("new fix", NEW_FIX), ("no fix", NO_FIX)]
