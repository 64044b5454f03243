"""The legs of the flight form: one at a time, with what comes of it."""

from __future__ import annotations

from datetime import datetime

from PySide6.QtCore import Signal
from PySide6.QtGui import QShowEvent
from PySide6.QtWidgets import QComboBox, QHBoxLayout, QPushButton, QVBoxLayout, QWidget

from nightleg.air.speeds import cas_from_tas, mach_from_tas
from nightleg.earth.atmosphere import temperature_c
from nightleg.flight.legs import Direction, HeldLeg, Speed
from nightleg.flight.model import WindOfFix
from nightleg.flight.solution import DrState
from nightleg.units.times import write_clock
from nightleg.window.flight.edits import direction_value, enter, motion_of, speed_value
from nightleg.window.flight.fields import FieldLine, FlightChoice, FlightEntry
from nightleg.window.flight.names import key_name
from nightleg.window.log.entries import held_of
from nightleg.window.log.fields import DIRECTION_KEYS, SPEED_KEYS
from nightleg.window.log.full import leg_variation, signed
from nightleg.window.log.insert import inserted, without
from nightleg.window.parts import Choice, Row, Rows, label
from nightleg.window.session import Session
from nightleg.window.words import direction, drift, wind

_DIRECTIONS: tuple[tuple[str, Direction], ...] = (
    ("true heading", "true"),
    ("magnetic", "magnetic"),
    ("compass", "compass"),
    ("grid", "grid"),
    ("track", "track"),
)
_SPEEDS: tuple[tuple[str, Speed], ...] = (("TAS", "tas"), ("CAS", "cas"), ("Mach", "mach"), ("GS", "gs"))
_PLAIN = (
    ("wind", "wind", 6),
    ("altitude", "altitude_ft", 4),
    ("temperature", "temperature_c", 3),
    ("bank", "bank_deg", 3),
)


def leg_now(session: Session) -> int:
    """Number of the leg that is flown at flight time."""
    legs = session.document.flight.legs
    return max((number for number, leg in enumerate(legs) if leg.time <= session.now), default=0)


