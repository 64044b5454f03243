"""Interpolated places against Skyfield's own, and their shapes and edges."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from nightleg.sky import blocks, ephemeris, timescale
from nightleg.sky.catalogue import BODIES, other_stars, star
from nightleg.sky.places import EphemerisRangeError, covers, gha_aries_deg, places, places_of

ARCSEC = 206264.806
DAYS = [-36_312, -28_000, -16_285, -10_227, -5_297, 0, 6_209, 9_569, 12_345, 19_638]
INSTANTS_S = np.array([day * 86400.0 + part for day in DAYS for part in (0.0, 9_000.0, 43_210.9, 77_777.0, 86_399.999)])


def skyfield_direction(body: str, label_s: np.ndarray) -> np.ndarray:
    """Skyfield's apparent place in the true equator and equinox of date, computed at these very instants: (3, n)."""
    from skyfield.api import Star

    time: Any = timescale.skyfield_timescale().tt_jd(*timescale.tt_jd(label_s))
    kernel = ephemeris.kernel()
    if body in ephemeris.CODES:
        target = kernel[ephemeris.CODES[body]]
    else:
        data = star(body)
        target = Star(
            ra_hours=data.ra_deg / 15.0,
            dec_degrees=data.dec_deg,
            ra_mas_per_year=data.pm_ra_mas_per_year,
            dec_mas_per_year=data.pm_dec_mas_per_year,
            parallax_mas=data.parallax_mas,
            epoch=2448349.0625,
        )
    vector = np.einsum("ijn,jn->in", time.M, kernel[399].at(time).observe(target).apparent().xyz.km)
    return np.asarray(vector / np.linalg.norm(vector, axis=0))


def our_direction(body: str, label_s: np.ndarray) -> np.ndarray:
    """Ours in the same frame."""
    found = places(body, label_s)
    ra, dec = np.deg2rad(gha_aries_deg(label_s) - found.gha_deg), np.deg2rad(found.dec_deg)
    return np.array([np.cos(dec) * np.cos(ra), np.cos(dec) * np.sin(ra), np.sin(dec)])


@pytest.mark.parametrize(
    "body", ["Sun", "Moon", "Venus", "Mars", "Jupiter", "Saturn", "Vega", "Polaris", "Rigil Kentaurus", "HIP 65378"]
)
def test_interpolation_error(body: str) -> None:
    error = np.linalg.norm(our_direction(body, INSTANTS_S) - skyfield_direction(body, INSTANTS_S), axis=0) * ARCSEC
    assert np.max(error) < 0.001  # what the docstring promises; 3e-6" seen for the Moon


def test_interpolation_error_beside_the_sun() -> None:
    # Regulus passes the Sun's centre at 0.46 degrees on 22 to 24 August, where its light is bent by 1".
    label_s = 86400.0 * (8_999.0 + np.arange(0.0, 6.0, 0.05))  # 2024-08-21 to 27
    apart_deg = np.rad2deg(np.linalg.norm(our_direction("Regulus", label_s) - our_direction("Sun", label_s), axis=0))
    assert 0.4 < np.min(apart_deg) < 0.6
    error = np.linalg.norm(our_direction("Regulus", label_s) - skyfield_direction("Regulus", label_s), axis=0) * ARCSEC
    assert np.max(error) < 0.01


def test_gha_of_aries_is_skyfields_sidereal_time() -> None:
    scale = timescale.skyfield_timescale()
    label_s = np.array([day * 86400.0 + 54_321.0 for day in (-3_000, 0, 5_000, 9_000)])  # where both use the same DUT1
    time: Any = scale.tt_jd(*timescale.tt_jd(label_s))
    error_deg = np.mod(gha_aries_deg(label_s) - 15.0 * time.gast + 180.0, 360.0) - 180.0
    assert np.max(np.abs(error_deg)) * 3600.0 < 0.001  # 0.07 ms of time: Delta T is interpolated on either side


def test_many_bodies_at_once_are_the_same_as_one_by_one() -> None:
    names = list(BODIES) + list(other_stars()[:20])
    label_s = 7.0e8 + np.linspace(0.0, 2.5 * 86400.0, len(names))
    together = places_of(names, label_s)
    for i, name in enumerate(names):
        alone = places(name, label_s[i])
        assert float(together.gha_deg[i]) == pytest.approx(float(alone.gha_deg), abs=1e-9)
        assert float(together.dec_deg[i]) == pytest.approx(float(alone.dec_deg), abs=1e-9)
        assert float(together.distance_km[i]) == pytest.approx(float(alone.distance_km), rel=1e-12)
        assert float(together.radius_km[i]) == float(alone.radius_km)


def test_stars_computed_together_are_the_same_as_alone() -> None:
    names = list(other_stars()[:30])
    frame = blocks._Frame(4321)
    together = blocks._star_blocks(names, frame)
    for name, block in zip(names, together, strict=True):
        assert np.max(np.abs(block - blocks._star_blocks([name], frame)[0])) * ARCSEC < 1e-4


