"""Geodesics: conventions, edges and shapes. The numbers are checked in tests/outside/earth."""

from __future__ import annotations

import math
import subprocess
import sys

import numpy as np
import pytest

from nightleg.earth.geodesic import along, direct, inverse


def test_directions_of_travel() -> None:
    nm, start, end = inverse(0.0, 0.0, 0.0, 10.0)
    assert (start, end) == pytest.approx((90.0, 90.0))
    nm, start, end = inverse(50.0, 10.0, 50.0, -10.0)  # the great circle bends toward the pole
    assert start > 270.0 and end < 270.0
    lat, lon, at_end = direct(50.0, 10.0, start, nm)
    assert (lat, lon, at_end) == pytest.approx((50.0, -10.0, end), abs=1e-9)


def test_across_the_180th_meridian() -> None:
    lat, lon, _ = direct(0.0, 179.5, 90.0, 60.0)
    assert lat == pytest.approx(0.0, abs=1e-12)
    assert -180.0 <= lon < -179.4
    assert inverse(0.0, 179.5, 0.0, lon)[0] == pytest.approx(60.0, abs=1e-9)
    assert inverse(0.0, 179.5, 0.0, lon + 360.0)[0] == pytest.approx(60.0, abs=1e-9)


def test_poles() -> None:
    nm, start, _ = inverse(89.0, 20.0, 90.0, 75.0)
    assert start == pytest.approx(0.0, abs=1e-9)
    lat, lon, end = direct(89.0, 20.0, 0.0, 2.0 * nm)  # over the pole and down the other side
    assert (lat, abs(lon - 20.0), end) == pytest.approx((89.0, 180.0, 180.0), abs=1e-9)


def test_equal_points_and_backward() -> None:
    assert inverse(41.5, -28.25, 41.5, -28.25) == (0.0, 0.0, 0.0)
    assert direct(41.5, -28.25, 123.0, 0.0) == pytest.approx((41.5, -28.25, 123.0), abs=1e-12)
    forth = direct(41.5, -28.25, 258.0, 100.0)
    assert direct(*forth, -100.0) == pytest.approx((41.5, -28.25, 258.0), abs=1e-10)


@pytest.mark.parametrize("bad", [math.nan, math.inf, -math.inf, 95.0])
def test_no_place_gives_nan(bad: float) -> None:
    assert all(np.isnan(direct(bad, 0.0, 0.0, 1.0)))
    assert all(np.isnan(inverse(bad, 0.0, 0.0, 0.0)))
    assert all(np.isnan(inverse(0.0, 0.0, bad, 0.0)))
    lat, lon, _ = direct([bad, 10.0], 0.0, 0.0, 60.0)  # the good element is unharmed
    assert np.isnan(lat[0]) and lat[1] == pytest.approx(11.0, abs=0.01) and lon[1] == 0.0


def test_shapes_and_arguments_kept() -> None:
    lats = np.array([[10.0], [20.0]])
    lat, lon, end = direct(lats, [0.0, 1.0, 2.0], 90.0, 60.0)
    assert lat.shape == lon.shape == end.shape == (2, 3)
    assert lats.tolist() == [[10.0], [20.0]]
    assert np.ndim(inverse(0, 0, 1, 1)[0]) == 0
    assert direct([], [], [], [])[0].shape == (0,)


def test_along() -> None:
    lat, lon = along(40.0, -10.0, 50.0, -60.0, 100.0)
    assert (lat[0], lon[0]) == pytest.approx((40.0, -10.0), abs=1e-10)
    assert (lat[-1], lon[-1]) == pytest.approx((50.0, -60.0), abs=1e-9)
    steps, _, _ = inverse(lat[:-1], lon[:-1], lat[1:], lon[1:])
    assert np.ptp(steps) < 1e-6 and 90.0 < steps[0] <= 100.0
    assert len(along(0.0, 0.0, 0.0, 0.0, 5.0)[0]) == 2
    with pytest.raises(ValueError, match="spacing"):
        along(0.0, 0.0, 1.0, 1.0, 0.0)
    with pytest.raises(ValueError, match="not two places"):
        along(math.nan, 0.0, 1.0, 1.0, 10.0)


def test_the_library_is_loaded_only_when_used() -> None:
    code = "import sys, nightleg.earth.geodesic; sys.exit('pyproj' in sys.modules)"
    assert (
        subprocess.run([sys.executable, "-c", code], env={"PYTHONPATH": ":".join(sys.path)}, check=False).returncode
        == 0
    )
