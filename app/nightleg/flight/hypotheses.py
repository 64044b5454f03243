"""A fix worked again under each of many changes, all at once: a row of one batch for each.

The DR takes part as a witness. Other lines stand beside the altitudes with their own sigma, as in the fix itself: they
share the error of the wind, and neither that of the sextant nor that of the watch.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from nightleg.air.reckoning import Reckoning
from nightleg.fix.estimator import ErrorModel, Estimate, Prior, Seen, estimate
from nightleg.fix.lines.base import PositionLine
from nightleg.flight.fixwork import altitudes_seen, carrying
from nightleg.flight.linework import LineAt
from nightleg.flight.mistakes import Change
from nightleg.flight.model import Sight
from nightleg.flight.shots import Kit, Shot, observe, ready, sky_of
from nightleg.sight.chain import compute, correct
from nightleg.sight.observation import Observations
from nightleg.units.positions import Position

Array = NDArray[np.float64]


class Observed(Struct, frozen=True):
    """What a fix was worked from: altitudes first, then other lines."""

    sights: tuple[Sight, ...]
    lines: tuple[LineAt, ...] = ()

    @property
    def ids(self) -> tuple[str, ...]:
        """Of the shots and the lines."""
        return (*(sight.id for sight in self.sights), *(line.id for line in self.lines))


class Run(Struct, frozen=True):
    """What the fix comes to under one change."""

    log_likelihood: float
    chi2: float
    position: Position


def worked_under(
    kit: Kit, time_s: float, observed: Observed, plot: Reckoning, changes: Sequence[Change]
) -> list[Run | None]:
    """The fix worked again under each change, with the DR as a witness. None where that gives no position."""
    count, n = len(changes), len(observed.sights)
    at_lines = np.broadcast_to([line.time_s for line in observed.lines], (count, len(observed.lines)))
    obs, times = _rows(kit, observed.sights, plot, changes) if n else (None, np.zeros((count, 0)))
    dr_lon = plot.position(times)[1][:, None, :] if n else times
    carried = carrying(plot, time_s, np.concatenate([times, at_lines], axis=1))
    shapes = _shapes(observed.lines, changes)

    def see(lats: Array, lons: Array) -> Seen:
        lat, lon = carried(lats, lons)
        if obs is None:
            altitudes = Seen(np.zeros((count, 5, 0)), np.zeros((count, 0)), np.zeros((count, 0)))
        else:
            altitudes = altitudes_seen(obs, lat[..., :n], lon[..., :n], dr_lon)
        return _with_lines(altitudes, shapes, lat[..., n:], lon[..., n:])

    model = ErrorModel(
        sigma_arcmin=_sigmas(kit, observed, changes),
        common_sigma_arcmin=kit.sextant.common_sigma_arcmin,
        wind_sigma_kt=kit.wind_sigma_kt,
        watch_sigma_s=kit.watch.sigma_s,
        shares_common=np.array([1.0] * n + [0.0] * len(observed.lines)),
    )
    cov, by_wind = plot.carried_covariance(time_s)
    lat, lon = plot.position(time_s)
    found = estimate(see, np.full(count, lat), np.full(count, lon), model, prior=Prior(lat, lon, cov, by_wind))
    likelihood = _log_likelihood(found)
    return [
        Run(float(likelihood[k]), float(found.chi2[k]), Position(float(found.lat[k]), float(found.lon[k])))
        if found.converged[k]
        else None
        for k in range(count)
    ]


def stacked(shapes: Sequence[PositionLine]) -> PositionLine:
    """Lines of one kind as one of them whose parts are columns (rows, 1), to be asked about places (rows, …)."""
    kind: Any = type(shapes[0])
    parts = {name: np.array([getattr(shape, name) for shape in shapes])[:, None] for name in kind.__struct_fields__}
    together: PositionLine = kind(**parts)
    return together


def _shapes(lines: tuple[LineAt, ...], changes: Sequence[Change]) -> list[PositionLine]:
    """Each line under all the changes."""
    meant = [{} if change.line is None else {change.line.id: change.line} for change in changes]
    return [stacked([row.get(line.id, line).shape for row in meant]) for line in lines]


def _with_lines(altitudes: Seen, shapes: Sequence[PositionLine], lat: Array, lon: Array) -> Seen:
    """Add the offsets of other lines at their places (rows, 5, lines): NM beside minutes of arc, without the watch."""
    if not shapes:
        return altitudes
    offsets = [shape.offset_nm(lat[..., k], lon[..., k]) for k, shape in enumerate(shapes)]
    normals = [shape.normal_deg(lat[:, :1, k], lon[:, :1, k]) for k, shape in enumerate(shapes)]
    return Seen(
        np.concatenate([altitudes.residuals_arcmin, np.stack(offsets, axis=-1)], axis=-1),
        np.concatenate([altitudes.azimuth_deg, *normals], axis=-1),
        np.concatenate([altitudes.rate_arcmin_per_s, np.zeros((lat.shape[0], len(shapes)))], axis=-1),
    )


def _sigmas(kit: Kit, observed: Observed, changes: Sequence[Change]) -> Array:
    """1σ of each observation under each change, ′ and NM."""
    usual = [*(s.sigma_arcmin or kit.sextant.sigma_arcmin for s in observed.sights)]
    usual += [line.sigma_nm for line in observed.lines]
    sigmas = np.array([usual] * len(changes))
    for k, change in enumerate(changes):
        if change.spread_arcmin:
            at = observed.ids.index(change.id)
            sigmas[k, at] = math.hypot(sigmas[k, at], change.spread_arcmin)
    return sigmas


def _rows(
    kit: Kit, sights: tuple[Sight, ...], plot: Reckoning, changes: Sequence[Change]
) -> tuple[Observations, Array]:
    """Observations (changes, 1, shots) and times (changes, shots)."""
    written = [ready(kit.watch, kit.start, sight) for sight in sights]
    rows = [_changed(kit, sights, written, change) for change in changes]
    n = len(sights)
    obs = {name: np.empty((len(changes), n)) for name in Observations.__struct_fields__}
    for sextant in {row_kit.sextant for row_kit, _ in rows}:
        mine = [k for k, (row_kit, _) in enumerate(rows) if row_kit.sextant == sextant]
        # most changes leave most shots as they are: each is observed once
        flat = {id(shot): shot for k in mine for shot in rows[k][1]}
        number = {key: place for place, key in enumerate(flat)}
        together = observe(sextant, list(flat.values()), sky_of(list(flat.values())), plot)
        index = np.array([[number[id(shot)] for shot in rows[k][1]] for k in mine])
        for name in Observations.__struct_fields__:
            obs[name][mine] = getattr(together, name)[index]
    lat, lon = plot.position(np.array([shot.time_s for shot in rows[0][1]]))
    base = Observations(**{name: values[0] for name, values in obs.items()})
    coriolis = correct(base, compute(base, lat, lon), lat).coriolis
    for k, change in enumerate(changes):
        obs["hs_deg"][k] += (change.turned - 1.0) * coriolis / 60.0
    times = np.array([[shot.time_s for shot in shots] for _, shots in rows])
    return Observations(**{name: values[:, None, :] for name, values in obs.items()}), times


def _changed(kit: Kit, sights: tuple[Sight, ...], written: list[Shot], change: Change) -> tuple[Kit, list[Shot]]:
    """The kit and the shots under a change."""
    other, mine = change.sight, change.kit or kit
    if change.kit is not None:
        return mine, [ready(mine.watch, mine.start, sight) for sight in sights]
    if other is None:
        return kit, written
    changed = ready(kit.watch, kit.start, other)
    return kit, [changed if sight.id == other.id else shot for sight, shot in zip(sights, written, strict=True)]


def _log_likelihood(found: Estimate) -> Array:
    """Of the observations, the position being anywhere: Gaussian, integrated over the position."""
    with np.errstate(invalid="ignore"):  # of what has not converged, which is not asked for
        _, of_errors = np.linalg.slogdet(found.error_cov)
        _, of_position = np.linalg.slogdet(found.cov_nm2)
    return np.asarray(-0.5 * found.chi2 - 0.5 * of_errors + 0.5 * of_position)
