"""Heading instruments between their checks: the error to expect at an instant, and what a heading shown then means.

A gyro drifts: from two checks or more since it was last set, its error is a line over time fitted by weighted least
squares, whose slope is the apparent precession rate; the uncertainty is that of the line, so it grows away from the
checks. After one check the rate is unknown, and the error is held with an uncertainty that grows by `UNKNOWN_RATE`. A
magnetic compass does not precess: its error is the mean of its checks, for headings near those it was checked on.
"""

from __future__ import annotations

from datetime import datetime
from functools import lru_cache

import numpy as np
from msgspec import Struct

from nightleg.flight.checks import should_show
from nightleg.flight.legs import HeldLeg, held_legs
from nightleg.flight.model import Flight, HeadingCheck
from nightleg.flight.solution import HeadingResult, Solution
from nightleg.units.times import gmt_s, instant

UNKNOWN_RATE_DEG_PER_H = 2.0  # 1σ of the rate of a gyro checked once (common practice, no source)
LIKE_HEADING_DEG = 20.0  # a compass error is good for headings so near (common practice, no source)
_LEAST_SIGMA_DEG = 1e-3  # a check said to be better is exact for all purposes


class Meant(Struct, frozen=True):
    """A heading of a later leg, given by the instrument, and the true heading it means with the error expected."""

    leg: int  # counted from 1
    time: datetime
    given_deg: float
    true_deg: float
    dr_true_deg: float  # as the DR takes it
    sigma_deg: float


class Instrument(Struct, frozen=True):
    """What is expected of one instrument at `time`: error as shown less what it should show."""

    shown: str
    checks: tuple[str, ...]  # ids, since it was last set
    since: datetime  # its first check, or when it was set
    reset_by: str | None  # the check after which it was set
    last: datetime
    time: datetime
    error_deg: float
    sigma_deg: float
    rate_deg_per_h: float | None  # None: not to be told, or none
    rate_sigma_deg_per_h: float | None
    dr_heading_deg: float  # true
    reads_deg: float  # what it will show while the DR's heading is held
    headings: tuple[Meant, ...]
    words: str


class Line(Struct, frozen=True):
    """An error over time: a value at `at_s` and a rate, with their covariance; `drifts` where the rate is unknown."""

    at_s: float
    error_deg: float
    rate_deg_per_h: float
    var_error: float
    var_rate: float
    drifts: bool

    def error(self, time_s: float) -> float:
        """Degrees."""
        return self.error_deg + self.rate_deg_per_h * (time_s - self.at_s) / 3600.0

    def sigma(self, time_s: float) -> float:
        """1σ, degrees. `at_s` is the weighted mean time of the checks, so that value and rate are independent."""
        hours = (time_s - self.at_s) / 3600.0
        return float(np.sqrt(self.var_error + self.var_rate * hours**2))


def fitted(time_s: list[float], error_deg: list[float], sigma_deg: list[float], gyro: bool) -> Line:
    """The line through errors found at times (gmt_s, rising); errors may run through ±180°."""
    t = np.asarray(time_s, dtype=float) / 3600.0
    e = np.unwrap(np.asarray(error_deg, dtype=float), period=360.0)
    w = 1.0 / np.maximum(np.asarray(sigma_deg, dtype=float), _LEAST_SIGMA_DEG) ** 2
    middle, mean = float(w @ t / w.sum()), float(w @ e / w.sum())
    spread = float(w @ (t - middle) ** 2)
    var = 1.0 / float(w.sum())
    if not gyro:
        return Line(middle * 3600.0, mean, 0.0, var, 0.0, drifts=False)
    if len(t) < 2 or spread <= 0.0:
        return Line(middle * 3600.0, mean, 0.0, var, UNKNOWN_RATE_DEG_PER_H**2, drifts=True)
    rate = float(w @ ((t - middle) * e)) / spread
    return Line(middle * 3600.0, mean, rate, var, 1.0 / spread, drifts=False)


def instruments(flight: Flight, solution: Solution, when: datetime | None = None) -> tuple[Instrument, ...]:
    """Every instrument checked by an instant (default: the solution's now), in the order of the flight's checks."""
    if not flight.heading_checks or not solution.plots:
        return ()
    when = max(when or solution.now, flight.start.time)
    given = {check.id: check for check in flight.heading_checks}
    made = []
    for shown in dict.fromkeys(check.shown for check in flight.heading_checks):
        known = sorted(
            (found for found in solution.heading_checks if found.shown == shown and found.time <= when),
            key=lambda found: found.time,
        )
        if known:
            made.append(_instrument(flight, solution, shown, [(found, given[found.id]) for found in known], when))
    return tuple(made)


