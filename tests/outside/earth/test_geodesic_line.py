"""Lines worked without a library against GeographicLib, Karney's own implementation."""

from __future__ import annotations

import math

import numpy as np
import pytest
from geographiclib.geodesic import Geodesic

from nightleg.earth.ellipsoid import NM_M
from nightleg.earth.geodesic import along
from nightleg.earth.geodesic_line import between

LENGTH_M = 1e-6  # as in test_geodesics: room for the conversion between metres and nautical miles
ANGLE_DEG = 1e-10


@pytest.mark.parametrize("seed", range(4))
def test_lines_against_geographiclib(seed: int) -> None:
    draw = np.random.default_rng(seed)
    found = 0
    for _ in range(150):
        lat1, lat2 = np.degrees(np.arcsin(draw.uniform(-1, 1, 2)))
        lon1, lon2 = draw.uniform(-180, 180, 2)
        if seed == 3:  # short lines, down to some metres
            lat2 = min(max(lat1 + draw.normal(0.0, 10.0 ** draw.uniform(-5, 0)), -89.9), 89.9)
            lon2 = lon1 + draw.normal(0.0, 10.0 ** draw.uniform(-5, 0))
        theirs = Geodesic.WGS84.Inverse(lat1, lon1, lat2, lon2)
        line = between(lat1, lon1, lat2, lon2)
        if line is None:
            assert theirs["a12"] > 169.0  # degrees of arc: nearly opposite
            continue
        found += 1
        assert abs(line.distance_nm * NM_M - theirs["s12"]) < LENGTH_M
        shares = np.array([0.0, 0.3, 1.0])
        lats, lons = line.points(shares * line.distance_nm)
        for share, lat, lon in zip(shares, lats, lons, strict=True):
            there = Geodesic.WGS84.Direct(lat1, lon1, theirs["azi1"], share * theirs["s12"])
            apart = Geodesic.WGS84.Inverse(lat, lon, there["lat2"], there["lon2"])["s12"]
            assert apart < LENGTH_M
    assert found > 140


@pytest.mark.parametrize(
    "ends",
    [
        (0.0, 0.0, 0.0, 60.0),
        (0.0, 179.5, 0.0, -179.0),
        (80.0, 0.0, 80.0, 180.0),  # over the pole
        (89.0, 20.0, 90.0, 75.0),
        (-90.0, 0.0, -45.0, 10.0),
        (-30.0, 12.0, 50.0, 12.0),
    ],
)
def test_special_lines(ends: tuple[float, float, float, float]) -> None:
    line = between(*ends)
    assert line is not None
    assert abs(line.distance_nm * NM_M - Geodesic.WGS84.Inverse(*ends)["s12"]) < LENGTH_M
    lats, lons = line.points(np.array([0.0, line.distance_nm]))
    for lat, lon, wanted in ((lats[0], lons[0], ends[:2]), (lats[1], lons[1], ends[2:])):
        assert Geodesic.WGS84.Inverse(lat, lon, *wanted)["s12"] < LENGTH_M


def test_no_line_between_opposite_or_same_points() -> None:
    assert between(-30.0, 0.0, 29.9, 179.8) is None
    assert between(41.5, -28.25, 41.5, -28.25) is None
    assert between(math.nan, 0.0, 1.0, 1.0) is None
    assert between(95.0, 0.0, 1.0, 1.0) is None


def test_nearly_opposite_points_are_joined_all_the_same() -> None:
    lats, lons = along(-30.0, 0.0, 29.9, 179.8, 100.0)
    assert (lats[-1], lons[-1]) == pytest.approx((29.9, 179.8), abs=ANGLE_DEG)
