"""What every line of position that is not an altitude can do.

A line says where the aircraft was at its own time. Its offset from a place is signed: positive if the line lies in the
direction `normal_deg` from there, as an altitude's intercept is positive toward the body. So all lines enter a fix in
the same way.
"""

from __future__ import annotations

from typing import Any, Protocol

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]


class PositionLine(Protocol):
    """A line of position at one time. Places are degrees and broadcast, distances NM."""

    @property
    def sigma_nm(self) -> float:
        """1σ of the line's offset."""
        ...

    def offset_nm(self, lat: Any, lon: Any) -> Array:
        """How far the line lies from each place, along its normal there."""
        ...

    def normal_deg(self, lat: Any, lon: Any) -> Array:
        """The direction in which a positive offset lies, true."""
        ...

    def points(self, lat: float, lon: float, half_length_nm: float, count: int) -> tuple[Array, Array]:
        """A run of the line that passes nearest to a place, as latitudes and longitudes."""
        ...


def wrapped(deg: Any) -> Array:
    """An angle brought to -180 up to 180."""
    return np.asarray((np.asarray(deg) + 180.0) % 360.0 - 180.0)


def foot(line: PositionLine, lat: float, lon: float) -> tuple[float, float]:
    """The place on the line nearest to a place (degrees)."""
    from nightleg.earth.local import offset

    for _ in range(20):
        off, normal = float(line.offset_nm(lat, lon)), np.radians(float(line.normal_deg(lat, lon)))
        there = offset(lat, lon, off * np.cos(normal), off * np.sin(normal))
        lat, lon = float(there[0]), float(there[1])
        if abs(off) < 1e-6:
            break
    return lat, lon
