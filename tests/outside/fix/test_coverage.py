"""The promise: the 95 % ellipse holds the truth 95 % of the time, the 50 % ellipse half of the time.

Flights are drawn over the world from the stated error model (start, wind, watch, common and random errors) and flown in
truth; the shots are what a sextant would then have shown. Shares must lie within the 99 % limits of the binomial.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pytest
from msgspec.structs import replace
from numpy.typing import NDArray
from scipy.stats import binom, kstest
from scipy.stats import chi2 as chi2_distribution

from nightleg.earth.local import between, offset
from nightleg.earth.rhumb import rhumb_direct
from nightleg.fix.ellipse import inside
from nightleg.fix.estimator import WIND_STEP_KT, ErrorModel, Estimate, Prior, Seen, estimate
from nightleg.sight.chain import compute, correct, preset_deg
from nightleg.sight.observation import Observations
from nightleg.sight.reduction import circle_point

Array = NDArray[np.float64]

SIDEREAL_DEG_PER_H = 15.041067
SIGMA_ARCMIN, WIND_KT, WATCH_S, START_NM = 2.5, 12.0, 2.0, 3.0


@dataclass
class Draw:
    """A draw of `count` fixes: what is asked of the estimator, and the truth at the fix time."""

    estimate: Estimate
    error_nm: Array  # (count, 2)
    common: Array


def _motion(lat: Array, lon: Array, north_kt: Array, east_kt: Array, hours: Array) -> tuple[Array, Array]:
    track = np.degrees(np.arctan2(east_kt, north_kt))
    return rhumb_direct(lat, lon, track, np.hypot(north_kt, east_kt) * hours)


def _carried(lat: Array, lon: Array, began: tuple[Array, Array], north: Array, east: Array, since_h: float) -> Prior:
    """The DR as prior: how an error of the start and one of the wind have moved it, by differences."""
    h = np.array(since_h)
    places, winds = [], []
    for n, e in ((1.0, 0.0), (0.0, 1.0)):
        ahead = _motion(*offset(*began, n, e), north, east, h)
        behind = _motion(*offset(*began, -n, -e), north, east, h)
        places.append(np.stack(between(*behind, *ahead), axis=-1) / 2.0)
        ahead, behind = _motion(*began, north + n, east + e, h), _motion(*began, north - n, east - e, h)
        winds.append(np.stack(between(*behind, *ahead), axis=-1) / 2.0)
    by_place, by_wind = np.stack(places, axis=-1), np.stack(winds, axis=-1)
    cov = START_NM**2 * by_place @ np.swapaxes(by_place, -1, -2) + WIND_KT**2 * by_wind @ np.swapaxes(by_wind, -1, -2)
    return Prior(lat, lon, cov, by_wind)


def draw(
    count: int,
    seed: int,
    *,
    shot_hours: tuple[float, ...] = (-8 / 60, -4 / 60, 0.0),
    since_h: float = 1.0,
    spread_deg: float = 120.0,
    prior: bool = False,
    solve_common: bool = False,
    common_arcmin: float = 1.0,
) -> Draw:
    """Fly `count` flights and work the fix of each, all at once."""
    rng = np.random.default_rng(seed)
    n, hours = len(shot_hours), np.array(shot_hours)
    lat, lon = np.degrees(np.arcsin(rng.uniform(-0.93, 0.93, count))), rng.uniform(-180.0, 180.0, count)
    track, gs = rng.uniform(0.0, 360.0, count), rng.uniform(180.0, 480.0, count)
    north, east = gs * np.cos(np.radians(track)), gs * np.sin(np.radians(track))
    # the DR began at a place that was off, and has been flown since in a wind that was off: so is the truth
    wind = rng.normal(0.0, WIND_KT, (2, count))
    began = _motion(lat, lon, north, east, np.array(-since_h))
    off = rng.normal(0.0, START_NM, (2, count))
    true_lat, true_lon = _motion(*offset(*began, off[0], off[1]), north + wind[0], east + wind[1], np.array(since_h))
    # bodies near the azimuths wanted, placed from the DR at each shot
    first, heights = rng.uniform(0.0, 360.0, (count, 1)), rng.uniform(15.0, 70.0, (count, n))
    zn = first + spread_deg * np.arange(n) + rng.normal(0.0, 12.0, (count, n))
    dr_lat, dr_lon = _motion(lat[:, None], lon[:, None], north[:, None], east[:, None], hours)
    dec, body_lon = circle_point(-dr_lon, dr_lat, heights, zn)
    gha = -body_lon
    step = SIDEREAL_DEG_PER_H / 60.0

    def column(values: object) -> Array:
        return np.array(np.broadcast_to(values, (count, n)), dtype=float)

    obs = Observations(
        hs_deg=column(0.0),
        sextant_arcmin=column(0.4),
        window_arcmin=column(0.0),
        spread_min2=column(4.0 / 12.0),
        natural=column(0.0),
        dip_arcmin=column(0.0),
        limb=column(0.0),
        gha_deg=gha,
        dec_deg=dec,
        gha_before_deg=gha - step,
        dec_before_deg=dec,
        gha_after_deg=gha + step,
        dec_after_deg=dec,
        distance_km=column(np.inf),
        radius_km=column(0.0),
        pressure_hpa=column(300.9),
        temperature_c=column(-44.0),
        height_m=column(9144.0),
        track_deg=column(track[:, None]),
        gs_kt=column(gs[:, None]),
        rhumb=column(1.0),
        turn_deg_per_min=column(0.0),
        speed_change_kt_per_min=column(0.0),
    )
    # what the sextant shows: at the true place of the true instant, which the watch names wrongly
    late_s = rng.normal(0.0, WATCH_S, (count, 1))
    common = rng.normal(0.0, common_arcmin, (count, 1))
    true_h = hours + late_s / 3600.0
    at_lat, at_lon = _motion(
        true_lat[:, None], true_lon[:, None], (north + wind[0])[:, None], (east + wind[1])[:, None], true_h
    )
    shifted = late_s / 3600.0 * SIDEREAL_DEG_PER_H
    then = replace(
        obs,
        gha_deg=gha + shifted,
        gha_before_deg=obs.gha_before_deg + shifted,
        gha_after_deg=obs.gha_after_deg + shifted,
    )
    hs = preset_deg(then, compute(then, at_lat, at_lon), at_lat)
    noise = rng.normal(0.0, SIGMA_ARCMIN, (count, n)) + common
    measured = replace(obs, hs_deg=hs + noise / 60.0)
    wide = Observations(**{name: getattr(measured, name)[:, None, :] for name in measured.__struct_fields__})

    def see(lats: Array, lons: Array) -> Seen:
        held, changed = [north[:, None, None], east[:, None, None]], []
        changed.append(_motion(lats, lons, *held, hours))
        changed.append(_motion(lats[:, :1], lons[:, :1], held[0] + WIND_STEP_KT, held[1], hours))
        changed.append(_motion(lats[:, :1], lons[:, :1], held[0], held[1] + WIND_STEP_KT, hours))
        there = [np.concatenate(part, axis=1) for part in zip(*changed, strict=True)]
        at = compute(wide, *there)
        left = (correct(wide, at, there[0]).ho_deg - at.hc_deg) * 60.0
        return Seen(left, at.zn_deg[:, 0], at.rate[:, 0] / 60.0)

    model = ErrorModel(
        sigma_arcmin=column(SIGMA_ARCMIN),
        common_sigma_arcmin=common_arcmin,
        wind_sigma_kt=WIND_KT,
        watch_sigma_s=WATCH_S,
    )
    dr_prior = _carried(lat, lon, began, north, east, since_h) if prior else None

    found = estimate(see, lat, lon, model, prior=dr_prior, solve_common=solve_common)
    error = np.stack(between(found.lat, found.lon, true_lat, true_lon), axis=-1)
    return Draw(found, error, common[:, 0])


def assert_share(hits: int, count: int, share: float) -> None:
    """A share within the 99 % limits of the binomial."""
    low, high = binom.interval(0.99, count, share)
    assert low <= hits <= high, (
        f"{hits / count:.4f} of {count}, expected {share} ({low / count:.4f} to {high / count:.4f})"
    )


CASES = {
    "three stars": {},
    "three stars about the fix time": {"shot_hours": (-4 / 60, 0.0, 4 / 60)},
    "four stars, common error solved for": {
        "shot_hours": (-12 / 60, -8 / 60, -4 / 60, 0.0),
        "spread_deg": 90.0,
        "solve_common": True,
        "common_arcmin": 3.0,
    },
    "three stars and the DR": {"prior": True},
    "two Sun lines and the DR": {
        "shot_hours": (-2.0, 0.0),
        "since_h": 2.5,
        "spread_deg": 45.0,
        "prior": True,
    },
    "one line and the DR": {"shot_hours": (-0.5,), "since_h": 1.5, "prior": True},
    "one line at the fix time and the DR": {"shot_hours": (0.0,), "since_h": 1.0, "prior": True},
    "two lines": {"shot_hours": (-4 / 60, 0.0), "spread_deg": 90.0},
}
COUNT = 10_000


@pytest.mark.parametrize("case", CASES)
def test_the_ellipses_hold_the_truth(case: str) -> None:
    drawn = draw(COUNT, seed=20260314, **CASES[case])
    found = drawn.estimate
    assert bool(np.all(found.converged))
    for share in (0.95, 0.50):
        assert_share(int(np.sum(inside(found.cov_nm2, drawn.error_nm, share))), COUNT, share)
    # the whole distribution, not two shares of it alone: squared errors in units of their covariance
    weighed = np.einsum("ki,kij,kj->k", drawn.error_nm, np.linalg.inv(found.cov_nm2), drawn.error_nm)
    assert kstest(chi2_distribution.sf(weighed, 2), "uniform").pvalue > 0.01
    if found.dof >= 1:
        assert kstest(chi2_distribution.sf(found.chi2, found.dof), "uniform").pvalue > 0.01
    if CASES[case].get("solve_common"):
        miss = (found.common_arcmin - drawn.common) / found.common_sigma_arcmin
        # without bias: within 2.58 of the standard error of the mean (99 %), and spread as it says
        assert abs(float(np.mean(miss))) < 2.58 / np.sqrt(COUNT)
        assert kstest(miss, "norm").pvalue > 0.01
