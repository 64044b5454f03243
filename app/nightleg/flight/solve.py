"""From a flight to its solution: pure, frozen, without a window.

The flight is walked once in time. A DR plot runs from the start; each fix is worked from the last plot begun before
it; an adopted fix begins the next plot. Every sight is reduced at the DR of its own time in the plot that its fix was
worked from, never from that fix itself.
"""

from __future__ import annotations

import math
from datetime import datetime
from functools import lru_cache

from nightleg.air.reckoning import Reckoning, last_plot
from nightleg.flight import fixing
from nightleg.flight.checks import heading_result, winds_by_drift
from nightleg.flight.fixwork import Shots, fix_work
from nightleg.flight.legs import held_legs, leg_warnings
from nightleg.flight.linework import Known, LineAt, line_at, line_result, refused_line
from nightleg.flight.model import Fix, Flight, HeadingCheck, Sight, Wind
from nightleg.flight.plots import HIGHEST_RHUMB_DEG, plot_from, unfound_winds
from nightleg.flight.reduce import Reduced, reduce
from nightleg.flight.shots import Kit, kit_of, ready, watch_to_gmt
from nightleg.flight.solution import (
    DrState,
    FixResult,
    HeadingResult,
    LineResult,
    Matrix,
    Problem,
    SightResult,
    Solution,
)
from nightleg.flight.state import dr_state
from nightleg.flight.turning import turn_notes
from nightleg.sky.ephemeris import FIRST, LAST, EphemerisRangeError, covers
from nightleg.sky.timescale import prediction_note
from nightleg.units.positions import Position, write_latitude
from nightleg.units.times import gmt_s, instant, write_instant

LIMITS = f"{write_instant(FIRST)} to {write_instant(LAST)}"


class Unsolvable(ValueError):
    """The flight cannot be solved at all: `problems` say where and why."""

    def __init__(self, *problems: Problem) -> None:
        super().__init__("; ".join(f"{p.place}: {p.message}" for p in problems))
        self.problems = problems


def solve(flight: Flight, now: datetime | None = None) -> Solution:
    """Everything that a checked flight comes to; with `now`, the DR at that instant too.

    Parts that cannot be worked stand in `problems`, the rest is answered. Raises Unsolvable where nothing can be, as
    for a `now` before the start.
    """
    if now is not None and now < flight.start.time:
        raise Unsolvable(
            Problem(
                "time", f"{write_instant(now)} is before the start of the flight, {write_instant(flight.start.time)}"
            )
        )
    if now is not None and not bool(covers(gmt_s(now))):
        raise Unsolvable(Problem("time", f"{write_instant(now)} is outside the ephemeris, {LIMITS}"))
    walk = _Walk(flight)
    for fix in sorted(flight.fixes, key=lambda fix: fix.time):
        walk.take(fix)
    solution = walk.finish(now)
    if now is not None and math.isnan(solution.dr[-1].position.lat):
        message = (
            f"before {write_instant(now)} the DR runs over a pole, where its course ends; right is an earlier time"
        )
        raise Unsolvable(Problem("time", f"{message}, or a leg that turns before"))
    return solution


@lru_cache(maxsize=1024)
def _reduced(kit: Kit, sights: tuple[Sight, ...], plot: Reckoning, fix_id: str | None) -> Reduced:
    """Sights reduced in a plot. Kept, since an edit leaves most of a flight as it was."""
    return reduce(kit.sextant, [ready(kit.watch, kit.start, sight) for sight in sights], plot, fix_id)


@lru_cache(maxsize=1024)
def _fixed(kit: Kit, fix: Fix, sights: tuple[Sight, ...], lines: tuple[LineAt, ...], plot: Reckoning) -> FixResult:
    """A fix worked from its sights and lines in a plot. Kept as `_reduced`."""
    if fix.kind == "known":
        return fixing.known(fix, plot)
    altitudes = _altitudes(kit, fix, sights, plot)
    lines = tuple(line for line in lines if line.line.use)
    if altitudes is None and not lines:
        return fixing.unshot(fix, plot)
    return fixing.worked(fix_work(kit, fix, altitudes, lines, plot))


def _altitudes(kit: Kit, fix: Fix, sights: tuple[Sight, ...], plot: Reckoning) -> Shots | None:
    """The sights that the fix may use."""
    reduced = _reduced(kit, sights, plot, fix.id) if sights else None
    used = [k for k, result in enumerate(reduced.results) if result.used] if reduced else []
    if reduced is None or not used:
        return None
    return Shots(
        tuple(ready(kit.watch, kit.start, sights[k]) for k in used),
        reduced.obs if len(used) == len(sights) else reduced.obs.take(used),
        reduced.at_dr.zn_deg[used],
        (reduced.steps.ho_deg - reduced.at_dr.hc_deg)[used] * 60.0,
        reduced.steps.ho_deg[used],
    )


