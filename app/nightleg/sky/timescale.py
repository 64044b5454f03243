"""From the log's GMT to UT1 and TT.

`gmt_s` is seconds since 2000-01-01T00:00:00 GMT as labelled in the log, every day counted as 86 400 s. The rules:

- From 1972-01-01 the label is UTC. UT1 = UTC + DUT1 with the values published by the IERS,
  TT = UTC + (TAI - UTC) + 32.184 s.
- Before, the label is UT1 (there were no leap seconds). TT = UT1 + Delta T, Delta T by the spline of Morrison,
  Stephenson, Hohenkerk and Zawilski (2021) that Skyfield carries.
- After the last published DUT1 that value is held, and no further leap second is assumed; `is_predicted` says so.

Published values: from 1973-01-02 the daily IERS finals2000A series built into Skyfield (its end includes up to a year
of the IERS's own prediction, which may err by 0.1 s); for 1972, which that series leaves out, IERS EOP C04 every tenth
day (interpolation error below 0.003 s). UT1 - TAI is what is interpolated, so leap seconds leave no jump.
"""

from __future__ import annotations

from functools import lru_cache
from io import BytesIO
from pkgutil import get_data
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from nightleg.sky import kept
from nightleg.units.times import instant

Floats = NDArray[np.float64]

DAY_S = 86400.0
TT_MINUS_TAI_S = 32.184
MJD_2000 = 51544  # 2000-01-01
JD_2000 = 2451544.5  # the same, as Julian date
ERA_RAD_PER_S = 2.0 * np.pi * 1.00273781191135448 / DAY_S
UTC_FROM_S = (41317 - MJD_2000) * DAY_S  # 1972-01-01, MJD 41317

# UT1 - TAI in seconds, every tenth day from MJD 41317 (1972-01-01), IERS EOP C04.
_UT1_TAI_1972_S = (
    *(-10.0455, -10.0755, -10.1066, -10.1392, -10.1730, -10.2083, -10.2404, -10.2724, -10.3093, -10.3437),
    *(-10.3767, -10.4142, -10.4488, -10.4825, -10.5181, -10.5498, -10.5814, -10.6092, -10.6324, -10.6598),
    *(-10.6847, -10.7074, -10.7351, -10.7613, -10.7863, -10.8129, -10.8415, -10.8760, -10.9099, -10.9405),
    *(-10.9747, -11.0065, -11.0362, -11.0711, -11.1052, -11.1376, -11.1702),
)


@lru_cache(maxsize=1)
def skyfield_timescale() -> Any:
    """Skyfield's time scale from its built-in tables (nothing is read from elsewhere)."""
    # As Skyfield's own loader builds it from the same file; the loader itself brings a client for downloads along,
    # which costs a fifth of a start and is never used here.
    from skyfield.timelib import Timescale

    tables = np.load(BytesIO(get_data("skyfield", "data/iers.npz") or b""))
    days_tt = tables["tt_jd_minus_arange"]
    days_tt = days_tt + np.arange(len(days_tt))
    delta_t_s = (tables["delta_t_1e7"] / 1e7).round(7)
    return Timescale((days_tt, delta_t_s), tables["leap_dates"], tables["leap_offsets"])


class _Rotation:
    """The tables of the Earth's rotation, on the label's own count of seconds."""

    def __init__(self) -> None:
        scale = skyfield_timescale()
        table_tt, delta_t_s = scale.delta_t_table
        tai_minus_ut1_s = np.asarray(delta_t_s, dtype=np.float64) - TT_MINUS_TAI_S
        # Skyfield's column is TT at 0h UTC of successive days; a day's number is all that is needed of it.
        mjd = np.floor(np.asarray(table_tt) - 2400000.5 + 1e-6)
        first = 41317 + 10 * np.arange(len(_UT1_TAI_1972_S))
        self.table_s: Floats = (np.concatenate([first, mjd]) - MJD_2000) * DAY_S
        self.ut1_minus_tai_s: Floats = np.concatenate([np.array(_UT1_TAI_1972_S), -tai_minus_ut1_s])
        self.last_s = float(self.table_s[-1])
        # Each leap date is the day that begins with the new offset.
        self.leap_s: Floats = (np.asarray(scale.leap_dates, dtype=np.float64) - JD_2000) * DAY_S
        self.tai_minus_utc_s: Floats = np.concatenate([[10.0], np.asarray(scale.leap_offsets, dtype=np.float64)])
        self.last_dut1_s = float(self.ut1_minus_tai_s[-1] + self.tai_minus_utc_s[-1])


@lru_cache(maxsize=1)
def _rotation() -> _Rotation:
    return _Rotation()


