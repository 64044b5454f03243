"""Entries of the log that are no altitudes, in words. No Qt here."""

from __future__ import annotations

from nightleg.flight.model import Drift, HeadingCheck, Line
from nightleg.units.positions import write_latitude
from nightleg.window.words import direction, drift

MAIN_KEYS: dict[str, str] = {
    "pressure": "d2_ft",
    "bearing": "bearing_deg",
    "radial": "radial_deg",
    "range": "range_nm",
    "latitude": "latitude",
}
"""What was read of each kind of line."""


def main_key(line: Line) -> str:
    """The key that holds what was read."""
    if line.kind == "bearing" and line.bearing_deg is None and line.relative_bearing_deg is not None:
        return "relative_bearing_deg"
    return MAIN_KEYS[line.kind]


def line_words(line: Line) -> str:
    """What was read: `latitude 41°30.0′N`, `radial 103°`, `D 210, 340 ft`."""
    if line.kind == "pressure":
        return f"D {line.d1_ft or 0.0:.0f}, {line.d2_ft or 0.0:.0f} ft"
    value = getattr(line, main_key(line))
    if value is None:
        return line.kind
    if line.kind == "latitude":
        return f"latitude {write_latitude(value)}"
    if line.kind == "range":
        return f"range {value:g} NM"
    relative = "relative " if main_key(line).startswith("relative") else ""
    return f"{relative}{line.kind} {direction(value % 360.0)}"


def shown_words(check: HeadingCheck) -> str:
    """A heading check: `Vega 031° relative, compass 261°`."""
    return f"{check.body} {direction(check.relative_bearing_deg % 360.0)} relative, {check.shown} " + direction(
        check.shown_deg, 1
    )


def drift_words(read: Drift) -> str:
    """A drift read: `drift 5° L on heading 262°`."""
    return f"drift {drift(read.drift_deg)} on heading {direction(read.heading_deg)}"
