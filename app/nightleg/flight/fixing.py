"""One fix of a flight, from its shots and the DR plot before it."""

from __future__ import annotations

import math

import numpy as np
from msgspec.structs import replace
from numpy.typing import NDArray

from nightleg.air.reckoning import Reckoning
from nightleg.earth.local import between
from nightleg.fix.ellipse import cep_nm, ellipse
from nightleg.fix.estimator import Estimate, Prior, SeeFunction, estimate
from nightleg.fix.joint import found
from nightleg.fix.mpp import rule_position
from nightleg.fix.probability import chi2_tail
from nightleg.fix.trust import DISAGREE_P, HOPELESS_DEG, crossing_deg, widest_gap_deg, words
from nightleg.flight.elsewhere import apart_nm, elsewhere
from nightleg.flight.fixwork import POLAR_DEG, FixWork
from nightleg.flight.model import Fix
from nightleg.flight.polar import polar_caution, polar_fault
from nightleg.flight.solution import FixResult, Matrix
from nightleg.units.angles import MINUS, write_arcmin
from nightleg.units.positions import Position
from nightleg.units.times import gmt_s, instant

Array = NDArray[np.float64]

FAR_FROM_DR_NM = 300.0
COMMON_NEEDS = 3  # shots, to solve for a common error


def worked(work: FixWork) -> FixResult:
    """The result of a fix with one to many observations."""
    hopeless = _hopeless(work)
    if hopeless and not work.fix.prior:
        return _without_position(work, hopeless)
    estimated, said, alternatives = _estimate(work)
    if not bool(estimated.converged):
        lone = "the lines do not meet near one position"
        why = polar_fault(work) or ("the lines and the DR give no single position" if work.fix.prior else lone)
        return _without_position(work, f"{why}: no fix")
    return _with_position(work, estimated, said, alternatives)


def unshot(fix: Fix, plot: Reckoning) -> FixResult:
    """A fix without a usable shot."""
    why = ("no usable shot: no fix",)
    return _result(fix, plot, _position(plot, gmt_s(fix.time)), trust=why, warnings=why)


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


def _hopeless(work: FixWork) -> str:
    """Why the lines alone give no position; empty if they may."""
    if len(work.ids) == 1:
        return "one line: no fix without another line or the DR as prior"
    angle = crossing_deg(list(work.azimuths_deg), list(work.model.sigma_arcmin))
    if angle < HOPELESS_DEG:
        return f"lines parallel (they cross at {angle:.1f}°): no fix without another line or the DR as prior"
    return ""


def _estimate(work: FixWork) -> tuple[Estimate, list[str], tuple[Position, ...]]:
    """The estimate, what has to be said about how it was made, and the other places that fit."""
    said: list[str] = []
    prior = None
    if work.fix.prior:
        cov, by_wind = work.plot.carried_covariance(work.time_s)
        prior = Prior(np.asarray(work.dr.lat), np.asarray(work.dr.lon), cov, by_wind)
    solve_common = work.fix.solve_common_error
    if solve_common and len(work.shots) < COMMON_NEEDS:
        said.append(f"a common error needs {COMMON_NEEDS} shots or more: not solved for")
        solve_common = False
    see = work.see()
    found = estimate(see, *work.dr, work.model, prior=prior, solve_common=solve_common)
    if solve_common and not bool(found.converged):
        said.append("azimuths too much on one side to solve for a common error: not solved for")
        found = estimate(see, *work.dr, work.model, prior=prior)
    elif solve_common and widest_gap_deg(list(work.azimuths_deg)) > 180.0:
        said.append("all bodies on one side: the common error and the position can hardly be told apart")
    if work.fix.prior:
        return found, said, ()
    return _over_the_globe(work, see, found, said)


def _over_the_globe(
    work: FixWork, see: SeeFunction, found: Estimate, said: list[str]
) -> tuple[Estimate, list[str], tuple[Position, ...]]:
    """Look for other places where the DR may be of no use, and for the other crossing of two lines."""
    lost = not bool(found.converged) or _from_dr_nm(work, found) > FAR_FROM_DR_NM
    if not lost and len(work.ids) != 2:
        return found, said, ()
    others = elsewhere(work, see)
    if lost and others:
        better = not bool(found.converged) or float(others[0].chi2) < float(found.chi2) - 1e-6
        if (better and found.dof > 0) or not bool(found.converged):
            found = others[0]
            said.append("found without the DR, from where the circles themselves meet")
    fitting = [other for other in others if apart_nm(found, other) > 5.0 and _fits(other)]
    return found, said, tuple(Position(float(o.lat), float(o.lon)) for o in fitting)


