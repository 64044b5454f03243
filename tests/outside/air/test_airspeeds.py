"""Airspeeds against worked values of the compressible formula."""

from __future__ import annotations

import pytest
from scipy.integrate import quad
from scipy.optimize import brentq

from nightleg.air.speeds import A0_KT, cas_from_mach, mach_from_cas, tas_from_cas, tas_from_mach
from nightleg.earth.atmosphere import pressure_hpa


def test_280_kt_at_31000_ft() -> None:
    # CAS 280 kt at 31 000 ft, standard temperature: Mach 0.7572, TAS 444.3 kt, worked out apart from the program from
    # ISO 2533 and the definition of CAS (no printed source); tolerances are half the last figure.
    assert mach_from_cas(280.0, 31_000.0) == pytest.approx(0.7572, abs=5e-5)
    assert tas_from_cas(280.0, 31_000.0) == pytest.approx(444.3, abs=0.05)


def test_speed_of_sound_at_sea_level() -> None:
    # ISO 2533: 340.294 m/s.
    assert pytest.approx(340.294, abs=5e-4) == A0_KT * 1852.0 / 3600.0


def test_crossover_of_300_kt_and_mach_078() -> None:
    # The altitude where CAS 300 kt is Mach 0.78: 29 314 ft (from memory).
    crossover_ft = brentq(lambda feet: float(mach_from_cas(300.0, feet)) - 0.78, 20_000.0, 36_000.0)
    assert crossover_ft == pytest.approx(29_314.0, abs=1.0)


@pytest.mark.parametrize(("mach", "feet"), [(0.3, 5_000.0), (0.62, 24_000.0), (0.85, 39_000.0), (0.95, 60_000.0)])
def test_impact_pressure_by_integration(mach: float, feet: float) -> None:
    # Bernoulli's law for an isentropic flow brought to rest, integrated: ∫ dp/ρ = V²/2 with p/ρ^1.4 constant. With
    # p and ρ of the free stream as units, V² = 1.4·M².
    def stagnation(number: float) -> float:
        return float(brentq(lambda p: quad(lambda x: x ** (-1 / 1.4), 1.0, p)[0] - 0.7 * number**2, 1.0, 4.0))

    impact_hpa = (stagnation(mach) - 1.0) * float(pressure_hpa(feet))
    cas_kt = float(cas_from_mach(mach, feet))
    assert (stagnation(cas_kt / A0_KT) - 1.0) * 1013.25 == pytest.approx(impact_hpa, rel=1e-9)
    assert mach_from_cas(cas_kt, feet) == pytest.approx(mach, abs=1e-12)


def test_mach_and_temperature() -> None:
    # a = 38.967854·√T kt (ISO 2533 constants, from memory of navigation texts): Mach 0.8 at -50 °C is 465.7 kt.
    assert tas_from_mach(0.8, 35_000.0, -50.0) == pytest.approx(0.8 * 38.967854 * 223.15**0.5, rel=1e-6)
