"""Most probable position by the handbooks' rule, for one line of position and a DR."""

from __future__ import annotations

import math

from nightleg.earth.local import offset


def rule_distance_nm(minutes_since_fix: float, line_distance_nm: float) -> float:
    """How far from the DR toward the line: d = t·p/(t + p) (FAA-H-8083-18, most probable position).

    t is in minutes since the last fix, p in NM from the DR to the line; both taken without sign.
    """
    t, p = abs(minutes_since_fix), abs(line_distance_nm)
    return 0.0 if t + p == 0.0 else t * p / (t + p)


def rule_position(
    lat: float, lon: float, azimuth_deg: float, intercept_nm: float, minutes_since_fix: float
) -> tuple[float, float]:
    """The DR moved by the rule along the azimuth, toward the body if the intercept is positive, else away."""
    d = math.copysign(rule_distance_nm(minutes_since_fix, intercept_nm), intercept_nm)
    a = math.radians(azimuth_deg)
    lat2, lon2 = offset(lat, lon, d * math.cos(a), d * math.sin(a))
    return float(lat2), float(lon2)
