"""Projections: round trips, angles, edges, and the choice. The numbers are checked in tests/outside/earth."""

from __future__ import annotations

import time

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from nightleg.earth.conformal import wrap_deg
from nightleg.earth.ellipsoid import meridian_radius_nm, normal_radius_nm
from nightleg.earth.projection import LambertConformal, Mercator, PolarStereographic, Projection, choose

SHEETS: list[Projection] = [
    Mercator(-170.0, 30.0),
    LambertConformal(-30.0, 41.0, 38.0, 46.0),
    LambertConformal(175.0, -41.0, -50.0, -30.0),
    PolarStereographic(-60.0, 75.0),
    PolarStereographic(100.0, -71.0),
]
NAMES = [sheet.name for sheet in SHEETS]
EACH = pytest.mark.parametrize("sheet", SHEETS, ids=NAMES)


@EACH
@given(share=st.floats(0.0, 1.0), relative=st.floats(-179.999, 179.999))
def test_there_and_back(sheet: Projection, share: float, relative: float) -> None:
    south, north = sheet.lat_limits_deg
    lat = south + share * (north - south)
    lon = float(wrap_deg(relative + sheet.lon_0_deg))
    lat_found, lon_found = sheet.inverse(*sheet.forward(lat, lon))
    assert lat_found == pytest.approx(lat, abs=1e-12)  # rounding: 0.1 micrometre
    across = np.cos(np.radians(lat)) * wrap_deg(lon_found - lon)
    assert across == pytest.approx(0.0, abs=1e-12)
    assert abs(lon_found) <= 180.0


@EACH
@given(share=st.floats(0.02, 0.98), relative=st.floats(-170.0, 170.0), azimuth=st.floats(0.0, 360.0))
def test_directions_and_lengths_are_true(sheet: Projection, share: float, relative: float, azimuth: float) -> None:
    """A short step on the ellipsoid is turned by the convergence and stretched by the scale, in every direction."""
    south, north = sheet.lat_limits_deg
    lat = south + share * (north - south)
    lon = sheet.lon_0_deg + relative
    step_nm, turn = 1e-3, np.radians(azimuth)
    half_lat = np.degrees(0.5 * step_nm * np.cos(turn) / meridian_radius_nm(lat))
    half_lon = np.degrees(0.5 * step_nm * np.sin(turn) / (normal_radius_nm(lat) * np.cos(np.radians(lat))))
    (x_1, y_1), (x_2, y_2) = (sheet.forward(lat + way * half_lat, lon + way * half_lon) for way in (-1.0, 1.0))
    length = np.hypot(x_2 - x_1, y_2 - y_1)
    direction = np.degrees(np.arctan2(x_2 - x_1, y_2 - y_1))
    # Coordinates of 1e4 NM are held to 2e-12 NM, the step is 1e-3 NM: 1e-8 with some room.
    assert length / step_nm == pytest.approx(sheet.scale(lat, lon), rel=3e-8)
    assert wrap_deg(direction + sheet.convergence_deg(lat, lon) - azimuth) == pytest.approx(0.0, abs=3e-6)


@EACH
def test_scale_is_one_on_the_parallels_said_to_be_true(sheet: Projection) -> None:
    parallels = (
        (sheet.lat_1_deg, sheet.lat_2_deg)
        if isinstance(sheet, LambertConformal)
        else (sheet.lat_ts_deg,)
        if isinstance(sheet, Mercator | PolarStereographic)
        else ()
    )
    assert parallels
    for lat in parallels:
        assert sheet.scale(lat, 12.0) == pytest.approx(1.0, abs=1e-13)
        assert f"{abs(lat):g}° {'N' if lat > 0 else 'S'}" in sheet.name


@EACH
def test_up_is_north_on_the_central_meridian_and_east_is_right(sheet: Projection) -> None:
    lat = 0.5 * sum(sheet.lat_limits_deg) + 10.0
    x, y = sheet.forward([lat, lat + 1.0, lat], [sheet.lon_0_deg, sheet.lon_0_deg, sheet.lon_0_deg + 1.0])
    assert x[:2] == pytest.approx(0.0, abs=1e-9)
    assert y[1] > y[0] and x[2] > 0.0


@EACH
def test_the_180th_meridian_is_a_line_like_any_other(sheet: Projection) -> None:
    lat = 0.5 * sum(sheet.lat_limits_deg)
    x, y = sheet.forward(lat, [180.0, -180.0, 179.999999, -179.999999, 540.0])
    assert np.ptp(x) < 1e-3 and np.ptp(y) < 1e-3  # a millionth of a degree is 6e-5 NM
    x, y = sheet.forward(lat, [190.0, -170.0, 550.0])
    assert np.ptp(x) < 1e-9 and np.ptp(y) < 1e-9


