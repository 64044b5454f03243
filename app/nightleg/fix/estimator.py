"""The fix: weighted least squares on the exact altitudes, with the full covariance of what can be wrong.

Unknown are the position and, if asked, one altitude error common to all shots. What can be wrong with the residual
Ho - Hc of a shot carried to its own time (north and east in NM, u the unit vector toward the body, Δt the fix time less
the shot's in hours, signed):

- its own random error: σ² on the diagonal;
- an error common to all shots, where it is not solved for: σ_c² everywhere;
- the wind held since the last adopted fix, wrong by a constant: σ_w²·Δtᵢ·Δtⱼ·uᵢ·uⱼ, so that shots on the two sides of
  the fix time pull against each other;
- the watch: σ_t²·hᵢ·hⱼ, h the change of altitude in a second by the motions of body and aircraft;
- with the DR as prior, DR with DR P₀ + σ_w²τ² I and DR with shot σ_w²·τ·Δtᵢ·uᵢ, τ the hours since the last adopted fix:
  the same wind error has moved both.

Everything works on leading batch dimensions, so ten thousand simulated fixes are one call. Residuals are in arcmin and
positions' steps in NM, through the exact change of the altitude with the place on the ellipsoid.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from nightleg.earth.local import between, offset

Array = NDArray[np.float64]

# positions (…, k, 1) to residuals (…, k, n) in arcmin and azimuths (…, k, n) in degrees
ResidualFunction = Callable[[Array, Array], tuple[Array, Array]]

_STEP_NM = 0.01  # for derivatives: curvature adds less than 1e-4 to them up to 88° of altitude
_CLOSE_NM = 1e-5
_LEAST_PRIOR_NM2 = 1e-6  # a position said to be exact still has 2 m, so that its weight stays finite
_ROUNDS = 25
_LONGEST_STEP_NM = 1500.0


@dataclass(frozen=True, slots=True)
class ErrorModel:
    """The sizes of the errors of one fix; arrays are (…, n) over the shots."""

    sigma_arcmin: Array
    common_sigma_arcmin: float
    wind_sigma_kt: float
    watch_sigma_s: float
    hours_to_fix: Array  # Δt, signed
    rate_arcmin_per_s: Array  # h


@dataclass(frozen=True, slots=True)
class Prior:
    """The DR as an observation: its position and covariance at the fix time, and the hours since the last fix.

    `cov_nm2` is P₀ + σ_w²τ² I, (…, 2, 2).
    """

    lat: Array
    lon: Array
    cov_nm2: Array
    hours: Any


@dataclass(frozen=True, slots=True)
class Estimate:
    """Result, with leading batch dimensions. Where `converged` is False the rest has no meaning."""

    lat: Array
    lon: Array
    cov_nm2: Array  # (…, 2, 2)
    common_arcmin: Array  # (…), 0 where not solved for
    common_sigma_arcmin: Array
    residuals_arcmin: Array  # (…, n): Ho - Hc at the fix
    redundancy: Array  # (…, n), 0 to 1: the share of an error that shows in its own residual
    weighted_residuals: Array  # (…, n): residual over its own standard deviation (0 where there is no redundancy)
    chi2: Array
    dof: int
    azimuth_deg: Array  # (…, n) at the fix
    converged: NDArray[np.bool_]


def error_covariance(model: ErrorModel, azimuth_deg: Array, with_common: bool) -> Array:
    """Covariance (…, n, n) of the shots' residuals, arcmin²; `with_common`: the common error counts as noise."""
    zn = np.radians(azimuth_deg)
    n = zn.shape[-1]
    cov = np.asarray(model.sigma_arcmin)[..., None] ** 2 * np.eye(n)
    if with_common and model.common_sigma_arcmin:
        cov = cov + model.common_sigma_arcmin**2
    if model.wind_sigma_kt:
        a = np.asarray(model.hours_to_fix) * np.cos(zn) * model.wind_sigma_kt
        b = np.asarray(model.hours_to_fix) * np.sin(zn) * model.wind_sigma_kt
        cov = cov + a[..., :, None] * a[..., None, :] + b[..., :, None] * b[..., None, :]
    if model.watch_sigma_s:
        h = np.asarray(model.rate_arcmin_per_s) * model.watch_sigma_s
        cov = cov + h[..., :, None] * h[..., None, :]
    return np.asarray(cov)


