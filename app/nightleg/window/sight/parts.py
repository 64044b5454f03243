"""What the sight form is made of, laid out: fields, folds, and where the result stands."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QGridLayout, QHBoxLayout, QPushButton, QVBoxLayout, QWidget

from nightleg.flight.model import Limb
from nightleg.window.explain.number import Number
from nightleg.window.other.choice import KindChoice
from nightleg.window.parts import Choice, Entry, captioned, label, wrapped
from nightleg.window.session import Session
from nightleg.window.sight.bodies import Standing
from nightleg.window.sight.bodieslist import BodyField
from nightleg.window.sight.draft import FieldName
from nightleg.window.sight.more import MoreFold, SeriesFold, fold

_LIMBS: tuple[tuple[str, Limb], ...] = (("centre", "centre"), ("lower limb", "lower"), ("upper limb", "upper"))
_STEPS = ("Hc", "Zn", "Ho")
_ABOUT: dict[FieldName, str] = {
    "body": "A name, or a number like hip 69673. Typing searches; Down opens the list, with altitudes in degrees",
    "time": "Hours and minutes by the watch, like 2252; seconds may follow, like 225230",
    "reading": "Sextant altitude in degrees and minutes of arc, like 41 23.5. A list pasted here becomes a series",
}


class SightParts(QWidget):
    """The parts, without what they do."""

    def __init__(self, session: Session, bodies: Callable[[], tuple[Standing, ...]]) -> None:
        super().__init__()
        self.body = BodyField(bodies, 11)
        self.time = Entry("Watch time", 7, figure=True)
        self.reading = Entry("Sextant reading, degrees and minutes", 8, figure=True)
        self.fields: dict[FieldName, Entry] = {"body": self.body, "time": self.time, "reading": self.reading}
        self.limb = Choice("Limb")
        for text, value in _LIMBS:
            self.limb.addItem(text, value)
        self.fix = Choice("Fix that the sight belongs to")
        self.fix.keep_narrow(6)
        for name, about in _ABOUT.items():
            self.fields[name].describe(about)
        self.limb.setAccessibleDescription("Which part of the Sun or the Moon was shot; other bodies show no limb")
        self.fix.setAccessibleDescription("A fix by its name and its time in GMT, a new one, or none")
        self.enter = QPushButton("Enter in log")
        self.enter.setToolTip("Enter")
        self.leave = QPushButton("Leave")
        self.leave.setAccessibleName("Leave the filed sight as it was")
        self.leave.setToolTip("Leave the filed sight as it was (Esc)")
        self.leave.setProperty("kind", "fold")
        self.series_button = fold("Series", "Series of readings")
        self.more_button = fold("More", "Duration, turn, speed change, sigma, assumed position")
        self.series, self.more = SeriesFold(), MoreFold(session)
        self.remark = wrapped("muted")
        self.caution = wrapped("caution")
        self.caution.hide()
        group: list[Number] = []
        self.result = {name: Number(session.asked.emit, "figure", group) for name in _STEPS}
        self.intercept = Number(session.asked.emit, "line", group)
        self.title = label("Sight", "title")
        self.chooser = KindChoice(session)
        self.belongs = label(kind="muted")
        self._lay_out()

    def _lay_out(self) -> None:
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(4)
        head = QHBoxLayout()
        head.setSpacing(6)
        head.addWidget(self.title)
        head.addWidget(self.chooser)
        for button in (self.series_button, self.more_button, self.leave):
            head.addWidget(button)
        head.addStretch(1)
        head.addWidget(self.belongs)
        column.addLayout(head)
        grid = QGridLayout()
        grid.setHorizontalSpacing(8)
        grid.setVerticalSpacing(4)
        grid.addWidget(captioned("&Body", self.body), 0, 0)
        grid.addWidget(captioned("Watch &time", self.time), 0, 1)
        grid.addWidget(captioned("&Reading", self.reading), 0, 2)
        grid.addWidget(captioned("Li&mb", self.limb), 1, 0)
        grid.addWidget(captioned("F&ix", self.fix), 1, 1)
        grid.addWidget(self.enter, 1, 2, Qt.AlignmentFlag.AlignBottom)
        grid.setColumnStretch(0, 4)
        grid.setColumnStretch(1, 3)
        grid.setColumnStretch(2, 3)
        column.addLayout(grid)
        self.remark.setMinimumHeight(self.remark.fontMetrics().height() + 2)
        self.remark.setAlignment(Qt.AlignmentFlag.AlignTop)
        column.addWidget(self.remark)
        for part in (self.caution, self.series, self.more):
            part.hide()
            column.addWidget(part)
        figures = QHBoxLayout()
        figures.setSpacing(6)
        for name, value in self.result.items():
            figures.addWidget(label(name, "muted"))
            figures.addWidget(value)
            figures.addStretch(1)
        column.addLayout(figures)
        column.addWidget(self.intercept, 0, Qt.AlignmentFlag.AlignLeft)
