"""From a flight to its solution: pure, frozen, without a window.

The flight is walked once in time. A DR plot runs from the start; each fix is worked from the last plot begun before
it; an adopted fix begins the next plot. Every sight is reduced at the DR of its own time in the plot that its fix was
worked from, never from that fix itself.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import datetime
from typing import Literal

import numpy as np

from nightleg.air.reckoning import Reckoning, last_plot
from nightleg.fix.ellipse import sigma_per_axis_nm
from nightleg.flight import fixing
from nightleg.flight.legs import HeldLeg, held_legs
from nightleg.flight.model import Fix, Flight, Wind
from nightleg.flight.plots import HIGHEST_RHUMB_DEG, plot_from, unfound_winds
from nightleg.flight.reduce import reduce
from nightleg.flight.shots import Shot, Sky, observe, ready, sky_of
from nightleg.flight.solution import DrState, FixResult, Matrix, Problem, SightResult, Solution
from nightleg.sky.ephemeris import EphemerisRangeError
from nightleg.sky.timescale import prediction_note
from nightleg.units.positions import Position, write_latitude
from nightleg.units.times import gmt_s, instant, write_instant


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
    walk = _Walk(flight)
    for fix in sorted(flight.fixes, key=lambda fix: fix.time):
        walk.take(fix)
    return walk.finish(now)


@dataclass
class _Walk:
    """The state of one walk through a flight."""

    flight: Flight
    held: tuple[HeldLeg, ...] = ()
    shots: tuple[Shot, ...] = ()
    sky: Sky | None = None
    plots: list[Reckoning] = field(default_factory=list)
    winds: dict[str, Wind] = field(default_factory=dict)
    results: dict[str, FixResult] = field(default_factory=dict)
    plot_of_fix: dict[str, Reckoning] = field(default_factory=dict)
    sights: dict[str, SightResult] = field(default_factory=dict)
    problems: list[Problem] = field(default_factory=list)
    warnings: list[str] = field(default_factory=list)

    def __post_init__(self) -> None:
        flight = self.flight
        self.held = held_legs(flight)
        self.shots = tuple(ready(flight, i) for i in range(len(flight.sights)))
        if self.shots:
            try:
                self.sky = sky_of(self.shots)
            except EphemerisRangeError as error:
                raise Unsolvable(Problem("[[sight]]", str(error))) from error
        self.of_id = {shot.sight.id: i for i, shot in enumerate(self.shots)}
        variance = flight.start.sigma_nm**2
        start = flight.start.position
        self._begin(gmt_s(flight.start.time), start, ((variance, 0.0), (0.0, variance)), None)

    def take(self, fix: Fix) -> None:
        """Work one fix and, if it is adopted, begin a plot from it. Fixes come in the order of time."""
        time_s = gmt_s(fix.time)
        plot = last_plot(self.plots, time_s, before=True)
        self.plot_of_fix[fix.id] = plot
        index = [self.of_id[id] for id in fix.sights if id in self.of_id]
        usable = self._reduce(index, plot, fix.id)
        extra = self._cautions(fix, plot, index)
        if fix.kind == "known":
            result = fixing.known(fix, plot)
        else:
            result = fixing.celestial(self.flight, fix, usable, plot) if usable else fixing.unshot(fix, plot)
        if extra:
            result = fixing.warned(result, extra)
        self.results[fix.id] = result
        if result.wind_from_deg is not None and result.wind_kt is not None:
            self.winds[fix.id] = Wind(from_deg=result.wind_from_deg, kt=result.wind_kt)
        if result.adopted and result.position and result.cov_nm2:
            self._begin(time_s, result.position, result.cov_nm2, self.plots[-1])

    def finish(self, now: datetime | None) -> Solution:
        """Reduce the sights that no fix has taken, list the DR, and close."""
        loose: dict[int, list[int]] = {}
        for i, shot in enumerate(self.shots):
            if shot.sight.id not in self.sights:
                plot = last_plot(self.plots, shot.time_s)
                loose.setdefault(self.plots.index(plot), []).append(i)
        for number, index in loose.items():
            self._reduce(index, self.plots[number], None)
        states = self._states(now)
        self._check_rhumb(states)
        self.warnings.extend(unfound_winds(self.held, self.winds))
        last_s = max([gmt_s(state.time) for state in states] + [shot.time_s for shot in self.shots])
        if predicted := prediction_note(last_s):
            self.warnings.append(predicted)
        flight = self.flight
        return Solution(
            title=flight.title,
            now=now or states[-1].time,
            dr=tuple(states),
            sights=tuple(self.sights[shot.sight.id] for shot in self.shots),
            fixes=tuple(self.results[fix.id] for fix in flight.fixes),
            warnings=tuple(self.warnings),
            problems=tuple(self.problems),
            plots=tuple(self.plots),
            plot_of_fix=self.plot_of_fix,
        )

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

    def _reduce(self, index: list[int], plot: Reckoning, fix_id: str | None) -> fixing.Usable | None:
        """Reduce shots in a plot, and return those that a fix may use (None: there is none).

        A sight in several fixes keeps the result of the earliest.
        """
        if not index or self.sky is None:
            return None
        obs = observe(self.flight, self.shots, self.sky, index, plot)
        fix_of = {self.shots[i].sight.id: fix_id for i in index} if fix_id else {}
        results, at_dr, steps = reduce(self.flight, self.shots, self.sky, index, obs, plot, fix_of)
        for i, result in zip(index, results, strict=True):
            if result.id not in self.sights:
                self.sights[result.id] = result
                if result.ho is None:
                    self._refuse(self.shots[i])
        used = [k for k, result in enumerate(results) if result.used]
        if not used:
            return None
        return fixing.Usable(
            tuple(self.shots[index[k]] for k in used),
            obs if len(used) == len(index) else obs.take(used),
            at_dr.zn_deg[used],
            (steps.ho_deg - at_dr.hc_deg)[used] * 60.0,
        )

    def _refuse(self, shot: Shot) -> None:
        self.problems.append(
            Problem(
                f"{shot.place}, hs",
                f"{shot.hs_deg:.2f}° puts the body below the horizon, where no refraction is defined; "
                "check the reading, its sign and the sextant correction",
            )
        )

    def _cautions(self, fix: Fix, plot: Reckoning, index: list[int]) -> tuple[str, ...]:
        """What lies outside the error model, and what of the list was left out."""
        said = []
        for i in index:
            shot = self.shots[i]
            id = shot.sight.id
            if not shot.sight.use:
                said.append(f"{id} is set aside and not used")
            if shot.time_s < plot.time_s:
                said.append(f"{id} is older than the last adopted fix: its error is not independent of the DR's")
            if id in self.sights and self.sights[id].fix not in (None, fix.id):
                said.append(f"{id} is used in fix {self.sights[id].fix} too: the two fixes are not independent")
        lines = [id for id in fix.sights if id not in self.of_id]
        if lines:
            said.append(f"{', '.join(lines)}: only altitudes are taken into the fix")
        return tuple(said)

    def _states(self, now: datetime | None) -> list[DrState]:
        """DR at the start, at each leg, after each adopted fix, and now."""
        first = self.plots[0]
        events: list[tuple[float, int, DrState]] = [(first.time_s, 0, _state("start", first, first.time_s))]
        for leg in self.held:
            if leg.start_s > first.time_s:
                plot = last_plot(self.plots, leg.start_s)
                events.append((leg.start_s, 2, _state("leg", plot, leg.start_s)))
        adopted = [r for r in sorted(self.results.values(), key=lambda r: r.time) if r.adopted]
        for plot, result in zip(self.plots[1:], adopted, strict=True):
            events.append((plot.time_s, 1, _state("fix", plot, plot.time_s, result.id)))
        states = [state for _, _, state in sorted(events, key=lambda event: event[:2])]
        if now is not None:
            now_s = gmt_s(now)
            states.append(_state("now", last_plot(self.plots, now_s), now_s))
        return states

    def _check_rhumb(self, states: list[DrState]) -> None:
        """Constant true track has no meaning near a pole."""
        places = [(gmt_s(state.time), state.position.lat) for state in states]
        places += [(gmt_s(sight.time), sight.dr.lat) for sight in self.sights.values()]
        places += [(gmt_s(result.time), result.dr.lat) for result in self.results.values()]
        refused = set()
        for time_s, lat in places:
            number = self.plots[0].leg_index(time_s)
            leg = self.plots[0].legs[number]
            if (
                leg.steering == "rhumb"
                and leg.gs_kt > 0.0
                and not abs(lat) <= HIGHEST_RHUMB_DEG
                and number not in refused
            ):
                refused.add(number)
                where = "passes the pole" if np.isnan(lat) else f"is at {write_latitude(lat)}"
                self.problems.append(
                    Problem(
                        f"[[leg]] {number + 1}, steering",
                        f"the DR {where} on a rhumb line at {write_instant(instant(time_s))}; above 85° of latitude "
                        'steer a great circle: steering = "great_circle"',
                    )
                )


def _state(
    kind: Literal["start", "leg", "fix", "now"], plot: Reckoning, time_s: float, of: str | None = None
) -> DrState:
    leg, (lat, lon) = plot.leg(time_s), plot.position(time_s)
    cov = plot.covariance(time_s)
    moving = leg.gs_kt > 0.0
    return DrState(
        kind=kind,
        time=instant(time_s),
        position=Position(float(lat), float(lon)),
        track_deg=plot.track(time_s) if moving else None,
        gs_kt=leg.gs_kt,
        drift_deg=leg.drift_deg if moving else None,
        heading_deg=plot.heading(time_s),
        tas_kt=leg.tas_kt,
        wind_from_deg=leg.wind_from_deg,
        wind_kt=leg.wind_kt,
        altitude_ft=leg.altitude_ft,
        cov_nm2=((float(cov[0, 0]), float(cov[0, 1])), (float(cov[1, 0]), float(cov[1, 1]))),
        sigma_nm=sigma_per_axis_nm(cov),
        of=of,
    )
