"""How fast places are, against Skyfield's own call for one sight. Ratios and times of one run; -s shows them.

Two thousand times Skyfield's rate is the budget of a whole reduction, of which the place is the first part; so a place
alone has to be faster than that.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from typing import Any

import numpy as np

from nightleg.sky import blocks, ephemeris, timescale
from nightleg.sky.places import places, places_of

TEN_BODIES = ["Sun", "Moon", "Venus", "Jupiter", "Vega", "Capella", "Polaris", "Sirius", "Regulus", "Spica"]
NIGHT_S = 9_500.0 * 86400.0


def best_s(call: Callable[[], object], repeats: int) -> float:
    """The shortest of some runs: what the code costs when the machine does nothing else."""
    times = []
    for _ in range(repeats):
        start = time.perf_counter()
        call()
        times.append(time.perf_counter() - start)
    return min(times)


def skyfield_sight() -> None:
    """Altitude and azimuth of one star at one time and place, as a program without a cache would have it."""
    from skyfield.api import Star, wgs84

    kernel = ephemeris.kernel()
    moment: Any = timescale.skyfield_timescale().utc(2026, 3, 14, 22, 0, np.random.default_rng().uniform(0.0, 3000.0))
    vega = Star(ra_hours=18.6156, dec_degrees=38.783, ra_mas_per_year=200.9, dec_mas_per_year=286.2, parallax_mas=130.2)
    (kernel[399] + wgs84.latlon(41.5, -28.25)).at(moment).observe(vega).apparent().altaz()


def test_places_per_second_against_skyfield() -> None:
    count = 50_000
    times_s = NIGHT_S + np.linspace(0.0, 86_000.0, count)
    places("Moon", times_s[:1])
    ours_s = best_s(lambda: places("Moon", times_s), 5) / count
    theirs_s = best_s(skyfield_sight, 20)
    ratio = theirs_s / ours_s
    print(f"\nplaces: {1.0 / ours_s:,.0f} a second, Skyfield {1.0 / theirs_s:,.0f} a second, ratio {ratio:,.0f}")
    assert ratio > 4000.0


def test_a_small_call_that_is_warm() -> None:
    times_s = NIGHT_S + np.linspace(0.0, 3_000.0, 5)
    places("Vega", times_s)
    one_s = best_s(lambda: places("Vega", times_s), 2000)
    print(f"\nwarm call, 5 times: {one_s * 1e6:.0f} µs")
    assert one_s < 50e-6


def test_the_first_call_of_a_night() -> None:
    """Ten bodies over one night, nothing cached, the ephemeris open."""
    places("Sun", 0.0)

    def first() -> None:
        blocks._blocks.clear()
        blocks._frame.cache_clear()
        places_of(TEN_BODIES, NIGHT_S + np.linspace(0.0, 80_000.0, len(TEN_BODIES)))

    cold_s = best_s(first, 5)
    print(f"\nten bodies, cold: {cold_s * 1e3:.0f} ms")
    assert cold_s < 0.060