def last_published_s() -> float:
    """`gmt_s` of the last published value of DUT1; after it, that value is held."""
    return _rotation().last_s


def is_predicted(gmt_s: ArrayLike) -> NDArray[np.bool_]:
    """Whether the Earth's rotation at `gmt_s` (any shape) is only a held value: after the last published DUT1."""
    return np.asarray(np.asarray(gmt_s, dtype=np.float64) > _rotation().last_s)


def prediction_note(time_s: float) -> str | None:
    """A warning in words when the Earth's rotation at `time_s` is a held value, else None."""
    last_s, dut1_s = _published()
    if time_s <= last_s:
        return None
    return (
        f"the Earth's rotation is published up to {instant(last_s):%Y-%m-%d}; after that its last value, "
        f"DUT1 = {dut1_s:+.2f} s, is held, so GHA is a prediction (1 s is 0.25′)"
    )


@lru_cache(maxsize=1)
def _published() -> kept.Published:
    """`gmt_s` of the last published DUT1, and that value, s."""
    store = kept.kept()
    if store is not None and store.published is not None:
        return store.published
    found = _rotation().last_s, _rotation().last_dut1_s
    if store is not None:
        store.published = found
    return found


def tai_minus_utc_s(gmt_s: ArrayLike) -> Floats:
    """TAI - UTC in seconds; 10 s, the first whole value, for every earlier label too. Any shape."""
    rotation = _rotation()
    index = np.searchsorted(rotation.leap_s, np.asarray(gmt_s, dtype=np.float64), side="right")
    return np.asarray(rotation.tai_minus_utc_s[index])


def dut1_s(gmt_s: ArrayLike) -> Floats:
    """UT1 minus the label in seconds: DUT1 from 1972, 0 before. Any shape."""
    rotation = _rotation()
    label_s = np.asarray(gmt_s, dtype=np.float64)
    published = np.interp(label_s, rotation.table_s, rotation.ut1_minus_tai_s) + tai_minus_utc_s(label_s)
    held = np.where(label_s > rotation.last_s, rotation.last_dut1_s, published)
    return np.asarray(np.where(label_s < UTC_FROM_S, 0.0, held))


def tt_minus_gmt_s(gmt_s: ArrayLike) -> Floats:
    """TT minus the label in seconds: 32.184 + (TAI - UTC) from 1972, Delta T before. Any shape."""
    label_s = np.asarray(gmt_s, dtype=np.float64)
    from_utc = TT_MINUS_TAI_S + tai_minus_utc_s(label_s)
    if not np.any(label_s < UTC_FROM_S):
        return np.asarray(from_utc)
    # Delta T is tabulated against TT; it changes by 3e-8 s in the minute between TT and UT1.
    delta_t = skyfield_timescale().delta_t_function
    old_jd = np.atleast_1d(np.minimum(label_s, UTC_FROM_S)) / DAY_S + JD_2000
    delta_t_s = np.reshape(delta_t(old_jd.ravel()), label_s.shape)
    return np.asarray(np.where(label_s < UTC_FROM_S, delta_t_s, from_utc))


def ut1_jd(gmt_s: ArrayLike) -> tuple[Floats, Floats]:
    """UT1 as a Julian date in two parts, days since J2000.0 noon to be added to 2451545.0: (2451545.0, rest)."""
    label_s = np.asarray(gmt_s, dtype=np.float64)
    rest = (label_s + dut1_s(label_s)) / DAY_S - 0.5
    return np.full_like(rest, 2451545.0), np.asarray(rest)


def tt_jd(gmt_s: ArrayLike) -> tuple[Floats, Floats]:
    """TT as a Julian date in two parts, 0h of the label's day and the fraction (may exceed 1 by a minute)."""
    label_s = np.asarray(gmt_s, dtype=np.float64)
    day = np.floor(label_s / DAY_S)
    fraction = (label_s - day * DAY_S + tt_minus_gmt_s(label_s)) / DAY_S
    return np.asarray(day + JD_2000), np.asarray(fraction)


def label_era_rad(gmt_s: Floats) -> Floats:
    """Earth rotation angle in radians as if the label were UT1; not reduced to one turn.

    IAU 2000: 0.7790572732640 + 1.00273781191135448 turns a day of UT1 from J2000.0 noon. Add ERA_RAD_PER_S * `dut1_s`
    for the true angle.
    """
    days = gmt_s * (1.0 / DAY_S) - 0.5
    return np.asarray((0.7790572732640 + 0.00273781191135448 * days + (days - np.floor(days))) * (2.0 * np.pi))
