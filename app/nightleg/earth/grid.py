"""Grid directions: counted from lines parallel to one reference meridian of a polar or a Lambert chart.

Near a pole true directions turn from one mile to the next; those of a grid do not. grid = true - n·(longitude -
reference), longitudes east positive: n is 1 on a north polar chart, -1 on a south polar one, and on a Lambert chart the
constant of its cone, for one standard parallel the signed sine of it (J. P. Snyder, "Map Projections: A Working
Manual", USGS Professional Paper 1395, sections 15 and 21).
"""

from __future__ import annotations

import math
from functools import lru_cache
from typing import Any

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]


def polar_constant(lat_deg: float) -> float:
    """n of the polar chart that shows a latitude: 1 from the equator northward, -1 south of it."""
    return -1.0 if lat_deg < 0.0 else 1.0


@lru_cache(maxsize=64)
def lambert_constant(first_deg: float, second_deg: float | None = None) -> float:
    """n of a Lambert cone by its standard parallels, one or two. Raises ValueError for a cone that cannot be."""
    if second_deg is None or second_deg == first_deg:
        return math.sin(math.radians(first_deg))
    from nightleg.earth.projection import LambertConformal  # two parallels are the rarer case

    return LambertConformal(0.0, (first_deg + second_deg) / 2.0, first_deg, second_deg).n


def convergence_deg(n: Any, lon_deg: Any, reference_deg: Any) -> Array:
    """True direction less grid direction, degrees, -180 to 180 at most. All broadcast."""
    apart = np.asarray(lon_deg, dtype=float) - reference_deg
    return np.asarray(n * (apart - 360.0 * np.rint(apart / 360.0)))
