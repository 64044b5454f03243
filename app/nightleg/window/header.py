"""The strip above the chart: where the flight stands now, the way ahead, what to do next, and the clock's controls."""

from __future__ import annotations

from datetime import datetime

from PySide6.QtCore import QSize, Qt
from PySide6.QtGui import QKeyEvent, QResizeEvent
from PySide6.QtWidgets import QApplication, QHBoxLayout, QWidget

from nightleg.flight.grids import grid_state, used_grid
from nightleg.flight.model import Flight
from nightleg.flight.onward import trust_at
from nightleg.units.errors import EntryError
from nightleg.units.positions import write_position
from nightleg.units.times import write_clock, write_date
from nightleg.window.agenda import Agenda, next_words
from nightleg.window.ahead import Ahead, ahead, due_words
from nightleg.window.clock.clock import clock_words, typed_time
from nightleg.window.clock.ticker import Ticker
from nightleg.window.explain.number import Number
from nightleg.window.headerparts import Cell, ClockLabel, RunButton
from nightleg.window.parts import ElidedLabel, Entry, label, rekind
from nightleg.window.session import Session
from nightleg.window.words import NONE, direction, drift

SAMPLES = {
    "DR position": "41°12.4′N 031°08.7′W",
    "track": "258°",
    "grid track": "258°",
    "ground speed": "402 kt",
    "drift": "10° R",
    "DR 1σ": "12.4 NM",
    "next": "1312 NM 2334±2",
    "steer": "262°",
    "due": "",
    "to do": "",
}
"""The cells in their order, each with the widest usual value: so that nothing moves as figures change."""
DROPPED = ("DR 1σ", "drift", "grid track", "track", "ground speed", "steer", "next", "due", "to do")
"""Cells in the order in which they go where there is no room for all."""
_SPACING_PX, _MARGIN_PX = 22, 18
_TITLE_PX = 90  # with less room than this a title says nothing


