"""One fix of a flight, from its shots and the DR plot before it."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from nightleg.air.reckoning import Reckoning
from nightleg.earth.local import between
from nightleg.fix.ellipse import cep_nm, ellipse
from nightleg.fix.estimator import WIND_STEPS_KT, ErrorModel, Estimate, Prior, estimate, wind_sensitivity
from nightleg.fix.mpp import rule_position
from nightleg.fix.probability import chi2_tail
from nightleg.fix.trust import HOPELESS_DEG, crossing_deg, widest_gap_deg, words
from nightleg.flight.model import Fix, Flight
from nightleg.flight.shots import Shot
from nightleg.flight.solution import FixResult, Matrix
from nightleg.sight.chain import body_motion, compute, correct, observer_motion
from nightleg.sight.observation import Observations
from nightleg.units.positions import Position
from nightleg.units.times import gmt_s, instant

Array = NDArray[np.float64]

FAR_FROM_DR_NM = 300.0
COMMON_NEEDS = 3  # shots, to solve for a common error
_LEAST_SIGMA_ARCMIN = 1e-3  # a reading said to be better is exact for all purposes, and weights keep their digits
_SETTLING_ROUNDS = 4
_SETTLED_NM = 2.0  # azimuths change by 0.1° at most within it, below 75° of altitude


@dataclass(frozen=True, slots=True)
class _Work:
    """What the estimator and the words need of one fix."""

    flight: Flight
    fix: Fix
    time_s: float
    plot: Reckoning
    shots: tuple[Shot, ...]
    obs: Observations
    dr: Position
    model: ErrorModel
    azimuths_deg: Array  # at the DR
    intercepts_nm: Array

    def residual(self, lat: Array, lon: Array) -> tuple[Array, Array]:
        """Ho - Hc in arcmin and azimuths, for positions (…, 1) at the fix time."""
        return _residual(self.plot, self.obs, lat, lon, self.time_s, _times(self.shots))


def _times(shots: Sequence[Shot]) -> Array:
    return np.array([shot.time_s for shot in shots])


def _residual(
    plot: Reckoning, obs: Observations, lat: Array, lon: Array, time_s: float, times: Array
) -> tuple[Array, Array]:
    return _left(obs, *plot.carry(lat, lon, time_s, times))


def _left(obs: Observations, lat: Array, lon: Array) -> tuple[Array, Array]:
    """Ho - Hc in arcmin and azimuths at the places of the shots."""
    at = compute(obs, lat, lon)
    return (correct(obs, at, lat).ho_deg - at.hc_deg) * 60.0, at.zn_deg


def celestial(flight: Flight, fix: Fix, shots: Sequence[Shot], obs: Observations, plot: Reckoning) -> FixResult:
    """Work a fix from usable shots (one to many) whose observations are `obs`."""
    time_s = gmt_s(fix.time)
    dr = _position(plot, time_s)
    work = _prepare(flight, fix, tuple(shots), obs, plot, dr, time_s)
    intercepts = {shot.sight.id: float(x) for shot, x in zip(shots, work.intercepts_nm, strict=True)}
    hopeless = _hopeless(work)
    if hopeless and not fix.prior:
        return _without_position(fix, plot, dr, tuple(shots), intercepts, (hopeless,), _rule(work))
    estimated, said = _estimate(work)
    if not bool(estimated.converged):
        why = "the shots and the DR give no single position" if fix.prior else "the lines do not meet near one position"
        return _without_position(fix, plot, dr, tuple(shots), intercepts, (f"{why}: no fix",), _rule(work))
    return _with_position(work, estimated, intercepts, said)


def unshot(fix: Fix, plot: Reckoning) -> FixResult:
    """A fix without a usable shot."""
    return _without_position(fix, plot, _position(plot, gmt_s(fix.time)), (), {}, ("no usable shot: no fix",))


def warned(result: FixResult, warnings: tuple[str, ...]) -> FixResult:
    """The same result with warnings added in front."""
    return replace(result, warnings=warnings + result.warnings)


def known(fix: Fix, plot: Reckoning) -> FixResult:
    """A position known by other means."""
    if fix.position is None:
        raise ValueError(f"fix {fix.id} is known but has no position")
    variance = (fix.sigma_nm or 0.0) ** 2
    cov: Matrix = ((variance, 0.0), (0.0, variance))
    return _result(
        fix, plot, _position(plot, gmt_s(fix.time)), position=fix.position, cov=cov, trust=("known position",)
    )


def _prepare(
    flight: Flight, fix: Fix, shots: tuple[Shot, ...], obs: Observations, plot: Reckoning, dr: Position, time_s: float
) -> _Work:
    intercepts, azimuths = _residual(plot, obs, np.asarray(dr.lat), np.asarray(dr.lon), time_s, _times(shots))
    model = _errors_at(flight, shots, obs, plot, dr, time_s)
    return _Work(flight, fix, time_s, plot, shots, obs, dr, model, azimuths, intercepts)


def _errors_at(
    flight: Flight, shots: tuple[Shot, ...], obs: Observations, plot: Reckoning, place: Position, time_s: float
) -> ErrorModel:
    """The error model with the sensitivities of an aircraft that is at `place` at the fix time."""
    times = _times(shots)

    blown = [
        plot.with_wind_changed(north, east).carry(place.lat, place.lon, time_s, times) for north, east in WIND_STEPS_KT
    ]
    lats, lons = np.stack([lat for lat, _ in blown]), np.stack([lon for _, lon in blown])
    residuals, _ = _left(obs, lats, lons)
    there = plot.carry(place.lat, place.lon, time_s, times)
    at = compute(obs, *there)
    return ErrorModel(
        sigma_arcmin=np.maximum(
            [s.sight.sigma_arcmin or flight.sextant.sigma_arcmin for s in shots], _LEAST_SIGMA_ARCMIN
        ),
        common_sigma_arcmin=flight.sextant.common_sigma_arcmin,
        wind_sigma_kt=flight.wind_uncertainty.sigma_kt,
        wind_arcmin_per_kt=wind_sensitivity(residuals),
        watch_sigma_s=flight.watch.sigma_s,
        rate_arcmin_per_s=(body_motion(obs, *there) + observer_motion(obs, at)) / 60.0,
    )


def _hopeless(work: _Work) -> str:
    """Why the lines alone give no position; empty if they may."""
    if len(work.shots) == 1:
        return "one line: no fix without another line or the DR as prior"
    angle = crossing_deg(list(work.azimuths_deg), list(work.model.sigma_arcmin))
    if angle < HOPELESS_DEG:
        return f"lines parallel (they cross at {angle:.1f}°): no fix without another line or the DR as prior"
    return ""


def _estimate(work: _Work) -> tuple[Estimate, list[str]]:
    """The estimate, and what has to be said about how it was made."""
    said: list[str] = []
    solve_common = work.fix.solve_common_error
    if solve_common and len(work.shots) < COMMON_NEEDS:
        said.append(f"a common error needs {COMMON_NEEDS} shots or more: not solved for")
        solve_common = False
    estimated = _settled(work, solve_common)
    if solve_common and not bool(estimated.converged):
        said.append("azimuths too much on one side to solve for a common error: not solved for")
        estimated = _settled(work, False)
    elif solve_common and widest_gap_deg(list(work.azimuths_deg)) > 180.0:
        said.append("all bodies on one side: the common error and the position can hardly be told apart")
    return estimated, said


def _settled(work: _Work, solve_common: bool) -> Estimate:
    """The estimate with the error model of the place that it comes to; from far off that takes a second round."""
    prior = None
    if work.fix.prior:
        cov, by_wind = work.plot.carried_covariance(work.time_s)
        prior = Prior(np.asarray(work.dr.lat), np.asarray(work.dr.lon), cov, by_wind)
    place, model = work.dr, work.model
    for _ in range(_SETTLING_ROUNDS):
        estimated = estimate(work.residual, place.lat, place.lon, model, prior=prior, solve_common=solve_common)
        reached = Position(float(estimated.lat), float(estimated.lon))
        moved = math.hypot(*(float(x) for x in between(*place, *reached)))
        if not bool(estimated.converged) or moved < _SETTLED_NM:
            break
        place = reached
        model = _errors_at(work.flight, work.shots, work.obs, work.plot, place, work.time_s)
    return estimated


def _with_position(work: _Work, found: Estimate, intercepts: dict[str, float], said: list[str]) -> FixResult:
    fix, ids = work.fix, [shot.sight.id for shot in work.shots]
    chi2, dof = float(found.chi2), found.dof
    p_value = chi2_tail(chi2, dof) if dof >= 1 else None
    common_solved = bool(found.common_sigma_arcmin > 0.0)
    cov = found.cov_nm2
    names = [f"{shot.sight.id} {shot.sight.body}" for shot in work.shots]
    sigmas = [float(s) for s in work.model.sigma_arcmin]
    trust = words(
        names,
        [float(a) for a in found.azimuth_deg],
        sigmas,
        p_value,
        dof,
        [float(w) for w in found.weighted_residuals],
        [float(r) for r in found.residuals_arcmin],
        prior=fix.prior,
        common_solved=common_solved,
    )
    position = Position(float(found.lat), float(found.lon))
    away = math.hypot(*(float(x) for x in between(work.dr.lat, work.dr.lon, *position)))
    if away > FAR_FROM_DR_NM:
        said.append(f"the fix lies {away:.0f} NM from the DR: check bodies, times and the DR itself")
    return _result(
        fix,
        work.plot,
        work.dr,
        position=position,
        cov=((float(cov[0, 0]), float(cov[0, 1])), (float(cov[1, 0]), float(cov[1, 1]))),
        sights=tuple(ids),
        residuals=dict(zip(ids, map(float, found.residuals_arcmin), strict=True)),
        intercepts=intercepts,
        redundancy=dict(zip(ids, map(float, found.redundancy), strict=True)),
        chi2=chi2,
        dof=dof,
        p_value=p_value,
        common=(float(found.common_arcmin), float(found.common_sigma_arcmin)) if common_solved else None,
        mpp_rule=_rule(work),
        trust=trust,
        warnings=tuple(said),
    )


def _rule(work: _Work) -> Position | None:
    """The handbooks' most probable position, where there is just one line."""
    if len(work.shots) != 1:
        return None
    minutes = 60.0 * work.plot.hours(work.time_s)
    zn, intercept = float(work.azimuths_deg[0]), float(work.intercepts_nm[0])
    return Position(*rule_position(work.dr.lat, work.dr.lon, zn, intercept, minutes))


