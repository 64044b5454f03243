"""The strip above the chart: where the flight stands now."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QHBoxLayout, QLabel, QVBoxLayout, QWidget

from nightleg.flight.solution import DrState
from nightleg.units.positions import write_position
from nightleg.units.times import write_clock
from nightleg.window.ahead import ahead
from nightleg.window.parts import ElidedLabel, label
from nightleg.window.session import Session
from nightleg.window.words import NONE, axes, clock, direction, drift

_CELLS = ("DR position", "track", "ground speed", "drift", "next", "fix")


class Header(QWidget):
    """GMT, DR, the way ahead, the fix."""

    def __init__(self, session: Session) -> None:
        super().__init__()
        self._session = session
        self.setObjectName("header")
        self.setAttribute(Qt.WidgetAttribute.WA_StyledBackground)
        self.clock = label(kind="clock")
        self.title = ElidedLabel(kind="muted")
        self.title.setAlignment(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter)
        self.cells: dict[str, tuple[QLabel, QLabel]] = {}
        row = QHBoxLayout(self)
        row.setContentsMargins(18, 5, 18, 5)
        row.setSpacing(26)
        gmt = QHBoxLayout()
        gmt.setSpacing(8)
        gmt.addWidget(self.clock)
        gmt.addWidget(label("GMT", "muted"), 0, Qt.AlignmentFlag.AlignBottom)
        row.addLayout(gmt)
        for name in _CELLS:
            caption, value = label(name, "caption"), label(kind="figure")
            cell = QVBoxLayout()
            cell.setSpacing(0)
            cell.addWidget(caption)
            cell.addWidget(value)
            row.addLayout(cell)
            self.cells[name] = (caption, value)
        row.addWidget(self.title, 1)
        session.solved.connect(self.refresh)
        session.document_changed.connect(self.refresh)
        self.refresh()

    def refresh(self) -> None:
        """Show the session's answer."""
        session = self._session
        state = session.worked.solution.dr[-1]
        self.clock.setText(write_clock(session.now, seconds=session.now.second != 0))
        self.clock.setAccessibleName(f"GMT {self.clock.text()}")
        self.title.set_text(session.worked.solution.title)
        self._put("DR position", write_position(state.position))
        self._put("track", direction(state.track_deg))
        self._put("ground speed", f"{state.gs_kt:.0f} kt")
        self._put("drift", drift(state.drift_deg))
        self._put("next", *self._ahead(state))
        fix = session.fix_in_hand()
        if fix is None or fix.position is None:
            self._put("fix", NONE)
        else:
            self._put("fix", axes(fix.ellipse95), f"fix {clock(fix.time)}, 95 %")

    def _ahead(self, state: DrState) -> tuple[str, str]:
        point = ahead(self._session.worked.flight, state)
        if point is None:
            return NONE, "next"
        eta = write_clock(point.eta) if point.eta else NONE
        return f"{point.distance_nm:.0f} NM  {eta}", f"next  {point.name}"

    def _put(self, cell: str, value: str, caption: str = "") -> None:
        name, shown = self.cells[cell]
        name.setText(caption or cell)
        shown.setText(value)
        shown.setAccessibleName(f"{caption or cell}: {value}")
