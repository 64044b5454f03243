"""The standard atmosphere against the tables of ISO 2533 and ICAO Doc 7488."""

from __future__ import annotations

import pytest

from nightleg.earth.atmosphere import density_ratio, pressure_hpa, speed_of_sound_kt, temperature_c

# By feet, as the tables print them: hPa, °C, speed of sound in knots. 30 000 ft and 36 089 ft checked against ISO 2533;
# the others from memory of the same table. Tolerances are half a unit of the last figure printed.
BY_FEET = [
    (0.0, 1013.25, 0.005, 15.0, 661.5),
    (10_000.0, 696.8, 0.05, -4.8, 638.3),
    (30_000.0, 300.9, 0.05, -44.4, 589.3),
    (36_089.24, 226.32, 0.005, -56.5, 573.6),
]
# By geopotential metres: hPa and half a unit of its last figure, K, kg/m³. From memory, of the tables of ISO 2533 and
# of the U.S. Standard Atmosphere 1976, which agree in the figures given.
BY_METRES = [
    (5_000.0, 540.20, 0.005, 255.65, 0.73612),
    (10_000.0, 264.36, 0.005, 223.15, 0.41271),
    (11_000.0, 226.32, 0.005, 216.65, 0.36392),
    (15_000.0, 120.45, 0.005, 216.65, 0.19367),
    (20_000.0, 54.749, 0.0005, 216.65, 0.088035),
]


@pytest.mark.parametrize(("feet", "hpa", "half_hpa", "celsius", "sound_kt"), BY_FEET)
def test_by_feet(feet: float, hpa: float, half_hpa: float, celsius: float, sound_kt: float) -> None:
    assert pressure_hpa(feet) == pytest.approx(hpa, abs=half_hpa)
    assert temperature_c(feet) == pytest.approx(celsius, abs=0.05)
    assert speed_of_sound_kt(temperature_c(feet)) == pytest.approx(sound_kt, abs=0.05)


@pytest.mark.parametrize(("metres", "hpa", "half_hpa", "kelvin", "density"), BY_METRES)
def test_by_metres(metres: float, hpa: float, half_hpa: float, kelvin: float, density: float) -> None:
    feet = metres / 0.3048
    assert pressure_hpa(feet) == pytest.approx(hpa, abs=half_hpa)
    assert temperature_c(feet) + 273.15 == pytest.approx(kelvin, abs=1e-9)
    assert density_ratio(feet) * 1.225 == pytest.approx(density, rel=2e-5)