def estimate(
    residual: ResidualFunction,
    lat: Any,
    lon: Any,
    model: ErrorModel,
    *,
    prior: Prior | None = None,
    solve_common: bool = False,
) -> Estimate:
    """The most likely position from a first guess (lat, lon), each of shape (…).

    Gauss-Newton until the step is below 0.00001 NM. Geometry that gives no position comes back as not converged.
    """
    lat, lon = np.asarray(lat, dtype=float), np.asarray(lon, dtype=float)
    done = np.zeros(lat.shape, dtype=bool)
    common = np.zeros(lat.shape)
    for _ in range(_ROUNDS):
        system = _linearise(residual, lat, lon, model, prior, solve_common)
        step = _solve(system.normal, system.gradient)
        move = step[..., :2]
        length = np.hypot(move[..., 0], move[..., 1])
        move = move * np.minimum(1.0, _LONGEST_STEP_NM / np.maximum(length, 1e-9))[..., None]
        move = np.where(np.isfinite(move), move, 0.0)
        lat, lon = offset(lat, lon, move[..., 0], move[..., 1])
        if solve_common:
            common = np.where(np.isfinite(step[..., 2]), step[..., 2], 0.0)
        done = length < _CLOSE_NM
        if np.all(done | ~np.isfinite(length)):
            break
    return _finish(residual, lat, lon, common, model, prior, solve_common, done)


@dataclass(frozen=True, slots=True)
class _System:
    """The observations linearised at a position: rows are the shots, then north and east of the DR."""

    residuals: Array  # (…, m)
    design: Array  # (…, m, unknowns): how each residual comes about by a step to the truth
    weights: Array  # (…, m, m), inverse of the covariance
    covariance: Array
    normal: Array
    gradient: Array
    azimuth_deg: Array
    shots: int


def _linearise(
    residual: ResidualFunction, lat: Array, lon: Array, model: ErrorModel, prior: Prior | None, solve_common: bool
) -> _System:
    north, east = np.array([0.0, _STEP_NM, 0.0]), np.array([0.0, 0.0, _STEP_NM])
    lats, lons = offset(lat[..., None], lon[..., None], north, east)
    values, azimuths = residual(lats[..., None], lons[..., None])  # (…, 3, n)
    r, zn = values[..., 0, :], azimuths[..., 0, :]
    # residual = u·dx + …: the residual left falls as the position moves toward the truth
    columns = [(r - values[..., 1, :]) / _STEP_NM, (r - values[..., 2, :]) / _STEP_NM]
    if solve_common:
        columns.append(np.ones_like(r))
    design = np.stack(columns, axis=-1)
    covariance = error_covariance(model, zn, with_common=not solve_common)
    n = r.shape[-1]
    if prior is not None:
        r, design, covariance = _with_prior(r, design, covariance, zn, lat, lon, model, prior)
    weights = np.asarray(np.linalg.inv(covariance), dtype=np.float64)
    carried = np.swapaxes(design, -1, -2) @ weights
    return _System(
        residuals=r,
        design=design,
        weights=weights,
        covariance=covariance,
        normal=carried @ design,
        gradient=(carried @ r[..., None])[..., 0],
        azimuth_deg=zn,
        shots=n,
    )


