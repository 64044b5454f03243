"""Other places on the globe that fit the shots of a fix: for two lines always one, and for a DR that is of no use.

Gauss-Newton goes to the nearest place that fits. The crossings of the circles themselves, two for each pair of bodies,
are starting points that owe nothing to the DR.
"""

from __future__ import annotations

import math
from itertools import combinations, islice

from nightleg.earth.local import between
from nightleg.fix.circles import crossings
from nightleg.fix.estimator import Estimate, SeeFunction, estimate
from nightleg.flight.fixwork import FixWork

_PAIRS = 3  # more pairs of circles than these bring no new place
_SAME_NM = 5.0


def elsewhere(work: FixWork, see: SeeFunction) -> list[Estimate]:
    """Places that the shots lead to from the crossings of their circles, the best fit first, each once."""
    if work.altitudes is None:
        return []
    obs, ho = work.altitudes.obs, work.altitudes.ho_deg
    found: list[Estimate] = []
    for i, j in islice(combinations(range(len(work.shots)), 2), _PAIRS):
        for place in crossings(
            float(obs.gha_deg[i]),
            float(obs.dec_deg[i]),
            float(ho[i]),
            float(obs.gha_deg[j]),
            float(obs.dec_deg[j]),
            float(ho[j]),
        ):
            there = estimate(see, *place, work.model)
            if bool(there.converged) and all(apart_nm(there, other) > _SAME_NM for other in found):
                found.append(there)
    return sorted(found, key=lambda one: float(one.chi2))


def apart_nm(a: Estimate, b: Estimate) -> float:
    """Distance between two estimates."""
    return math.hypot(*(float(x) for x in between(a.lat, a.lon, b.lat, b.lon)))
