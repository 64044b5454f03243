"""Apparent places of the Sun, Moon and planets against Astropy with the same kernel DE421, 1905 to 2050.

astropy_places.csv is Astropy's answer, written by make_astropy_places.py, which stands beside it.
"""

from __future__ import annotations

import csv
from pathlib import Path

import numpy as np
import pytest

from nightleg.sky import timescale
from nightleg.sky.places import gha_aries_deg, places

AU_KM = 149597870.7  # IAU 2012 resolution B2
# Arcsec. ERFA bends the light of a body as if it stood infinitely far behind the Sun; for the Moon, which stands before
# it, and for the Sun itself that is wrong by up to 0.03". The planets agree to the last digit of the file.
TOLERANCE_ARCSEC = {"Sun": 0.05, "Moon": 0.05, "Venus": 0.001, "Mars": 0.001, "Jupiter": 0.001, "Saturn": 0.001}


def reference() -> list[dict[str, str]]:
    """The rows of the file."""
    with (Path(__file__).parent / "astropy_places.csv").open(encoding="ascii") as file:
        return list(csv.DictReader(file))


def label_of_tt(whole: float, fraction: float) -> float:
    """The label GMT whose TT is given."""
    tt_s = (whole - timescale.JD_2000 + fraction) * 86400.0
    label_s = tt_s - 60.0
    for _ in range(3):
        label_s = tt_s - float(timescale.tt_minus_gmt_s(label_s))
    return label_s


@pytest.mark.parametrize("body", TOLERANCE_ARCSEC)
def test_apparent_places(body: str) -> None:
    rows = [row for row in reference() if row["body"] == body]
    assert len(rows) == 22
    label_s = np.array([label_of_tt(float(row["tt_whole"]), float(row["tt_fraction"])) for row in rows])
    found = places(body, label_s)
    dec_deg = np.array([float(row["dec_deg"]) for row in rows])
    ra_deg = np.array([float(row["ra_deg"]) for row in rows])
    ra_error_deg = np.mod(gha_aries_deg(label_s) - found.gha_deg - ra_deg + 180.0, 360.0) - 180.0
    across_arcsec = 3600.0 * ra_error_deg * np.cos(np.deg2rad(dec_deg))
    along_arcsec = 3600.0 * (found.dec_deg - dec_deg)
    assert np.max(np.abs(across_arcsec)) < TOLERANCE_ARCSEC[body]
    assert np.max(np.abs(along_arcsec)) < TOLERANCE_ARCSEC[body]
    distance_km = np.array([float(row["distance_au"]) for row in rows]) * AU_KM
    # 2e-7 of the distance: the Moon's light time is taken along a slightly different ray (50 m).
    assert np.max(np.abs(found.distance_km / distance_km - 1.0)) < 2e-7
