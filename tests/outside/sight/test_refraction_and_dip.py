"""Refraction and dip against the Nautical Almanac: its sight reduction procedures and its correction tables."""

from __future__ import annotations

import numpy as np
import pytest

from nightleg.earth.atmosphere import pressure_hpa, temperature_c
from nightleg.sight.refraction import apparent_altitude_deg, dip_arcmin, refraction_arcmin

# Stars column of the almanac's altitude correction table at 10, 20, 45 and 75° (1010 hPa, 10 °C), arcmin.
ALMANAC = {10.0: 5.3, 20.0: 2.6, 45.0: 1.0, 75.0: 0.3}


@pytest.mark.parametrize(("altitude", "refraction"), [(10.0, 5.40), (20.0, 2.71), (45.0, 1.00)])
def test_formula_at_the_standard_of_the_almanac(altitude: float, refraction: float) -> None:
    """Worked by hand from R = 0.0167°/tan(H + 7.32/(H + 4.32)) at 1010 hPa, 10 °C; 0.28·1010/283 = 0.9993."""
    assert float(refraction_arcmin(altitude, 1010.0, 10.0)) == pytest.approx(refraction, abs=0.006)


@pytest.mark.parametrize(("altitude", "refraction"), ALMANAC.items())
def test_table_of_the_almanac(altitude: float, refraction: float) -> None:
    """The printed table (from memory) is of an older theory, 0.1′ lower at 10° than the almanac's own formula."""
    assert float(refraction_arcmin(altitude, 1010.0, 10.0)) == pytest.approx(refraction, abs=0.11)


def test_at_height() -> None:
    """Standard atmosphere at 31 000 ft, 10°: 1.92′, by the same formula with ISO 2533 pressure and temperature."""
    found = refraction_arcmin(10.0, pressure_hpa(31000.0), temperature_c(31000.0))
    assert float(found) == pytest.approx(1.92, abs=0.01)


def test_against_integrated_refraction() -> None:
    """ERFA's refco (a fit to integrated refraction) at sea level, from 15° up: within 0.1′."""
    import erfa

    a, b = erfa.refco(1010.0, 10.0, 0.0, 0.55)
    for apparent in (15.0, 25.0, 40.0, 60.0, 80.0):
        z = np.tan(np.radians(90.0 - apparent))
        expected = np.degrees(a * z + b * z**3) * 60.0
        assert float(refraction_arcmin(apparent, 1010.0, 10.0)) == pytest.approx(float(expected), abs=0.1)


@pytest.mark.parametrize("apparent", [0.0, 0.5, 5.0, 30.0, 89.9, 90.0])
def test_there_and_back(apparent: float) -> None:
    true = apparent - float(refraction_arcmin(apparent, 300.0, -44.0)) / 60.0
    assert float(apparent_altitude_deg(true, 300.0, -44.0)) == pytest.approx(apparent, abs=1e-9)


@pytest.mark.parametrize(("height_m", "dip"), [(2.4, 2.7), (3.0, 3.0), (10.0, 5.6), (21.4, 8.1), (48.0, 12.2)])
def test_dip_of_the_almanac(height_m: float, dip: float) -> None:
    """Dip table of the almanac's card (from memory); it is printed to 0.1′ for intervals of height."""
    assert float(dip_arcmin(height_m)) == pytest.approx(dip, abs=0.06)
