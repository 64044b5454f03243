"""How fast places, reductions and fixes are, places and reductions against Skyfield's own call for one sight."""

from __future__ import annotations

import importlib.util
import sys
import time
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np
import pytest

from nightleg.sight.chain import compute, correct
from nightleg.sight.observation import Observations
from nightleg.sight.reduction import altitude_azimuth
from nightleg.sky import blocks, ephemeris, timescale
from nightleg.sky.places import places, places_of

if TYPE_CHECKING:
    from tests.bench.conftest import Bench

pytestmark = pytest.mark.slow

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


def test_reductions_per_second(bench: Bench) -> None:
    """What Skyfield's call gives, altitude and azimuth of a body at a time and place, for many sights side by side."""
    count = 20_000
    times_s = NIGHT_S + np.linspace(0.0, 86_000.0, count)
    rng = np.random.default_rng(1)
    lat, lon = rng.uniform(-60.0, 60.0, count), rng.uniform(-180.0, 180.0, count)

    def reduce_all() -> None:
        at = places("Vega", times_s)
        altitude_azimuth(lat, lon, at.gha_deg, at.dec_deg)

    reduce_all()
    ours_s, theirs_s = best_s(reduce_all, 7) / count, best_s(skyfield_sight, 20)
    note = f"{1.0 / ours_s:,.0f} a second against {1.0 / theirs_s:,.0f}"
    bench.keep("Hc and Zn a second, against Skyfield's call", theirs_s / ours_s, "×", at_least=2000.0, note=note)


def test_whole_workings_per_second(bench: Bench) -> None:
    """Reading to intercept with every line of the working, which Skyfield's call does not give."""
    count = 20_000
    times_s = NIGHT_S + np.linspace(0.0, 86_000.0, count)
    rng = np.random.default_rng(1)
    lat, lon, column = rng.uniform(-60.0, 60.0, count), rng.uniform(-180.0, 180.0, count), np.ones(count)

    def reduce_all() -> None:
        at = places("Vega", np.stack([times_s - 60.0, times_s, times_s + 60.0]))
        obs = Observations(
            hs_deg=40.0 * column,
            sextant_arcmin=0.4 * column,
            window_arcmin=0.0 * column,
            spread_min2=0.33 * column,
            natural=0.0 * column,
            dip_arcmin=0.0 * column,
            limb=0.0 * column,
            gha_deg=at.gha_deg[1],
            dec_deg=at.dec_deg[1],
            gha_before_deg=at.gha_deg[0],
            dec_before_deg=at.dec_deg[0],
            gha_after_deg=at.gha_deg[2],
            dec_after_deg=at.dec_deg[2],
            distance_km=at.distance_km[1],
            radius_km=at.radius_km[1],
            pressure_hpa=300.0 * column,
            temperature_c=-45.0 * column,
            height_m=9400.0 * column,
            track_deg=258.0 * column,
            gs_kt=402.0 * column,
            rhumb=column,
            turn_deg_per_min=0.0 * column,
            speed_change_kt_per_min=0.0 * column,
        )
        there = compute(obs, lat, lon)
        correct(obs, there, lat)

    reduce_all()
    ours_s, theirs_s = best_s(reduce_all, 5) / count, best_s(skyfield_sight, 20)
    note = f"{1.0 / ours_s:,.0f} a second against {1.0 / theirs_s:,.0f}"
    bench.keep("whole workings a second, against Skyfield's call for Hc", theirs_s / ours_s, "×", note=note)


def test_places_per_second(bench: Bench) -> None:
    count = 50_000
    times_s = NIGHT_S + np.linspace(0.0, 86_000.0, count)
    places("Moon", times_s[:1])
    ours_s, theirs_s = best_s(lambda: places("Moon", times_s), 5) / count, best_s(skyfield_sight, 20)
    bench.keep("places a second, against Skyfield's call for one", theirs_s / ours_s, "×", at_least=4000.0)


def test_a_small_call_that_is_warm(bench: Bench) -> None:
    times_s = NIGHT_S + np.linspace(0.0, 3_000.0, 5)
    places("Vega", times_s)
    bench.keep("places at 5 times, warm", best_s(lambda: places("Vega", times_s), 2000) * 1e6, "µs", at_most=50.0)


def test_the_first_call_of_a_night(bench: Bench) -> None:
    """Ten bodies over one night, nothing cached, the ephemeris open."""
    places("Sun", 0.0)

    def first() -> None:
        blocks._blocks.clear()
        blocks._frame.cache_clear()
        places_of(TEN_BODIES, NIGHT_S + np.linspace(0.0, 80_000.0, len(TEN_BODIES)))

    bench.keep("places of ten bodies of a night, cold", best_s(first, 5) * 1e3, "ms", at_most=60.0)


def test_ten_thousand_fixes(bench: Bench) -> None:
    """The draw that checks the ellipses: flights drawn, flown, shot and fixed."""
    path = Path(__file__).parents[1] / "outside" / "fix" / "test_coverage.py"
    spec = importlib.util.spec_from_file_location("coverage_of_fixes", path)
    assert spec is not None and spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    sys.modules[spec.name] = module
    spec.loader.exec_module(module)
    bench.keep("10 000 simulated fixes", best_s(lambda: module.draw(10_000, 1), 2), "s", at_most=5.0)
