"""The standard atmosphere: limits, joints and shapes. The numbers are checked in tests/outside/earth."""

from __future__ import annotations

import math

import numpy as np
import pytest

from nightleg.earth.atmosphere import (
    HIGHEST_FT,
    LOWEST_FT,
    check_altitude,
    density_ratio,
    pressure_hpa,
    speed_of_sound_kt,
    temperature_c,
)
from nightleg.units.errors import EntryError


def test_sea_level() -> None:
    assert pressure_hpa(0.0) == 1013.25
    assert temperature_c(0.0) == pytest.approx(15.0, abs=1e-12)
    assert density_ratio(0.0) == 1.0


def test_no_step_at_the_tropopause() -> None:
    edge = 11_000.0 / 0.3048
    below, above = pressure_hpa([edge - 1e-6, edge + 1e-6])
    assert below > above > below * (1.0 - 1e-9)
    assert np.all(np.diff(pressure_hpa(np.linspace(LOWEST_FT, HIGHEST_FT, 999))) < 0.0)


def test_warm_air_is_thin() -> None:
    assert density_ratio(31_000.0, -36.0) < density_ratio(31_000.0) < density_ratio(31_000.0, -56.0)


@pytest.mark.parametrize("bad", [LOWEST_FT - 1.0, HIGHEST_FT + 1.0, math.inf, -math.inf])
def test_altitudes_outside(bad: float) -> None:
    for function in (pressure_hpa, temperature_c, density_ratio, check_altitude):
        with pytest.raises(EntryError, match="outside the standard atmosphere used here: -16404 to 65617 ft"):
            function([0.0, bad])


@pytest.mark.parametrize("bad", [-273.15, -300.0, math.inf])
def test_impossible_temperatures(bad: float) -> None:
    with pytest.raises(EntryError, match="impossible"):
        speed_of_sound_kt(bad)
    with pytest.raises(EntryError, match="impossible"):
        density_ratio(0.0, bad)


def test_nan_and_shapes() -> None:
    assert np.isnan(pressure_hpa([math.nan, 0.0])).tolist() == [True, False]
    assert pressure_hpa(np.zeros((2, 3))).shape == (2, 3)
    assert np.ndim(pressure_hpa(31_000)) == 0
