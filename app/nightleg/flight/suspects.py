"""When the shots of a fix disagree: what may have gone wrong, by likelihood.

Each hypothesis is one usual mistake undone in one shot (or in all, for the watch and the sextant). The fix is worked
again under it, with the DR as a witness so that a mistake can be pinned on one shot even where the lines alone cannot
tell, and its likelihood is weighed with how often such a mistake is made. Nothing is ever left out of a fix by this: it
only says what would explain it.

How often mistakes are made is a matter of experience (common practice, no source); the table stands in `PRIOR`.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from datetime import timedelta

import numpy as np
from msgspec import Struct
from msgspec.structs import replace

from nightleg.air.reckoning import Reckoning
from nightleg.fix.estimator import Estimate, Prior, estimate
from nightleg.flight.fixwork import FixWork, Shots, fix_work
from nightleg.flight.linework import LineAt
from nightleg.flight.model import Fix, Flight, Sight
from nightleg.flight.reduce import reduce
from nightleg.flight.shots import Kit, kit_of, ready
from nightleg.flight.solution import FixResult, Solution
from nightleg.sight.reduction import altitude_azimuth
from nightleg.sky.catalogue import BODIES, other_stars
from nightleg.sky.places import places_of
from nightleg.units.positions import Position

ASK_BELOW_P = 0.05  # below this agreement a fix asks for an explanation by itself
SHOWN = 8

# how often a shot carries each mistake
PRIOR = {
    "degree": 0.004,
    "ten minutes": 0.004,
    "minute": 0.004,
    "hour": 0.001,
    "body": 0.004,
    "limb": 0.01,
    "start": 0.004,
    "coriolis": 0.002,
    "correction": 0.004,
    "watch": 0.004,
    "outlier": 0.01,
}
OUTLIER_ARCMIN = 60.0  # spread of a reading that is wrong for no reason that is known
NEAR_ARCMIN = 90.0  # another body can only be meant if it stands this near to the reading …
NEAR_DEG = 45.0  # … and this near in azimuth
_OTHERS_WEIGHT = 0.2  # how much more rarely a star is shot that is not in the list
_BRIGHTEST_OTHERS = 3.0  # magnitude down to which stars outside the list are mistaken for one


class Change(Struct, frozen=True):
    """A mistake undone: the sight as it would have been, or the whole kit (for all shots)."""

    explanation: str
    prior: float
    sight: Sight | None = None
    kit: Kit | None = None
    spread_arcmin: float = 0.0  # more error allowed to this sight
    turned: float = 1.0  # factor on the Coriolis correction of all shots


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
    """Whether a fix is so improbable that it asks for an explanation."""
    return result.p_value is not None and result.p_value < ASK_BELOW_P


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
    trial = _Trial(kit, replace(fix, sights=result.sights, prior=True, solve_common_error=False), plot)
    base = trial.run(kit, sights, None)
    if base is None:
        return Verdict((), 0.0, False, "the shots and the DR give no position to judge by")
    scored = []
    for change in _changes(kit, sights, plot):
        changed_kit = change.kit or kit
        changed = tuple(change.sight if change.sight and change.sight.id == s.id else s for s in sights)
        run = trial.run(changed_kit, changed, change)
        if run is not None:
            scored.append((change, run))
    return _verdict(scored, base)


class _Run(Struct, frozen=True):
    log_likelihood: float
    chi2: float
    position: Position


class _Trial:
    """The fix worked again with something changed."""

    def __init__(self, kit: Kit, fix: Fix, plot: Reckoning) -> None:
        self.kit, self.fix, self.plot = kit, fix, plot

    def run(self, kit: Kit, sights: tuple[Sight, ...], change: Change | None) -> _Run | None:
        shots = [ready(kit.watch, kit.start, sight) for sight in sights]
        reduced = reduce(kit.sextant, shots, self.plot, self.fix.id)
        if any(one.ho is None for one in reduced.results):
            return None
        obs = reduced.obs
        if change is not None and change.turned != 1.0:
            undone = (change.turned - 1.0) * reduced.steps.coriolis
            obs = replace(obs, hs_deg=obs.hs_deg + undone / 60.0)
        intercepts = (reduced.steps.ho_deg - reduced.at_dr.hc_deg) * 60.0
        altitudes = Shots(tuple(shots), obs, reduced.at_dr.zn_deg, intercepts, reduced.steps.ho_deg)
        lines: tuple[LineAt, ...] = ()
        work = fix_work(kit, self.fix, altitudes, lines, self.plot)
        if change is not None and change.spread_arcmin and change.sight is not None:
            at = [sight.id for sight in sights].index(change.sight.id)
            sigma = work.model.sigma_arcmin.copy()
            sigma[at] = math.hypot(sigma[at], change.spread_arcmin)
            work = replace(work, model=replace(work.model, sigma_arcmin=sigma))
        return self._worked(work)

    def _worked(self, work: FixWork) -> _Run | None:
        cov, by_wind = self.plot.carried_covariance(work.time_s)
        prior = Prior(np.asarray(work.dr.lat), np.asarray(work.dr.lon), cov, by_wind)
        found = estimate(work.see(), *work.dr, work.model, prior=prior)
        if not bool(found.converged):
            return None
        return _Run(_log_likelihood(found), float(found.chi2), Position(float(found.lat), float(found.lon)))


def _log_likelihood(found: Estimate) -> float:
    """Of the observations, the position being anywhere: Gaussian, integrated over the position."""
    _, of_errors = np.linalg.slogdet(found.error_cov)
    _, of_position = np.linalg.slogdet(found.cov_nm2)
    return float(-0.5 * found.chi2 - 0.5 * of_errors + 0.5 * of_position)


def _changes(kit: Kit, sights: tuple[Sight, ...], plot: Reckoning) -> Iterator[Change]:
    for sight in sights:
        yield from _of_reading(sight)
        yield from _of_time(sight)
        yield from _of_body(kit, sight, plot)
        yield from _of_limb(sight)
        yield Change("wrong for a reason unknown", PRIOR["outlier"], sight, spread_arcmin=OUTLIER_ARCMIN)
    yield from _of_all(kit, sights)


def _moved(sight: Sight, arcmin: float) -> Sight | None:
    if sight.hs is None:
        readings = tuple(replace(one, hs=one.hs + arcmin / 60.0) for one in sight.readings)
        return replace(sight, readings=readings) if all(one.hs <= 90.0 for one in readings) else None
    return replace(sight, hs=sight.hs + arcmin / 60.0) if sight.hs + arcmin / 60.0 <= 90.0 else None


def _of_reading(sight: Sight) -> Iterator[Change]:
    for size, prior, name in ((60.0, "degree", "one degree"), (10.0, "ten minutes", "ten minutes")):
        for sign, side in ((1.0, "low"), (-1.0, "high")):
            moved = _moved(sight, sign * size)
            if moved is not None:
                yield Change(f"read {name} too {side}", PRIOR[prior] / 2.0, moved)


def _shifted(sight: Sight, seconds: float) -> Sight:
    step = timedelta(seconds=seconds)
    readings = tuple(replace(one, time=one.time + step) for one in sight.readings)
    return replace(sight, time=sight.time + step if sight.time else None, readings=readings)


def _of_time(sight: Sight) -> Iterator[Change]:
    for seconds, prior, name in ((60.0, "minute", "one minute"), (3600.0, "hour", "one hour")):
        for sign, side in ((1.0, "early"), (-1.0, "late")):
            yield Change(f"time written {name} too {side}", PRIOR[prior] / 2.0, _shifted(sight, sign * seconds))
    if not sight.readings and sight.duration_s >= 30.0:
        yield Change("start of the shot taken for its middle", PRIOR["start"], _shifted(sight, sight.duration_s / 2.0))


def _of_body(kit: Kit, sight: Sight, plot: Reckoning) -> Iterator[Change]:
    """Every body above the horizon that stands near the reading, also bright stars outside the list."""
    shot = ready(kit.watch, kit.start, sight)
    names = [name for name in (*BODIES, *_bright_others()) if name != sight.body]
    found = places_of([sight.body, *names], np.full(len(names) + 1, shot.time_s))
    height, azimuth = altitude_azimuth(*plot.position(shot.time_s), found.gha_deg, found.dec_deg)
    apart = np.abs((azimuth[1:] - azimuth[0] + 180.0) % 360.0 - 180.0)
    near = (np.abs(height[1:] - shot.hs_deg) * 60.0 < NEAR_ARCMIN) & (apart < NEAR_DEG)
    candidates = {names[i]: 1.0 if names[i] in BODIES else _OTHERS_WEIGHT for i in np.flatnonzero(near)}
    for name, weight in candidates.items():
        prior = PRIOR["body"] * weight / max(1.0, sum(candidates.values()))
        yield Change(f"the body was {name}", prior, replace(sight, body=name, limb="centre"))


def _bright_others() -> tuple[str, ...]:
    from nightleg.sky.catalogue import star

    return tuple(name for name in other_stars() if star(name).magnitude < _BRIGHTEST_OTHERS)


def _of_limb(sight: Sight) -> Iterator[Change]:
    if sight.body in ("Sun", "Moon"):
        for limb in ("lower", "centre", "upper"):
            if limb != sight.limb:
                yield Change(f"the limb was {limb}", PRIOR["limb"] / 2.0, replace(sight, limb=limb))


def _of_all(kit: Kit, sights: tuple[Sight, ...]) -> Iterator[Change]:
    if kit.watch.error_s or kit.watch.rate_s_per_day:
        turned = replace(kit.watch, error_s=-kit.watch.error_s, rate_s_per_day=-kit.watch.rate_s_per_day)
        yield Change("watch error with the wrong sign", PRIOR["watch"], kit=replace(kit, watch=turned))
    if kit.sextant.correction_arcmin:
        turned_sextant = replace(kit.sextant, correction_arcmin=-kit.sextant.correction_arcmin)
        yield Change(
            "sextant correction with the wrong sign", PRIOR["correction"], kit=replace(kit, sextant=turned_sextant)
        )
    yield Change("Coriolis already applied, with the wrong sign", PRIOR["coriolis"], turned=-1.0)


def _verdict(scored: list[tuple[Change, _Run]], base: _Run) -> Verdict:
    """Weigh the explanations with each other and with chance."""
    weights = [math.log(change.prior) + run.log_likelihood for change, run in scored]
    chance = math.log(max(1.0 - sum(change.prior for change, _ in scored), 0.5)) + base.log_likelihood
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
