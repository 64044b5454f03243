"""A blunder in one of three stars or of two other lines is named first where the geometry can tell.

Run with -s for the table.
"""

from __future__ import annotations

import numpy as np
import pytest

from nightleg.flight.solve import solve
from nightleg.flight.suspects import suspects

from .lineblunders import KINDS, LineCase, draw_with_lines

pytestmark = [pytest.mark.slow, pytest.mark.timeout(300)]

TRIED = [kind for kind in KINDS if kind != "ten minutes"]  # that one can be told in 5 % of such fixes only
TOLD_APART = 25  # cases of each kind that the geometry can tell
NAMED_FIRST = 0.80


def named_first(case: LineCase) -> bool:
    top = suspects(case.flight, solve(case.flight), "f1").suspects[0]
    return top.id == case.id and case.right in top.explanation


@pytest.mark.parametrize("kind", TRIED)
def test_a_blunder_among_stars_and_lines_is_named_first_where_the_geometry_can_tell(kind: str) -> None:
    rng = np.random.default_rng([1926, KINDS.index(kind)])
    drawn, told = 0, []
    while len(told) < TOLD_APART:
        case = draw_with_lines(rng, kind)
        drawn += 1
        if case.telling:
            told.append(named_first(case))
    share = float(np.mean(told))
    print(f"\n{kind:16} {len(told) / drawn:4.0%} of {drawn} can be told, of these {share:4.0%} named first")
    assert share >= NAMED_FIRST
