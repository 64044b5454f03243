"""When the shots of a fix disagree: what may have gone wrong, by likelihood.

Each hypothesis is one usual mistake undone in one shot (or in all, for the watch and the sextant). The fix is worked
again under it, with the DR as a witness so that a mistake can be pinned on one shot even where the lines alone cannot
tell, and its likelihood is weighed with how often such a mistake is made. Nothing is ever left out of a fix by this: it
only says what would explain it.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from msgspec import Struct
from msgspec.structs import replace
from numpy.typing import NDArray

from nightleg.air.reckoning import Reckoning
from nightleg.fix.ellipse import chi2_two_dof
from nightleg.fix.estimator import ErrorModel, Estimate, Prior, Seen, estimate
from nightleg.flight.fixwork import altitudes_seen, carrying
from nightleg.flight.mistakes import Change, mistakes
from nightleg.flight.model import Fix, Flight, Sight
from nightleg.flight.shots import Kit, Shot, kit_of, observe, ready, sky_of
from nightleg.flight.solution import FixResult, Solution
from nightleg.sight.chain import compute, correct
from nightleg.sight.observation import Observations
from nightleg.units.positions import Position
from nightleg.units.times import gmt_s

Array = NDArray[np.float64]

ASK_BELOW_P = 0.02  # below this agreement, one good fix of fifty, a fix asks for an explanation by itself …
ASK_FROM_DR_P = 0.001  # … and so far from the DR as one good fix of a thousand
SHOWN = 8
WEIGHED = 12  # shots, those that fit worst, whose mistakes are weighed
MOST_SHOTS = 60
_NEVER = 700.0  # logarithm of odds that leave nothing


class Suspect(Struct, frozen=True):
    """One explanation: what it would mean, and how well it does."""

    id: str  # of the shot; "all" for what touches every one
    explanation: str
    log_odds: float  # natural logarithm of its odds against all the others and against chance
    position: Position  # the fix that it would give
    chi2: float
    sight: Sight | None = None  # the sight as it would have been, to try on the chart
    kit: Kit | None = None


class Verdict(Struct, frozen=True):
    """What can be said of a fix whose shots disagree, best explanation first."""

    suspects: tuple[Suspect, ...]
    chance_log_odds: float  # that nothing went wrong
    telling: bool  # False: redundancy is too small to tell the first from the next
    words: str


def asks(result: FixResult) -> bool:
    """Whether a fix is so improbable, by its shots or by the way from the DR, that it asks for an explanation."""
    if result.p_value is not None and result.p_value < ASK_BELOW_P:
        return True
    if result.prior or result.kind != "celestial" or result.cov_nm2 is None or result.from_dr_nm is None:
        return False
    # the wind has moved DR and earlier shots alike, which this sum leaves out: it asks less often than it might
    cov = np.asarray(result.cov_nm2) + np.asarray(result.dr_cov_nm2)
    bearing = math.radians(result.from_dr_deg or 0.0)
    away = result.from_dr_nm * np.array([math.cos(bearing), math.sin(bearing)])
    if not np.linalg.det(cov) > 0.0:
        return False
    return float(away @ np.linalg.solve(cov, away)) > chi2_two_dof(1.0 - ASK_FROM_DR_P)


def suspects(flight: Flight, solution: Solution, fix_id: str) -> Verdict:
    """Explanations of a celestial fix's disagreement. Raises KeyError for a fix that is not there."""
    fix = next((one for one in flight.fixes if one.id == fix_id), None)
    if fix is None:
        raise KeyError(fix_id)
    result, plot, kit = solution.fix(fix_id), solution.plot_of_fix[fix_id], kit_of(flight)
    by_id = {sight.id: sight for sight in flight.sights}
    sights = tuple(by_id[id] for id in result.sights if id in by_id)
    if len(sights) < 2:
        return Verdict((), 0.0, False, "fewer than two shots: nothing can disagree")
    if len(sights) > MOST_SHOTS:
        many = f"{len(sights)} shots are too many to weigh one by one; make fixes of {MOST_SHOTS} or fewer"
        return Verdict((), 0.0, False, many)
    changes = [Change("nothing went wrong", 1.0), *mistakes(kit, _worst(kit, sights, result), plot)]
    runs = _worked(kit, fix, sights, plot, changes)
    scored = [(change, run) for change, run in zip(changes[1:], runs[1:], strict=True) if run is not None]
    if not scored:
        return Verdict((), 0.0, False, "the shots and the DR give no position to judge by")
    verdict = _verdict(scored, runs[0])
    if len(sights) <= WEIGHED:
        return verdict
    return replace(verdict, words=f"{verdict.words} (of {len(sights)} shots the {WEIGHED} that fit worst were weighed)")


