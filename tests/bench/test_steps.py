"""Small steps of the window that must not be felt."""

from __future__ import annotations

import itertools
from typing import TYPE_CHECKING

import pytest

from nightleg.flight.read import read_flight
from nightleg.flight.solve import solve
from nightleg.resources import scenario
from nightleg.units.times import gmt_s
from nightleg.window.sight.bodies import standings

if TYPE_CHECKING:
    from tests.bench.conftest import Bench

pytestmark = pytest.mark.slow


def test_the_list_of_bodies(bench: Bench) -> None:
    """Where every body stands, for the list under the body field."""
    solution = solve(read_flight(scenario("demo")).flight)
    plot, seconds = solution.plots[-1], itertools.count(1)
    (one_s,) = bench.medians_s(lambda: standings(plot, gmt_s(solution.now) + next(seconds)), rounds=15)
    bench.keep("where every body stands", one_s * 1e3, "ms", at_most=3.0)
