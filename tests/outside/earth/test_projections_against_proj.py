"""Chart projections against PROJ and against the worked examples of IOGP guidance note 7-2."""

from __future__ import annotations

import numpy as np
import pyproj
import pytest

from nightleg.earth.conformal import wrap_deg
from nightleg.earth.ellipsoid import NM_M
from nightleg.earth.projection import LambertConformal, Mercator, PolarStereographic, Projection

SHEETS = [
    (Mercator(0.0, 0.0), "+proj=merc +lon_0=0 +lat_ts=0"),
    (Mercator(-170.0, 40.0), "+proj=merc +lon_0=-170 +lat_ts=40"),
    (Mercator(25.0, -12.0), "+proj=merc +lon_0=25 +lat_ts=-12"),
    (LambertConformal(-30.0, 41.0, 38.0, 46.0), "+proj=lcc +lon_0=-30 +lat_0=41 +lat_1=38 +lat_2=46"),
    (LambertConformal(178.0, 20.0, 2.0, 38.0), "+proj=lcc +lon_0=178 +lat_0=20 +lat_1=2 +lat_2=38"),
    (LambertConformal(150.0, -41.0, -50.0, -30.0), "+proj=lcc +lon_0=150 +lat_0=-41 +lat_1=-50 +lat_2=-30"),
    (LambertConformal(-70.0, 55.0, 55.0, 55.0), "+proj=lcc +lon_0=-70 +lat_0=55 +lat_1=55 +lat_2=55"),
    (PolarStereographic(-45.0, 75.0), "+proj=stere +lat_0=90 +lat_ts=75 +lon_0=-45"),
    (PolarStereographic(-30.0, -71.0), "+proj=stere +lat_0=-90 +lat_ts=-71 +lon_0=-30"),
    (PolarStereographic(170.0, 90.0), "+proj=stere +lat_0=90 +lat_ts=90 +lon_0=170"),
]
IDS = [definition for _, definition in SHEETS]


def grid(sheet: Projection) -> tuple[np.ndarray, np.ndarray]:
    """Places all over what the sheet can show, the cut of the cone left out."""
    south, north = sheet.lat_limits_deg
    lat, relative = np.meshgrid(np.linspace(south, north, 41), np.linspace(-179.5, 179.5, 51))
    return lat, wrap_deg(relative + sheet.lon_0_deg)


@pytest.mark.parametrize(("sheet", "definition"), SHEETS, ids=IDS)
def test_places_agree_with_proj(sheet: Projection, definition: str) -> None:
    lat, lon = grid(sheet)
    east_m, north_m = pyproj.Proj(definition + " +ellps=WGS84")(lon, lat)
    x, y = sheet.forward(lat, lon)
    # 1e-9 NM are two micrometres: rounding of numbers of 1e4 NM in both.
    np.testing.assert_allclose(x, east_m / NM_M, rtol=0.0, atol=1e-9)
    np.testing.assert_allclose(y, north_m / NM_M, rtol=0.0, atol=1e-9)


@pytest.mark.parametrize(("sheet", "definition"), SHEETS, ids=IDS)
def test_places_found_again_agree_with_proj(sheet: Projection, definition: str) -> None:
    lat, lon = grid(sheet)
    x, y = sheet.forward(lat, lon)
    proj_lon, proj_lat = pyproj.Proj(definition + " +ellps=WGS84")(x * NM_M, y * NM_M, inverse=True)
    lat_found, lon_found = sheet.inverse(x, y)
    # PROJ iterates latitudes to 1e-10 rad (6e-9 degrees).
    np.testing.assert_allclose(lat_found, proj_lat, rtol=0.0, atol=1e-8)
    away = np.abs(lat) < 90.0  # at a pole any longitude is right
    np.testing.assert_allclose(wrap_deg(lon_found - proj_lon)[away], 0.0, rtol=0.0, atol=1e-10)


@pytest.mark.parametrize(("sheet", "definition"), SHEETS, ids=IDS)
def test_scale_and_convergence_agree_with_proj(sheet: Projection, definition: str) -> None:
    lat, lon = grid(sheet)
    lat = np.clip(
        lat, -85.0, 85.0
    )  # PROJ differentiates over 1e-5 rad: near a pole across a good part of the way to it
    factors = pyproj.Proj(definition + " +ellps=WGS84").get_factors(lon, lat)
    # Relative error of PROJ's differences at 85°: (1e-5 tan 85°)², 1e-8.
    np.testing.assert_allclose(sheet.scale(lat, lon), factors.meridional_scale, rtol=2e-8, atol=0.0)
    np.testing.assert_allclose(sheet.scale(lat, lon), factors.parallel_scale, rtol=2e-8, atol=0.0)
    difference = wrap_deg(sheet.convergence_deg(lat, lon) - factors.meridian_convergence)
    np.testing.assert_allclose(difference, 0.0, rtol=0.0, atol=1e-6)


def test_guidance_note_example_of_the_north_polar_grid() -> None:
    # IOGP guidance note 7-2, Polar Stereographic (variant A), WGS 84 / UPS North, printed to the centimetre:
    # 73°N 44°E -> E 3320416.75, N 632668.43, with scale 0.994 at the pole and 2 000 000 m added.
    x, y = PolarStereographic(0.0, 90.0).forward(73.0, 44.0)
    assert 2e6 + 0.994 * x * NM_M == pytest.approx(3320416.75, abs=0.005)
    assert 2e6 + 0.994 * y * NM_M == pytest.approx(632668.43, abs=0.005)


def test_technical_manual_example_of_scale_and_convergence() -> None:
    # DMA TM 8358.2 (1989), page 3-7, the same place: convergence +44.0°, point scale 1.01619505 (0.994 at the pole).
    sheet = PolarStereographic(0.0, 90.0)
    assert 0.994 * sheet.scale(73.0, 44.0) == pytest.approx(1.01619505, abs=5e-9)
    assert sheet.convergence_deg(73.0, 44.0) == pytest.approx(44.0, abs=1e-12)


def test_guidance_note_example_of_the_antarctic_grid() -> None:
    # IOGP guidance note 7-2, Polar Stereographic (variant B), WGS 84 / Australian Antarctic, printed to the centimetre:
    # 75°S 120°E -> E 7255380.79, N 7053389.56, with 6 000 000 m added.
    x, y = PolarStereographic(70.0, -71.0).forward(-75.0, 120.0)
    assert 6e6 + x * NM_M == pytest.approx(7255380.79, abs=0.005)
    assert 6e6 + y * NM_M == pytest.approx(7053389.56, abs=0.005)
