"""Computed altitude, azimuth and their motion against handbook examples and published tables."""

from __future__ import annotations

import numpy as np
import pytest

from nightleg.sight.reduction import altitude, altitude_azimuth, circle_point


def test_meeus_13b() -> None:
    """Meeus, Astronomical Algorithms, example 13.b: Venus 1987-04-10 19:21:00 UT at 38°55′17″N 77°03′56″W.

    His local hour angle 64.352133° and declination -6°43′11.61″ give altitude 15.1249° and azimuth 248.0337° (his
    68.0337° counts from south); four printed decimals.
    """
    lon = -(77.0 + 3.0 / 60.0 + 56.0 / 3600.0)
    lat = 38.0 + 55.0 / 60.0 + 17.0 / 3600.0
    dec = -(6.0 + 43.0 / 60.0 + 11.61 / 3600.0)
    hc, zn = altitude_azimuth(lat, lon, 64.352133 - lon, dec)
    assert float(hc) == pytest.approx(15.1249, abs=6e-5)
    assert float(zn) == pytest.approx(248.0337, abs=6e-5)


# NGA Pub. 249 vol. 1, table 1: change of altitude in four minutes for the motion of the observer at 450 kt, by
# relative bearing of the body; whole minutes.
PUB_249_TABLE_1 = {0: 30, 30: 26, 45: 21, 60: 15, 75: 8, 120: -15, 180: -30}


@pytest.mark.parametrize(("relative", "arcmin"), PUB_249_TABLE_1.items())
def test_motion_of_the_observer(relative: float, arcmin: float) -> None:
    from nightleg.earth.rhumb import rhumb_direct

    lat, lon, track, gha, dec = 50.0, -20.0, 70.0, 30.0, 12.0
    _hc, zn = altitude_azimuth(lat, lon, gha, dec)
    track = float(zn) - relative
    ahead = rhumb_direct(lat, lon, track % 360.0, 450.0 / 60.0 * 2.0)
    astern = rhumb_direct(lat, lon, (track + 180.0) % 360.0, 450.0 / 60.0 * 2.0)
    change = (altitude(*ahead, gha, dec) - altitude(*astern, gha, dec)) * 60.0
    # a table to whole minutes (0.5′), and 0.2 % because a minute of arc of latitude here is not just 1 NM
    assert float(change) == pytest.approx(arcmin, abs=0.56)


@pytest.mark.parametrize(("lat", "arcmin"), [(0.0, 15.0), (60.0, 7.5)])
def test_motion_of_the_body(lat: float, arcmin: float) -> None:
    """NGA Pub. 249 vol. 1, table 2: in one minute a star at Zn 090 rises 15′ at the equator, 7.5′ at 60°."""
    # a star on the prime vertical to the east: tan dec = cos LHA·tan lat; take LHA 300° (60° east)
    dec = float(np.degrees(np.arctan(np.cos(np.radians(60.0)) * np.tan(np.radians(lat)))))
    _hc, zn = altitude_azimuth(lat, 0.0, 300.0, dec)
    assert float(zn) == pytest.approx(90.0, abs=1e-9)
    step = 15.04107 / 60.0  # sidereal rate in a minute, degrees
    change = (altitude(lat, 0.0, 300.0 + step / 2, dec) - altitude(lat, 0.0, 300.0 - step / 2, dec)) * 60.0
    assert float(change) == pytest.approx(arcmin, abs=0.05)


def test_shot_brought_forward() -> None:
    """AFPAM 11-216, ch. 11: track 020, GS 240, Zn 080, 11 min: +22′; Hc 33°57′ → 33°35′, Ho 33°29′, 6 NM away."""
    motion = 240.0 / 60.0 * np.cos(np.radians(80.0 - 20.0)) * 11.0
    assert motion == pytest.approx(22.0, abs=0.01)
    hc = 33.0 + 57.0 / 60.0 - motion / 60.0
    assert hc == pytest.approx(33.0 + 35.0 / 60.0, abs=1e-9)
    assert (33.0 + 29.0 / 60.0 - hc) * 60.0 == pytest.approx(-6.0, abs=0.01)


def test_offset_of_a_straight_line_from_the_circle() -> None:
    """Geometry: at a distance s along the line the circle is s²·tan H/(2·3438) NM off (sphere)."""
    gha, dec, height = 40.0, 20.0, 75.0
    lat, lon = circle_point(gha, dec, height, 180.0)
    reach = np.degrees(30.0 / (3437.75 * np.cos(np.radians(height))))
    lat2, lon2 = circle_point(gha, dec, height, 180.0 - reach)
    # the great circle at right angles to the azimuth, 30′ along it
    from astropy import units as u
    from astropy.coordinates import SkyCoord

    foot = SkyCoord(float(lon) * u.deg, float(lat) * u.deg)
    _, zn = altitude_azimuth(lat, lon, gha, dec)
    straight = foot.directional_offset_by((float(zn) + 90.0) * u.deg, 0.5 * u.deg)
    off = 60.0 * (altitude(straight.dec.deg, straight.ra.deg, gha, dec) - height)
    assert abs(float(off)) == pytest.approx(30.0**2 * np.tan(np.radians(height)) / (2 * 3437.75), rel=0.01)
    assert float(altitude(lat2, lon2, gha, dec)) == pytest.approx(height, abs=1e-9)


@pytest.mark.parametrize("lat", [-90.0, -60.0, 0.0, 45.0, 90.0])
def test_against_vectors_of_astropy(lat: float) -> None:
    """The same triangle by Astropy's spherical frames (separation from the zenith)."""
    from astropy import units as u
    from astropy.coordinates import SkyCoord, position_angle

    for lon, gha, dec in ((10.0, 50.0, 20.0), (-170.0, 10.0, -45.0), (179.9, 200.0, 89.3), (0.0, 0.0, lat)):
        zenith = SkyCoord(lon * u.deg, lat * u.deg)
        body = SkyCoord(-gha * u.deg, dec * u.deg)
        hc, zn = altitude_azimuth(lat, lon, gha, dec)
        assert float(hc) == pytest.approx(90.0 - zenith.separation(body).deg, abs=1e-9)
        if float(hc) < 89.99 and abs(lat) < 90.0:
            angle = position_angle(zenith.ra, zenith.dec, body.ra, body.dec).to_value(u.deg) % 360.0
            assert (float(zn) - angle + 180.0) % 360.0 - 180.0 == pytest.approx(0.0, abs=1e-9)
