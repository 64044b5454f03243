"""The estimator against a weighted least squares that knows nothing of it: scipy, the textbook altitude formula, and
covariances built by drawing the errors themselves.
"""

from __future__ import annotations

import math
from datetime import UTC, datetime, timedelta

import numpy as np
import pytest
from geographiclib.geodesic import Geodesic
from scipy.optimize import least_squares
from scipy.stats import chi2 as chi2_distribution

from nightleg.fix.probability import chi2_tail
from nightleg.flight.model import Fix, Flight, Leg, Sextant, Sight, Start, Watch, Wind, WindUncertainty
from nightleg.flight.solve import solve
from nightleg.units.positions import Position

START = datetime(2026, 3, 14, 22, 0, tzinfo=UTC)
SIGMA, COMMON, WIND, WATCH = 2.5, 1.5, 12.0, 3.0
SHOTS = [("Capella", 52.0, 60.41), ("Sirius", 56.0, 30.53), ("Regulus", 66.0, 50.93), ("Dubhe", 70.0, 55.35)]


def _flight(prior: bool, solve_common: bool) -> Flight:
    sights = tuple(
        Sight(id=f"s{i}", body=body, time=START + timedelta(minutes=minute), hs=hs)
        for i, (body, minute, hs) in enumerate(SHOTS)
    )
    return Flight(
        start=Start(time=START, position=Position(41.5, -28.25), sigma_nm=3.0),
        legs=(
            Leg(
                time=START,
                heading_deg=262.0,
                tas_kt=430.0,
                wind=Wind(from_deg=310.0, kt=45.0),
                altitude_ft=31000.0,
                temperature_c=-46.0,
            ),
        ),
        sextant=Sextant(sigma_arcmin=SIGMA, common_sigma_arcmin=COMMON),
        watch=Watch(sigma_s=WATCH),
        wind_uncertainty=WindUncertainty(sigma_kt=WIND),
        sights=sights,
        fixes=(
            Fix(
                id="f1",
                time=START + timedelta(minutes=66.0),
                sights=tuple(s.id for s in sights),
                prior=prior,
                solve_common_error=solve_common,
            ),
        ),
    )


def _altitude(lat: float, lon: float, gha: float, dec: float) -> float:
    """Textbook: sin Hc = sin L sin d + cos L cos d cos LHA."""
    a, b, t = math.radians(lat), math.radians(dec), math.radians(gha + lon)
    return math.degrees(math.asin(math.sin(a) * math.sin(b) + math.cos(a) * math.cos(b) * math.cos(t)))


