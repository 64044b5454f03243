"""Points carried along a great-circle leg: where each of them set out, so that all share one track there."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]


def origins(
    lat: Array, lon: Array, flown_nm: Array, track_deg: float, n: float, from_lon: float
) -> tuple[Array, Array, Array]:
    """Where points were when they set out on a great circle, and their courses there.

    A course is the track, turned by n for every degree of longitude from `from_lon`.
    """
    from nightleg.earth.geodesic import direct  # pulls in a library that rhumb-line flights do without

    wanted_deg = track_deg + n * half_turn(lon - from_lon)
    here_deg, lat0, lon0 = np.broadcast_to(wanted_deg, lat.shape), lat, lon
    last_here, last_miss = here_deg, np.zeros(lat.shape)
    for _ in range(30):
        lat0, lon0, course_deg = direct(lat, lon, here_deg, -flown_nm)
        wanted_deg = track_deg + n * half_turn(lon0 - from_lon)
        miss_deg = half_turn(wanted_deg - course_deg)
        if np.max(np.abs(miss_deg), initial=0.0) < 1e-12:
            break
        # secant; its first step takes the course to turn as the azimuth here does
        change = np.where(here_deg == last_here, 1.0, here_deg - last_here)
        gain = np.where(here_deg == last_here, -1.0, (miss_deg - last_miss) / change)
        step = -miss_deg / np.where(np.abs(gain) < 0.05, -1.0, gain)
        last_here, last_miss = here_deg, miss_deg
        here_deg = here_deg + np.clip(step, -30.0, 30.0)
    return lat0, lon0, np.broadcast_to(wanted_deg, lat.shape)


def half_turn(deg: Any) -> Array:
    """An angle brought to -180 up to 180."""
    return np.asarray((np.asarray(deg) + 180.0) % 360.0 - 180.0)
