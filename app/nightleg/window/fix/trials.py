"""Explanations of a disagreement, each with the fix that it would give. No Qt here: this runs beside the window."""

from __future__ import annotations

import math

import numpy as np
from msgspec import Struct

from nightleg.chart.ghosts import GhostMark
from nightleg.earth.local import between
from nightleg.flight.adopting import Adoption, adoption, with_adoption
from nightleg.flight.model import Flight
from nightleg.flight.plotting import lines_of_position
from nightleg.flight.solution import FixResult, Solution
from nightleg.flight.solve import Unsolvable, solve
from nightleg.flight.suspects import Suspect, Verdict, asks, suspects
from nightleg.units.positions import Position, write_position
from nightleg.units.times import write_clock

_UNEARTHLY = (ArithmeticError, ValueError, LookupError, Unsolvable)


class Trial(Struct, frozen=True):
    """One explanation: what adopting it changes, and what the chart shows of it. Without a fix, `why_not` says why."""

    suspect: Suspect
    taken: Adoption
    fix: FixResult | None
    ghost: GhostMark | None
    moves_nm: float | None
    who: str = ""  # `Vega 0712`, or `all shots`
    why_not: str = ""

    @property
    def title(self) -> str:
        """`Vega 0712: read one degree too high`."""
        return f"{self.who}: {self.suspect.explanation}"

    @property
    def effect(self) -> str:
        """How far the fix would move."""
        if self.moves_nm is None:
            return self.why_not or "then no fix"
        return f"the fix moves {self.moves_nm:.1f} NM" if self.moves_nm >= 0.05 else "the fix stays"


class Trials(Struct, frozen=True):
    """All that was found for one fix of one flight."""

    flight: Flight
    fix: FixResult
    verdict: Verdict
    trials: tuple[Trial, ...]

    @property
    def words(self) -> str:
        """What can be said of them as a whole."""
        if not self.trials:
            return sentence(self.verdict.words)
        many = self.verdict.words[self.verdict.words.find(" (of ") :] if " (of " in self.verdict.words else ""
        if not asks(self.fix):
            return f"Least unlikely, if one were wrong{many}:"
        if not self.verdict.telling:
            return f"{self._far()}Redundancy is too small to tell why. What fits{many}:"
        return f"{self._far()}With the DR as a witness, most likely {self.trials[0].title}{many}."

    def _far(self) -> str:
        """What the panel does not tell already: its words about trust know whether the shots agree with each other."""
        told = self.fix.p_value is not None or any("from the DR" in said for said in self.fix.trust)
        return "" if told else "The shots lie far from the DR. "


def trials(flight: Flight, solution: Solution, fix_id: str) -> Trials:
    """Search and work out everything. Raises KeyError for a fix that is not there."""
    fix = solution.fix(fix_id)
    try:
        verdict = suspects(flight, solution, fix_id)
    except _UNEARTHLY as error:
        verdict = Verdict((), 0.0, False, f"this cannot be weighed: {error}")
    return Trials(flight, fix, verdict, tuple(_trial(flight, solution, fix, one) for one in verdict.suspects))


def _trial(flight: Flight, solution: Solution, before: FixResult, suspect: Suspect) -> Trial:
    taken, who = adoption(flight, solution, before.id, suspect), name_of(solution, before, suspect.id)
    try:
        other = with_adoption(flight, taken)
        answer = solve(other, solution.now)
        fix = answer.fix(before.id)
        changed = {*(sight.id for sight in taken.sights), *(line.id for line in taken.lines)} or set(before.sights)
        lines = tuple(
            line.advanced
            for line in lines_of_position(other, answer)
            if line.fix == before.id and line.id in changed and line.used
        )
    except _UNEARTHLY as error:
        return Trial(suspect, taken, None, None, None, who, f"this cannot be worked: {error}")
    where = fix.position
    ghost = GhostMark(
        text=f"if {who}: {suspect.explanation}",
        lines=lines,
        position=where,
        detail="" if where is None else write_position(where),
        ellipse95=fix.ellipse95,
    )
    return Trial(suspect, taken, fix, ghost, _apart_nm(before.position, where), who)


def name_of(solution: Solution, fix: FixResult, id: str) -> str:
    """A shot or line as people speak of it, `Vega 0712`; with its id where two of a fix would have one name."""
    if id == "all":
        return "all shots"
    names = {sight.id: f"{sight.body} {write_clock(sight.time)}" for sight in solution.sights if sight.id in fix.sights}
    names |= {line.id: f"{line.kind} {write_clock(line.time)}" for line in solution.lines if line.id in fix.sights}
    name = names.get(id, id)
    return name if list(names.values()).count(name) < 2 else f"{name} ({id})"


def _apart_nm(one: Position | None, other: Position | None) -> float | None:
    if one is None or other is None:
        return None
    north, east = between(*one, *other)
    return float(np.hypot(north, east))


def odds_words(log_odds: float) -> str:
    """`very likely, 20 to 1`: odds as a word and as figures, rounded as such a guess deserves."""
    odds = math.exp(min(abs(log_odds), 20.0))
    figure = f"{odds:.0f}" if odds < 20.0 else f"{float(f'{odds:.1g}'):.0f}"
    if odds > 1000.0:
        return "almost certain, over 1000 to 1" if log_odds > 0.0 else "hardly, under 1 to 1000"
    if odds < 1.5:
        return "about even, 1 to 1"
    word = "very likely" if odds >= 10.0 else "likely"
    if log_odds > 0.0:
        return f"{word}, {figure} to 1"
    return f"{'very unlikely' if odds >= 10.0 else 'unlikely'}, 1 to {figure}"


def sentence(words: str) -> str:
    """With a capital and a full stop."""
    return f"{words[:1].upper()}{words[1:]}." if words else ""
