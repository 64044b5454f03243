"""When the shots of a fix disagree: what may have gone wrong, by likelihood.

Each hypothesis is one usual mistake undone in one shot (or in all, for the watch and the sextant). The fix is worked
again under it, with the DR as a witness so that a mistake can be pinned on one shot even where the lines alone cannot
tell, and its likelihood is weighed with how often such a mistake is made. Nothing is ever left out of a fix by this: it
only says what would explain it.

How often mistakes are made is a matter of experience (common practice, no source); the table stands in `PRIOR`.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from datetime import timedelta

import numpy as np
from msgspec import Struct
from msgspec.structs import replace
from numpy.typing import NDArray

from nightleg.air.reckoning import Reckoning
from nightleg.fix.estimator import ErrorModel, Estimate, Prior, Seen, estimate
from nightleg.flight.fixwork import altitudes_seen, carrying
from nightleg.flight.model import Fix, Flight, Sight
from nightleg.flight.shots import Kit, Shot, kit_of, observe, ready, sky_of
from nightleg.flight.solution import FixResult, Solution
from nightleg.sight.chain import compute, correct
from nightleg.sight.observation import Observations
from nightleg.sight.reduction import altitude_azimuth
from nightleg.sky.catalogue import BODIES, SOLAR_SYSTEM, stars_down_to
from nightleg.sky.places import gha_aries_deg, places_of
from nightleg.units.positions import Position
from nightleg.units.times import gmt_s

Array = NDArray[np.float64]

ASK_BELOW_P = 0.02  # below this agreement, one good fix of fifty, a fix asks for an explanation by itself
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
_PRECESSION_DEG = 2.5  # more than a catalogue place of 1991 is off in any year of the ephemeris
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
    changes = [Change("nothing went wrong", 1.0), *_changes(kit, sights, plot)]
    runs = _worked(kit, fix, sights, plot, changes)
    if runs[0] is None:
        return Verdict((), 0.0, False, "the shots and the DR give no position to judge by")
    scored = [(change, run) for change, run in zip(changes[1:], runs[1:], strict=True) if run is not None]
    return _verdict(scored, runs[0])


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

    def see(lats: Array, lons: Array) -> Seen:
        return altitudes_seen(obs, *carried(lats, lons))

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
    rows = [_changed(kit, sights, change) for change in changes]
    n = len(sights)
    obs = {name: np.empty((len(changes), n)) for name in Observations.__struct_fields__}
    for sextant in {row_kit.sextant for row_kit, _ in rows}:
        mine = [k for k, (row_kit, _) in enumerate(rows) if row_kit.sextant == sextant]
        flat = [shot for k in mine for shot in rows[k][1]]
        together = observe(sextant, flat, sky_of(flat), plot)
        for name in Observations.__struct_fields__:
            obs[name][mine] = np.reshape(getattr(together, name), (len(mine), n))
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


def _changed(kit: Kit, sights: tuple[Sight, ...], change: Change) -> tuple[Kit, list[Shot]]:
    """The kit and the shots under a change."""
    other, mine = change.sight, change.kit or kit
    changed = [other if other is not None and other.id == sight.id else sight for sight in sights]
    return mine, [ready(mine.watch, mine.start, sight) for sight in changed]


def _log_likelihood(found: Estimate) -> Array:
    """Of the observations, the position being anywhere: Gaussian, integrated over the position."""
    _, of_errors = np.linalg.slogdet(found.error_cov)
    _, of_position = np.linalg.slogdet(found.cov_nm2)
    return np.asarray(-0.5 * found.chi2 - 0.5 * of_errors + 0.5 * of_position)


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
    where = plot.position(shot.time_s)
    logged = places_of([sight.body], np.array([shot.time_s]))
    _, zn = altitude_azimuth(*where, logged.gha_deg, logged.dec_deg)
    names = [name for name in (*SOLAR_SYSTEM, *_stars_about(shot, where, float(zn[0]))) if name != sight.body]
    found = places_of(names, np.full(len(names), shot.time_s))
    near = _near(shot, *altitude_azimuth(*where, found.gha_deg, found.dec_deg), float(zn[0]), 0.0)
    candidates = {names[i]: 1.0 if names[i] in BODIES else _OTHERS_WEIGHT for i in np.flatnonzero(near)}
    for name, weight in candidates.items():
        prior = PRIOR["body"] * weight / max(1.0, sum(candidates.values()))
        yield Change(f"the body was {name}", prior, replace(sight, body=name, limb="centre"))


def _near(shot: Shot, height: Array, azimuth: Array, zn_deg: float, margin_deg: float) -> NDArray[np.bool_]:
    """Which bodies stand near enough to the reading and the azimuth of the body logged."""
    apart = np.abs((azimuth - zn_deg + 180.0) % 360.0 - 180.0)
    nearness = np.abs(height - shot.hs_deg) < NEAR_ARCMIN / 60.0 + margin_deg
    high = 1.0 / np.maximum(np.cos(np.radians(height)), 0.05)  # degrees of azimuth shrink toward the zenith
    return np.asarray(nearness & (apart < NEAR_DEG + margin_deg * high))


def _stars_about(shot: Shot, where: tuple[Array, Array], zn_deg: float) -> list[str]:
    """Stars that may be near, by their catalogue places: apparent places are worked out for these few only."""
    stars = stars_down_to(_BRIGHTEST_OTHERS)
    ra, dec = np.array([star.ra_deg for star in stars]), np.array([star.dec_deg for star in stars])
    rough = altitude_azimuth(*where, gha_aries_deg(shot.time_s) - ra, dec)
    return [stars[i].name for i in np.flatnonzero(_near(shot, *rough, zn_deg, _PRECESSION_DEG))]


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