def _reached(plot: Reckoning, time_s: float) -> bool:
    """Whether a DR is still somewhere at an instant: a rhumb line ends at a pole."""
    return bool(math.isfinite(plot.position(time_s)[0]))


class _Walk:
    """The state of one walk through a flight."""

    def __init__(self, flight: Flight) -> None:
        self.flight = flight
        self.kit = kit_of(flight)
        self.held = held_legs(flight)
        self.by_id = {sight.id: sight for sight in flight.sights}
        self.lines_by_id = {line.id: line for line in flight.lines}
        self.plots: list[Reckoning] = []
        self.winds: dict[str, Wind] = {}
        self.results: dict[str, FixResult] = {}
        self.plot_of_fix: dict[str, Reckoning] = {}
        self.sights: dict[str, SightResult] = {}
        self.lines: dict[str, LineResult] = {}
        self.problems: list[Problem] = []
        self.known = {"start": Known(gmt_s(flight.start.time), flight.start.position)}
        variance = flight.start.sigma_nm**2
        self._begin(gmt_s(flight.start.time), flight.start.position, ((variance, 0.0), (0.0, variance)), None)

    def take(self, fix: Fix) -> None:
        """Work one fix and, if it is adopted, begin a plot from it. Fixes come in the order of time."""
        time_s = gmt_s(fix.time)
        plot = last_plot(self.plots, time_s, before=True)
        self.plot_of_fix[fix.id] = plot
        sights = tuple(self.by_id[id] for id in fix.sights if id in self.by_id)
        extra = self._cautions(fix, plot, sights)
        self._reduce(sights, plot, fix.id)
        lines = self._lines(fix.sights, plot, fix.id)
        result = _fixed(self.kit, fix, sights, lines, plot)
        if extra:
            result = fixing.warned(result, extra)
        self.results[fix.id] = result
        if result.position is not None:
            self.known[fix.id] = Known(time_s, result.position)
        if result.wind_from_deg is not None and result.wind_kt is not None:
            self.winds[fix.id] = Wind(from_deg=result.wind_from_deg, kt=result.wind_kt)
        if result.adopted and result.position and result.cov_nm2:
            self._begin(time_s, result.position, result.cov_nm2, self.plots[-1])

    def finish(self, now: datetime | None) -> Solution:
        """Reduce the sights that no fix has taken, list the DR, and close."""
        flight = self.flight
        loose: dict[int, list[Sight]] = {}
        for sight in flight.sights:
            if sight.id not in self.sights:
                plot = last_plot(self.plots, self._time_s(sight))
                loose.setdefault(self.plots.index(plot), []).append(sight)
        for number, sights in loose.items():
            self._reduce(tuple(sights), self.plots[number], None)
        for line in flight.lines:
            if line.id not in self.lines:
                self._lines((line.id,), last_plot(self.plots, gmt_s(line.time)), None)
        states = self._states(now)
        self._check_rhumb(states)
        warnings = [*leg_warnings(flight), *unfound_winds(self.held, self.winds), *turn_notes(self.held, self.plots)]
        times = [gmt_s(state.time) for state in states] + [self._time_s(sight) for sight in flight.sights]
        if predicted := prediction_note(max(times)):
            warnings.append(predicted)
        return Solution(
            title=flight.title,
            now=now or states[-1].time,
            dr=tuple(states),
            sights=tuple(self.sights[sight.id] for sight in flight.sights),
            fixes=tuple(self.results[fix.id] for fix in flight.fixes),
            lines=tuple(self.lines[line.id] for line in flight.lines),
            heading_checks=tuple(self._checked(check) for check in flight.heading_checks),
            drift_winds=winds_by_drift(flight.drifts, tuple(self.plots)),
            warnings=tuple(warnings),
            problems=tuple(self.problems),
            plots=tuple(self.plots),
            plot_of_fix=self.plot_of_fix,
        )

    def _time_s(self, sight: Sight) -> float:
        return ready(self.kit.watch, self.kit.start, sight).time_s

    def _begin(self, time_s: float, position: Position, cov: Matrix, before: Reckoning | None) -> None:
        try:
            plot = plot_from(
                self.held,
                self.winds,
                before,
                time_s,
                position.lat,
                position.lon,
                cov,
                self.flight.wind_uncertainty.sigma_kt,
            )
        except ValueError as error:
            raise Unsolvable(Problem("[[leg]]", str(error))) from error
        self.plots.append(plot)

    def _reduce(self, sights: tuple[Sight, ...], plot: Reckoning, fix_id: str | None) -> None:
        """Reduce sights in a plot; a sight in several fixes keeps the result of the earliest."""
        if not sights:
            return
        try:
            reduced = _reduced(self.kit, sights, plot, fix_id)
        except EphemerisRangeError as error:
            raise Unsolvable(Problem("[[sight]]", str(error))) from error
        for result in reduced.results:
            if result.id not in self.sights:
                self.sights[result.id] = result
                if result.ho is None and self.by_id[result.id].use:
                    self._refuse(result)

    def _checked(self, check: HeadingCheck) -> HeadingResult:
        time_s = gmt_s(watch_to_gmt(self.kit.watch, self.kit.start, check.time))
        try:
            return heading_result(self.flight, check, last_plot(self.plots, time_s))
        except EphemerisRangeError as error:
            raise Unsolvable(Problem(f"[[heading_check]] ({check.id})", str(error))) from error

    def _refuse(self, result: SightResult) -> None:
        number = 1 + [sight.id for sight in self.flight.sights].index(result.id)
        self.problems.append(
            Problem(
                f"[[sight]] {number} ({result.id}), hs",
                f"{result.hs:.2f}° puts the body below the horizon, where no refraction is defined; "
                "check the reading, its sign and the sextant correction",
            )
        )

    def _cautions(self, fix: Fix, plot: Reckoning, sights: tuple[Sight, ...]) -> tuple[str, ...]:
        """What lies outside the error model, and what of the list was left out."""
        said = []
        for sight in sights:
            id, done = sight.id, self.sights.get(sight.id)
            if not sight.use:
                said.append(f"{id} is set aside and not used")
            if self._time_s(sight) < plot.time_s:
                said.append(f"{id} is older than the last adopted fix: its error is not independent of the DR's")
            if done is not None and done.fix not in (None, fix.id):
                said.append(f"{id} is used in fix {done.fix} too: the two fixes are not independent")
        twin = next((r.id for r in self.results.values() if r.adopted and r.time == fix.time), None)
        if twin is not None:
            said.append(f"fix {twin} stands at the same time and is adopted: this one is worked from the DR before")
        for id in fix.sights:
            line = self.lines_by_id.get(id)
            if line is not None and not line.use:
                said.append(f"{id} is set aside and not used")
            if line is not None and gmt_s(line.time) < plot.time_s:
                said.append(f"{id} is older than the last adopted fix: its error is not independent of the DR's")
        return tuple(said)

    def _lines(self, ids: tuple[str, ...], plot: Reckoning, fix_id: str | None) -> tuple[LineAt, ...]:
        """The other lines among `ids` in a plot; those that cannot be are named and left out."""
        made = []
        for id in ids:
            line = self.lines_by_id.get(id)
            if line is None:
                continue
            try:
                at = line_at(line, plot, self.known)
            except ValueError as error:
                self.lines.setdefault(id, refused_line(line, fix_id, str(error)))
                number = 1 + self.flight.lines.index(line)
                self.problems.append(Problem(f"[[line]] {number} ({id})", str(error)))
                continue
            self.lines.setdefault(id, line_result(at, plot, fix_id))
            made.append(at)
        return tuple(made)

    def _states(self, now: datetime | None) -> list[DrState]:
        """DR at the start, at each leg, after each adopted fix, and now."""
        first = self.plots[0]
        events: list[tuple[float, int, DrState]] = [(first.time_s, 0, dr_state("start", first, first.time_s))]
        for leg in self.held:
            if leg.start_s > first.time_s:
                plot = last_plot(self.plots, leg.start_s)
                events.append((leg.start_s, 2, dr_state("leg", plot, leg.start_s)))
        adopted = [r for r in sorted(self.results.values(), key=lambda r: r.time) if r.adopted]
        for plot, result in zip(self.plots[1:], adopted, strict=True):
            events.append((plot.time_s, 1, dr_state("fix", plot, plot.time_s, result.id)))
        states = [state for _, _, state in sorted(events, key=lambda event: event[:2])]
        if now is not None:
            now_s = gmt_s(now)
            states.append(dr_state("now", last_plot(self.plots, now_s), now_s))
        return states

    def _check_rhumb(self, states: list[DrState]) -> None:
        """Constant true track has no meaning near a pole."""
        places = [(state.time, state.position.lat) for state in states]
        places += [(sight.time, sight.dr.lat) for sight in self.sights.values()]
        places += [(result.time, result.dr.lat) for result in self.results.values()]
        refused = set()
        for when, lat in places:
            if abs(lat) <= HIGHEST_RHUMB_DEG:
                continue
            time_s = gmt_s(when)
            legs, number = self.plots[0].legs, self.plots[0].leg_index(time_s)
            plot = last_plot(self.plots, time_s)
            while math.isnan(lat) and legs[number].start_s > plot.time_s and not _reached(plot, legs[number].start_s):
                number -= 1  # the leg on which the DR came to the pole, not one that begins after that
            leg = legs[number]
            if leg.steering == "rhumb" and leg.gs_kt > 0.0 and number not in refused:
                refused.add(number)
                where = "passes the pole" if math.isnan(lat) else f"is at {write_latitude(lat)}"
                self.problems.append(
                    Problem(
                        f"[[leg]] {number + 1}, steering",
                        f"the DR {where} on a rhumb line at {write_instant(instant(time_s))}; above 85° of latitude "
                        'steer a great circle: steering = "great_circle"',
                    )
                )
