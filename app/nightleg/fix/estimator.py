"""The fix: weighted least squares on the exact altitudes, with the full covariance of what can be wrong.

Unknown are the position and, if asked, one altitude error common to all shots. What can be wrong with the residual
Ho - Hc of a shot carried to its own time:

- its own random error: σ² on the diagonal;
- an error common to all shots, where it is not solved for: σ_c² everywhere;
- the wind held since the last adopted fix, wrong by a constant: σ_w²·bᵢ·bⱼ, b the change of the residual with the wind
  used, close to Δt·u (Δt the fix time less the shot's, signed, u the unit vector toward the body), so that shots on the
  two sides of the fix time pull against each other;
- the watch: σ_t²·hᵢ·hⱼ, h the change of altitude in a second by the motions of body and aircraft;
- with the DR as prior, DR with DR P₀ + σ_w²·G·Gᵀ and DR with shot σ_w²·G·bᵢ, G the change of the DR with the wind,
  close to τ·I (τ the hours since the last adopted fix): the same wind error has moved both.

Over minutes b and G are what stands beside them. Over hours the meridians converge under a constant track: taken as
Δt·u and τ·I, the 95 % ellipse of two lines two hours apart and the DR would hold the truth 91 % of the time at 55°
of latitude. So they are found by flying the legs in a wind a little different.

Everything works on leading batch dimensions, so ten thousand simulated fixes are one call. Residuals are in arcmin and
positions' steps in NM, through the exact change of the altitude with the place on the ellipsoid.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from nightleg.earth.local import between, offset

Array = NDArray[np.float64]

STEP_NM = 0.01  # for derivatives: curvature adds less than 1e-4 to them up to 88° of altitude
WIND_STEP_KT = 0.1


class Seen(Struct, frozen=True):
    """What the shots say at a position x of the aircraft at the fix time, over the n shots."""

    residuals_arcmin: (
        Array  # (…, 5, n): at x, STEP_NM north, STEP_NM east; at x with WIND_STEP_KT more to north, to east
    )
    azimuth_deg: Array  # (…, n)
    rate_arcmin_per_s: Array  # (…, n): of the altitude, by the motions of body and aircraft


# positions (…, 3, 1) in degrees: x, a step north of it, a step east of it
SeeFunction = Callable[[Array, Array], Seen]

_CLOSE_NM = 0.02  # the step after one of this length is below 2e-6 NM up to 88° of altitude
_LEAST_PRIOR_NM2 = 1e-6  # a position said to be exact still has 2 m, so that its weight stays finite
_ROUNDS = 25
_LONGEST_STEP_NM = 1500.0
_LEAST_DETERMINANT = 1e-12  # of a normal matrix scaled to a unit diagonal


class ErrorModel(Struct, frozen=True):
    """The sizes of the errors of one fix."""

    sigma_arcmin: Array  # (…, n)
    common_sigma_arcmin: float
    wind_sigma_kt: float
    watch_sigma_s: float
    shares_common: Array | None = None  # (n,): 1 for altitudes, 0 for other lines; None: all share

    def common(self) -> Array:
        """Which observations share the common error."""
        return np.ones(np.shape(self.sigma_arcmin)[-1]) if self.shares_common is None else self.shares_common


class Prior(Struct, frozen=True):
    """The DR as an observation: its position and covariance at the fix time, and how the wind has moved it.

    `cov_nm2` is (…, 2, 2), the wind's part included; `wind_nm_per_kt` is G, (…, 2, 2): rows north and east of the
    position, columns of the wind.
    """

    lat: Array
    lon: Array
    cov_nm2: Array
    wind_nm_per_kt: Array


class Estimate(Struct, frozen=True):
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
    error_cov: Array  # (…, m, m): covariance of all observations' errors, the DR's last
    converged: NDArray[np.bool_]


def error_covariance(model: ErrorModel, by_wind: Array, rate: Array, with_common: bool) -> Array:
    """Covariance (…, n, n) of the shots' residuals, arcmin².

    `by_wind` is b, (…, n, 2), `rate` is h, (…, n); `with_common`: the common error counts as noise.
    """
    sigma = np.asarray(model.sigma_arcmin, dtype=float)
    cov = sigma[..., None] ** 2 * np.eye(sigma.shape[-1])
    if with_common and model.common_sigma_arcmin:
        shared = model.common() * model.common_sigma_arcmin
        cov = cov + shared[:, None] * shared[None, :]
    if model.wind_sigma_kt:
        b = by_wind * model.wind_sigma_kt
        cov = cov + b @ np.swapaxes(b, -1, -2)
    if model.watch_sigma_s:
        h = rate * model.watch_sigma_s
        cov = cov + h[..., :, None] * h[..., None, :]
    return np.asarray(cov)


def estimate(
    see: SeeFunction,
    lat: Any,
    lon: Any,
    model: ErrorModel,
    *,
    prior: Prior | None = None,
    solve_common: bool = False,
) -> Estimate:
    """The most likely position from a first guess (lat, lon), each of shape (…).

    Gauss-Newton, the covariance of the errors taken anew at each position, until a further step would be below
    0.00001 NM.
    Geometry that gives no position comes back as not converged.
    """
    lat, lon = np.asarray(lat, dtype=float), np.asarray(lon, dtype=float)
    common = np.zeros(lat.shape)
    for _ in range(_ROUNDS):
        system = _linearise(see, lat, lon, model, prior, solve_common)
        step = _solve(system.normal, system.gradient)
        move = step[..., :2]
        length = np.hypot(move[..., 0], move[..., 1])
        if solve_common:
            common = np.where(np.isfinite(step[..., 2]), step[..., 2], 0.0)
        done = length < _CLOSE_NM
        move = move * np.minimum(1.0, _LONGEST_STEP_NM / np.maximum(length, 1e-9))[..., None]
        move = np.where(np.isfinite(move), move, 0.0)
        lat, lon = offset(lat, lon, move[..., 0], move[..., 1])
        if np.all(done | ~np.isfinite(length)):
            break
    # over the last small step the residuals go down as the design says; looking at the shots once more shows no more
    left = system.residuals - (system.design[..., :2] @ move[..., None])[..., 0]
    return _finish(system, left, lat, lon, common, model, prior, solve_common, done)


class _System(Struct, frozen=True):
    """The observations linearised at a position: rows are the shots, then north and east of the DR."""

    residuals: Array  # (…, m)
    design: Array  # (…, m, unknowns): how each residual comes about by a step to the truth
    covariance: Array  # (…, m, m)
    weights: Array  # its inverse
    normal: Array
    gradient: Array
    azimuth_deg: Array  # (…, n)


def _linearise(
    see: SeeFunction, lat: Array, lon: Array, model: ErrorModel, prior: Prior | None, solve_common: bool
) -> _System:
    lats, lons = offset(lat[..., None], lon[..., None], _NORTH_NM, _EAST_NM)
    seen = see(lats[..., None], lons[..., None])
    values = seen.residuals_arcmin
    r = values[..., 0, :]
    # residual = u·dx + …: the residual left falls as the position moves toward the truth
    columns = [(r - values[..., 1, :]) / STEP_NM, (r - values[..., 2, :]) / STEP_NM]
    if solve_common:
        columns.append(np.broadcast_to(model.common(), r.shape))
    design = np.stack(columns, axis=-1)
    by_wind = np.swapaxes(values[..., 3:, :] - values[..., :1, :], -1, -2) / WIND_STEP_KT
    covariance = error_covariance(model, by_wind, seen.rate_arcmin_per_s, with_common=not solve_common)
    if prior is not None:
        r, design, covariance = _with_prior(r, design, covariance, by_wind, lat, lon, model, prior)
    scale = np.sqrt(np.einsum("...ii->...i", covariance))
    # the inverse of the correlations, kept from being singular where one error drowns all others
    correlations = covariance / scale[..., :, None] / scale[..., None, :] + 1e-13 * np.eye(r.shape[-1])
    weights = np.linalg.inv(correlations) / scale[..., :, None] / scale[..., None, :]
    carried = np.swapaxes(design, -1, -2) @ weights
    return _System(r, design, covariance, weights, carried @ design, (carried @ r[..., None])[..., 0], seen.azimuth_deg)


_NORTH_NM, _EAST_NM = np.array([0.0, STEP_NM, 0.0]), np.array([0.0, 0.0, STEP_NM])


def _with_prior(
    r: Array, design: Array, covariance: Array, by_wind: Array, lat: Array, lon: Array, model: ErrorModel, prior: Prior
) -> tuple[Array, Array, Array]:
    """Append the DR's two rows and its covariance with the shots."""
    n, unknowns = design.shape[-2:]
    away_north, away_east = between(lat, lon, prior.lat, prior.lon)
    rows = np.zeros((*r.shape[:-1], 2, unknowns))
    rows[..., 0, 0] = rows[..., 1, 1] = 1.0
    # An error of the wind moves the truth from the DR by +G·w and shows in a shot as -b·w; of DR less truth what is
    # left is -G·w, so the two go together.
    cross = model.wind_sigma_kt**2 * by_wind @ np.swapaxes(prior.wind_nm_per_kt, -1, -2)
    joint = np.zeros((*r.shape[:-1], n + 2, n + 2))
    joint[..., :n, :n] = covariance
    joint[..., :n, n:] = cross
    joint[..., n:, :n] = np.swapaxes(cross, -1, -2)
    joint[..., n:, n:] = prior.cov_nm2 + _LEAST_PRIOR_NM2 * np.eye(2)
    away = np.stack([away_north, away_east], axis=-1)
    return np.concatenate([r, away], axis=-1), np.concatenate([design, rows], axis=-2), joint