class LegPart(QWidget):
    """One leg: chosen in the list, edited in its fields; below them what it comes to."""

    chosen = Signal(int)

    def __init__(self, session: Session) -> None:
        super().__init__()
        self._session = session
        self.number = 0
        self._times: set[datetime] = set()
        self.which = Choice("Leg")
        self.add, self.remove = QPushButton("New"), QPushButton("Take away")
        self.time = FlightEntry(session, "Time of the leg, GMT", 4)
        self.form = Choice("How the direction is given")
        self.direction = FlightEntry(session, "Direction", 4)
        self.deviation = FlightEntry(session, "Deviation", 3)
        self.speed_form = Choice("How the speed is given")
        self.speed = FlightEntry(session, "Speed", 4)
        self.plain = {key: FlightEntry(session, key_name(key).capitalize(), chars) for _, key, chars in _PLAIN}
        self.steering = FlightChoice(
            session, "Steering", ("rhumb", "great_circle"), ("leg", 0), "steering", held="as before"
        )
        self.held = label("Faint: held from the leg before.", "caption")
        self.derived = Rows("What the leg comes to")
        for text, of in _DIRECTIONS:
            self.form.addItem(text, of)
        for text, by in _SPEEDS:
            self.speed_form.addItem(text, by)
        for box in (self.which, self.form, self.speed_form):
            box.setSizeAdjustPolicy(QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon)
            box.setMinimumContentsLength(4)
        self.add.setAccessibleName("New leg from flight time on")
        self.remove.setAccessibleName("Take the leg away")
        self._lay_out()
        self.which.activated.connect(self.choose)
        self.form.activated.connect(self._other_direction)
        self.speed_form.activated.connect(self._other_speed)
        self.add.clicked.connect(self.new_leg)
        self.remove.clicked.connect(self.take_away)
        session.document_changed.connect(self.refresh)
        session.solved.connect(self._derive)
        self.refresh()

    def choose(self, number: int) -> None:
        """Show another leg."""
        self.number = number
        self.refresh()
        self.chosen.emit(number)

    def new_leg(self) -> None:
        """A leg from flight time on, holding what is held."""
        session = self._session
        made = inserted("leg", session.document, session.base, session.now)
        if session.edit(made.label, *made.edits):
            self.choose(int(made.id) - 1)
            self.direction.setFocus()
            self.direction.selectAll()

    def take_away(self) -> None:
        """Take the leg out of the flight."""
        made = without(self._session.document, [("leg", self.number)])
        if isinstance(made, str):
            self._session.told.emit(made)
        else:
            self._session.edit(made.label, *made.edits)

    def refresh(self) -> None:
        """Show the leg as the flight holds it; what it leaves to the leg before stands in muted ink."""
        legs = self._session.document.flight.legs
        if len(legs) > self.which.count() > 0:  # one that is put in is the one to go on with
            self.number = next((i for i, leg in enumerate(legs) if leg.time not in self._times), self.number)
        self._times = {leg.time for leg in legs}
        self.number = min(self.number, len(legs) - 1)
        names = [f"leg {i + 1}, {write_clock(leg.time)}" for i, leg in enumerate(legs)]
        if [self.which.itemText(i) for i in range(self.which.count())] != names:
            self.which.clear()
            self.which.addItems(names)
        self.which.setCurrentIndex(self.number)
        self.remove.setEnabled(len(legs) > 1)
        held = held_of(self._session.document.flight)[self.number]
        place = ("leg", self.number)
        self.form.setCurrentIndex(self.form.findData(held.direction))
        self.speed_form.setCurrentIndex(self.speed_form.findData(held.speed))
        self._bind(self.direction, DIRECTION_KEYS[held.direction], f"{held.direction_deg:g}")
        self._bind(self.deviation, "deviation_deg", f"{held.deviation_deg:g}")
        self._bind(self.speed, SPEED_KEYS[held.speed], f"{held.speed_value:g}")
        self.held.setVisible(self.number > 0)
        self.deviation.setEnabled(held.direction == "compass")
        self.time.set_key(place, "time")
        temperature = "standard" if held.temperature_c is None else f"{held.temperature_c:g}"
        blows = held.wind
        blown = f"fix:{blows.fix}" if isinstance(blows, WindOfFix) else wind(blows.from_deg, blows.kt)
        if not isinstance(blows, WindOfFix) and blows.grid:
            blown = f"grid {blown}"
        bank = f"{held.bank_deg:g}" if held.bank_deg else "sharp"
        shown = (blown, f"{held.altitude_ft:g}", temperature, bank)
        for (_, key, _), value in zip(_PLAIN, shown, strict=True):
            self._bind(self.plain[key], key, value)
        self.steering.set_place(place)
        self._derive()

    def _bind(self, field: FlightEntry, key: str, held: str) -> None:
        field.set_key(("leg", self.number), key)
        field.setPlaceholderText(held)

    def showEvent(self, event: QShowEvent) -> None:
        """What comes of the leg is worked out only while it is seen."""
        super().showEvent(event)
        self._derive()

    def _derive(self) -> None:
        if not self.isVisible():
            return
        flight = self._session.document.flight
        solution = self._session.whole.solution
        if self.number < len(flight.legs):
            state = motion_of(self._session.document, solution, self.number)
            held = held_of(flight)[self.number]
            variation = leg_variation(solution, held) if held.needs_variation else None
            self.derived.show_rows([] if state is None else derived_rows(held, state, variation))

    def _other_direction(self) -> None:
        form = self.form.currentData()
        value = direction_value(self._session, self.number, form)
        self._put(DIRECTION_KEYS[form], value)

    def _other_speed(self) -> None:
        form = self.speed_form.currentData()
        self._put(SPEED_KEYS[form], speed_value(self._session, self.number, form))

    def _put(self, key: str, value: float | None) -> None:
        words = "" if value is None else enter(self._session, ("leg", self.number), key, f"{value:g}")
        if value is None:
            words = "The program does not know the variation there: choose the true heading or the track."
        if words:
            self._session.told.emit(words)
        self.refresh()

    def _lay_out(self) -> None:
        head = QHBoxLayout()
        name = label("Leg", "title")
        name.setBuddy(self.which)
        head.addWidget(name)
        head.addWidget(self.which, 1)
        head.addWidget(self.add)
        head.addWidget(self.remove)
        wind_field, altitude, temperature, bank = (self.plain[key] for _, key, _ in _PLAIN)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(6)
        column.addLayout(head)
        column.addWidget(
            FieldLine(
                ("From, GMT", self.time, 3),
                ("Direction by", self.form, 4),
                ("Degrees", self.direction, 2),
                ("Dev.", self.deviation, 2),
            )
        )
        column.addWidget(
            FieldLine(("Speed by", self.speed_form, 2), ("Figure", self.speed, 2), ("Wind from/kt", wind_field, 3))
        )
        column.addWidget(
            FieldLine(
                ("Altitude, ft", altitude, 7),
                ("Temp., °C", temperature, 9),
                ("Bank, °", bank, 7),
                ("Steering", self.steering, 11),
            )
        )
        column.addWidget(self.held)
        column.addWidget(self.derived)


def derived_rows(held: HeldLeg, state: DrState, variation: float | None) -> list[Row]:
    """What a leg comes to at its beginning: true heading, TAS, drift, track, ground speed."""
    rows = []
    given = {"magnetic": "MH", "compass": "CH", "grid": "GH"}.get(held.direction)
    if given is not None:
        parts = [f"{given} {held.direction_deg:g}"]
        if held.direction == "compass":
            parts.append(f"dev {signed(held.deviation_deg)}")
        if variation is not None:
            parts.append(f"var {signed(variation)}")
        if held.direction == "grid":
            parts.append(f"convergence {signed(held.convergence(*state.position))}")
        rows.append(Row("true heading", direction(state.heading_deg, 1), ", ".join(parts)))
    elif held.direction == "track":
        rows.append(Row("true heading", direction(state.heading_deg, 1), "to make the track"))
    rows.append(Row("TAS", f"{state.tas_kt:.0f} kt", _other_speeds(held, state)))
    blown = f"wind {wind(state.wind_from_deg, state.wind_kt)}"
    rows.append(Row("track", direction(state.track_deg, 1), f"drift {drift(state.drift_deg)}"))
    rows.append(Row("ground speed", f"{state.gs_kt:.0f} kt", blown))
    standard = float(temperature_c(held.altitude_ft))
    if held.temperature_c is not None:
        apart = round(held.temperature_c) - round(standard)
        off = f"{abs(apart)}° {'warmer' if apart > 0 else 'colder'} than standard" if apart else "as standard"
        rows.append(Row("temperature", f"{held.temperature_c:.0f} °C".replace("-", "−"), off))
    return rows


def _other_speeds(held: HeldLeg, state: DrState) -> str:
    try:
        cas_kt = float(cas_from_tas(state.tas_kt, held.altitude_ft, held.temperature_c))
        mach = float(mach_from_tas(state.tas_kt, held.altitude_ft, held.temperature_c))
    except ValueError:
        return ""
    return f"CAS {cas_kt:.0f}, Mach {mach:.3f}"
