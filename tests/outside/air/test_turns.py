"""Radius and rate of turns against published values.

- Rate-one and bank tables of instrument flying: at 450 kt and 25° of bank the radius is 6.3 NM (derived in 68 625).
- FAA-H-8083-15 (Instrument Flying Handbook): rate of turn = 1091·tan(bank)/TAS degrees a second, radius =
  TAS²/(11.26·tan bank) feet (formulae from memory).
- FAA-H-8083-3 (Airplane Flying Handbook): at 120 kt a 30° bank turns on a radius of 2 215 ft, at 240 kt on 8 861 ft:
  doubling the speed makes it four times as wide (formula as above; values worked from it).
"""

from __future__ import annotations

import math

import pytest

from nightleg.air.turn import radius_nm, rate_deg_per_s

FT_NM = 0.3048 / 1852.0


def test_radius_at_450_kt_and_25_degrees() -> None:
    assert float(radius_nm(450.0, 25.0)) == pytest.approx(6.33, abs=0.01)
    assert float(radius_nm(450.0, 25.0)) == pytest.approx(450.0**2 / (68625.0 * math.tan(math.radians(25.0))), rel=1e-4)


@pytest.mark.parametrize(("tas_kt", "bank_deg", "radius_ft"), [(120.0, 30.0, 2215.0), (240.0, 30.0, 8861.0)])
def test_radius_by_the_handbooks_constant(tas_kt: float, bank_deg: float, radius_ft: float) -> None:
    # the handbooks' 11.26 stands for 11.294 (g 32.174 ft/s², 1 kt = 1.68781 ft/s): 0.3 %
    assert float(radius_nm(tas_kt, bank_deg)) == pytest.approx(radius_ft * FT_NM, rel=4e-3)


@pytest.mark.parametrize(("tas_kt", "bank_deg"), [(120.0, 18.0), (450.0, 25.0), (240.0, 30.0)])
def test_rate_by_the_handbooks_constant(tas_kt: float, bank_deg: float) -> None:
    # 1091 stands for 1092.2: 0.1 %
    assert rate_deg_per_s(tas_kt, bank_deg) == pytest.approx(
        1091.0 * math.tan(math.radians(bank_deg)) / tas_kt, rel=1.5e-3
    )


def test_the_rule_of_thumb_for_a_standard_rate_turn() -> None:
    """Bank = TAS/10 + 7 makes about 3° a second (common rule; good to some tenths at 120 kt)."""
    assert rate_deg_per_s(120.0, 19.0) == pytest.approx(3.0, abs=0.2)