class _Reference:
    """The same fix worked with other means: positions carried by small steps of geographiclib geodesics."""

    def __init__(self, flight: Flight, prior: bool, solve_common: bool) -> None:
        self.flight, self.prior, self.solve_common = flight, prior, solve_common
        self.solution = solve(flight)
        self.result = self.solution.fix("f1")
        state = self.solution.dr[0]
        assert state.track_deg is not None
        self.track, self.gs = state.track_deg, state.gs_kt
        self.minutes = np.array([minute for _, minute, _ in SHOTS])
        self.to_fix_h = (66.0 - self.minutes) / 60.0

    def carried(self, lat: float, lon: float, hours: float) -> tuple[float, float]:
        """A rhumb line as forty short geodesics, each set out on the mean of the course at its ends."""
        step = self.gs * hours * 1852.0 / 40.0
        for _ in range(40):
            # the geodesic whose middle has the constant course
            half = Geodesic.WGS84.Direct(lat, lon, self.track, step / 2)
            bend = (half["azi2"] - self.track + 180.0) % 360.0 - 180.0
            end = Geodesic.WGS84.Direct(lat, lon, self.track - bend, step)
            lat, lon = end["lat2"], end["lon2"]
        return lat, lon

    def residuals(self, lat: float, lon: float) -> np.ndarray:
        """Ho - Hc, arcmin. The Ho is that of the sights, moved for the place by the change of its deflection."""
        out = []
        for sight, hours in zip(self.solution.sights, self.to_fix_h, strict=True):
            there = self.carried(lat, lon, -hours)
            assert sight.ho is not None
            ho = sight.ho + (self._deflection(sight, *there) - self._deflection(sight, *sight.dr)) / 60.0
            out.append((ho - _altitude(*there, sight.gha, sight.dec)) * 60.0)
        return np.array(out)

    def _deflection(self, sight, lat: float, lon: float) -> float:
        """Coriolis and rhumb-line parts by the handbooks' form, arcmin."""
        d, t, a = math.radians(sight.dec), math.radians(sight.gha + lon), math.radians(lat)
        zn = math.degrees(
            math.atan2(-math.cos(d) * math.sin(t), math.cos(a) * math.sin(d) - math.sin(a) * math.cos(d) * math.cos(t))
        )
        right = 0.02630 * self.gs * math.sin(a)
        right += 1.456e-5 * self.gs**2 * math.sin(math.radians(self.track)) * math.tan(a)
        return right * math.sin(math.radians(zn - self.track))

    def covariance(self) -> np.ndarray:
        """Of shots, then north and east of the DR: from the sensitivities of each to each independent error."""
        columns = []
        n = len(SHOTS)
        zn = np.radians([s.zn for s in self.solution.sights])
        for i in range(n):
            columns.append(np.eye(n + 2)[i] * SIGMA)
        if not self.solve_common:
            columns.append(np.r_[np.ones(n), 0.0, 0.0] * COMMON)
        tau = 66.0 / 60.0
        columns.append(np.r_[-self.to_fix_h * np.cos(zn), -tau, 0.0] * WIND)
        columns.append(np.r_[-self.to_fix_h * np.sin(zn), 0.0, -tau] * WIND)
        rate = [(s.body_motion_arcmin_per_min + s.observer_motion_arcmin_per_min) / 60.0 for s in self.solution.sights]
        columns.append(np.r_[rate, 0.0, 0.0] * WATCH)
        columns.append(np.eye(n + 2)[n] * 3.0)
        columns.append(np.eye(n + 2)[n + 1] * 3.0)
        design = np.array(columns).T
        return design @ design.T

    def solve(self):
        """(lat, lon, covariance of position in NM², chi-square, common error) by scipy."""
        covariance = self.covariance()
        if not self.prior:
            covariance = covariance[: len(SHOTS), : len(SHOTS)]
        root = np.linalg.inv(np.linalg.cholesky(covariance))
        dr = self.result.dr

        def place(x):
            line = Geodesic.WGS84.Direct(
                dr.lat, dr.lon, math.degrees(math.atan2(x[1], x[0])), math.hypot(*x[:2]) * 1852
            )
            return line["lat2"], line["lon2"]

        def weighted(x):
            left = self.residuals(*place(x))
            if self.solve_common:
                left = left - x[2]
            if self.prior:
                left = np.r_[left, -x[0], -x[1]]
            return root @ left

        found = least_squares(weighted, np.zeros(3 if self.solve_common else 2), xtol=1e-13, ftol=1e-13, gtol=1e-13)
        cov = np.linalg.inv(found.jac.T @ found.jac)
        return (*place(found.x), cov, 2.0 * found.cost, found.x[2] if self.solve_common else None)


@pytest.mark.parametrize("prior", [False, True])
@pytest.mark.parametrize("solve_common", [False, True])
def test_position_covariance_and_agreement(prior: bool, solve_common: bool) -> None:
    reference = _Reference(_flight(prior, solve_common), prior, solve_common)
    result = reference.result
    lat, lon, cov, chi2, common = reference.solve()
    assert result.position is not None and result.cov_nm2 is not None
    off_nm = Geodesic.WGS84.Inverse(lat, lon, *result.position)["s12"] / 1852.0
    # The reference takes azimuths for its covariance at the DR instead of at the fix, some 5 NM away, and short
    # geodesics for the rhumb line; 0.02 NM is a fiftieth of the last digit on a plotting chart.
    assert off_nm == pytest.approx(0.0, abs=0.02)
    assert np.allclose(result.cov_nm2, cov[:2, :2], rtol=0.01, atol=0.02)
    assert result.chi2 == pytest.approx(chi2, rel=0.01, abs=0.005)
    if solve_common:
        assert result.common_error_arcmin == pytest.approx(common, abs=0.02)
        assert result.common_error_sigma_arcmin == pytest.approx(math.sqrt(cov[2, 2]), rel=0.01)
    else:
        assert result.common_error_arcmin is None
    assert result.dof == len(SHOTS) + 2 * prior - 2 - solve_common
    assert result.p_value == pytest.approx(chi2_distribution.sf(result.chi2, result.dof), abs=1e-12)


def test_chi_square_tail_against_scipy() -> None:
    for dof in (1, 2, 3, 4, 7, 20, 101, 998):
        for value in (0.0, 0.01, 0.5, 3.0, 20.0, 200.0, 1500.0):
            assert chi2_tail(value, dof) == pytest.approx(float(chi2_distribution.sf(value, dof)), rel=1e-9, abs=1e-300)
