"""Flights drawn over the world and the error model, with one blunder put into one fix."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime, timedelta

import numpy as np
from msgspec.structs import replace
from numpy.typing import NDArray

from nightleg.earth.local import offset
from nightleg.flight.mistakes import OUTLIER_ARCMIN
from nightleg.flight.model import Fix, Flight, Leg, Sextant, Sight, Start, Watch, Wind, WindUncertainty
from nightleg.flight.shots import observe, ready, sky_of
from nightleg.flight.solve import solve
from nightleg.sight.chain import compute, correct, preset_deg
from nightleg.sky.catalogue import BODIES
from nightleg.units.positions import Position
from nightleg.units.times import gmt_s

from .telling import (
    BESIDE_DEG,
    LISTED,
    NAMES,
    SHOWS_SIGMAS,
    SIGMA_ARCMIN,
    START_SIGMA_NM,
    TELLING_ODDS,
    WATCH_SIGMA_S,
    World,
    altitudes,
    apart_deg,
    predicted,
)

Array = NDArray[np.float64]

KINDS = (
    "degree",
    "ten minutes",
    "minute",
    "hour",
    "body",
    "limb",
    "correction",
    "watch",
    "coriolis",
    "start",
    "outlier",
)
ALL_SHOTS = ("correction", "watch", "coriolis")
DAYS = (datetime(2026, 1, 5, tzinfo=UTC), datetime(2026, 6, 23, tzinfo=UTC), datetime(2026, 10, 2, tzinfo=UTC))


@dataclass
class Case:
    """One flight as logged: what was done wrong, and what would be right to say."""

    flight: Flight
    kind: str  # "" for a flight without a blunder
    shot: str  # id, "all" for what touches every one
    right: str  # words of the explanation that name it
    shows_sigmas: float  # what of the blunder shows in the residuals with the DR as witness, without random errors
    odds: float  # of the right explanation against all others together, without random errors
    truth: Position

    @property
    def telling(self) -> bool:
        """Whether the geometry can tell."""
        return self.shows_sigmas >= SHOWS_SIGMAS and self.odds >= TELLING_ODDS


def drawn_world(rng: np.random.Generator, shots: int, kind: str, big: bool) -> World | None:
    """A flight as flown with that many well spread shots of one fix; None where the sky does not have them."""
    start = DAYS[int(rng.integers(len(DAYS)))] + timedelta(seconds=float(rng.uniform(3600.0, 75600.0)))
    place = Position(float(np.degrees(np.arcsin(rng.uniform(-0.9, 0.9)))), float(rng.uniform(-180.0, 180.0)))
    wind_sigma, hours = float(rng.uniform(4.0, 12.0)), float(rng.uniform(0.5, 1.2))
    correction, watch_s = float(rng.normal(0.0, 2.0)), float(rng.normal(0.0, 15.0))
    if big and kind == "correction":  # big enough to be seen
        correction = float(rng.uniform(5.0, 20.0) * rng.choice([-1.0, 1.0]))
    if big and kind == "watch":
        watch_s = float(rng.uniform(20.0, 240.0) * rng.choice([-1.0, 1.0]))
    tas_kt = float(rng.uniform(250.0, 470.0))
    if big and kind == "coriolis":  # anything slower, lower or longer ago is less than the wind may have done
        place = Position(float(rng.uniform(40.0, 70.0) * rng.choice([-1.0, 1.0])), place.lon)
        tas_kt, wind_sigma, hours = float(rng.uniform(400.0, 470.0)), float(rng.uniform(4.0, 6.0)), 0.5
    leg = Leg(
        time=start,
        heading_deg=float(rng.uniform(0.0, 360.0)),
        tas_kt=tas_kt,
        wind=Wind(from_deg=float(rng.uniform(0.0, 360.0)), kt=float(rng.uniform(0.0, 80.0))),
        altitude_ft=31000.0,
    )
    base = Flight(
        start=Start(time=start, position=place, sigma_nm=START_SIGMA_NM),
        legs=(leg,),
        sextant=Sextant(sigma_arcmin=SIGMA_ARCMIN, correction_arcmin=correction),
        watch=Watch(error_s=watch_s, sigma_s=WATCH_SIGMA_S),
        wind_uncertainty=WindUncertainty(sigma_kt=wind_sigma),
    )
    fix_time = start + timedelta(hours=hours)
    plot = solve(base).plots[0]
    lat, lon = plot.position(gmt_s(fix_time))
    if abs(float(lat)) > 75.0:
        return None
    height, azimuth = altitudes(BODIES, np.full(len(BODIES), gmt_s(fix_time)), lat, lon)
    up = [k for k in range(len(BODIES)) if 15.0 < height[k] < 70.0]
    with_limb = [k for k in up if BODIES[k] in ("Sun", "Moon")]
    if len(up) < shots or (kind == "limb" and not with_limb):
        return None
    chosen = [int(rng.choice(with_limb if kind == "limb" else up))]
    for turn in np.arange(1, shots) * 360.0 / shots:
        left = [k for k in up if k not in chosen]
        off = apart_deg(azimuth[left], float(azimuth[chosen[0]] + turn))
        if np.min(off) > 30.0:
            return None  # not well spread
        chosen.append(left[int(np.argmin(off))])
    order = rng.permutation(shots)
    bodies = [BODIES[chosen[k]] for k in order]
    return World(
        base=base,
        late_s=float(rng.normal(0.0, WATCH_SIGMA_S)),
        bodies=bodies,
        times=[fix_time - timedelta(minutes=4.0 * k) for k in range(shots - 1, -1, -1)],
        durations_s=[float(rng.choice([60.0, 120.0, 180.0, 240.0])) for _ in bodies],
        limbs=[str(rng.choice(["lower", "centre", "upper"])) if b in ("Sun", "Moon") else "centre" for b in bodies],
        wind_kt=(float(rng.normal(0.0, wind_sigma)), float(rng.normal(0.0, wind_sigma))),
        began=tuple(float(x) for x in offset(*place, *rng.normal(0.0, START_SIGMA_NM, 2))),  # type of two floats
        fix_time=fix_time,
        plot=plot,
        noise_arcmin=rng.normal(0.0, SIGMA_ARCMIN, shots),
    )


def draw(rng: np.random.Generator, kind: str, shots: int, *, big: bool = True) -> Case:
    """A flight with a blunder of that kind ("": none) in one of its shots, drawn anew until it can be planted.

    `big`: for a sign turned round, what it stands before is drawn big enough to matter.
    """
    while True:
        world = drawn_world(rng, shots, kind, big)
        case = logged(rng, world, kind) if world is not None else None
        if case is not None:
            return case


def logged(rng: np.random.Generator, world: World, kind: str) -> Case | None:
    """The flight as written down with a blunder of that kind; None where it cannot be planted."""
    base = world.base
    plot = world.plot
    north, east = world.wind_kt
    flown = replace(plot.with_wind_changed(north, east), lat=world.began[0], lon=world.began[1])
    late = timedelta(seconds=world.late_s)
    shot_at = [when + late for when in world.times]
    at = int(rng.integers(len(world.bodies)))
    if kind == "limb":
        at = next(k for k, body in enumerate(world.bodies) if body in ("Sun", "Moon"))
    truth = [tuple(float(x) for x in flown.position(gmt_s(when))) for when in shot_at]
    really = list(world.bodies)
    if kind == "body":
        height, azimuth = altitudes(NAMES, np.full(len(NAMES), gmt_s(shot_at[at])), *truth[at])
        meant = NAMES.index(really[at])
        beside = (height > 10.0) & (apart_deg(azimuth, azimuth[meant]) < BESIDE_DEG) & (LISTED > 0.0)
        beside[meant] = False
        if not beside.any():
            return None
        weight = np.where(beside, LISTED, 0.0)
        really[at] = NAMES[int(rng.choice(len(NAMES), p=weight / weight.sum()))]
    limbs = [limb if body in ("Sun", "Moon") else "centre" for body, limb in zip(really, world.limbs, strict=True)]
    watch, sextant = base.watch, base.sextant
    sights = [
        Sight(id=f"s{k + 1}", body=body, time=when, hs=45.0, duration_s=duration, limb=limb)
        for k, (body, when, duration, limb) in enumerate(zip(really, shot_at, world.durations_s, limbs, strict=True))
    ]
    shots = [ready(Watch(), base.start.time, sight) for sight in sights]
    obs = observe(sextant, shots, sky_of(shots), plot)
    lat, lon = (np.array(x) for x in zip(*truth, strict=True))
    there = compute(obs, lat, lon)
    hs = preset_deg(obs, there, lat) + world.noise_arcmin / 60.0
    coriolis = correct(replace(obs, hs_deg=hs), there, lat).coriolis
    written = [
        replace(sight, hs=float(reading), time=when + timedelta(seconds=watch.error_s))
        for sight, reading, when in zip(sights, hs, world.times, strict=True)
    ]
    right, sight = "", written[at]
    step = float(rng.choice([-1.0, 1.0]))
    if kind in ("degree", "ten minutes"):
        size, name = {"degree": (1.0, "one degree"), "ten minutes": (1.0 / 6.0, "ten minutes")}[kind]
        sight = replace(sight, hs=sight.hs + step * size)
        right = f"read {name} too {'high' if step > 0 else 'low'}"
    elif kind in ("minute", "hour"):
        seconds = {"minute": 60.0, "hour": 3600.0}[kind]
        sight = replace(sight, time=sight.time + timedelta(seconds=step * seconds))
        right = f"time written one {kind} too {'late' if step > 0 else 'early'}"
    elif kind == "start":
        sight = replace(sight, time=sight.time - timedelta(seconds=sight.duration_s / 2.0))
        right = "start of the shot taken for its middle"
    elif kind == "body":
        sight = replace(sight, body=world.bodies[at], limb="centre")
        right = f"the body was {really[at]}"
    elif kind == "limb":
        right = f"the limb was {sight.limb}"
        sight = replace(sight, limb=str(rng.choice([x for x in ("lower", "centre", "upper") if x != sight.limb])))
    elif kind == "outlier":
        sight = replace(sight, hs=sight.hs + float(rng.normal(0.0, OUTLIER_ARCMIN)) / 60.0)
        right = "wrong for a reason unknown"
    elif kind == "correction":
        sextant = replace(sextant, correction_arcmin=-sextant.correction_arcmin)
        right = "sextant correction with the wrong sign"
    elif kind == "watch":
        watch = replace(watch, error_s=-watch.error_s)
        right = "watch error with the wrong sign"
    elif kind == "coriolis":
        written = [replace(s, hs=s.hs + 2.0 * float(c) / 60.0) for s, c in zip(written, coriolis, strict=True)]
        right = "Coriolis"
    if kind not in ALL_SHOTS:
        written[at] = sight
    if not all(0.0 < s.hs < 90.0 for s in written):
        return None
    flight = replace(
        base,
        sights=tuple(written),
        watch=watch,
        sextant=sextant,
        fixes=(Fix(id="f1", time=world.fix_time, sights=tuple(s.id for s in written)),),
    )
    id = "all" if kind in ALL_SHOTS else f"s{at + 1}"
    changed = np.array([60.0 * (s.hs - float(reading)) for s, reading in zip(written, hs, strict=True)])
    told = predicted(flight, world, really, changed, coriolis, (id, right)) if kind else (0.0, 0.0)
    return Case(
        flight,
        kind,
        id,
        right,
        *told,
        Position(*(float(x) for x in flown.position(gmt_s(world.fix_time)))),
    )
