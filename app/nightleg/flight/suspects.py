"""When the shots of a fix disagree: what may have gone wrong, by likelihood.

Each hypothesis is one usual mistake undone in one shot or other line (or in all shots, for the watch and the sextant).
The fix is worked again under it, with the DR as a witness so that a mistake can be pinned on one of them even where
they alone cannot tell, and its likelihood is weighed with how often such a mistake is made. Nothing is ever left out of
a fix by this: it only says what would explain it.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np
from msgspec import Struct
from msgspec.structs import replace

from nightleg.air.reckoning import Reckoning
from nightleg.fix.ellipse import chi2_two_dof
from nightleg.flight.hypotheses import Observed, Run, worked_under
from nightleg.flight.linemistakes import line_mistakes
from nightleg.flight.linework import Known, line_at
from nightleg.flight.mistakes import Change, mistakes
from nightleg.flight.model import Flight, Line, Sight
from nightleg.flight.shots import Kit, kit_of
from nightleg.flight.solution import FixResult, Solution
from nightleg.units.positions import Position
from nightleg.units.times import gmt_s

ASK_BELOW_P = 0.02  # below this agreement, one good fix of fifty, a fix asks for an explanation by itself …
ASK_FROM_DR_P = 0.001  # … and so far from the DR as one good fix of a thousand
SHOWN = 8
WEIGHED = 12  # shots and lines, those that fit worst, whose mistakes are weighed
MOST_SHOTS = 60
_NEVER = 700.0  # logarithm of odds that leave nothing


class Suspect(Struct, frozen=True):
    """One explanation: what it would mean, and how well it does."""

    id: str  # of the shot or line; "all" for what touches every shot
    explanation: str
    log_odds: float  # natural logarithm of its odds against all the others and against chance
    position: Position  # the fix that it would give
    chi2: float
    sight: Sight | None = None  # the sight as it would have been, to try on the chart
    kit: Kit | None = None
    line: Line | None = None  # the line as it would have been


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
    """Explanations of a celestial fix's disagreement, its other lines taking part.

    Raises KeyError for a fix that is not there.
    """
    fix = next((one for one in flight.fixes if one.id == fix_id), None)
    if fix is None:
        raise KeyError(fix_id)
    result, plot, kit = solution.fix(fix_id), solution.plot_of_fix[fix_id], kit_of(flight)
    known = _known(flight, solution)
    observed = _observed(flight, result, plot, known)
    count = len(observed.ids)
    if count < 2:
        return Verdict((), 0.0, False, "fewer than two shots or lines: nothing can disagree")
    if count > MOST_SHOTS:
        many = f"{count} shots are too many to weigh one by one; make fixes of {MOST_SHOTS} or fewer"
        return Verdict((), 0.0, False, many)
    worst = _worst(kit, observed, result)
    changes = [Change("nothing went wrong", 1.0), *_changes(kit, worst, plot, known)]
    runs = worked_under(kit, gmt_s(fix.time), observed, plot, changes)
    scored = [(change, run) for change, run in zip(changes[1:], runs[1:], strict=True) if run is not None]
    if not scored:
        return Verdict((), 0.0, False, "the shots and the DR give no position to judge by")
    verdict = _verdict(scored, runs[0])
    if count <= WEIGHED:
        return verdict
    what = "shots and lines" if observed.lines else "shots"
    return replace(verdict, words=f"{verdict.words} (of {count} {what} the {WEIGHED} that fit worst were weighed)")


def _known(flight: Flight, solution: Solution) -> dict[str, Known]:
    """The places from which pressure lines may have been begun."""
    found = {"start": Known(gmt_s(flight.start.time), flight.start.position)}
    for fix in solution.fixes:
        if fix.position is not None:
            found[fix.id] = Known(gmt_s(fix.time), fix.position)
    return found


def _observed(flight: Flight, result: FixResult, plot: Reckoning, known: dict[str, Known]) -> Observed:
    """The shots and the other lines that a fix was worked from."""
    sights = {sight.id: sight for sight in flight.sights}
    lines = {line.id: line for line in flight.lines}
    return Observed(
        tuple(sights[id] for id in result.sights if id in sights),
        tuple(line_at(lines[id], plot, known) for id in result.sights if id in lines),
    )


def _worst(kit: Kit, observed: Observed, result: FixResult) -> Observed:
    """Those whose mistakes are weighed: all, or of many the ones with the largest residuals."""
    if len(observed.ids) <= WEIGHED:
        return observed
    sigmas = [*(s.sigma_arcmin or kit.sextant.sigma_arcmin for s in observed.sights)]
    sigmas += [line.sigma_nm for line in observed.lines]
    off = [abs(result.residuals_arcmin[id]) / sigma for id, sigma in zip(observed.ids, sigmas, strict=True)]
    chosen = {observed.ids[k] for k in np.argsort(off)[-WEIGHED:]}
    return Observed(
        tuple(sight for sight in observed.sights if sight.id in chosen),
        tuple(line for line in observed.lines if line.id in chosen),
    )


def _changes(kit: Kit, worst: Observed, plot: Reckoning, known: dict[str, Known]) -> Iterator[Change]:
    yield from mistakes(kit, worst.sights, plot)
    for line in worst.lines:
        yield from line_mistakes(line, plot, known)


def _verdict(scored: list[tuple[Change, Run]], base: Run | None) -> Verdict:
    """Weigh the explanations with each other and with chance; without a position as logged, chance explains nothing."""
    weights = [math.log(change.prior) + run.log_likelihood for change, run in scored]
    unspoilt = math.log(max(1.0 - sum(change.prior for change, _ in scored), 0.5))
    chance = unspoilt + base.log_likelihood if base else min(weights) - _NEVER
    top = max([*weights, chance])
    total = math.log(sum(math.exp(w - top) for w in weights) + math.exp(chance - top)) + top
    found = [
        Suspect(
            id=change.id,
            explanation=change.explanation,
            log_odds=_log_odds(weight - total),
            position=run.position,
            chi2=run.chi2,
            sight=None if change.spread_arcmin else change.sight,
            kit=change.kit,
            line=change.line.line if change.line is not None and not change.spread_arcmin else None,
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
