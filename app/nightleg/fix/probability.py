"""The chi-square distribution, for the one question asked of it: how often chance alone disagrees this much."""

from __future__ import annotations

import math


def chi2_tail(value: float, dof: int) -> float:
    """Probability that a chi-square with `dof` degrees of freedom exceeds `value`.

    Closed forms for whole degrees of freedom (Abramowitz and Stegun, 26.4.4 and 26.4.5).
    Raises ValueError for dof below 1 or a value that is not a number.
    """
    if dof < 1 or math.isnan(value):
        raise ValueError(f"chi-square needs one degree of freedom or more and a number, not {dof} and {value}")
    if value <= 0.0:
        return 1.0
    half = value / 2.0
    if dof % 2 == 0:
        # exp(-x)·Σ x^k/k!, worked in logarithms so that a thousand shots do not overflow
        tail = sum(math.exp(k * math.log(half) - half - math.lgamma(k + 1.0)) for k in range(dof // 2))
    else:
        tail = math.erfc(math.sqrt(half))
        tail += sum(math.exp((k + 0.5) * math.log(half) - half - math.lgamma(k + 1.5)) for k in range((dof - 1) // 2))
    return min(1.0, tail)