def _without_position(
    fix: Fix,
    plot: Reckoning,
    dr: Position,
    shots: tuple[Shot, ...],
    intercepts: dict[str, float],
    warnings: tuple[str, ...],
    mpp_rule: Position | None = None,
) -> FixResult:
    return _result(
        fix,
        plot,
        dr,
        sights=tuple(shot.sight.id for shot in shots),
        residuals=intercepts,
        intercepts=intercepts,
        redundancy={shot.sight.id: 0.0 for shot in shots},
        mpp_rule=mpp_rule,
        trust=warnings[:1],
        warnings=warnings,
    )


def _result(
    fix: Fix,
    plot: Reckoning,
    dr: Position,
    *,
    position: Position | None = None,
    cov: Matrix | None = None,
    sights: tuple[str, ...] = (),
    residuals: dict[str, float] | None = None,
    intercepts: dict[str, float] | None = None,
    redundancy: dict[str, float] | None = None,
    chi2: float = 0.0,
    dof: int = 0,
    p_value: float | None = None,
    common: tuple[float, float] | None = None,
    mpp_rule: Position | None = None,
    trust: tuple[str, ...] = (),
    warnings: tuple[str, ...] = (),
) -> FixResult:
    time_s = gmt_s(fix.time)
    dr_cov = plot.covariance(time_s)
    wind = plot.wind_to_reach(position.lat, position.lon, time_s) if position else None
    north, east = between(dr.lat, dr.lon, *position) if position else (math.nan, math.nan)
    return FixResult(
        id=fix.id,
        kind=fix.kind,
        time=fix.time,
        position=position,
        cov_nm2=cov,
        ellipse50=ellipse(cov, 0.50) if cov else None,
        ellipse95=ellipse(cov, 0.95) if cov else None,
        cep_nm=cep_nm(cov) if cov else None,
        sights=sights,
        residuals_arcmin=residuals or {},
        intercepts_nm=intercepts or {},
        redundancy=redundancy or {},
        chi2=chi2,
        dof=dof,
        p_value=p_value,
        common_error_arcmin=common[0] if common else None,
        common_error_sigma_arcmin=common[1] if common else None,
        prior=fix.prior,
        dr=dr,
        dr_cov_nm2=((float(dr_cov[0, 0]), float(dr_cov[0, 1])), (float(dr_cov[1, 0]), float(dr_cov[1, 1]))),
        from_dr_nm=math.hypot(north, east) if position else None,
        from_dr_deg=math.degrees(math.atan2(east, north)) % 360.0 if position else None,
        wind_from_deg=wind[0] if wind else None,
        wind_kt=wind[1] if wind else None,
        wind_since=instant(plot.time_s) if wind else None,
        mpp_rule=mpp_rule,
        adopted=fix.adopt and position is not None,
        trust=trust,
        warnings=warnings,
    )


def _position(plot: Reckoning, time_s: float) -> Position:
    lat, lon = plot.position(time_s)
    return Position(float(lat), float(lon))
