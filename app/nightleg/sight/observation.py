"""Observations as arrays: all that the chain from reading to Ho needs and that does not depend on the place."""

from __future__ import annotations

from typing import Any

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

Array = NDArray[np.float64]


class Observations(Struct, frozen=True):
    """n shots side by side; every field is an array of shape (n,), or (…, n) for simulations.

    Places of the body are given at the middle and one minute before and after, for the rates; see `RATE_STEP_MIN`.
    """

    hs_deg: Array
    sextant_arcmin: Array  # index and personal correction, added
    window_arcmin: Array  # window or dome, by its table at the reading, added
    spread_min2: Array  # mean((t - t̄)²) of the averaging
    natural: Array  # 1 for the sea horizon, 0 for the bubble
    dip_arcmin: Array  # 0 for the bubble
    limb: Array  # +1 lower, 0 centre, -1 upper
    gha_deg: Array
    dec_deg: Array
    gha_before_deg: Array
    dec_before_deg: Array
    gha_after_deg: Array
    dec_after_deg: Array
    distance_km: Array  # infinite for stars
    radius_km: Array
    pressure_hpa: Array
    temperature_c: Array
    height_m: Array  # of the aircraft
    track_deg: Array
    gs_kt: Array
    rhumb: Array  # 1 where a constant true track is held, 0 on a great circle
    turn_deg_per_min: Array
    speed_change_kt_per_min: Array

    def take(self, index: Any) -> Observations:
        """The shots of that index (along the last axis), as numpy takes it."""
        return Observations(**{name: getattr(self, name)[..., index] for name in self.__struct_fields__})

    @property
    def size(self) -> int:
        """Number of shots."""
        return int(self.hs_deg.shape[-1])


RATE_STEP_MIN = 1.0


def window_correction_arcmin(table: tuple[tuple[float, float], ...], reading_deg: float) -> float:
    """Correction of a window or dome from its table of (degrees, arcmin): linear, held beyond its ends."""
    if not table:
        return 0.0
    altitudes, corrections = zip(*table, strict=True)
    return float(np.interp(reading_deg, altitudes, corrections))
