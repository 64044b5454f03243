"""Airspeeds: there and back, limits and shapes. The numbers are checked in tests/outside/air."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from nightleg.air.speeds import (
    cas_from_mach,
    cas_from_tas,
    mach_from_cas,
    mach_from_tas,
    tas_from_cas,
    tas_from_mach,
)
from nightleg.units.errors import EntryError


@given(st.floats(0.0, 0.94), st.floats(0.0, 60_000.0), st.floats(-80.0, 40.0))
def test_there_and_back(mach: float, feet: float, celsius: float) -> None:
    tas = tas_from_mach(mach, feet, celsius)
    cas = cas_from_mach(mach, feet)
    assert mach_from_tas(tas, feet, celsius) == pytest.approx(mach, abs=1e-14)
    assert mach_from_cas(cas, feet) == pytest.approx(mach, rel=1e-10, abs=1e-14)
    assert tas_from_cas(cas, feet, celsius) == pytest.approx(tas, rel=1e-10, abs=1e-9)
    assert cas_from_tas(tas, feet, celsius) == pytest.approx(cas, rel=1e-10, abs=1e-9)


def test_sea_level_and_low_speed() -> None:
    assert tas_from_cas([0.0, 100.0, 400.0], 0.0) == pytest.approx([0.0, 100.0, 400.0], abs=1e-9)
    # At a walking pace the air is incompressible: TAS = CAS/√(density ratio); the next term is some (CAS/a)²/8, 1e-7.
    assert tas_from_cas(1.0, 10_000.0) == pytest.approx(1.0 / math.sqrt(0.738479), rel=2e-6)


def test_standard_temperature_is_the_default() -> None:
    standard_c = 15.0 - 1.9812 * 31.0
    assert tas_from_cas(280.0, 31_000.0) == pytest.approx(tas_from_cas(280.0, 31_000.0, standard_c), abs=1e-9)
    assert tas_from_mach(0.8, 31_000.0, -36.0) > tas_from_mach(0.8, 31_000.0)


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: tas_from_cas(-1.0, 0.0), "calibrated airspeed of -1 kt is impossible"),
        (lambda: cas_from_tas(-1.0, 0.0), "true airspeed of -1 kt is impossible"),
        (lambda: tas_from_mach(-0.1, 0.0), "Mach number of -0.1 is impossible"),
        (lambda: tas_from_mach(1.0, 0.0), "Mach 1.00; speeds must be subsonic"),
        (lambda: tas_from_mach(82.0, 0.0), "Mach 82.00"),
        (lambda: tas_from_cas(400.0, 50_000.0), "Mach 1.46"),
        (lambda: tas_from_cas(math.inf, 0.0), "Mach inf"),
        (lambda: cas_from_tas(700.0, 31_000.0), "Mach 1.19"),
        (lambda: tas_from_cas(280.0, 70_000.0), "outside the standard atmosphere"),
        (lambda: tas_from_mach(0.8, 70_000.0, -50.0), "outside the standard atmosphere"),
        (lambda: tas_from_mach(0.8, 31_000.0, -274.0), "impossible"),
        (lambda: tas_from_cas([280.0, 900.0], 0.0), "Mach 1.36"),
    ],
)
def test_refused(call: Callable[[], Any], words: str) -> None:
    with pytest.raises(EntryError, match=words):
        call()


def test_nan_and_shapes() -> None:
    assert np.isnan(tas_from_cas([math.nan, 280.0], 31_000.0)).tolist() == [True, False]
    assert tas_from_cas(np.full((2, 1), 280.0), np.full(3, 31_000.0)).shape == (2, 3)
    assert tas_from_mach(0.8, np.full((2, 1), 31_000.0), np.full(3, -40.0)).shape == (2, 3)
    assert np.ndim(tas_from_cas(280, 31_000)) == np.ndim(tas_from_mach(0.8, 31_000, -40)) == 0
