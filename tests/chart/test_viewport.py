"""Views: px and places there and back, zoom and pan, framing what matters."""

from __future__ import annotations

import math

import numpy as np
import pytest
from synthetic import crossing

from nightleg.chart.fit import fit
from nightleg.chart.scene import ChartScene
from nightleg.chart.viewport import Margins, Viewport, frame_points
from nightleg.earth.geodesic import inverse
from nightleg.earth.projection import LambertConformal, Mercator, PolarStereographic, Projection
from nightleg.fix.ellipse import outline
from nightleg.units.positions import Position

VIEWS = [
    (Mercator(-30.0, 12.0), 12.0, -31.0),
    (LambertConformal(-29.0, 39.0, 36.0, 42.0), 39.2, -27.0),
    (LambertConformal(179.0, -49.0, -52.0, -46.0), -50.0, -179.0),
    (PolarStereographic(-120.0, 85.0), 87.5, 60.0),
]


def _view(projection: Projection, lat: float, lon: float) -> Viewport:
    x, y = projection.forward(lat, lon)
    return Viewport(projection, float(x), float(y), 0.4, 1366, 768, Margins(60.0, 50.0, 20.0, 40.0))


@pytest.mark.parametrize(("projection", "lat", "lon"), VIEWS)
def test_px_and_places_there_and_back(projection: Projection, lat: float, lon: float) -> None:
    view = _view(projection, lat, lon)
    x, y = np.meshgrid(np.linspace(0, 1366, 12), np.linspace(0, 768, 9))
    back_x, back_y = view.to_px(*view.to_position(x, y))
    # Far below what can be seen: the projections invert to about a millimetre on the ground.
    assert np.abs(back_x - x).max() < 1e-6 and np.abs(back_y - y).max() < 1e-6
    assert view.point(view.centre) == pytest.approx(view.middle_px)


@pytest.mark.parametrize(("projection", "lat", "lon"), VIEWS)
def test_scale_in_the_middle_is_that_of_the_ellipsoid(projection: Projection, lat: float, lon: float) -> None:
    view = _view(projection, lat, lon)
    cx, cy = view.middle_px
    for dx, dy in ((10.0, 0.0), (0.0, 10.0)):
        here, there = view.to_position((cx - dx, cx + dx), (cy - dy, cy + dy))
        distance_nm = float(inverse(here[0], there[0], here[1], there[1])[0])  # PROJ's geodesic, on its own
        # 20 px are 8 NM: across them the scale changes by less than 1e-4.
        assert distance_nm / 20.0 == pytest.approx(view.true_nm_per_px(), rel=2e-4)


@pytest.mark.parametrize(("projection", "lat", "lon"), VIEWS)
def test_directions_on_the_picture(projection: Projection, lat: float, lon: float) -> None:
    view = _view(projection, lat, lon)
    here = Position(lat, lon)
    x, y = view.point(here)
    north = view.point(Position(lat + 0.01, lon))
    expected = math.degrees(math.atan2(north[0] - x, y - north[1]))
    shown = view.direction_deg(here, 0.0)
    assert (shown - expected + 180.0) % 360.0 - 180.0 == pytest.approx(0.0, abs=0.02)  # degrees; a step of 0.6 NM


def test_zoom_holds_the_place_under_the_cursor_and_pan_moves_by_px() -> None:
    view = _view(*VIEWS[1])
    place = Position(*(float(v) for v in view.to_position(900.0, 200.0)))
    zoomed = view.zoomed(1.7, 900.0, 200.0)
    assert zoomed.point(place) == pytest.approx((900.0, 200.0))
    assert zoomed.nm_per_px == pytest.approx(0.4 / 1.7)
    assert view.panned(30.0, -12.0).point(place) == pytest.approx((930.0, 188.0))


def _inside(view: Viewport, place: Position) -> bool:
    return view.frame.holds(*view.point(place))


def test_the_plot_is_framed() -> None:
    starts = (Position(40.0, -24.0), Position(-70.0, 179.0), Position(1.0, 0.0), Position(86.0, 10.0))
    for seed, start in enumerate(starts):
        for fixes in (1, 4):
            scene = crossing(start=start, fixes=fixes, seed=seed, minutes_after=20.0)
            view = fit(scene, (1366, 768), margins=Margins(60.0, 50.0, 20.0, 40.0))
            fix, dr = scene.current_fix, scene.dr
            assert fix is not None and fix.ellipse95 is not None and dr is not None
            assert _inside(view, fix.position) and _inside(view, dr.position)
            for lat, lon in zip(*outline(*fix.position, fix.ellipse95), strict=True):
                assert _inside(view, Position(float(lat), float(lon)))
            # Not the whole ocean: the 95 % ellipse, some 24 NM long, is no speck.
            assert view.true_nm_per_px() < 0.8


def test_the_whole_flight_is_framed() -> None:
    scene = crossing(fixes=5, seed=2)
    view = fit(scene, (1366, 768), extent="flight")
    assert all(_inside(view, place) for run in scene.runs for place in run.points)


def test_a_projection_in_use_is_kept_while_it_serves() -> None:
    scene = crossing(seed=1)
    first = fit(scene, (800, 600))
    again = fit(crossing(seed=1, minutes_after=6.0), (800, 600), current=first.projection)
    assert again.projection is first.projection


def test_empty_scenes_and_places_that_cannot_be_shown() -> None:
    from synthetic import START

    view = fit(ChartScene("", "", START), (640, 480))
    assert math.isfinite(view.x_nm) and view.nm_per_px > 0.0
    view = frame_points(Mercator(), [90.0, np.nan], [0.0, 5.0], (640, 480))
    assert math.isfinite(view.y_nm)
    one = frame_points(Mercator(), [10.0], [20.0], (640, 480), least_nm=60.0)
    assert one.true_nm_per_px() * 480 == pytest.approx(60.0, rel=1e-6)


def test_a_view_of_nothing_is_refused() -> None:
    with pytest.raises(ValueError, match="no room for a chart"):
        Viewport(Mercator(), 0.0, 0.0, 1.0, 50, 50, Margins(30.0, 30.0, 30.0, 30.0))
    with pytest.raises(ValueError, match="NM per px"):
        Viewport(Mercator(), 0.0, 0.0, 0.0, 500, 500)