def _balanced(normal: Array) -> tuple[Array, Array, NDArray[np.bool_]]:
    """Normal matrices scaled to a unit diagonal, the scale, and which of them can be inverted.

    Singular ones are replaced, so that one bad geometry does not stop a batch.
    """
    scale = np.sqrt(np.maximum(np.einsum("...ii->...i", normal), 1e-300))
    balanced = normal / scale[..., :, None] / scale[..., None, :]
    with np.errstate(invalid="ignore"):  # a place that no altitude leads to is nan, and never sound
        sound = np.linalg.det(balanced) > _LEAST_DETERMINANT
    if not sound.all():
        balanced = np.where(sound[..., None, None], balanced, np.eye(normal.shape[-1]))
    return balanced, scale, sound


def _solve(normal: Array, gradient: Array) -> Array:
    """Solve symmetric systems; those that are singular give NaN."""
    balanced, scale, sound = _balanced(normal)
    answer = np.linalg.solve(balanced, (gradient / scale)[..., None])[..., 0] / scale
    return np.where(sound[..., None], answer, np.nan)


def _finish(
    system: _System,
    residuals: Array,
    lat: Array,
    lon: Array,
    common: Array,
    model: ErrorModel,
    prior: Prior | None,
    solve_common: bool,
    done: NDArray[np.bool_],
) -> Estimate:
    n = system.azimuth_deg.shape[-1]
    balanced, scale, sound = _balanced(system.normal)
    cov = np.linalg.inv(balanced) / scale[..., :, None] / scale[..., None, :]
    left = residuals.copy()
    left[..., :n] -= common[..., None] * model.common()
    chi2 = np.einsum("...i,...ij,...j->...", left, system.weights, left)
    hat = system.design @ cov @ np.swapaxes(system.design, -1, -2)
    redundancy = 1.0 - np.einsum("...ij,...ji->...i", hat, system.weights)[..., :n]
    # standard deviation of each residual left over: from its covariance, C - A (AᵀC⁻¹A)⁻¹ Aᵀ
    spread = np.einsum("...ii->...i", system.covariance - hat)[..., :n]
    visible = spread > 1e-6 * np.einsum("...ii->...i", system.covariance)[..., :n]
    weighted = np.where(visible, left[..., :n] / np.sqrt(np.where(visible, spread, 1.0)), 0.0)
    return Estimate(
        lat=lat,
        lon=lon,
        cov_nm2=cov[..., :2, :2],
        common_arcmin=common,
        common_sigma_arcmin=np.sqrt(np.maximum(cov[..., 2, 2], 0.0)) if solve_common else np.zeros(lat.shape),
        residuals_arcmin=residuals[..., :n],
        redundancy=np.clip(redundancy, 0.0, 1.0),
        weighted_residuals=weighted,
        chi2=np.maximum(chi2, 0.0),
        dof=n + (0 if prior is None else 2) - system.design.shape[-1],
        azimuth_deg=system.azimuth_deg,
        error_cov=system.covariance,
        converged=done & sound & np.isfinite(chi2),
    )
