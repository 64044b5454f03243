"""Magnetic variation against IAGA's own synthesis, a second implementation, and the World Magnetic Model."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from pathlib import Path

import numpy as np
import ppigrf
import pytest

from nightleg.earth.magnetic import decimal_year, field_nt, variation_deg

FT_PER_KM = 1.0 / 0.0003048
SYNTHESIS = np.loadtxt(Path(__file__).with_name("igrf14_synthesis.csv"), delimiter=",")


@pytest.mark.parametrize("row", SYNTHESIS, ids=lambda row: f"{row[0]:.1f}")
def test_iaga_synthesis(row: np.ndarray) -> None:
    year, km, colatitude, lon, north, east, down = row
    field = field_nt(90.0 - colatitude, lon, km * FT_PER_KM, year)
    # 0.1 nT is the rounding of the coefficients of 2025. The routine's own constants are short: its figures lie about
    # 1e-6 (0.08 nT at most) below those of double precision, as a second program with the same steps shows alike.
    assert field == pytest.approx((north, east, down), abs=0.1)


def test_against_ppigrf() -> None:
    draw = np.random.default_rng(14)
    lat, lon = draw.uniform(-90, 90, 300), draw.uniform(-180, 180, 300)
    for year in (1900, 1905, 1931, 1944, 1962, 1987, 2003, 2019, 2025, 2027, 2029):
        when = datetime(year, 1, 1)
        if year % 5:
            # Between epochs ppigrf counts days and IAGA decimal years: they meet where the count of days is put right.
            first = year - year % 5
            span = datetime(first + 5, 1, 1) - datetime(first, 1, 1)
            when = datetime(first, 1, 1) + span * ((year - first) / 5.0)
        east, north, up = (np.ravel(part) for part in ppigrf.igrf(lon, lat, 9.5, when))
        mine = field_nt(lat, lon, 9.5 * FT_PER_KM, float(year))
        assert np.max(np.abs(np.array(mine) - [north, east, -up])) < 0.01  # nT
        variation = variation_deg(lat, lon, 9.5 * FT_PER_KM, datetime(year, 1, 1, tzinfo=UTC))
        off = np.abs((variation - np.degrees(np.arctan2(east, north)) + 180.0) % 360.0 - 180.0)
        # 1e-3 degrees wherever a compass is of any use: WMM's blackout zones are H below 2 000 nT.
        assert np.max(off[np.hypot(north, east) > 2000.0]) < 1e-3


def test_world_magnetic_model_2025() -> None:
    # NOAA/NCEI and BGS, WMM2025 test values at 2025.0, height 0: north, east, down in nT. Another model of the same
    # field: the two differ by the degree (12 against 13) and by their data; 20 nT is a fifth of the error WMM states.
    expected = {
        (80.0, 0.0): (6521.6, 145.9, 54791.5),
        (0.0, 120.0): (39677.8, -109.6, -10580.2),
        (-80.0, 240.0): (6117.5, 15751.9, -52022.5),
    }
    for (lat, lon), field in expected.items():
        assert field_nt(lat, lon, 0.0, 2025.0) == pytest.approx(field, abs=20.0)
        shown = np.degrees(np.arctan2(field[1], field[0]))
        assert variation_deg(lat, lon, 0.0, datetime(2025, 1, 1, tzinfo=UTC)) == pytest.approx(shown, abs=0.1)


def test_decimal_years_meet_the_calendar() -> None:
    assert decimal_year(datetime(2024, 7, 2, tzinfo=UTC)) == pytest.approx(2024.5, abs=1e-12)  # day 183 of 366
    new_year = datetime(2027, 1, 1, tzinfo=UTC)
    before = decimal_year(new_year - timedelta(seconds=1))
    assert 0.0 < decimal_year(new_year) - before < 1e-7
