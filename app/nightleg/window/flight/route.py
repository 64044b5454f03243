"""The planned route in the flight form: one line a waypoint."""

from __future__ import annotations

from PySide6.QtCore import QEvent, QObject, Qt
from PySide6.QtGui import QShowEvent
from PySide6.QtWidgets import QHBoxLayout, QPushButton, QToolButton, QVBoxLayout, QWidget

from nightleg.flight.arrival import arrivals
from nightleg.window.ahead import asked_words
from nightleg.window.flight.fields import FlightChoice, FlightEntry
from nightleg.window.log.insert import inserted, without
from nightleg.window.look import grown
from nightleg.window.parts import ElidedLabel, label, rekind, spoken_label, wrapped
from nightleg.window.session import Session


class RoutePart(QWidget):
    """The waypoints, in the order in which they are flown."""

    def __init__(self, session: Session) -> None:
        super().__init__()
        self._session = session
        self.lines: list[WaypointLine] = []
        self.add = QPushButton("New waypoint")
        self.empty = label("No route is planned.", "muted")
        head = QHBoxLayout()
        head.addWidget(label("Route", "title"))
        head.addStretch(1)
        head.addWidget(self.add)
        self._column = QVBoxLayout(self)
        self._column.setContentsMargins(0, 0, 0, 0)
        self._column.setSpacing(4)
        self._column.addLayout(head)
        self._column.addWidget(self.empty)
        self.add.clicked.connect(self.new_waypoint)
        session.document_changed.connect(self.refresh)
        self.refresh()

    def new_waypoint(self) -> None:
        """A waypoint at the DR, before the one that comes next."""
        session = self._session
        made = inserted("waypoint", session.document, session.base, session.now)
        if session.edit(made.label, *made.edits):
            self.choose(int(made.id))

    def choose(self, number: int) -> None:
        """Go to a waypoint."""
        if number < len(self.lines):
            self.lines[number].name.setFocus(Qt.FocusReason.OtherFocusReason)
            self.lines[number].name.selectAll()

    def refresh(self) -> None:
        """As many lines as there are waypoints. Lines that are too many are kept aside, to be used again."""
        count = len(self._session.document.flight.waypoints)
        while len(self.lines) < count:
            line = WaypointLine(self._session, len(self.lines))
            self.lines.append(line)
            self._column.addWidget(line)
        for number, line in enumerate(self.lines):
            line.setVisible(number < count)
        self.empty.setVisible(count == 0)


class WaypointLine(QWidget):
    """A waypoint: its name, where it is, how one gets there."""

    def __init__(self, session: Session, number: int) -> None:
        super().__init__()
        self._session, self._number = session, number
        place = ("waypoint", number)
        which = f"waypoint {number + 1}"
        self.name = FlightEntry(session, f"Name of {which}", 4, place, "name")
        self.position = FlightEntry(session, f"Position of {which}", 13, place, "position")
        self.due = FlightEntry(session, f"Time due at {which}, GMT", 4, place, "due")
        self.asked = ElidedLabel(kind="muted")
        self.due.setToolTip("Time of arrival asked for, GMT")
        self.due.setProperty("small", True)
        self.path = FlightChoice(session, f"Path to {which}", ("rhumb", "great_circle"), place, "path")
        for index, (short, whole) in enumerate((("RL", "rhumb line"), ("GC", "great circle"))):
            self.path.setItemText(index, short)
            self.path.setItemData(index, whole, Qt.ItemDataRole.ToolTipRole)
        spoken_label(f"Path to {which}", self.path, self)
        self.path.setToolTip("RL rhumb line, GC great circle")
        self.path.setAccessibleDescription("RL rhumb line, GC great circle")
        self.path.setMinimumContentsLength(1)
        self.path.installEventFilter(self)
        self.remove = QToolButton()
        self.remove.setText("×")
        self.remove.setObjectName("remove")
        self.remove.setAccessibleName(f"Take away {which}")
        self.remove.setToolTip(f"Take away {which}")
        self.remove.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        self.words = wrapped("wrong")
        self.words.hide()
        row = QHBoxLayout()
        row.setSpacing(4)
        row.addWidget(self.name, 2)
        row.addWidget(self.position, 4)
        row.addWidget(self.path, 0)
        row.addWidget(self.remove)
        below = QHBoxLayout()
        below.setSpacing(6)
        below.addWidget(label("due, GMT", "caption"))
        below.addWidget(self.due, 1)
        below.addWidget(self.asked, 3)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(3)
        column.addLayout(row)
        column.addLayout(below)
        column.addWidget(self.words)
        self.remove.clicked.connect(self.take_away)
        for field in (self.name, self.position, self.due):
            field.remarked.connect(self._say)
        session.solved.connect(self._ask)
        session.moved.connect(self._ask)
        self._ask()

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """The path's two letters take no more room than they need, at any size of type."""
        if event.type() in (QEvent.Type.FontChange, QEvent.Type.StyleChange, QEvent.Type.Polish):
            width = self.path.fontMetrics().horizontalAdvance("RL") + round(16 + 20 * min(grown(self), 2.0))
            if self.path.maximumWidth() != width:
                self.path.setMaximumWidth(width)
        return False

    def take_away(self) -> None:
        """Take the waypoint out of the route."""
        made = without(self._session.document, [("waypoint", self._number)])
        if isinstance(made, str):
            self._session.told.emit(made)
        else:
            self._session.edit(made.label, *made.edits)

    def showEvent(self, event: QShowEvent) -> None:
        """What the time due asks for is worked out only while it is seen."""
        super().showEvent(event)
        self._ask()

    def _ask(self) -> None:
        if not self.isVisible():
            return
        points = self._session.document.flight.waypoints
        if self._number >= len(points) or points[self._number].due is None:
            self.asked.set_text("")
            return
        solution, name = self._session.worked.solution, points[self._number].name
        found = arrivals(self._session.document.flight, solution, solution.dr[-1].time)
        one = next((one for one in found if one.waypoint == name and one.due == points[self._number].due), None)
        self.asked.set_text("behind" if one is None else asked_words(one))

    def _say(self) -> None:
        wrong = [field for field in (self.name, self.position, self.due) if field.words]
        left = any(field.property("wrong") for field in wrong)
        rekind(self.words, "wrong" if left else "muted")
        self.words.setText("\n".join(field.words + ("  (not applied)" if left else "") for field in wrong))
        self.words.setVisible(bool(wrong))
