"""GMT of the log to UT1 and TT."""

from __future__ import annotations

from datetime import UTC, datetime

import numpy as np
import pytest
from astropy.utils import iers
from astropy_iers_data import IERS_B_FILE

from nightleg.sky import timescale
from nightleg.units.times import gmt_s


def at(*when: int) -> float:
    """gmt_s of a calendar time."""
    year, month, day, hour, minute, second = (*when, 0, 0, 0)[:6]
    return gmt_s(datetime(year, month, day, hour, minute, second, tzinfo=UTC))


def test_leap_seconds() -> None:
    # IERS Bulletin C: TAI - UTC = 10 s from 1972-01-01, 11 s from 1972-07-01, 32 s from 1999-01-01, 37 s from 2017.
    instants = [(1972, 1, 1), (1972, 6, 30, 23, 59), (1972, 7, 1), (2000, 1, 1), (2016, 12, 31, 23, 59), (2017, 1, 1)]
    found = timescale.tai_minus_utc_s([at(*when) for when in instants])
    assert found.tolist() == [10.0, 10.0, 11.0, 32.0, 36.0, 37.0]
    assert float(timescale.tt_minus_gmt_s(at(2017, 1, 1))) == pytest.approx(69.184, abs=1e-9)
    assert float(timescale.tai_minus_utc_s(at(2050, 1, 1))) == 37.0  # none assumed after the last known


def test_dut1_against_the_published_series() -> None:
    """IERS EOP C04, as carried by astropy-iers-data, every fifth day from 1972 to the end of 2024."""
    table = iers.IERS_B.open(IERS_B_FILE)
    mjd, expected_s = np.array(table["MJD"]), np.array(table["UT1_UTC"])
    chosen = (mjd >= 41317) & (mjd < 60676)
    label_s = (mjd[chosen][::5] - 51544) * 86400.0
    error_s = np.abs(timescale.dut1_s(label_s) - expected_s[chosen][::5])
    early = label_s < at(1990, 1, 1)
    # The two series of the IERS differ by up to 6 ms in the 1970s (0.09"), 3 ms to 1989 and 0.2 ms since.
    assert np.max(error_s[early]) < 0.007
    assert np.max(error_s[~early]) < 0.0005


def test_no_jump_of_ut1_inside_a_day_before_a_leap_second() -> None:
    # A leap second at the end of 2016-12-31: DUT1 rises by 1 s at midnight, not gradually over the day before.
    before = timescale.dut1_s([at(2016, 12, 31), at(2016, 12, 31, 12), at(2016, 12, 31, 23, 59, 59)])
    after = timescale.dut1_s(at(2017, 1, 1))
    assert np.ptp(before) < 0.003  # the day is longer than 86 400 s by up to 3 ms
    assert float(after) - float(before[-1]) == pytest.approx(1.0, abs=1e-4)


def test_before_1972_the_label_is_ut1() -> None:
    assert timescale.dut1_s([at(1905, 1, 1), at(1955, 6, 1), at(1971, 12, 31, 23, 59)]).tolist() == [0.0, 0.0, 0.0]
    assert float(timescale.dut1_s(at(1972, 1, 1))) == pytest.approx(-0.0455, abs=1e-4)  # EOP C04
    whole, fraction = timescale.ut1_jd(at(1955, 6, 1))
    assert float(whole + fraction) == 2435259.5


def test_delta_t_before_1972() -> None:
    # Astronomical Almanac, from memory: Delta T at the beginning of the year. The spline used is smoothed, and rests on
    # another tidal acceleration of the Moon: 1 s, which is 0.5" of the Moon's place.
    for year, expected_s in {1910: 10.46, 1930: 24.02, 1950: 29.15, 1960: 33.15, 1970: 40.18}.items():
        assert float(timescale.tt_minus_gmt_s(at(year, 1, 1))) == pytest.approx(expected_s, abs=1.0)


def test_the_last_value_is_held_and_said_so() -> None:
    last_s = timescale.last_published_s()
    held = timescale.dut1_s(last_s + np.array([0.0, 1.0, 86400.0, 25 * 365.25 * 86400.0]))
    assert np.ptp(held) == 0.0
    assert timescale.is_predicted(last_s + np.array([-1.0, 0.0, 1.0])).tolist() == [False, False, True]
    assert timescale.prediction_note(last_s) is None
    note = timescale.prediction_note(last_s + 1.0)
    assert note is not None and "held" in note and f"{float(held[0]):+.2f} s" in note
    # A long-term Delta T would have drifted by seconds here.
    assert abs(float(timescale.dut1_s(at(2049, 6, 1)))) < 0.9


def test_shapes() -> None:
    grid = np.array([[at(1955, 1, 1), at(1985, 1, 1)], [at(2015, 1, 1), at(2045, 1, 1)]])
    for function in (timescale.dut1_s, timescale.tt_minus_gmt_s, timescale.tai_minus_utc_s, timescale.label_era_rad):
        assert function(grid).shape == (2, 2)
        assert function(grid[0, 0]).shape == ()
    each = [float(timescale.tt_minus_gmt_s(value)) for value in grid.ravel()]
    assert timescale.tt_minus_gmt_s(grid).ravel().tolist() == each
    assert timescale.tt_jd(grid)[1].shape == (2, 2)


def test_the_time_scale_is_skyfields_own() -> None:
    """Built from the same file as by Skyfield's loader, in the same way."""
    from skyfield.iokit import Loader

    theirs, ours = Loader(".", verbose=False).timescale(builtin=True), timescale.skyfield_timescale()
    assert np.array_equal(theirs.delta_t_table, ours.delta_t_table)
    assert np.array_equal(theirs.leap_dates, ours.leap_dates)
    assert np.array_equal(theirs.leap_offsets, ours.leap_offsets)
