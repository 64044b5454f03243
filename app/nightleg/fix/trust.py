"""What a fix is worth, in plain words.

The words rest on the number of lines, the angle at which they cross, the agreement of the shots (chi-square) and the
spread of their azimuths. Bounds are stated here once.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

DISAGREE_P = 0.05  # chance alone disagrees as much in one fix of twenty
OUTLIER_SIGMAS = 3.0
PARALLEL_DEG = 30.0  # two lines at 30° double the error of one (FAA-H-8083-18)
HOPELESS_DEG = 1.0  # below this the crossing lies anywhere along the lines


def crossing_deg(azimuths_deg: Sequence[float], sigmas_arcmin: Sequence[float]) -> float:
    """The angle, 0 to 90, at which two equal lines would cross to fix as well as these do.

    Taken from the ratio of the least to the greatest weight over all directions: two lines at an angle a have
    tan²(a/2). One line gives 0.
    """
    if len(azimuths_deg) < 2:
        return 0.0
    zn = np.radians(azimuths_deg)
    w = 1.0 / np.asarray(sigmas_arcmin) ** 2
    mean, doubled = float(np.sum(w)), abs(complex(np.sum(w * np.exp(2j * zn))))
    least, greatest = max(mean - doubled, 0.0), mean + doubled
    return math.degrees(2.0 * math.atan(math.sqrt(least / greatest)))


def widest_gap_deg(azimuths_deg: Sequence[float]) -> float:
    """The widest sector without a body, degrees: more than 180 means that all lie on one side."""
    zn = np.sort(np.asarray(azimuths_deg, dtype=float) % 360.0)
    return float(np.max(np.diff(np.append(zn, zn[0] + 360.0))))


def words(
    names: Sequence[str],
    azimuths_deg: Sequence[float],
    sigmas_arcmin: Sequence[float],
    p_value: float | None,
    dof: int,
    weighted_residuals: Sequence[float],
    offs: Sequence[str],
    *,
    prior: bool,
    common_solved: bool,
) -> tuple[str, ...]:
    """Sentences on a fix that was found, the most important first. Sequences run over its shots and
    lines; `offs` says how far each is off, with its unit.
    """
    said = [_agreement(names, p_value, dof, weighted_residuals, offs, prior)]
    angle = crossing_deg(azimuths_deg, sigmas_arcmin)
    if len(names) >= 2 and angle < PARALLEL_DEG:
        said.append(f"lines nearly parallel: they cross at {angle:.0f}°, the fix is poor along them")
    if len(names) >= 3 and widest_gap_deg(azimuths_deg) > 180.0 and not common_solved:
        said.append("all bodies on one side: an error common to all shots moves the fix and does not show")
    return tuple(said)


def _agreement(
    names: Sequence[str],
    p_value: float | None,
    dof: int,
    weighted_residuals: Sequence[float],
    offs: Sequence[str],
    prior: bool,
) -> str:
    if p_value is None:
        if len(names) == 2 and not prior:
            return "two lines: no check"
        return "as many lines as unknowns: no check"
    if len(names) == 1:
        held = f"p {p_value:.2f}" if p_value >= 0.01 else f"p {p_value:.3f}" if p_value >= 0.001 else "p below 0.001"
        return f"the line {'agrees' if p_value >= DISAGREE_P else 'disagrees'} with the DR ({held})"
    spare = {1: "one to spare", 2: "two to spare"}.get(dof, f"{dof} to spare")
    if p_value >= DISAGREE_P:
        with_dr = " with each other and with the DR" if prior else ""
        return f"shots agree{with_dr} (p {p_value:.2f}, {spare})"
    p = f"p {p_value:.3f}" if p_value >= 0.001 else "p below 0.001"
    order = np.argsort(-np.abs(np.asarray(weighted_residuals)))
    worst = int(order[0])
    clear = len(order) < 2 or abs(weighted_residuals[order[1]]) < 0.8 * abs(weighted_residuals[worst])
    if dof >= 2 and abs(weighted_residuals[worst]) > OUTLIER_SIGMAS and clear:
        return f"one disagrees: {names[worst]}, off by {offs[worst]} ({p})"
    if dof == 1:
        return f"the shots disagree ({p}); with one to spare they do not tell which is wrong"
    return f"the shots disagree ({p})"
