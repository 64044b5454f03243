"""Places, star list and magnitudes against PyEphem, which has theories of its own, 1905 to 2050.

PyEphem 4.2.1 (libastro): VSOP87 cut short for the planets, nutation IAU 1980, a simpler aberration; its star list is
the Hipparcos main catalogue (1997) with the names of the IAU's list, chosen by its author. PyEphem's own Delta T is
taken out by giving it the time at which its TT is ours.
"""

from __future__ import annotations

from typing import Any

import ephem
import ephem.stars
import numpy as np
import pytest

from nightleg.sky import timescale
from nightleg.sky.almanac import magnitude
from nightleg.sky.catalogue import NAVIGATIONAL_STARS, star
from nightleg.sky.places import gha_aries_deg, places

ARCSEC = 206264.806
EPHEM_ZERO_JD = 2415020.0  # PyEphem counts days from 1899-12-31 12:00
LABEL_S = np.floor((np.arange(1905.1, 2050.9, 4.37) - 2000.0) * 365.25 * 86400.0)
NAMES = {"Gienah": "Gienah Corvi", "Al Na'ir": "Alnair"}
MAKERS = {
    "Sun": ephem.Sun,
    "Moon": ephem.Moon,
    "Venus": ephem.Venus,
    "Mars": ephem.Mars,
    "Jupiter": ephem.Jupiter,
    "Saturn": ephem.Saturn,
}
# Arcsec: what its cut series leave, near 1" at inferior conjunctions and near oppositions of Mars (1.6" seen), half of
# that elsewhere. The demand on us is 1", 2" for the Moon; Astropy checks the planets closer.
TOLERANCE_ARCSEC = {"Sun": 1.0, "Moon": 1.0, "Venus": 1.5, "Mars": 2.0, "Jupiter": 1.0, "Saturn": 1.0}


def ephem_date(label_s: float) -> Any:
    """PyEphem's UT at which its TT is the TT of the label."""
    tt_day = (label_s + float(timescale.tt_minus_gmt_s(label_s))) / 86400.0 + timescale.JD_2000 - EPHEM_ZERO_JD
    day = tt_day
    for _ in range(3):
        day = tt_day - ephem.delta_t(ephem.Date(day)) / 86400.0
    return ephem.Date(day)


def largest_error_arcsec(body: str, made: Any, times_s: np.ndarray = LABEL_S) -> float:
    """Largest distance between our place and PyEphem's, on either axis."""
    found = places(body, times_s)
    ra_rad, dec_rad = np.deg2rad(gha_aries_deg(times_s) - found.gha_deg), np.deg2rad(found.dec_deg)
    worst = 0.0
    for i, label_s in enumerate(times_s):
        made.compute(ephem_date(float(label_s)))
        across = (float(ra_rad[i] - made.g_ra + np.pi) % (2.0 * np.pi) - np.pi) * float(np.cos(dec_rad[i]))
        worst = max(worst, abs(across) * ARCSEC, abs(float(dec_rad[i] - made.g_dec)) * ARCSEC)
    return worst


@pytest.mark.parametrize("body", TOLERANCE_ARCSEC)
def test_sun_moon_and_planets(body: str) -> None:
    assert largest_error_arcsec(body, MAKERS[body]()) < TOLERANCE_ARCSEC[body]


@pytest.mark.parametrize("name", NAVIGATIONAL_STARS)
def test_stars(name: str) -> None:
    # 1.0": its aberration and nutation leave up to 0.8"; another star would be off by degrees. Rigil Kentaurus: the
    # proper motions of the two reductions of Hipparcos differ by 8 mas a year, 0.7" over these years.
    tolerance_arcsec = 2.0 if name == "Rigil Kentaurus" else 1.0
    assert largest_error_arcsec(name, ephem.star(NAMES.get(name, name)), LABEL_S[::3]) < tolerance_arcsec


@pytest.mark.parametrize("name", NAVIGATIONAL_STARS)
def test_star_magnitudes(name: str) -> None:
    made = ephem.star(NAMES.get(name, name))
    made.compute(ephem.Date("2000/1/1"))
    # 0.15 mag: V is derived from Hp and colour; Betelgeuse, Antares and Gacrux vary and are very red.
    assert star(name).magnitude == pytest.approx(made.mag, abs=0.15)


@pytest.mark.parametrize(("body", "tolerance_mag"), [("Sun", 0.1), ("Venus", 0.5), ("Mars", 0.3), ("Jupiter", 0.3)])
def test_magnitudes_of_sun_and_planets(body: str, tolerance_mag: float) -> None:
    # PyEphem uses older phase laws (Explanatory Supplement 1961 and 1992), some tenths from those of 2018; most for a
    # crescent Venus (0.4).
    made = MAKERS[body]()
    for label_s in LABEL_S[::3]:
        made.compute(ephem_date(float(label_s)))
        assert float(magnitude(body, label_s)) == pytest.approx(made.mag, abs=tolerance_mag)