@pytest.mark.parametrize("count", [5, 299, 301, 5000])
@pytest.mark.parametrize("span_s", [3_600.0, 40.0 * 86400.0])
def test_every_way_of_evaluating_gives_the_same(count: int, span_s: float) -> None:
    label_s = 86400.0 * 8_000.0 + np.random.default_rng(count).uniform(0.0, span_s, count)
    found = places("Moon", label_s)
    for i in range(0, count, max(1, count // 7)):
        alone = places("Moon", label_s[i])
        assert float(found.gha_deg[i]) == pytest.approx(float(alone.gha_deg), abs=1e-9)
        assert float(found.dec_deg[i]) == pytest.approx(float(alone.dec_deg), abs=1e-9)


def test_shapes() -> None:
    for shape in [(), (1,), (3,), (2, 3), (0,), (2, 0)]:
        label_s = np.full(shape, 5.0e8)
        for body in ("Moon", "Vega"):
            found = places(body, label_s)
            for array in (found.gha_deg, found.dec_deg, found.distance_km, found.radius_km, found.sd_arcmin):
                assert array.shape == shape
        assert gha_aries_deg(label_s).shape == shape
    assert places_of([], []).gha_deg.shape == (0,)
    assert float(places("Sun", 5).dec_deg) == float(places("Sun", [5.0]).dec_deg[0])
    with pytest.raises(ValueError, match=r"2 bodies.*\(3,\)"):
        places_of(["Sun", "Moon"], [0.0, 1.0, 2.0])


def test_unknown_name() -> None:
    for wrong in ("vega", "Aries", "HIP 3", ""):
        with pytest.raises(KeyError):
            places(wrong, 0.0)


def test_stars_are_infinitely_far() -> None:
    found = places("Vega", [0.0, 1.0])
    assert np.isinf(found.distance_km).all()
    assert found.hp_arcmin.tolist() == found.sd_arcmin.tolist() == found.radius_km.tolist() == [0.0, 0.0]


def test_gha_wraps_and_goes_on_evenly() -> None:
    label_s = 6.5e8 + np.arange(0.0, 3.0 * 86400.0, 97.0)
    for body, least, most in (("Moon", 14.2, 14.8), ("Sun", 14.98, 15.02), ("Vega", 15.03, 15.05)):
        gha_deg = places(body, label_s).gha_deg
        assert gha_deg.min() >= 0.0 and gha_deg.max() < 360.0
        # The usual hourly rates (trade knowledge, from memory), across wraps and midnights alike.
        rate = np.mod(np.diff(gha_deg), 360.0) / 97.0 * 3600.0
        assert rate.min() > least and rate.max() < most


def test_blocks_meet_at_midnight() -> None:
    for day in (-20_000, 0, 9_500):
        sides = day * 86400.0 + np.array([-1e-4, 1e-4])
        for body in ("Moon", "Sun", "Polaris"):
            step = np.linalg.norm(np.diff(our_direction(body, sides), axis=1)) * ARCSEC
            assert step < 0.002  # the Moon moves 0.0001" in 0.2 ms; before 1972 Delta T has no jump either


def test_polaris_stays_close_to_the_pole() -> None:
    years_s = (np.array([1905.0, 1950.0, 2000.0, 2050.0]) - 2000.0) * 365.25 * 86400.0
    polar_distance_arcmin = 60.0 * (90.0 - places("Polaris", years_s).dec_deg)
    # 58' in 1950, 44' in 2000, 27' at the closest about 2100 (from memory; to the minute, and 0.5' of aberration).
    assert polar_distance_arcmin[1:3] == pytest.approx([58.0, 44.0], abs=1.0)
    assert np.all(np.diff(polar_distance_arcmin) < 0.0) and polar_distance_arcmin[3] > 27.0


def test_limits() -> None:
    first, last = ephemeris.FIRST_S, ephemeris.LAST_S
    assert covers([first, last, 0.0]).all()
    assert not covers([first - 1.0, last + 1.0, np.nan, np.inf, -np.inf]).any()
    assert covers(0.0).shape == ()
    for body in BODIES[:8]:
        found = places(body, [first, first + 1000.0, last - 1000.0, last])
        assert np.isfinite(found.gha_deg).all() and np.isfinite(found.dec_deg).all()
    edges_s = np.array([first + 60.0, last - 60.0])
    for body in ("Moon", "Saturn", "Spica"):
        error = np.linalg.norm(our_direction(body, edges_s) - skyfield_direction(body, edges_s), axis=0) * ARCSEC
        assert np.max(error) < 0.001


@pytest.mark.parametrize("wrong_s", [ephemeris.FIRST_S - 1.0, ephemeris.LAST_S + 1.0, 1e300, np.nan, np.inf, -np.inf])
def test_outside_the_limits(wrong_s: float) -> None:
    for ask in (
        lambda: places("Vega", wrong_s),
        lambda: places("Moon", [0.0, wrong_s, 1.0]),
        lambda: places_of(["Sun", "Moon"], [0.0, wrong_s]),
        lambda: gha_aries_deg(wrong_s),
    ):
        with pytest.raises(EphemerisRangeError, match="1899-07-29 02:00 to 2053-10-08 23:58 GMT"):
            ask()
    assert issubclass(EphemerisRangeError, ValueError)


@settings(max_examples=30, deadline=None)
@given(st.floats(ephemeris.FIRST_S, ephemeris.LAST_S), st.sampled_from(BODIES))
def test_every_place_is_on_the_sphere(label_s: float, body: str) -> None:
    found = places(body, label_s)
    assert 0.0 <= float(found.gha_deg) < 360.0
    assert -90.0 <= float(found.dec_deg) <= 90.0
    assert float(found.distance_km) > 350_000.0


def test_memory_of_blocks_is_bounded(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(blocks, "_blocks", {})
    monkeypatch.setattr(blocks, "_KEEP", 20)
    label_s = 4.0e8 + 86400.0 * np.arange(60)
    first = places("Vega", label_s)
    again = places("Vega", label_s[:5])
    assert again.gha_deg.tolist() == first.gha_deg[:5].tolist()
    places("Capella", label_s[:1])
    assert len(blocks._blocks) < 60
