"""The flight form: legs, route, start, wind uncertainty, watch, sextant; each field is edited in place."""

from __future__ import annotations

from PySide6.QtWidgets import QVBoxLayout, QWidget

from nightleg.window.flight.fields import FieldLine, FlightChoice, FlightEntry
from nightleg.window.flight.grid import GridPart
from nightleg.window.flight.leg import LegPart, leg_now
from nightleg.window.flight.route import RoutePart
from nightleg.window.parts import label, rule
from nightleg.window.session import Session

# Table, then lines of fields: name above the field, key, characters, share of the line.
_Line = tuple[tuple[str, str, int, int], ...]
_PARTS: tuple[tuple[str, str, tuple[_Line, ...]], ...] = (
    (
        "Start",
        "start",
        (
            (("Date and time, GMT", "time", 15, 5), ("1σ, NM", "sigma_nm", 3, 2)),
            (("Position", "position", 18, 1),),
        ),
    ),
    (
        "Watch",
        "watch",
        (
            (
                ("Fast by, s", "error_s", 3, 2),
                ("At check, GMT", "check", 4, 3),
                ("Gains, s/day", "rate_s_per_day", 3, 3),
                ("1σ, s", "sigma_s", 3, 2),
            ),
        ),
    ),
    (
        "Sextant",
        "sextant",
        (
            (
                ("Correction, ′", "correction_arcmin", 4, 3),
                ("1σ of a shot, ′", "sigma_arcmin", 4, 3),
                ("Common 1σ, ′", "common_sigma_arcmin", 4, 3),
            ),
            (
                ("Eye, m", "height_of_eye_m", 3, 2),
                ("Lowest, °", "lowest_deg", 3, 2),
                ("Highest, °", "highest_deg", 3, 2),
            ),
            (("Altitude and correction of window or dome", "table", 20, 1),),
        ),
    ),
    ("Wind held", "wind_uncertainty", ((("1σ of each component, kt", "sigma_kt", 5, 1),),)),
    ("Flight", "", ((("Title", "title", 20, 1),),)),
)
_DEFAULTS = {
    "error_s": "0",
    "check": "start",
    "rate_s_per_day": "0",
    "sigma_s": "0",
    "correction_arcmin": "0",
    "sigma_arcmin": "2.5",
    "common_sigma_arcmin": "0",
    "height_of_eye_m": "0",
    "lowest_deg": "10",
    "highest_deg": "75",
    "table": "none; like 10 0.3; 45 0.1",
    "sigma_kt": "12",
    "sigma_nm": "2",
}
"""What holds where a key is left out, by the file's format."""


class FlightForm(QWidget):
    """All of the flight that is no entry of the log."""

    def __init__(self, session: Session) -> None:
        super().__init__()
        self.setObjectName("page")
        self.setAccessibleName("Flight")
        self._session = session
        self.legs = LegPart(session)
        self.legs.choose(leg_now(session))
        self.route = RoutePart(session)
        self.grid = GridPart(session)
        self.fields: dict[tuple[str, str], FlightEntry] = {}
        self.horizon = FlightChoice(session, "Horizon of the sextant", ("bubble", "natural"), ("sextant",), "horizon")
        column = QVBoxLayout(self)
        column.setContentsMargins(16, 10, 14, 6)
        column.setSpacing(8)
        column.addWidget(self.legs)
        column.addWidget(rule())
        column.addWidget(self.route)
        for title, table, lines in _PARTS:
            column.addWidget(rule())
            column.addWidget(label(title, "title"))
            for number, line in enumerate(lines):
                horizon = [("Horizon", self.horizon, 3)] if table == "sextant" and number == 1 else []
                column.addWidget(FieldLine(*horizon, *self._line(title, table, line)))
        column.addWidget(rule())
        column.addWidget(self.grid)  # seldom wanted, so it stands last
        column.addStretch(1)

    def start(self) -> None:
        """Put the cursor into the leg that is shown."""
        field = self.legs.direction
        field.setFocus()
        field.selectAll()

    def start_of_flight(self) -> None:
        """Put the cursor where the flight begins."""
        field = self.fields["start", "time"]
        field.setFocus()
        field.selectAll()

    def show_leg(self, number: int) -> None:
        """Show a leg, the cursor in it."""
        self.legs.choose(number)
        self.start()

    def _line(self, title: str, table: str, line: _Line) -> list[tuple[str, QWidget, int]]:
        made: list[tuple[str, QWidget, int]] = []
        for name, key, chars, share in line:
            spoken = f"{title}: {name}"
            field = FlightEntry(self._session, spoken, chars, (table,) if table else (), key)
            field.setPlaceholderText(_DEFAULTS.get(key, ""))
            self.fields[table, key] = field
            made.append((name, field, share))
        return made
