"""What of a session is on the chart, and what is said of a place on it. No widgets here."""

from __future__ import annotations

from nightleg.chart.marks import ChartScene
from nightleg.chart.readout import read_out
from nightleg.chart.scene import scene
from nightleg.units.positions import Position
from nightleg.window.session import Session


def under_cursor(session: Session, place: Position | None) -> str:
    """A place in words, from the DR; from the fix at the very time of one."""
    solution, now = session.worked.solution, session.now
    fix = solution.fix_behind(now)
    at_fix = fix is not None and fix.time == now
    return read_out(place, solution.dr[-1].position, "fix" if at_fix else "DR")


def drawn(session: Session) -> ChartScene:
    """The session's answer: as it was known at flight time, or all entries with the aircraft where it is then."""
    worked = session.worked
    typed, every = worked.typed_row, session.clock_set and not session.as_known
    in_hand = None if typed is None else typed[1]
    return scene(worked.flight, worked.solution, session.now, in_hand=in_hand, every=every)
