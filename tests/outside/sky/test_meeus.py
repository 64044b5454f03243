"""Worked examples of J. Meeus, Astronomical Algorithms (2nd edition 1998).

Meeus works with the models of 1976 to 1984 (sidereal time of 1982, precession of 1976, nutation of 1980). Against those
of today (IAU 2006/2000A) the equinox of the 1980s and 90s stands 0.06" (0.004 s) elsewhere, which enters right
ascension and sidereal time alike and leaves hour angles alone.
"""

from __future__ import annotations

from datetime import UTC, datetime

import erfa
import numpy as np
import pytest

from nightleg.sky import timescale
from nightleg.sky.places import gha_aries_deg, places
from nightleg.units.times import gmt_s


def label_of_ut1(when: datetime) -> float:
    """The label GMT (UTC) at which UT1 is `when`."""
    label_s = gmt_s(when)
    return label_s - float(timescale.dut1_s(label_s))


def test_12a_apparent_sidereal_time() -> None:
    label_s = label_of_ut1(datetime(1987, 4, 10, tzinfo=UTC))
    expected_s = 13 * 3600 + 10 * 60 + 46.1351
    # That his answer is the old model's: ERFA's gst94 has it to the last digit printed.
    old_model_s = float(erfa.gst94(2446895.5, 0.0)) / (2.0 * np.pi) * 86400.0
    assert old_model_s == pytest.approx(expected_s, abs=0.0001)
    assert float(gha_aries_deg(label_s)) * 240.0 == pytest.approx(expected_s, abs=0.005)  # 0.004 s: see above


def test_25b_apparent_sun() -> None:
    tt_s = gmt_s(datetime(1992, 10, 13, tzinfo=UTC))
    label_s = tt_s - float(timescale.tt_minus_gmt_s(tt_s))
    sun = places("Sun", label_s)
    ra_s = float(np.mod(gha_aries_deg(label_s) - sun.gha_deg, 360.0)) * 240.0
    assert ra_s == pytest.approx(13 * 3600 + 13 * 60 + 30.749, abs=0.005)  # 0.004 s: see above
    # 0.03": the same turn of the equinox seen in declination.
    assert float(sun.dec_deg) * 3600.0 == pytest.approx(-(7 * 3600 + 47 * 60 + 1.74), abs=0.03)


def test_13b_altitude_and_azimuth_of_venus() -> None:
    venus = places("Venus", label_of_ut1(datetime(1987, 4, 10, 19, 21, tzinfo=UTC)))
    latitude = np.deg2rad(38 + 55 / 60 + 17 / 3600)
    lha = np.deg2rad(float(venus.gha_deg) - (77 + 3 / 60 + 56 / 3600))
    dec = np.deg2rad(float(venus.dec_deg))
    altitude = np.arcsin(np.sin(latitude) * np.sin(dec) + np.cos(latitude) * np.cos(dec) * np.cos(lha))
    south_to_west = np.arctan2(np.sin(lha), np.cos(lha) * np.sin(latitude) - np.tan(dec) * np.cos(latitude))
    # 0.00015 degrees (0.5"): he prints four decimals, and works with four-decimal sidereal time and nutation.
    assert np.rad2deg(altitude) == pytest.approx(15.1249, abs=0.00015)
    assert np.rad2deg(south_to_west) + 180.0 == pytest.approx(248.0337, abs=0.00015)
