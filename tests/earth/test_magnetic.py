"""Magnetic variation: limits, poles and shapes. The numbers are checked in tests/outside/earth."""

from __future__ import annotations

import math
from datetime import UTC, datetime, timedelta, timezone

import numpy as np
import pytest

from nightleg.earth.magnetic import decimal_year, field_nt, valid, variation_deg
from nightleg.units.errors import EntryError

NOW = datetime(2026, 3, 14, 22, tzinfo=UTC)


def test_first_and_last_instant() -> None:
    first, last = datetime(1900, 1, 1, tzinfo=UTC), datetime(2030, 1, 1, tzinfo=UTC)
    second = timedelta(seconds=1)
    assert valid(first) and valid(last)
    assert not valid(first - second) and not valid(last + second)
    assert np.isfinite(variation_deg(41.5, -28.25, 0.0, first))
    assert np.isfinite(variation_deg(41.5, -28.25, 0.0, last))
    for outside in (first - second, last + second):
        with pytest.raises(EntryError, match="from 1900 to 2030, not for"):
            variation_deg(41.5, -28.25, 0.0, outside)
    with pytest.raises(EntryError, match="from 1900 to 2030"):
        field_nt(0.0, 0.0, 0.0, math.nan)


def test_no_step_at_an_epoch() -> None:
    epoch = datetime(2025, 1, 1, tzinfo=UTC)
    before, after = (variation_deg(41.5, -28.25, 0.0, epoch + timedelta(seconds=s)) for s in (-1, 1))
    assert before == pytest.approx(after, abs=1e-6)


def test_zones() -> None:
    assert decimal_year(NOW.astimezone(timezone(timedelta(hours=9)))) == decimal_year(NOW)
    with pytest.raises(ValueError, match="no zone"):
        decimal_year(datetime(2026, 3, 14))


@pytest.mark.parametrize("lat", [90.0, -90.0])
def test_geographic_poles(lat: float) -> None:
    # The field there is one vector: seen from another meridian only its direction in the plane turns.
    lon = np.arange(-180.0, 181.0, 45.0)
    north, east, down = field_nt(lat, lon, 0.0, 2026.0)
    assert np.ptp(np.hypot(north, east)) < 1e-6 and np.ptp(down) < 1e-6
    turned = np.unwrap(np.arctan2(east, north)) + math.copysign(1.0, -lat) * np.radians(lon)
    assert np.ptp(turned) < 1e-9
    close = field_nt(lat - math.copysign(1e-7, lat), lon, 0.0, 2026.0)
    assert np.max(np.abs(np.array(close) - [north, east, down])) < 1e-3


def test_180th_meridian_shapes_and_nan() -> None:
    assert variation_deg(10.0, 180.0, 0.0, NOW) == pytest.approx(variation_deg(10.0, -180.0, 0.0, NOW), abs=1e-9)
    assert variation_deg(np.zeros((2, 1)), np.zeros(3), 31_000.0, NOW).shape == (2, 3)
    assert np.ndim(variation_deg(0, 0, 0, NOW)) == 0
    assert np.isnan(variation_deg([math.nan, 0.0], 0.0, 0.0, NOW)).tolist() == [True, False]