def _worst(kit: Kit, sights: tuple[Sight, ...], result: FixResult) -> tuple[Sight, ...]:
    """The shots whose mistakes are weighed: all, or of many those with the largest residuals."""
    if len(sights) <= WEIGHED:
        return sights
    off = [abs(result.residuals_arcmin[s.id]) / (s.sigma_arcmin or kit.sextant.sigma_arcmin) for s in sights]
    return tuple(sights[k] for k in sorted(np.argsort(off)[-WEIGHED:]))


class _Run(Struct, frozen=True):
    log_likelihood: float
    chi2: float
    position: Position


def _worked(
    kit: Kit, fix: Fix, sights: tuple[Sight, ...], plot: Reckoning, changes: Sequence[Change]
) -> list[_Run | None]:
    """The fix worked again under each change, with the DR as a witness: all at once, a row each."""
    obs, times, sigmas = _rows(kit, sights, plot, changes)
    time_s = gmt_s(fix.time)
    carried = carrying(plot, time_s, times)

    dr_lon = plot.position(times)[1][:, None, :]

    def see(lats: Array, lons: Array) -> Seen:
        return altitudes_seen(obs, *carried(lats, lons), dr_lon)

    model = ErrorModel(
        sigma_arcmin=sigmas,
        common_sigma_arcmin=kit.sextant.common_sigma_arcmin,
        wind_sigma_kt=kit.wind_sigma_kt,
        watch_sigma_s=kit.watch.sigma_s,
    )
    cov, by_wind = plot.carried_covariance(time_s)
    lat, lon = plot.position(time_s)
    count = len(changes)
    found = estimate(see, np.full(count, lat), np.full(count, lon), model, prior=Prior(lat, lon, cov, by_wind))
    likelihood = _log_likelihood(found)
    return [
        _Run(float(likelihood[k]), float(found.chi2[k]), Position(float(found.lat[k]), float(found.lon[k])))
        if found.converged[k]
        else None
        for k in range(count)
    ]


def _rows(
    kit: Kit, sights: tuple[Sight, ...], plot: Reckoning, changes: Sequence[Change]
) -> tuple[Observations, Array, Array]:
    """Observations (changes, 1, shots), times and sigmas (changes, shots)."""
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
    sigmas = np.array([[s.sigma_arcmin or kit.sextant.sigma_arcmin for s in sights]] * len(changes))
    for k, change in enumerate(changes):
        obs["hs_deg"][k] += (change.turned - 1.0) * coriolis / 60.0
        if change.spread_arcmin and change.sight is not None:
            at = [sight.id for sight in sights].index(change.sight.id)
            sigmas[k, at] = math.hypot(sigmas[k, at], change.spread_arcmin)
    times = np.array([[shot.time_s for shot in shots] for _, shots in rows])
    return Observations(**{name: values[:, None, :] for name, values in obs.items()}), times, sigmas


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


def _verdict(scored: list[tuple[Change, _Run]], base: _Run | None) -> Verdict:
    """Weigh the explanations with each other and with chance; without a position as logged, chance explains nothing."""
    weights = [math.log(change.prior) + run.log_likelihood for change, run in scored]
    unspoilt = math.log(max(1.0 - sum(change.prior for change, _ in scored), 0.5))
    chance = unspoilt + base.log_likelihood if base else min(weights) - _NEVER
    top = max([*weights, chance])
    total = math.log(sum(math.exp(w - top) for w in weights) + math.exp(chance - top)) + top
    found = [
        Suspect(
            id=change.sight.id if change.sight else "all",
            explanation=change.explanation,
            log_odds=_log_odds(weight - total),
            position=run.position,
            chi2=run.chi2,
            sight=None if change.spread_arcmin else change.sight,
            kit=change.kit,
        )
        for (change, run), weight in zip(scored, weights, strict=True)
    ]
    found.sort(key=lambda suspect: -suspect.log_odds)
    shown = tuple(found[:SHOWN])
    telling = bool(shown) and shown[0].log_odds > _log_odds(chance - total) and shown[0].log_odds > 0.0
    return Verdict(shown, _log_odds(chance - total), telling, _words(shown, telling))


def _log_odds(log_probability: float) -> float:
    """ln(p/(1 - p)), from ln p, kept finite."""
    p = min(max(math.exp(min(log_probability, 0.0)), 1e-300), 1.0 - 1e-12)
    return math.log(p) - math.log1p(-p)


def _words(shown: tuple[Suspect, ...], telling: bool) -> str:
    if not shown:
        return "no usual mistake explains it"
    first = shown[0]
    who = "all shots" if first.id == "all" else first.id
    if telling:
        return f"most likely {who}: {first.explanation}"
    return f"redundancy too small to tell; first in the list is {who}: {first.explanation}"
