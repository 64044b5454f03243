"""The chart of a flight with a grid: its own projection, grid north up, lines parallel to the reference meridian."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pyproj
import pytest
from synthetic import crossing

from nightleg.chart.export import sheet_of
from nightleg.chart.follow import suited
from nightleg.chart.gridsheet import sheet_for
from nightleg.chart.layers.gridlines import grid_lines, grid_north_deg
from nightleg.chart.paths import of_runs, to_px
from nightleg.chart.themes import THEMES
from nightleg.earth.ellipsoid import NM_M
from nightleg.earth.projection import LambertConformal, Mercator, PolarStereographic
from nightleg.fix.ellipse import Ellipse, outline
from nightleg.flight.grids import convergence
from nightleg.flight.model import Grid
from nightleg.units.positions import Position

SIZE = (1000, 700)
POLAR, LAMBERT = Grid(), Grid(chart="lambert", first_parallel_deg=33.0, second_parallel_deg=45.0, reference_deg=-40.0)


def sheet(start: Position, grid: Grid | None):
    return sheet_of(replace(crossing(start=start, fixes=1), grid=grid), THEMES["paper"], SIZE)


@pytest.mark.parametrize(
    ("start", "grid"),
    [
        (Position(78.0, -95.0), POLAR),
        (Position(88.0, 130.0), POLAR),
        (Position(-74.0, 60.0), POLAR),
        (Position(-89.0, -20.0), Grid(reference_deg=150.0)),
        (Position(60.0, 20.0), POLAR),
        (Position(40.3, -24.2), LAMBERT),
        (Position(-38.0, 150.0), Grid(chart="lambert", cone_latitude_deg=-40.0, reference_deg=145.0)),
    ],
)
def test_lines_point_to_grid_north(start: Position, grid: Grid) -> None:
    """The way along a line, by GeographicLib in pyproj, is on true azimuth = convergence: grid 000."""
    drawn = sheet(start, grid)
    runs = grid_lines(drawn)
    assert runs
    for run in runs:
        lat, lon = drawn.view.to_position(*(run[0] + (run[-1] - run[0]) * np.array([[0.4], [0.401]])).T)
        azimuth = pyproj.Geod(ellps="WGS84").inv(lon[0], lat[0], lon[1], lat[1])[0]
        wanted = convergence(grid, float(lat[0]), float(lon[0]))
        # a thousandth of the line is straight to a hundredth of a degree, but a mile from the pole
        assert abs((azimuth - wanted + 180.0) % 360.0 - 180.0) < 0.2


def test_lines_stand_a_whole_number_of_steps_from_the_reference_meridian() -> None:
    drawn = sheet(Position(88.5, 40.0), POLAR)
    pole = np.array(drawn.view.point(Position(90.0, 0.0)))
    off = [(run[0] - pole)[0] for run in grid_lines(drawn)]
    assert min(abs(one) for one in off) < 1e-6  # that through the pole is the reference meridian
    steps = np.diff(sorted(off))
    assert np.ptp(steps) < 1e-6


def test_a_gridded_chart_has_grid_north_up() -> None:
    for start, grid in (
        (Position(80.0, 170.0), POLAR),
        (Position(-80.0, 20.0), POLAR),
        (Position(42.0, -30.0), LAMBERT),
    ):
        view = sheet(start, grid).view
        assert view.projection.lon_0_deg == grid.reference_deg
        assert grid_north_deg(view, grid) == 0.0


def test_the_grids_own_cone_is_drawn_as_proj_draws_it() -> None:
    own = sheet_for([38.0, 42.0], [-35.0, -20.0], None, LAMBERT)
    assert isinstance(own, LambertConformal)
    lat, lon = np.array([35.0, 44.0, 51.0]), np.array([-60.0, -40.0, 0.0])
    proj = pyproj.Proj("+proj=lcc +lon_0=-40 +lat_0=39 +lat_1=33 +lat_2=45 +ellps=WGS84")
    x, y = own.forward(lat, lon)
    east_m, north_m = proj(lon, lat)
    # micrometres: rounding of numbers of 1e3 NM
    np.testing.assert_allclose((x, y), (east_m / NM_M, north_m / NM_M), rtol=0.0, atol=1e-9)
    # PROJ gives the convergence of its own sheet: grid = true - n (longitude - reference)
    factors = proj.get_factors(lon, lat)
    np.testing.assert_allclose(
        [convergence(LAMBERT, float(a), float(b)) for a, b in zip(lat, lon, strict=True)],
        factors.meridian_convergence,
        atol=1e-6,  # degrees; PROJ takes differences
    )


def test_where_the_grids_chart_does_not_serve_the_usual_one_is_drawn() -> None:
    assert isinstance(sheet_for([2.0, 8.0], [10.0, 20.0], None, POLAR), Mercator)
    assert isinstance(sheet_for([-50.0, -44.0], [10.0, 20.0], None, LAMBERT), LambertConformal)
    assert sheet_for([-50.0, -44.0], [10.0, 20.0], None, LAMBERT).n < 0.0
    assert not grid_lines(sheet(Position(5.0, 10.0), POLAR))
    assert not grid_lines(sheet(Position(40.3, -24.2), None))


def test_near_the_poles_the_chart_chooses_the_polar_sheet_by_itself() -> None:
    for lat in (85.0, 88.0, 89.9, -85.0, -89.9):
        projection = sheet(Position(lat, 40.0), None).view.projection
        assert isinstance(projection, PolarStereographic) and projection.n == np.sign(lat)


def test_a_view_at_rest_stays_on_the_grids_chart() -> None:
    view = sheet(Position(60.0, 20.0), POLAR).view
    assert suited(view, POLAR) == view
    assert isinstance(suited(view).projection, LambertConformal)


@pytest.mark.parametrize("middle", [Position(89.93, -99.0), Position(-89.99, 10.0), Position(86.0, 179.9)])
def test_an_ellipse_over_the_pole_is_an_ellipse(middle: Position) -> None:
    """On the polar sheet, conformal and near its true scale, half axes and centre are those given."""
    shape = Ellipse(20.0, 2.0, 160.0)
    lats, lons = outline(*middle, shape)
    x, y = PolarStereographic(0.0, np.copysign(90.0, middle.lat)).forward(lats, lons)
    cx, cy = PolarStereographic(0.0, np.copysign(90.0, middle.lat)).forward(*middle)
    away = np.hypot(x - cx, y - cy)
    # scale of the sheet within 4° of the pole: 1.0012 at most
    assert away.max() == pytest.approx(20.0, rel=2e-3)
    assert away.min() == pytest.approx(2.0, rel=2e-3)


def test_what_crosses_the_pole_is_drawn_in_one_run() -> None:
    """A line over the pole: its points lie near each other on the picture, with no jump round the sheet."""
    line = tuple(Position(lat, -100.0) for lat in np.arange(88.0, 90.0, 0.1).tolist()) + tuple(
        Position(lat, 80.0) for lat in np.arange(89.95, 88.0, -0.1).tolist()
    )
    drawn = sheet(Position(89.5, 40.0), POLAR)
    points = to_px(drawn.view, of_runs([line]))
    steps = np.hypot(*np.diff(points[np.isfinite(points).all(axis=1)], axis=0).T)
    assert steps.max() < 2.5 * np.median(steps)