def _fits(found: Estimate) -> bool:
    return found.dof < 1 or chi2_tail(float(found.chi2), found.dof) >= DISAGREE_P


def _from_dr_nm(work: FixWork, found: Estimate) -> float:
    return math.hypot(*(float(x) for x in between(*work.dr, found.lat, found.lon)))


def _offs(work: FixWork, residuals: list[float]) -> list[str]:
    """How far each observation is off the fix: altitudes in arcmin, other lines in nautical miles."""
    shots = len(work.shots)
    lines = (f"{off:+.1f} NM".replace("-", MINUS) for off in residuals[shots:])
    return [*(write_arcmin(off) for off in residuals[:shots]), *lines]


def _with_position(work: FixWork, found: Estimate, said: list[str], alternatives: tuple[Position, ...]) -> FixResult:
    fix, ids = work.fix, work.ids
    chi2, dof = float(found.chi2), found.dof
    p_value = chi2_tail(chi2, dof) if dof >= 1 else None
    common_solved = bool(found.common_sigma_arcmin > 0.0)
    cov = found.cov_nm2
    residuals = [float(r) for r in found.residuals_arcmin]
    trust = words(
        work.names,
        [float(a) for a in (work.azimuths_deg if abs(work.dr.lat) > POLAR_DEG else found.azimuth_deg)],
        [float(s) for s in work.model.sigma_arcmin],
        p_value,
        dof,
        [float(w) for w in found.weighted_residuals],
        _offs(work, residuals),
        prior=fix.prior,
        common_solved=common_solved,
    )
    position = Position(float(found.lat), float(found.lon))
    away = _from_dr_nm(work, found)
    if away > FAR_FROM_DR_NM:
        said.append(f"the fix lies {away:.0f} NM from the DR: check bodies, times and the DR itself")
    if caution := polar_caution(work):
        said.append(caution)
    return _result(
        fix,
        work.plot,
        work.dr,
        position=position,
        cov=_matrix(cov),
        sights=ids,
        residuals=dict(zip(ids, residuals, strict=True)),
        intercepts=work.intercepts,
        redundancy=dict(zip(ids, map(float, found.redundancy), strict=True)),
        chi2=chi2,
        dof=dof,
        p_value=p_value,
        common=(float(found.common_arcmin), float(found.common_sigma_arcmin)) if common_solved else None,
        mpp_rule=_rule(work),
        alternatives=alternatives,
        trust=trust,
        warnings=tuple(said),
    )


def _without_position(work: FixWork, why: str) -> FixResult:
    return _result(
        work.fix,
        work.plot,
        work.dr,
        sights=work.ids,
        residuals=work.intercepts,
        intercepts=work.intercepts,
        redundancy=dict.fromkeys(work.ids, 0.0),
        mpp_rule=_rule(work),
        trust=(why,),
        warnings=(why,),
    )


def _rule(work: FixWork) -> Position | None:
    """The handbooks' most probable position, where there is just one line."""
    if len(work.ids) != 1:
        return None
    zn, intercept = float(work.azimuths_deg[0]), float(work.intercepts_nm[0])
    return Position(*rule_position(*work.dr, zn, intercept, 60.0 * work.plot.hours(work.time_s)))


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
    alternatives: tuple[Position, ...] = (),
    trust: tuple[str, ...] = (),
    warnings: tuple[str, ...] = (),
) -> FixResult:
    time_s = gmt_s(fix.time)
    dr_cov = plot.covariance(time_s)
    wind = plot.wind_to_reach(position.lat, position.lon, time_s) if position else None
    wind_cov = None
    if wind and cov:
        taken_in = _matrix(dr_cov) if fix.prior else None
        wind_cov = found(cov, plot.cov_nm2, float(plot.hours(time_s)), taken_in).wind_kt2
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
        dr_cov_nm2=_matrix(dr_cov) or ((0.0, 0.0), (0.0, 0.0)),
        from_dr_nm=math.hypot(north, east) if position else None,
        from_dr_deg=math.degrees(math.atan2(east, north)) % 360.0 if position else None,
        wind_from_deg=wind[0] if wind else None,
        wind_kt=wind[1] if wind else None,
        wind_since=instant(plot.time_s) if wind else None,
        mpp_rule=mpp_rule,
        wind_cov_kt2=wind_cov,
        alternatives=alternatives,
        adopted=fix.adopt and position is not None,
        trust=trust,
        warnings=warnings,
    )


def _matrix(values: Array | None) -> Matrix | None:
    if values is None:
        return None
    return (float(values[0, 0]), float(values[0, 1])), (float(values[1, 0]), float(values[1, 1]))


def _position(plot: Reckoning, time_s: float) -> Position:
    lat, lon = plot.position(time_s)
    return Position(float(lat), float(lon))