class Header(QWidget):
    """GMT, DR, the way ahead, what to do next, the clock's rate."""

    def __init__(self, session: Session, ticker: Ticker) -> None:
        super().__init__()
        self._session, self._ticker = session, ticker
        self._agenda_of: tuple[Flight, Agenda] | None = None
        self._fitted: tuple[int, ...] = ()
        self._before: QWidget | None = None  # what had the cursor before the time was asked for
        self.setObjectName("header")
        self.setAccessibleName("Where the flight stands")
        self.setAccessibleDescription("Flight time, DR, the way ahead, what to do next, the clock")
        self.setAttribute(Qt.WidgetAttribute.WA_StyledBackground)
        self.clock, self.zone = ClockLabel(), label("GMT", "date")
        self.entry = Entry("Flight time, GMT", 8, figure=True)
        self.entry.hide()
        self.remark = label(kind="wrong")
        self.remark.hide()
        self.title = ElidedLabel(kind="muted")
        self.title.setAlignment(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter)
        self.shown, self.rate, self.run = label(kind="muted"), label(kind="figure"), RunButton()
        group: list[Number] = []
        self._cells = {name: Cell(name, sample, session.asked.emit, group) for name, sample in SAMPLES.items()}
        self.cells = {name: (cell.caption, cell.value) for name, cell in self._cells.items()}
        rekind(self._cells["to do"].value, "fix")
        self._row = row = QHBoxLayout(self)
        row.setContentsMargins(_MARGIN_PX, 5, _MARGIN_PX, 5)
        row.setSpacing(_SPACING_PX)
        gmt = QHBoxLayout()
        gmt.setSpacing(8)
        gmt.addWidget(self.clock)
        gmt.addWidget(self.entry)
        gmt.addWidget(self.zone, 0, Qt.AlignmentFlag.AlignVCenter)
        row.addLayout(gmt)
        row.addWidget(self.remark)
        for cell in self._cells.values():
            row.addWidget(cell)
        row.addStretch(1)
        row.addWidget(self.title, 1000)
        controls = QHBoxLayout()
        controls.setSpacing(8)
        for part in (self.shown, self.rate, self.run):
            controls.addWidget(part)
        row.addLayout(controls)
        self.run.clicked.connect(ticker.toggle)
        self.clock.clicked.connect(self.ask)
        self.entry.returnPressed.connect(self._set)
        self.entry.textEdited.connect(lambda: self._say(""))
        self.entry.editingFinished.connect(self._leave)
        session.solved.connect(self.refresh)
        session.moved.connect(self.refresh)
        session.document_changed.connect(self.refresh)
        ticker.changed.connect(self.refresh)
        self.refresh()

    def refresh(self) -> None:
        """Show the session's answer."""
        session, clock = self._session, self._ticker.clock
        state, now = session.worked.solution.dr[-1], session.now
        seconds = clock.running or now.second != 0
        self.clock.setText(write_clock(now.replace(microsecond=0), seconds=seconds))
        words = clock_words(now, clock.rate, running=clock.running, every=not self._partly)
        self.clock.setAccessibleName(f"GMT {self.clock.text()}, {write_date(now)}")
        self.zone.setText(f"GMT\n{write_date(now, short=True)}")
        self.zone.setToolTip(write_date(now))
        self.clock.setAccessibleDescription(words)
        self.title.set_text(session.worked.solution.title)
        self.shown.setText("as known then" if self._partly else "all entries")
        self.rate.setText(f"×{clock.rate}")
        self.rate.setAccessibleName(f"Rate of the clock: {clock.rate}")
        self.run.setChecked(clock.running)
        self.run.setAccessibleName("Pause the clock" if clock.running else "Run the clock")
        self.run.setToolTip(f"{self.run.accessibleName()} (Space)")
        fix = session.worked.solution.fix_behind(state.time)
        since = "" if fix is None else f"DR from fix {write_clock(fix.time)}"
        self._put("DR position", write_position(state.position), since)
        self._put("track", direction(state.track_deg))
        grid = used_grid(session.document.flight)
        self._put("grid track", "" if grid is None else direction(grid_state(grid, state).track_deg))
        self._put("ground speed", f"{state.gs_kt:.0f} kt")
        self._put("drift", drift(state.drift_deg))
        self._put("DR 1σ", f"{state.sigma_nm:.1f} NM")
        flight, solution = session.document.flight, session.worked.solution
        point = ahead(flight, state, trust_at(flight, solution, state.time)) if flight.waypoints else None
        self._put_ahead(point)
        caption, what = due_words(flight, solution, state.time)
        self._put("due", what, caption)
        caption, what = next_words(self._agenda(), now, point, entered=not session.clock_set)
        self._put("to do", what, caption)
        self._fit()

    @property
    def _partly(self) -> bool:
        return self._session.clock_set and self._session.as_known

    def ask(self) -> None:
        """Ask for the flight time, in the clock's place."""
        self._before = QApplication.focusWidget()
        self.entry.setText(write_clock(self._session.now, seconds=True))
        self.clock.hide()
        self.entry.show()
        self.entry.setFocus(Qt.FocusReason.ShortcutFocusReason)
        self.entry.selectAll()
        self._fit(anew=True)

    def _set(self) -> None:
        session = self._session
        try:
            when: datetime = typed_time(self.entry.text(), session.document.flight.start.time, session.now)
        except EntryError as error:
            self._say(str(error))
            return
        self._say("")
        self._ticker.set(when)
        self._close()

    def _leave(self) -> None:
        """The field has lost the cursor: what was not set is let go."""
        if not self.entry.hasFocus() and not self.entry.isHidden():
            self._close()

    def _close(self) -> None:
        before, self._before = self._before, None
        if before is not None and self.entry.hasFocus():
            before.setFocus(Qt.FocusReason.OtherFocusReason)
        self._say("")
        self.entry.hide()
        self.clock.show()
        self._fit(anew=True)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Escape leaves the time as it is."""
        if event.key() == Qt.Key.Key_Escape and not self.entry.isHidden():
            self._close()
        else:
            super().keyPressEvent(event)

    def _say(self, text: str) -> None:
        """What is wrong with the time typed, beside it."""
        self.entry.set_wrong(bool(text), text)
        self.remark.setText(text)
        self.remark.setVisible(bool(text))
        self._fit(anew=True)

    def _agenda(self) -> Agenda:
        flight = self._session.document.flight
        if self._agenda_of is None or self._agenda_of[0] is not flight:
            self._agenda_of = flight, Agenda(flight)
        return self._agenda_of[1]

    def _put_ahead(self, point: Ahead | None) -> None:
        if point is None:
            self._put("next", NONE)
            self._put("steer", NONE)
            return
        if point.passed:
            self._put("next", f"{point.distance_nm:.0f} NM behind", f"past  {point.name}")
            self._put("steer", NONE)
            return
        eta = write_clock(point.eta) if point.eta else NONE
        sure = "" if point.eta_sigma_min is None else f"±{max(point.eta_sigma_min, 1.0):.0f}"
        self._put("next", f"{point.distance_nm:.0f} NM {eta}{sure}", f"next  {point.name}")
        self._put("steer", direction(point.heading_deg))

    def _put(self, cell: str, value: str, caption: str = "") -> None:
        self._cells[cell].put(caption or cell, value)

    def resizeEvent(self, event: QResizeEvent) -> None:
        """There is room for more or fewer cells."""
        super().resizeEvent(event)
        self._fit(anew=True)

    def minimumSizeHint(self) -> QSize:
        """It shows what there is room for, so it asks for little."""
        return QSize(200, super().minimumSizeHint().height())

    def restyle(self) -> None:
        """The type has another size."""
        self._fit(anew=True)

    def _fit(self, *, anew: bool = False) -> None:
        """Show the cells that there is room for; the least important go first."""
        for cell in self._cells.values():
            cell.hold()
        rooms = {name: cell.room_px() for name, cell in self._cells.items()}
        others = (self.entry, self.zone, self.remark, self.rate, self.run)
        taken = [part.sizeHint().width() for part in others if not part.isHidden()]
        clock_px = 0 if self.clock.isHidden() else self.clock.sizeHint().width()
        shown_px = self.shown.sizeHint().width() + 8
        measured = (*rooms.values(), *taken, clock_px, shown_px, self.width())
        if measured == self._fitted and not anew:
            return
        self._fitted = measured
        room = self.width() - 2 * _MARGIN_PX - sum(taken) - 16 - 2 * _SPACING_PX
        if not self.remark.isHidden():
            room -= _SPACING_PX
        seconds_px = max(clock_px, self.clock.fontMetrics().horizontalAdvance("0000:00")) if clock_px else 0
        choices = [(seconds_px, shown_px), (clock_px, shown_px), (clock_px, 0)]
        tried = [(held, shown, self._staying(rooms, room - held - shown)) for held, shown in choices]
        held_px, shown_px, staying = next((one for one in tried if {"next", "steer"} <= set(one[2])), tried[1])
        self.clock.setMinimumWidth(held_px)
        self.shown.setVisible(shown_px > 0)
        room -= held_px + shown_px
        for name, cell in self._cells.items():
            cell.setVisible(name in staying)
        self.title.setVisible(room - sum(rooms[name] + _SPACING_PX for name in staying) >= _TITLE_PX)
        self._row.activate()  # at once, so that no frame shows a value that is cut

    def _staying(self, rooms: dict[str, int], room_px: int) -> list[str]:
        """The cells that have something to show and find room."""
        staying = [
            name for name in SAMPLES if name not in ("due", "to do", "grid track") or self._cells[name].value.text()
        ]
        for name in DROPPED:
            if sum(rooms[one] + _SPACING_PX for one in staying) <= room_px:
                break
            staying = [one for one in staying if one != name]
        return staying
