"""Numbers as the log prints them, each in the width of its column; a dash for what there is not."""

from __future__ import annotations

import math
from datetime import datetime, timedelta

from nightleg.units.angles import MINUS, write_angle, write_bearing
from nightleg.units.positions import Position, write_latitude, write_longitude, write_position
from nightleg.units.times import write_clock

NONE = "—"


def clock(time: datetime, always_seconds: bool = False) -> str:
    """GMT as `2252`, or `2252:30` where there are seconds."""
    whole = nearest_second(time)
    return write_clock(whole, seconds=always_seconds or whole.second != 0)


def nearest_second(time: datetime) -> datetime:
    """The instant rounded to the second, so that 23:59:59.9999 stands under the date it is printed with."""
    return (time + timedelta(microseconds=500_000)).replace(microsecond=0)


def angle(deg: float | None) -> str:
    """Degrees and minutes: `61°08.0′`."""
    return NONE if deg is None else write_angle(deg)


def turn(deg: float) -> str:
    """An hour angle from 0 up to 360: `312°04.5′`."""
    return write_angle(deg, wrap=True)


def direction(deg: float | None, places: int = 1) -> str:
    """A direction without its sign, `262.0`, always of one width."""
    width = 3 + (places + 1 if places else 0)
    return NONE.rjust(width) if deg is None else write_bearing(deg, places).rstrip("°")


def axis(deg: float) -> str:
    """The direction of an axis, 000° to 179°."""
    return f"{math.floor(deg + 0.5) % 180:03d}°"


def place(position: Position) -> str:
    """`41°12.4′N 031°08.7′W`."""
    return write_position(position)


def latitude(deg: float) -> str:
    """`41°12.4′N`; of a declination too."""
    return write_latitude(deg)


def longitude(deg: float) -> str:
    """`031°08.7′W`."""
    return write_longitude(deg)


def winds(from_deg: float, kt: float) -> str:
    """A wind as the flight file writes it, whole degrees and knots: `310/45`."""
    if not (math.isfinite(from_deg) and math.isfinite(kt)):
        return NONE
    return f"{write_bearing(from_deg).rstrip('°')}/{whole(kt):02d}"


def whole(value: float) -> int:
    """The nearest integer, half up."""
    return math.floor(value + 0.5)


def signed(value: float | None, places: int = 1) -> str:
    """`+0.4`, `−0.8`, and `0.0` for what rounds to nothing."""
    if value is None:
        return NONE
    size = f"{abs(value):.{places}f}"
    return size if float(size) == 0.0 else f"{MINUS if value < 0.0 else '+'}{size}"


def drift(deg: float | None) -> str:
    """A drift as its size and side: `4.9 L`."""
    if deg is None:
        return NONE
    size = f"{abs(deg):.1f}"
    return f"{size}  " if float(size) == 0.0 else f"{size} {'R' if deg > 0.0 else 'L'}"


def intercept(nm: float | None) -> str:
    """An intercept as plotted: its size, and T for toward the body or A for away from it."""
    if nm is None:
        return NONE
    size = f"{abs(nm):.1f}"
    return f"{size}  " if float(size) == 0.0 else f"{size} {'T' if nm > 0.0 else 'A'}"


def probability(value: float) -> str:
    """A probability to two or three decimals, never shown as a bare 0."""
    return "below 0.001" if value < 0.001 else f"{value:.3f}" if value < 0.01 else f"{value:.2f}"


def clip(text: str, width: int) -> str:
    """The text, cut to `width` characters with an ellipsis where it is longer."""
    return text if len(text) <= width else text[: width - 1] + "…"
