"""The almanac of an instant."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta, timezone

import numpy as np
import pytest

from nightleg.sky import ephemeris
from nightleg.sky.almanac import almanac, magnitude
from nightleg.sky.catalogue import BODIES, SOLAR_SYSTEM
from nightleg.sky.places import places
from nightleg.units.times import gmt_s


def test_rows() -> None:
    page = almanac(datetime(2026, 3, 14, 22, tzinfo=UTC))
    assert tuple(row.name for row in page.bodies) == BODIES
    assert page.warnings == ()
    for row in page.bodies:
        assert 0.0 <= row.gha_deg < 360.0 and -90.0 <= row.dec_deg <= 90.0
        assert (row.hp_arcmin > 0.0) == (row.sd_arcmin > 0.0) == (row.name in SOLAR_SYSTEM)
        assert -27.0 < row.magnitude < 3.0


def test_semidiameter_and_parallax() -> None:
    # Ranges over a year as the Nautical Almanac prints them (from memory): Sun 15.8' to 16.3' and 0.15'; Moon 14.7' to
    # 16.8', 53.9' to 61.5'; Venus' parallax up to 0.6', Mars' up to 0.4'.
    year_s = gmt_s(datetime(2025, 1, 1, tzinfo=UTC)) + 86400.0 * np.arange(0.0, 365.0, 7.0)
    sun, moon, venus, mars = (places(name, year_s) for name in ("Sun", "Moon", "Venus", "Mars"))
    assert 15.7 < sun.sd_arcmin.min() < 15.8 and 16.2 < sun.sd_arcmin.max() < 16.35
    assert sun.hp_arcmin.min() > 0.14 and sun.hp_arcmin.max() < 0.15
    assert 14.65 < moon.sd_arcmin.min() < 15.0 and 16.4 < moon.sd_arcmin.max() < 16.85
    assert 53.8 < moon.hp_arcmin.min() < 54.6 and 60.4 < moon.hp_arcmin.max() < 61.6
    # k = 0.2725, the almanacs' constant: 1737.4 km is 0.2724 Earth radii.
    assert moon.sd_arcmin / moon.hp_arcmin == pytest.approx(np.full(len(year_s), 0.2724), abs=0.0002)
    assert 0.4 < venus.hp_arcmin.max() < 0.6 and 0.1 < mars.hp_arcmin.max() < 0.4


def test_suns_semidiameter_at_one_au() -> None:
    assert np.rad2deg(np.arcsin(ephemeris.RADIUS_KM["Sun"] / ephemeris.AU_KM)) * 3600.0 == pytest.approx(959.63)


def test_magnitudes() -> None:
    # Full Moon of 2025-11-05 near perigee, new Moon of 2025-11-20; full Moon -12.7 (Allen, from memory).
    assert float(magnitude("Moon", gmt_s(datetime(2025, 11, 5, 13, tzinfo=UTC)))) == pytest.approx(-12.8, abs=0.25)
    assert float(magnitude("Moon", gmt_s(datetime(2025, 11, 20, 7, tzinfo=UTC)))) > -5.0
    # First quarter, phase angle 90 degrees: -10.1 (half Moon a ninth as bright as full; Allen, from memory).
    assert float(magnitude("Moon", gmt_s(datetime(2025, 11, 28, 7, tzinfo=UTC)))) == pytest.approx(-10.1, abs=0.3)
    times_s = np.array([[0.0, 1e8, 2e8], [3e8, 4e8, 5e8]])
    # Extremes over the years (Mallama and Hilton 2018, table of observed ranges, from memory), widened by 0.1.
    limits = {"Sun": (-26.8, -26.7), "Venus": (-5.0, -2.9), "Mars": (-3.1, 1.9), "Jupiter": (-3.1, -1.5)}
    for body, (brightest, faintest) in limits.items():
        found = magnitude(body, times_s)
        assert found.shape == (2, 3)
        assert found.min() > brightest and found.max() < faintest
    saturn = magnitude("Saturn", np.linspace(ephemeris.FIRST_S + 1e4, ephemeris.LAST_S, 400))
    assert np.isfinite(saturn).all() and saturn.min() > -0.65 and saturn.max() < 1.3
    assert magnitude("Vega", times_s).tolist() == [[float(magnitude("Vega", 0.0))] * 3] * 2
    assert magnitude("Moon", []).shape == magnitude("Mars", []).shape == (0,)


def test_prediction_is_said() -> None:
    page = almanac(datetime(2049, 6, 1, tzinfo=UTC))
    assert len(page.warnings) == 1 and "prediction" in page.warnings[0]


def test_zone() -> None:
    here = almanac(datetime(2026, 3, 15, 0, 0, tzinfo=timezone(timedelta(hours=2))))
    assert here.bodies == almanac(datetime(2026, 3, 14, 22, 0, tzinfo=UTC)).bodies
    with pytest.raises(ValueError, match="zone"):
        almanac(datetime(2026, 3, 14, 22))


@pytest.mark.parametrize("year", [1899, 2054])
def test_outside_the_ephemeris(year: int) -> None:
    with pytest.raises(ephemeris.EphemerisRangeError):
        almanac(datetime(year, 7, 1, tzinfo=UTC))
    with pytest.raises(ephemeris.EphemerisRangeError):
        magnitude("Venus", gmt_s(datetime(year, 7, 1, tzinfo=UTC)))
