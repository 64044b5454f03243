"""The chain from reading to Ho, and the preset back: every step, every edge."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from nightleg.sight.averaging import even_spread_min2, scatter_arcmin, series_spread_min2
from nightleg.sight.chain import body_motion, compute, correct, observer_motion, preset_deg
from nightleg.sight.observation import Observations, window_correction_arcmin

SIDEREAL_MIN = 15.041067 / 60.0
TABLE = ((10.0, 0.6), (30.0, 0.2), (60.0, -0.3))


def shot(**given: float) -> Observations:
    """One shot of a star from a jet, with the fields given changed."""
    base = {
        "hs_deg": 40.0,
        "sextant_arcmin": 0.0,
        "window_arcmin": 0.0,
        "spread_min2": 4.0 / 12.0,
        "natural": 0.0,
        "dip_arcmin": 0.0,
        "limb": 0.0,
        "gha_deg": 60.0,
        "dec_deg": 20.0,
        "distance_km": np.inf,
        "radius_km": 0.0,
        "pressure_hpa": 287.0,
        "temperature_c": -46.0,
        "height_m": 9449.0,
        "track_deg": 258.0,
        "gs_kt": 402.0,
        "rhumb": 1.0,
        "turn_deg_per_min": 0.0,
        "speed_change_kt_per_min": 0.0,
    }
    base.update({k: v for k, v in given.items() if k in base})
    rate = given.get("rate", SIDEREAL_MIN)
    base["gha_before_deg"], base["gha_after_deg"] = base["gha_deg"] - rate, base["gha_deg"] + rate
    base["dec_before_deg"] = base["dec_after_deg"] = base["dec_deg"]
    return Observations(**{name: np.array([value]) for name, value in base.items()})


@given(
    lat=st.floats(-75.0, 75.0),
    lha=st.floats(-80.0, 80.0),
    dec=st.floats(-60.0, 60.0),
    track=st.floats(0.0, 360.0),
    gs=st.floats(0.0, 600.0),
    natural=st.booleans(),
    limb=st.sampled_from([-1.0, 0.0, 1.0]),
    moon=st.booleans(),
    turn=st.floats(-3.0, 3.0),
    speeding=st.floats(-5.0, 5.0),
    index=st.floats(-5.0, 5.0),
    off=st.floats(-40.0, 40.0),
)
@settings(max_examples=200, deadline=None)
def test_the_preset_is_the_exact_inverse(
    lat, lha, dec, track, gs, natural, limb, moon, turn, speeding, index, off
) -> None:
    obs = shot(
        gha_deg=lha + 30.0,
        dec_deg=dec,
        natural=float(natural),
        dip_arcmin=5.0 * natural,
        limb=limb,
        distance_km=384000.0 if moon else np.inf,
        radius_km=1737.4 if moon else 0.0,
        track_deg=track,
        gs_kt=gs,
        turn_deg_per_min=turn,
        speed_change_kt_per_min=speeding,
        sextant_arcmin=index,
    )
    at = compute(obs, lat, -30.0)
    ho = at.hc_deg + off / 60.0
    if not 3.0 < float(at.hc_deg[0]) < 87.0:
        return
    hs = preset_deg(obs, at, lat, ho, TABLE)
    window = np.array([window_correction_arcmin(TABLE, float(hs[0]))])
    back = correct(replace(obs, hs_deg=hs, window_arcmin=window), at, lat)
    assert (float(back.ho_deg[0]) - float(ho[0])) * 60.0 == pytest.approx(0.0, abs=1e-5)


def test_the_lines_add_up() -> None:
    obs = shot(limb=1.0, distance_km=370000.0, radius_km=1737.4, turn_deg_per_min=1.0, speed_change_kt_per_min=2.0)
    at = compute(obs, 40.0, -36.0)
    steps = correct(obs, at, 40.0)
    names = [name for name in steps.__struct_fields__ if name not in ("apparent_deg", "ho_deg")]
    total = sum(float(np.asarray(getattr(steps, name)).item()) for name in names)
    assert float(obs.hs_deg[0]) + total / 60.0 == pytest.approx(float(steps.ho_deg[0]), abs=1e-12)


def test_the_horizon_decides_between_dip_and_deflection() -> None:
    at = compute(shot(), 40.0, -36.0)
    bubble, sea = correct(shot(), at, 40.0), correct(shot(natural=1.0, dip_arcmin=5.6), at, 40.0)
    assert float(bubble.dip[0]) == 0.0
    assert float(bubble.coriolis[0]) != 0.0
    assert float(sea.dip[0]) == -5.6
    for name in ("coriolis", "rhumb_line", "wander", "acceleration", "cross_tilt"):
        assert float(getattr(sea, name)[0]) == 0.0


def test_great_circle_steering_has_no_rhumb_line_part() -> None:
    at = compute(shot(), 40.0, -36.0)
    assert float(correct(shot(rhumb=0.0), at, 40.0).rhumb_line[0]) == 0.0
    assert abs(float(correct(shot(rhumb=1.0), at, 40.0).rhumb_line[0])) > 0.5


def test_southern_hemisphere_turns_the_sign() -> None:
    """A body to the right of track reads too low in the north, too high in the south (common practice, no source)."""
    north, south = shot(gha_deg=60.0, dec_deg=0.0, track_deg=90.0), shot(gha_deg=60.0, dec_deg=0.0, track_deg=90.0)
    a, b = compute(north, 45.0, -60.0), compute(south, -45.0, -60.0)
    assert float(a.zn_deg[0]) == pytest.approx(180.0)  # to the right of an eastward track
    assert float(correct(north, a, 45.0).coriolis[0]) > 5.0
    assert float(b.zn_deg[0]) == pytest.approx(0.0, abs=1e-9)
    assert float(correct(south, b, -45.0).coriolis[0]) > 5.0  # to the left in the south: too low as well


def test_curvature_against_a_numerical_average() -> None:
    """Averaging the altitude over 20 minutes at the moving aircraft differs from its middle by the curvature line."""
    from nightleg.earth.rhumb import rhumb_direct
    from nightleg.sight.reduction import altitude

    lat, lon, duration = 35.0, -36.0, 20.0
    obs = shot(spread_min2=even_spread_min2(duration * 60.0), gha_deg=40.0, dec_deg=30.0)
    at = compute(obs, lat, lon)
    t = (np.arange(2000) + 0.5) / 2000 * duration - duration / 2
    there = rhumb_direct(lat, lon, 258.0, 402.0 * t / 60.0)
    mean = float(np.mean(altitude(*there, 40.0 + SIDEREAL_MIN * t, 30.0)))
    line = float(correct(obs, at, lat).curvature[0])
    assert (float(at.hc_deg[0]) - mean) * 60.0 == pytest.approx(line, rel=0.02)
    assert abs(line) > 0.5


def test_curvature_of_two_minutes_shows_only_near_the_zenith() -> None:
    """At most 0.1′ unless near the zenith (derived)."""
    low = shot(gha_deg=80.0, dec_deg=10.0)
    assert abs(float(correct(low, compute(low, 35.0, -36.0), 35.0).curvature[0])) < 0.01
    high = shot(gha_deg=36.0, dec_deg=35.5)
    assert abs(float(correct(high, compute(high, 35.0, -36.0), 35.0).curvature[0])) > 0.1


def test_motions_are_the_derivatives_of_hc() -> None:
    """n cos L sin Zn for a star (derivative of the altitude), and GS/60·cos(Zn - TC) for the aircraft."""
    obs = shot()
    at = compute(obs, 40.0, -36.0)
    zn = np.radians(at.zn_deg)
    expected = 60.0 * SIDEREAL_MIN * np.cos(np.radians(40.0)) * np.sin(zn)
    # the body rises in the east: GHA grows, so the altitude of a western body falls
    assert float(body_motion(obs, 40.0, -36.0)[0]) == pytest.approx(float(expected[0]), abs=2e-4)
    assert float(observer_motion(obs, at)[0]) == pytest.approx(
        402.0 / 60.0 * float(np.cos(zn - np.radians(258.0))[0]), abs=1e-12
    )


def test_ho_of_the_moon_does_not_depend_on_a_dr_that_is_off() -> None:
    """Along the line of position the reading is the same, so Ho must be; 30 NM off costs less than 0.05′.

    Parallax taken from the computed altitude instead would change it by 0.5′ toward the body.
    """
    obs = shot(gha_deg=80.0, dec_deg=10.0, distance_km=370000.0, radius_km=1737.4, gs_kt=0.0, hs_deg=44.0)
    at = compute(obs, 40.0, -36.0)
    zn = np.radians(float(at.zn_deg[0]))
    toward = (40.0 + 0.5 * np.cos(zn), -36.0 + 0.5 * np.sin(zn) / np.cos(np.radians(40.0)))
    here, there = correct(obs, at, 40.0), correct(obs, compute(obs, *toward), toward[0])
    assert (float(here.ho_deg[0]) - float(there.ho_deg[0])) * 60.0 == pytest.approx(0.0, abs=0.05)


def test_window_table() -> None:
    assert window_correction_arcmin((), 20.0) == 0.0
    assert window_correction_arcmin(TABLE, 20.0) == pytest.approx(0.4)
    assert window_correction_arcmin(TABLE, 5.0) == 0.6
    assert window_correction_arcmin(TABLE, 80.0) == -0.3


def test_zenith_and_poles_stay_finite() -> None:
    for lat, lon, gha, dec in ((20.0, -60.0, 60.0, 20.0), (90.0, 0.0, 10.0, 45.0), (-90.0, 0.0, 10.0, -45.0)):
        obs = shot(gha_deg=gha, dec_deg=dec, hs_deg=89.0 if lat == dec else 45.0)
        at = compute(obs, lat, lon)
        steps = correct(obs, at, lat)
        assert np.isfinite(at.hc_deg).all()
        assert np.isfinite(steps.ho_deg).all()


def test_series() -> None:
    times = [0.0, 30.0, 60.0, 90.0, 120.0]
    assert series_spread_min2(times) == pytest.approx(np.var(np.array(times) / 60.0))
    assert even_spread_min2(120.0) == pytest.approx(4.0 / 12.0)
    altitudes = [40.0 + 5.0 / 60.0 * t / 60.0 for t in times]
    assert scatter_arcmin(times, altitudes, 5.0) == pytest.approx(0.0, abs=1e-9)
    assert scatter_arcmin([0.0], [40.0], 5.0) is None
    noisy = [a + d / 60.0 for a, d in zip(altitudes, [1.0, -1.0, 1.0, -1.0, 0.0], strict=True)]
    assert scatter_arcmin(times, noisy, 5.0) == pytest.approx(1.0)
