"""Which working a number of the log belongs to. No Qt here."""

from __future__ import annotations

from nightleg.units.times import write_instant
from nightleg.window.explain.explain import DR
from nightleg.window.log.entries import LogEntry

_SIGHT = {
    "time": "GMT",
    "entry": "intercept",
    "reading": "Hs",
    "Ho": "Ho",
    "Hc": "Hc",
    "Zn": "Zn",
    "intercept": "intercept",
    "note": "intercept",
}
_FIX = {"reading": "position", "Ho": "position", "intercept": "wind found", "use": "position", "note": "95 % ellipse"}
_DR = {"reading": "position", "Zn": "ground speed", "intercept": "ground speed", "note": "track"}


def log_question(row: LogEntry, column: str) -> tuple[str, str] | None:
    """Whose number stands in a cell, and the step of the working that gives it; None where nothing was worked out."""
    if row.kind == "sight":
        return row.id, _SIGHT.get(column, "intercept")
    if row.kind == "fix":
        return row.id, _FIX.get(column, "position")
    if row.kind in ("leg", "now"):
        return f"{DR} {write_instant(row.time)}", _DR.get(column, "position")
    return None