def test_a_line_that_runs_on_over_the_edge_stays_unbroken() -> None:
    lon = np.arange(150.0, 260.0, 1.0)
    x, _ = Mercator(0.0).forward(10.0, lon, wrap=False)
    assert np.ptp(np.diff(x)) < 1e-9
    wrapped, _ = Mercator(0.0).forward(10.0, lon)
    assert np.diff(wrapped).min() < 0.0


@EACH
def test_what_cannot_be_shown_is_nan_in_both(sheet: Projection) -> None:
    far_pole = -90.0 if sheet.n >= 0.0 else 90.0
    lat = np.array([far_pole, 91.0, -90.1, np.nan, np.inf, -np.inf, 10.0, 10.0, 10.0])
    lon = np.array([0.0, 0.0, 0.0, 0.0, 0.0, 0.0, np.nan, np.inf, -np.inf])
    with np.errstate(all="raise"):
        x, y = sheet.forward(lat, lon)
        scale = sheet.scale(lat, lon)
        convergence = sheet.convergence_deg(lat[1:], lon[1:])
        found = sheet.inverse([np.nan, 0.0, np.inf], [0.0, np.nan, 0.0])
    for array in (x, y, scale, convergence, *found):
        assert np.isnan(array).all()


@EACH
def test_scalars_and_shapes(sheet: Projection) -> None:
    x, y = sheet.forward(30.0, 20.0)
    assert x.shape == y.shape == ()
    x, y = sheet.forward(np.full((3, 1), 30.0), np.full(4, 20.0))
    assert x.shape == y.shape == (3, 4)
    lat, lon = sheet.inverse(np.zeros((2, 1)), np.ones(5))
    assert lat.shape == lon.shape == (2, 5)
    assert sheet.scale(np.full((3, 1), 30.0), np.full(4, 20.0)).shape == (3, 4)
    assert sheet.convergence_deg(np.full((3, 1), 30.0), np.full(4, 20.0)).shape == (3, 4)


def test_poles() -> None:
    for n in (1.0, -1.0):
        sheet = PolarStereographic(20.0, 75.0 * n)
        x, y = sheet.forward(90.0 * n, 133.0)
        assert x == pytest.approx(0.0, abs=1e-12) and y == pytest.approx(0.0, abs=1e-12)
        assert sheet.inverse(0.0, 0.0)[0] == 90.0 * n
        # The scale has no step at the pole: it differs from that 0.01° off by (0.01° in radians)² / 4 = 8e-9.
        assert sheet.scale(90.0 * n, 0.0) == pytest.approx(sheet.scale(89.99 * n, 0.0), abs=1e-8)
        cone = LambertConformal(20.0, 50.0 * n, 45.0 * n, 55.0 * n)
        x, y = cone.forward(90.0 * n, [20.0, -100.0])
        assert x == pytest.approx([0.0, 0.0], abs=1e-12) and y[0] == y[1]
        assert cone.inverse(x, y)[0] == pytest.approx([90.0 * n, 90.0 * n])


def test_the_gap_behind_a_cone_is_no_place() -> None:
    cone = LambertConformal(0.0, 40.0, 35.0, 45.0)
    _, apex = cone.forward(90.0, 0.0)
    assert np.isnan(cone.inverse(0.0, apex + 500.0)).all()
    assert np.isfinite(cone.inverse(0.0, apex - 500.0)).all()
    south = LambertConformal(0.0, -40.0, -45.0, -35.0)
    _, apex = south.forward(-90.0, 0.0)
    assert np.isnan(south.inverse(0.0, apex - 500.0)).all()
    assert np.isfinite(south.inverse(0.0, apex + 500.0)).all()


def test_grid_directions_on_polar_sheets() -> None:
    # The rule grid = true - n * longitude, common practice: 75N 090W true 000 -> 090; 75S 090W -> 270.
    for lat, lon, grid in ((75.0, -90.0, 90.0), (-75.0, -90.0, 270.0), (75.0, 90.0, 270.0)):
        sheet = PolarStereographic(0.0, lat)
        assert -sheet.convergence_deg(lat, lon) % 360.0 == pytest.approx(grid, abs=1e-12)


