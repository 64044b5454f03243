"""Turns at a constant bank: the arc against numerical integration, carried there and back, and where plots begin."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from nightleg.air.motion import LegMotion, fly_heading, wind_vector
from nightleg.air.reckoning import Reckoning, carry_beside
from nightleg.air.turn import Turn, radius_nm, turn_between
from nightleg.earth.ellipsoid import meridian_radius_nm, normal_radius_nm
from nightleg.earth.local import between

WIND = (310.0, 45.0)
P0 = ((4.0, 0.0), (0.0, 4.0))


def leg(start_s: float, heading: float, turn: Turn | None = None, tas: float = 430.0, steering: str = "rhumb"):
    track, gs = fly_heading(heading, tas, *WIND)
    return LegMotion(start_s, math.inf, heading, tas, *WIND, track, gs, 31000.0, None, steering, turn=turn)


def turned(old: float, new: float, bank: float = 25.0, lat: float = 41.5, steering: str = "rhumb") -> Reckoning:
    arc = turn_between(old, new, 430.0, bank)
    return Reckoning((leg(0.0, old), leg(1800.0, new, arc, steering=steering)), 0.0, lat, -28.25, P0, 12.0)


def apart_nm(a, b) -> float:
    return float(np.max(np.hypot(*between(a[0], a[1], b[0], b[1]))))


@pytest.mark.parametrize(
    ("old", "new", "by"), [(262.0, 20.0, 118.0), (20.0, 262.0, -118.0), (350.0, 10.0, 20.0), (0.0, 180.0, 180.0)]
)
def test_the_heading_turns_the_shorter_way(old: float, new: float, by: float) -> None:
    arc = turn_between(old, new, 430.0, 25.0)
    assert arc is not None
    assert arc.by_deg == pytest.approx(by, abs=1e-9)
    assert arc.heading_deg(arc.duration_s) == pytest.approx(new, abs=1e-9)
    assert arc.heading_deg(arc.duration_s / 2.0) == pytest.approx((old + by / 2.0) % 360.0, abs=1e-9)


def test_there_is_no_turn_without_bank_speed_or_change() -> None:
    assert turn_between(90.0, 90.0, 430.0, 25.0) is None
    assert turn_between(90.0, 120.0, 430.0, 0.0) is None
    assert turn_between(90.0, 120.0, 0.0, 25.0) is None


@pytest.mark.parametrize(("old", "new"), [(262.0, 190.0), (262.0, 20.0), (80.0, 260.0)])
@pytest.mark.parametrize("lat", [-62.0, 0.5, 41.5, 75.0])
def test_the_arc_is_that_of_the_motion_integrated(old: float, new: float, lat: float) -> None:
    """The air vector turns at g·tan(bank)/V, the wind is added, and both are laid off on the ellipsoid."""
    plot = turned(old, new, lat=lat)
    arc = plot.legs[1].turn
    assert arc is not None
    wind_n, wind_e = wind_vector(*WIND)
    rate = math.degrees(9.80665 * math.tan(math.radians(25.0)) / (430.0 * 1852.0 / 3600.0))

    def motion(t: float, at: np.ndarray) -> list[float]:
        h = math.radians(old + math.copysign(rate, arc.by_deg) * (t - 1800.0))
        north, east = 430.0 * math.cos(h) + wind_n, 430.0 * math.sin(h) + wind_e
        return [
            math.degrees(north / 3600.0 / float(meridian_radius_nm(at[0]))),
            math.degrees(east / 3600.0 / float(normal_radius_nm(at[0]) * math.cos(math.radians(at[0])))),
        ]

    begin = [float(x) for x in plot.position(1800.0)]
    for share in (0.3, 1.0):
        end_s = 1800.0 + share * arc.duration_s
        there = solve_ivp(motion, (1800.0, end_s), begin, rtol=1e-12, atol=1e-13).y[:, -1]
        # a metre is 0.0005 NM: both are exact to far less, the quadrature and the integration to some millimetres
        assert apart_nm(plot.position(end_s), there) < 1e-5
        assert plot.heading(end_s - 1e-9) == pytest.approx((old + share * arc.by_deg) % 360.0, abs=1e-6)


def test_without_wind_it_is_a_circle_of_that_radius() -> None:
    arc = turn_between(0.0, 180.0, 430.0, 25.0)
    still = LegMotion(0.0, math.inf, 0.0, 430.0, 0.0, 0.0, 0.0, 430.0, 31000.0, None, "rhumb")
    second = LegMotion(600.0, math.inf, 180.0, 430.0, 0.0, 0.0, 180.0, 430.0, 31000.0, None, "rhumb", turn=arc)
    plot = Reckoning((still, second), 0.0, 0.0, 0.0, P0, 12.0)
    assert arc is not None
    north, east = between(*plot.position(600.0), *plot.position(600.0 + arc.duration_s))
    assert float(east) == pytest.approx(2.0 * float(radius_nm(430.0, 25.0)), abs=1e-3)  # on the curved Earth, 12 NM
    assert float(north) == pytest.approx(0.0, abs=1e-3)


@given(
    times=st.tuples(st.floats(0.0, 4000.0), st.floats(0.0, 4000.0)),
    off=st.tuples(st.floats(-60.0, 60.0), st.floats(-60.0, 60.0)),
    great=st.booleans(),
    new=st.floats(0.0, 359.0),
)
@settings(max_examples=80, deadline=None)
def test_carrying_through_a_turn_there_and_back(times, off, great: bool, new: float) -> None:
    plot = turned(262.0, new, bank=15.0, steering="great_circle" if great else "rhumb")
    lat, lon = np.array([40.0 + off[0] / 60.0]), np.array([-30.0 + off[1] / 60.0])
    there = plot.carry(lat, lon, times[0], times[1])
    back = plot.carry(*there, times[1], times[0])
    # rounding of some thousand miles' longitudes: a micrometre
    assert apart_nm((lat, lon), back) < 1e-7


def test_plots_side_by_side_are_carried_through_a_turn_as_each_alone() -> None:
    plot = turned(262.0, 190.0)
    plots = [plot, plot.with_wind_changed(1.0, 0.0), plot.with_wind_changed(0.0, 1.0)]
    lat, lon = np.full((3, 1), 40.0), np.full((3, 1), -35.0)
    times = np.array([1790.0, 1830.0, 2500.0])
    together = carry_beside(plots, lat, lon, 1845.0, times)
    for k, one in enumerate(plots):
        alone = one.carry(40.0, -35.0, 1845.0, times)
        assert apart_nm((together[0][k], together[1][k]), alone) < 1e-9


def test_track_and_ground_speed_are_those_of_the_moment() -> None:
    plot = turned(262.0, 20.0)
    arc = plot.legs[1].turn
    assert arc is not None
    middle = 1800.0 + arc.duration_s / 2.0
    track, gs = fly_heading(321.0, 430.0, *WIND)
    assert plot.track(middle) == pytest.approx(track, abs=1e-9)
    assert plot.gs_kt(middle) == pytest.approx(gs, abs=1e-9)
    assert plot.turning(1799.9) is None and plot.turning(1800.0 + arc.duration_s) is None
    assert plot.run_nm(1800.0) == pytest.approx(plot.legs[0].gs_kt / 2.0, abs=1e-9)
    chords = np.array(plot.position(np.linspace(1800.0, 1800.0 + arc.duration_s, 400)))
    steps = np.hypot(*between(*chords[:, :-1], *chords[:, 1:]))
    along = plot.run_nm(1800.0 + arc.duration_s) - plot.run_nm(1800.0)
    assert along == pytest.approx(float(np.sum(steps)), abs=2e-3)  # the arc is cut into 24 pieces there
