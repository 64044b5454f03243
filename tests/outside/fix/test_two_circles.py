"""Two circles of equal altitude meet where spherical trigonometry says: altitudes by Astropy at both places."""

from __future__ import annotations

import numpy as np
import pytest
from astropy import units as u
from astropy.coordinates import SkyCoord

from nightleg.fix.circles import crossings


@pytest.mark.parametrize("seed", range(8))
def test_both_places_see_both_altitudes(seed: int) -> None:
    rng = np.random.default_rng(seed)
    place = SkyCoord(rng.uniform(-180, 180) * u.deg, np.degrees(np.arcsin(rng.uniform(-1, 1))) * u.deg)
    bodies = [SkyCoord(rng.uniform(-180, 180) * u.deg, rng.uniform(-60, 60) * u.deg) for _ in range(2)]
    heights = [90.0 - place.separation(body).deg for body in bodies]
    found = crossings(
        -bodies[0].ra.deg, bodies[0].dec.deg, heights[0], -bodies[1].ra.deg, bodies[1].dec.deg, heights[1]
    )
    assert len(found) == 2
    for lat, lon in found:
        there = SkyCoord(lon * u.deg, lat * u.deg)
        for body, height in zip(bodies, heights, strict=True):
            assert 90.0 - there.separation(body).deg == pytest.approx(height, abs=1e-7)
    nearest = min(place.separation(SkyCoord(lon * u.deg, lat * u.deg)).deg for lat, lon in found)
    assert nearest == pytest.approx(0.0, abs=1e-5)


def test_circles_that_do_not_meet_and_one_body() -> None:
    assert crossings(0.0, 0.0, 80.0, 90.0, 0.0, 80.0) == ()
    assert crossings(10.0, 20.0, 40.0, 10.0, 20.0, 41.0) == ()