@pytest.mark.parametrize(
    "make",
    [
        lambda: Mercator(0.0, 90.0),
        lambda: Mercator(float("nan"), 0.0),
        lambda: LambertConformal(0.0, 0.0, 20.0, -20.0),
        lambda: LambertConformal(0.0, 40.0, 30.0, 90.0),
        lambda: LambertConformal(0.0, float("nan"), 30.0, 40.0),
        lambda: PolarStereographic(0.0, 0.0),
        lambda: PolarStereographic(float("inf"), 70.0),
    ],
)
def test_impossible_sheets_are_refused(make: object) -> None:
    assert callable(make)
    with pytest.raises(ValueError, match="needs"):
        make()


@pytest.mark.parametrize(
    ("lats", "lons", "kind"),
    [
        ([5.0, 15.0], [20.0, 40.0], "mercator"),
        ([-25.0, 20.0], [150.0, -160.0], "mercator"),
        ([38.0, 44.0], [-30.0, -60.0], "lambert"),
        ([-45.0, -30.0], [170.0, -150.0], "lambert"),
        ([10.0, 65.0], [0.0, 5.0], "lambert"),
        ([68.0, 80.0], [0.0, 20.0], "polar"),
        ([-70.0, -85.0], [100.0, 120.0], "polar"),
        ([64.0, 70.0, 66.0], [-150.0, 10.0, 130.0], "polar"),  # over the top
        ([90.0], [0.0], "polar"),
    ],
)
def test_the_choice_follows_the_area(lats: list[float], lons: list[float], kind: str) -> None:
    sheet = choose(lats, lons)
    assert sheet.kind == kind
    x, y = sheet.forward(lats, lons)
    assert np.isfinite(x).all() and np.isfinite(y).all()
    assert sheet.n * np.mean(lats) >= 0.0


def test_standard_parallels_stand_a_sixth_of_the_height_in() -> None:
    sheet = choose([36.0, 60.0], [-40.0, -10.0])
    assert sheet == LambertConformal(-25.0, 48.0, 40.0, 56.0)


def test_the_central_meridian_is_the_middle_across_the_180th_meridian() -> None:
    assert choose([40.0, 45.0, 44.0], [170.0, -170.0, 179.0]).lon_0_deg in (180.0, -180.0)
    assert choose([5.0, 6.0], [179.0, -161.0]).lon_0_deg == -171.0
    assert choose([5.0, 6.0], [350.0, 10.0]).lon_0_deg == 0.0
    # Many points at one end do not draw the middle to them.
    assert choose([40.0] * 101, [*np.full(100, -60.0), -20.0]).lon_0_deg == -40.0


@given(
    st.lists(st.tuples(st.floats(-90.0, 90.0), st.floats(-180.0, 180.0)), min_size=1, max_size=6),
)
def test_any_positions_get_a_sheet_that_keeps_itself(places: list[tuple[float, float]]) -> None:
    lats, lons = zip(*places, strict=True)
    sheet = choose(lats, lons)
    assert choose(lats, lons, sheet) is sheet
    assert abs(sheet.lon_0_deg) <= 180.0


def test_a_small_change_of_the_area_does_not_change_the_sheet() -> None:
    for south in (24.0, 38.0, 70.0):  # beside each of the limits too
        sheet = choose([south, south + 6.0], [-30.0, -10.0])
        for moved in (-1.5, 1.5):
            assert choose([south + moved, south + 6.0 + moved], [-30.0 + moved, -10.0 + moved], sheet) is sheet
    sheet = choose([38.0, 44.0], [-30.0, -10.0])
    assert choose([55.0, 60.0], [-30.0, -10.0], sheet) != sheet
    assert choose([38.0, 44.0], [100.0, 120.0], sheet).lon_0_deg == 110.0
    assert choose([-38.0, -44.0], [-30.0, -10.0], sheet).n < 0.0


def test_nothing_to_show_keeps_what_there_is() -> None:
    assert choose([], []) == Mercator()
    assert choose([np.nan, 95.0], [0.0, 0.0]) == Mercator()
    sheet = PolarStereographic(10.0, 80.0)
    assert choose([np.inf], [0.0], sheet) is sheet
    assert choose([np.nan, 5.0], [0.0, 7.0]).lon_0_deg == 7.0


@EACH
def test_five_thousand_points_take_no_time(sheet: Projection) -> None:
    """Within 20 times what numpy takes for a sine and an exponential of them, whatever the machine."""
    lat, lon = np.linspace(-20.0, 20.0, 5000), np.linspace(-180.0, 180.0, 5000)

    def median_s(work: object) -> float:
        assert callable(work)
        times = []
        for _ in range(31):
            begun = time.perf_counter()
            work()
            times.append(time.perf_counter() - begun)
        return float(np.median(times))

    floor_s = median_s(lambda: np.exp(np.sin(lat)))
    assert median_s(lambda: sheet.forward(lat, lon)) < 20.0 * floor_s
