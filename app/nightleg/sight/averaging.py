"""A series of readings made into one: mean time, mean altitude, and the spread of the times.

The mean of readings of a curved altitude is not the altitude at the mean time. Averaging adds ½·H″·mean((t - t̄)²),
which for an even average over T is H″·T²/24; the chain takes that off again as "curvature".
"""

from __future__ import annotations

from typing import Any

import numpy as np


def even_spread_min2(duration_s: float) -> float:
    """mean((t - t̄)²), min², of an observation averaged evenly over `duration_s`."""
    return (duration_s / 60.0) ** 2 / 12.0


def series_spread_min2(times_s: Any) -> float:
    """mean((t - t̄)²), min², of discrete readings."""
    t = np.asarray(times_s, dtype=float) / 60.0
    return float(np.mean((t - t.mean()) ** 2))


def scatter_arcmin(times_s: Any, altitudes_deg: Any, rate_arcmin_per_min: float) -> float | None:
    """1σ of single readings about their mean carried along at the computed rate, arcmin; None for one reading."""
    t, h = np.asarray(times_s, dtype=float) / 60.0, np.asarray(altitudes_deg, dtype=float) * 60.0
    if t.size < 2:
        return None
    left = (h - h.mean()) - rate_arcmin_per_min * (t - t.mean())
    return float(np.sqrt(np.sum(left**2) / (t.size - 1)))
