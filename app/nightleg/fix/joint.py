"""Position and wind after a fix, with the errors that they share.

The wind found is the way from the air position to the fix over the time between: with e the error of the fix, e₀ that
of the position the plot began from and T the hours between, its error is (e − e₀)/T. A fix that errs to the north finds
a wind that blows too much to the north, so the errors ahead of the fix grow faster than each alone would tell.
"""

from __future__ import annotations

from typing import Any

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

Array = NDArray[np.float64]
Matrix = tuple[tuple[float, float], tuple[float, float]]


class Joint(Struct, frozen=True):
    """Covariances, north and east: of a position (NM²), of the wind (kt²), and of position with wind (NM·kt)."""

    place_nm2: Matrix
    wind_kt2: Matrix
    cross_nmkt: Matrix = ((0.0, 0.0), (0.0, 0.0))  # rows of the position, columns of the wind

    def after(self, hours: float) -> Array:
        """Covariance of the DR position so many hours on, NM², if the wind stays what it was."""
        cross = np.asarray(self.cross_nmkt)
        return np.asarray(np.asarray(self.place_nm2) + hours * (cross + cross.T) + hours**2 * np.asarray(self.wind_kt2))


def sigma_along(cov: Any, direction_deg: float) -> float:
    """1σ in a direction, in the unit whose square `cov` (2, 2) holds."""
    a = np.radians(direction_deg)
    unit = np.array([np.cos(a), np.sin(a)])
    return float(np.sqrt(max(unit @ np.asarray(cov) @ unit, 0.0)))


def held(cov_nm2: Matrix, sigma_kt: float) -> Joint:
    """A position and a wind held by other knowledge, with an error of its own of 1σ in each component."""
    return Joint(cov_nm2, ((sigma_kt**2, 0.0), (0.0, sigma_kt**2)))


def found(cov_nm2: Matrix, before_nm2: Matrix, hours: float, dr_cov_nm2: Matrix | None = None) -> Joint:
    """Position and wind after a fix of that covariance, the plot having begun `hours` before with `before_nm2`.

    `dr_cov_nm2` is given for a fix that took the DR in as prior (its covariance at the fix): such a fix shares a part
    of the error at the beginning, C·(DR's covariance)⁻¹·P₀. Raises ValueError if no time has passed.
    """
    if hours <= 0.0:
        raise ValueError("a wind is found over some time")
    cov, before = np.asarray(cov_nm2, dtype=float), np.asarray(before_nm2, dtype=float)
    shared = np.zeros((2, 2))
    if dr_cov_nm2 is not None:
        shared = cov @ np.linalg.pinv(np.asarray(dr_cov_nm2, dtype=float)) @ before
    wind = (cov + before - shared - shared.T) / hours**2
    return Joint(_rows(cov), _rows(wind), _rows((cov - shared) / hours))


def _rows(m: Array) -> Matrix:
    return (float(m[0, 0]), float(m[0, 1])), (float(m[1, 0]), float(m[1, 1]))