def _with_prior(
    r: Array, design: Array, covariance: Array, zn: Array, lat: Array, lon: Array, model: ErrorModel, prior: Prior
) -> tuple[Array, Array, Array]:
    """Append the DR's two rows and its covariance with the shots."""
    north, east = between(prior.lat, prior.lon, lat, lon)
    away = np.stack([-north, -east], axis=-1)  # DR less position
    n, unknowns = design.shape[-2:]
    rows = np.zeros((*r.shape[:-1], 2, unknowns))
    rows[..., 0, 0] = rows[..., 1, 1] = 1.0
    shared = model.wind_sigma_kt**2 * np.asarray(prior.hours)[..., None] * np.asarray(model.hours_to_fix)
    cross = np.stack([shared * np.cos(np.radians(zn)), shared * np.sin(np.radians(zn))], axis=-1)  # (…, n, 2)
    joint = np.zeros((*r.shape[:-1], n + 2, n + 2))
    joint[..., :n, :n] = covariance
    # An error of the wind moves the truth away from the DR by +τw and appears in a shot as -Δt u·w. As rows of the same
    # sign (what is left of DR less truth is -τw) the two go together.
    joint[..., :n, n:] = cross
    joint[..., n:, :n] = np.swapaxes(cross, -1, -2)
    joint[..., n:, n:] = prior.cov_nm2 + _LEAST_PRIOR_NM2 * np.eye(2)
    return np.concatenate([r, away], axis=-1), np.concatenate([design, rows], axis=-2), joint


def _solve(normal: Array, gradient: Array) -> Array:
    """Solve symmetric systems; those that are singular give NaN instead of an error for the whole batch."""
    scale = np.sqrt(np.maximum(np.einsum("...ii->...i", normal), 1e-300))
    balanced = normal / scale[..., :, None] / scale[..., None, :]
    sound = np.linalg.cond(balanced) < 1e12
    safe = np.where(sound[..., None, None], balanced, np.eye(normal.shape[-1]))
    answer = np.linalg.solve(safe, (gradient / scale)[..., None])[..., 0] / scale
    return np.where(sound[..., None], answer, np.nan)


def _finish(
    residual: ResidualFunction,
    lat: Array,
    lon: Array,
    common: Array,
    model: ErrorModel,
    prior: Prior | None,
    solve_common: bool,
    done: NDArray[np.bool_],
) -> Estimate:
    system = _linearise(residual, lat, lon, model, prior, solve_common)
    unknowns = system.design.shape[-1]
    scale = np.sqrt(np.maximum(np.einsum("...ii->...i", system.normal), 1e-300))
    balanced = system.normal / scale[..., :, None] / scale[..., None, :]
    sound = np.linalg.cond(balanced) < 1e12
    safe = np.where(sound[..., None, None], balanced, np.eye(unknowns))
    cov = np.linalg.inv(safe) / scale[..., :, None] / scale[..., None, :]
    left = system.residuals.copy()
    n = system.shots
    left[..., :n] -= common[..., None]
    chi2 = np.einsum("...i,...ij,...j->...", left, system.weights, left)
    hat = system.design @ cov @ np.swapaxes(system.design, -1, -2)
    redundancy = 1.0 - np.einsum("...ij,...ji->...i", hat, system.weights)[..., :n]
    # standard deviation of each residual left over: from its covariance, C - A (AᵀC⁻¹A)⁻¹ Aᵀ
    spread = np.einsum("...ii->...i", system.covariance - hat)[..., :n]
    own = np.einsum("...ii->...i", system.covariance)[..., :n]
    visible = spread > 1e-6 * own
    weighted = np.where(visible, left[..., :n] / np.sqrt(np.where(visible, spread, 1.0)), 0.0)
    return Estimate(
        lat=lat,
        lon=lon,
        cov_nm2=cov[..., :2, :2],
        common_arcmin=common,
        common_sigma_arcmin=np.sqrt(np.maximum(cov[..., 2, 2], 0.0)) if solve_common else np.zeros(lat.shape),
        residuals_arcmin=system.residuals[..., :n],
        redundancy=np.clip(redundancy, 0.0, 1.0),
        weighted_residuals=weighted,
        chi2=np.maximum(chi2, 0.0),
        dof=n + (0 if prior is None else 2) - unknowns,
        azimuth_deg=system.azimuth_deg,
        converged=done & sound & np.isfinite(chi2),
    )
