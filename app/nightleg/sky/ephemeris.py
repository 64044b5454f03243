"""The ephemeris DE421: opened once, when first needed, from the file that skyfield-data brings. Nothing is fetched.

The file holds 1899-07-29 to 2053-10-09 (barycentric time). Within the first two hours the light of the outer planets
had left before the file begins; the last minute or so is TT against GMT. So places are given from FIRST_S to LAST_S.
"""

from __future__ import annotations

import atexit
from datetime import UTC, datetime
from functools import lru_cache
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from nightleg.units.times import gmt_s, instant

FIRST = datetime(1899, 7, 29, 2, 0, tzinfo=UTC)
LAST = datetime(2053, 10, 8, 23, 58, tzinfo=UTC)
FIRST_S = gmt_s(FIRST)
LAST_S = gmt_s(LAST)

AU_KM = 149597870.7
EARTH_EQUATOR_KM = 6378.137  # WGS 84

# Codes of the kernel. Jupiter and Saturn are the barycentres of their systems (within 0.1" of the planets' centres).
CODES: dict[str, int] = {"Sun": 10, "Moon": 301, "Venus": 299, "Mars": 499, "Jupiter": 5, "Saturn": 6}

# Radii for the semidiameter: the Sun from 959.63" at 1 au; the Moon's mean radius (k = 0.2725 Earth radii); the
# planets' equatorial radii (IAU working group on cartographic coordinates, 2015).
RADIUS_KM: dict[str, float] = {
    "Sun": AU_KM * float(np.sin(np.deg2rad(959.63 / 3600.0))),
    "Moon": 1737.4,
    "Venus": 6051.8,
    "Mars": 3396.19,
    "Jupiter": 71492.0,
    "Saturn": 60268.0,
}


class EphemerisRangeError(ValueError):
    """A time outside the ephemeris; the message gives the limits."""


@lru_cache(maxsize=1)
def kernel() -> Any:
    """DE421 as a Skyfield kernel. Raises FileNotFoundError when the data package is damaged."""
    # By path, without importing the package: it would warn of the expiry of files that are not used here.
    from importlib.util import find_spec

    from skyfield.jpllib import SpiceKernel

    package = find_spec("skyfield_data")
    if package is None or package.origin is None:
        raise FileNotFoundError("the package skyfield-data, which brings the ephemeris DE421, is not installed")
    opened = SpiceKernel(str(Path(package.origin).parent / "data" / "de421.bsp"))
    atexit.register(opened.close)
    return opened


def covers(times_s: ArrayLike) -> NDArray[np.bool_]:
    """Whether the ephemeris holds places for the times `gmt_s` (any shape); never true of nan or infinity."""
    label_s = np.asarray(times_s, dtype=np.float64)
    return np.asarray((label_s >= FIRST_S) & (label_s <= LAST_S))


def check_range(earliest_s: float, latest_s: float) -> None:
    """Raises EphemerisRangeError unless the ephemeris covers both times (not numbers: neither)."""
    if earliest_s >= FIRST_S and latest_s <= LAST_S:
        return
    wrong_s = latest_s if earliest_s >= FIRST_S else earliest_s
    raise EphemerisRangeError(
        f"{_shown(wrong_s)} is outside the ephemeris: DE421 covers {FIRST:%Y-%m-%d %H:%M} to {LAST:%Y-%m-%d %H:%M} GMT"
    )


def _shown(time_s: float) -> str:
    try:
        return f"{instant(time_s):%Y-%m-%d %H:%M:%S} GMT"
    except ValueError:
        return f"the time {time_s:g} s from 2000-01-01"
