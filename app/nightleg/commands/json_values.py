"""Values as the JSON documents of the command line hold them."""

from __future__ import annotations

import math
from datetime import UTC, datetime, timedelta

from nightleg.air.wind import write_wind

_PLACES = 9  # of a decimal number: 0.1 mm of position, far below what anything here is worth


def number(value: float | None) -> float | None:
    """A finite number without digits that mean nothing; None for none, and for what is no number."""
    if value is None or not math.isfinite(value):
        return None
    rounded = round(float(value), _PLACES)
    return rounded + 0.0  # no negative zero


def significant(value: float | None) -> float | None:
    """As `number`, keeping nine digits of a value however small."""
    if value is None or not math.isfinite(value):
        return None
    return float(f"{value:.9g}") + 0.0


def longitude(value: float | None) -> float | None:
    """A longitude in degrees, -180 to 180, east positive."""
    if value is None or not math.isfinite(value):
        return None
    return number(value if -180.0 <= value <= 180.0 else (value + 180.0) % 360.0 - 180.0)


def azimuth(value: float | None, turn: float = 360.0) -> float | None:
    """A direction in degrees, 0 up to (not including) `turn`, also after rounding."""
    rounded = number(value)
    return None if rounded is None else rounded % turn


def iso(time: datetime) -> str:
    """The instant in UTC with Z, to the millisecond, which is shown only where it is not 0."""
    rounded = (time + timedelta(microseconds=500)).astimezone(UTC)
    millis = rounded.microsecond // 1000
    stamp = rounded.replace(microsecond=0, tzinfo=None).isoformat()
    return f"{stamp}.{millis:03d}Z" if millis else f"{stamp}Z"


def wind_text(from_deg: float | None, kt: float | None) -> str | None:
    """A wind as in the flight file, whole degrees and knots: "310/45"."""
    if from_deg is None or kt is None or not (math.isfinite(from_deg) and math.isfinite(kt)):
        return None
    return write_wind(from_deg, kt)