def _since_set(
    known: list[tuple[HeadingResult, HeadingCheck]],
) -> tuple[list[tuple[HeadingResult, HeadingCheck]], HeadingResult | None]:
    """The checks since the instrument was last set, and the check after which it was."""
    resets = [number for number, (_, check) in enumerate(known) if check.reset]
    if not resets:
        return known, None
    return known[resets[-1] + 1 :], known[resets[-1]][0]


def _instrument(
    flight: Flight, solution: Solution, shown: str, known: list[tuple[HeadingResult, HeadingCheck]], when: datetime
) -> Instrument:
    since, reset = _since_set(known)
    times = [gmt_s(found.time) for found, _ in since]
    errors = [found.error_deg for found, _ in since]
    sigmas = [check.sigma_deg for _, check in since]
    gyro = shown != "compass"
    if reset is not None:  # set by the check: right then, as well as the check could tell
        times, errors = [gmt_s(reset.time), *times], [0.0, *errors]
        sigmas = [next(check.sigma_deg for found, check in known if found is reset), *sigmas]
    line = fitted(times, errors, sigmas, gyro)
    time_s = gmt_s(when)
    plot = solution.plot_at(when)
    lat, lon = (float(x) for x in plot.position(time_s))
    true_deg, error_deg = plot.heading(time_s), _half_turn(line.error(time_s))
    should_deg, _ = should_show(shown, flight.grid, true_deg, lat, lon, plot.leg(time_s).altitude_ft, when)
    last_s = max(times)
    return Instrument(
        shown=shown,
        checks=tuple(found.id for found, _ in since),
        since=instant(min(times)),
        reset_by=reset.id if reset else None,
        last=instant(last_s),
        time=when,
        error_deg=error_deg,
        sigma_deg=line.sigma(time_s),
        rate_deg_per_h=line.rate_deg_per_h if gyro and not line.drifts else None,
        rate_sigma_deg_per_h=float(np.sqrt(line.var_rate)) if gyro and not line.drifts else None,
        dr_heading_deg=true_deg,
        reads_deg=(should_deg + error_deg) % 360.0,
        headings=_meant(flight, solution, shown, line, last_s),
        words=_words(shown, line, [found.true_heading_deg for found, _ in since], true_deg),
    )


def _meant(flight: Flight, solution: Solution, shown: str, line: Line, last_s: float) -> tuple[Meant, ...]:
    """The true headings that later legs mean which are given by this instrument."""
    made = []
    held = _held(flight)
    for state in solution.dr:
        time_s = gmt_s(state.time)
        if state.kind != "leg" or time_s < last_s:
            continue
        number = next((i for i, leg in enumerate(held) if leg.start_s == time_s), None)
        if number is None or held[number].direction != shown:
            continue
        leg = held[number]
        # a compass error found by a check holds the deviation that the leg allows for
        allowed = leg.deviation_deg if shown == "compass" else 0.0
        true_deg = (state.heading_deg - allowed - line.error(time_s)) % 360.0
        made.append(Meant(number + 1, state.time, leg.direction_deg, true_deg, state.heading_deg, line.sigma(time_s)))
    return tuple(made)


@lru_cache(maxsize=32)
def _held(flight: Flight) -> tuple[HeldLeg, ...]:
    return held_legs(flight)


def _words(shown: str, line: Line, checked_deg: list[float], heading_deg: float) -> str:
    """How the error is carried and how far that can be trusted."""
    if shown != "compass":
        if line.drifts:
            grows = f"{UNKNOWN_RATE_DEG_PER_H:g}°"
            return f"one check tells no rate: the error is held, and its 1σ grows by {grows} with every hour"
        return "carried at the rate between its checks; the 1σ is that of the line and grows away from the checks"
    off = [abs(_half_turn(deg - heading_deg)) for deg in checked_deg]
    if off and min(off) > LIKE_HEADING_DEG:
        return f"checked on headings {min(off):.0f}° and more from this one: the deviation here may be another"
    return "a compass does not precess: the mean of its checks, for headings near those it was checked on"


def _half_turn(deg: float) -> float:
    return (deg + 180.0) % 360.0 - 180.0
