"""Results in the words and figures of the window. No Qt here."""

from __future__ import annotations

from datetime import datetime

from nightleg.fix.ellipse import Ellipse
from nightleg.flight.errors import FlightError
from nightleg.flight.solution import Problem
from nightleg.units.angles import write_bearing
from nightleg.units.times import write_clock

NONE = "—"


def clock(time: datetime) -> str:
    """GMT as `2252`, or `2252:30` where there are seconds."""
    return write_clock(time, seconds=time.second != 0)


def direction(deg: float | None, places: int = 0) -> str:
    """`068°`, or a dash."""
    return NONE if deg is None else write_bearing(deg, places)


def intercept(nm: float | None) -> str:
    """`0.9 NM toward`, `12.0 NM away`, `0.0 NM, on the DR`."""
    if nm is None:
        return NONE
    size = f"{abs(nm):.1f}"
    if float(size) == 0.0:
        return "0.0 NM, through the DR"
    return f"{size} NM {'toward' if nm > 0.0 else 'away'}"


def intercept_short(nm: float | None) -> str:
    """`0.9 T`, `12.0 A`."""
    if nm is None:
        return NONE
    size = f"{abs(nm):.1f}"
    return size if float(size) == 0.0 else f"{size} {'T' if nm > 0.0 else 'A'}"


def drift(deg: float | None) -> str:
    """`6° R`, `4° L`."""
    if deg is None:
        return NONE
    size = f"{abs(deg):.0f}"
    return f"{size}°" if size == "0" else f"{size}° {'R' if deg > 0.0 else 'L'}"


def wind(from_deg: float | None, kt: float | None) -> str:
    """A wind as the flight file writes it: `310/45`."""
    if from_deg is None or kt is None:
        return NONE
    return f"{write_bearing(from_deg).removesuffix('°')}/{kt:02.0f}"


def axes(ellipse: Ellipse | None) -> str:
    """The semi-axes of an ellipse: `13.7 × 7.6 NM`."""
    return NONE if ellipse is None else f"{ellipse.semi_major_nm:.1f} × {ellipse.semi_minor_nm:.1f} NM"


def axis(deg: float) -> str:
    """The direction of an axis, 000° to 179°."""
    return f"{round(deg) % 180:03d}°"


def faults(*problems: Problem) -> str:
    """What is wrong with a flight, a line each."""
    return str(FlightError(problems))
