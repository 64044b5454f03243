"""Whether the geometry of a fix can tell a blunder, worked out from the truth and without a look at the answer.

The fix with the DR as witness is taken as a linear system (lines of position as straight lines, the program's stated
error model with formulae of its own here), every usual mistake as a change of the residuals of known size. Had there
been no random errors at all, the blunder would show by so many sigmas, and the right explanation would stand at certain
odds against all the others together: the geometry can tell where these are `SHOWS_SIGMAS` and `TELLING_ODDS` or more.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

import numpy as np
from msgspec.structs import replace
from numpy.typing import NDArray

from nightleg.air.reckoning import Reckoning
from nightleg.flight.mistakes import OUTLIER_ARCMIN, PRIOR
from nightleg.flight.model import Flight
from nightleg.sky.catalogue import BODIES, stars_down_to
from nightleg.sky.places import places_of
from nightleg.units.times import gmt_s

Array = NDArray[np.float64]

SHOWS_SIGMAS, TELLING_ODDS = 3.0, 4.0
SIGMA_ARCMIN, WATCH_SIGMA_S, START_SIGMA_NM = 2.5, 2.0, 3.0
NAMES = (*BODIES, *(star.name for star in stars_down_to(3.0) if star.name not in BODIES))
LISTED = np.array([1.0 if name in BODIES else 0.2 for name in NAMES])
BESIDE_DEG = 45.0  # another body is taken for one only this near in azimuth


@dataclass
class World:
    """A flight as it was flown, before anything is written down."""

    base: Flight
    late_s: float
    bodies: list[str]
    times: list[datetime]  # GMT of the middles as the navigator has them
    durations_s: list[float]
    limbs: list[str]
    wind_kt: tuple[float, float]
    began: tuple[float, float]
    fix_time: datetime
    plot: Reckoning
    noise_arcmin: Array


def altitudes(names: Sequence[str], times_s: Array, lat: Any, lon: Any) -> tuple[Array, Array]:
    """Altitudes and azimuths of bodies, each at its time, by the textbook's triangle, degrees."""
    found = places_of(names, times_s)
    lat, dec, lha = np.radians(lat), np.radians(found.dec_deg), np.radians(found.gha_deg + lon)
    up = np.sin(lat) * np.sin(dec) + np.cos(lat) * np.cos(dec) * np.cos(lha)
    north = np.cos(lat) * np.sin(dec) - np.sin(lat) * np.cos(dec) * np.cos(lha)
    azimuth = np.degrees(np.arctan2(-np.cos(dec) * np.sin(lha), north)) % 360.0
    return np.degrees(np.arcsin(np.clip(up, -1.0, 1.0))), azimuth


def apart_deg(a: Array, b: float) -> Array:
    return np.abs((a - b + 180.0) % 360.0 - 180.0)


def predicted(
    flight: Flight, world: World, really: list[str], written_arcmin: Array, coriolis: Array, right: tuple[str, str]
) -> tuple[float, float]:
    """How much of the blunder shows, in sigmas, and the odds of the right explanation against all others together.

    Both as they would be without random errors. `written_arcmin` is by how much each reading was changed in the
    writing, `right` the id and the explanation.
    """
    sky = Sky(flight, world, really)
    n = len(flight.sights)
    now, then = (np.array([_LIMB[x] for x in limbs]) for limbs in ([s.limb for s in flight.sights], world.limbs))
    solar = np.array([b in ("Sun", "Moon") for b in really])
    off = (sky.should - sky.heights[:, 0]) * 60.0 + written_arcmin + SEMIDIAMETER_ARCMIN * (now - then * solar)
    if right[1].startswith("sextant"):
        off += 2.0 * flight.sextant.correction_arcmin
    matrix = _shown_by_residuals(flight, sky)
    said = explanations(flight, sky, coriolis)
    weights = [(id, name, math.log(prior) - 0.5 * (off + v) @ matrix @ (off + v)) for id, name, prior, v in said]
    total = float(off @ matrix @ off)
    for k in range(n):
        seen, spread2 = float(matrix[k] @ off), OUTLIER_ARCMIN**2
        left = total - seen**2 / (matrix[k, k] + 1.0 / spread2)
        weight = math.log(PRIOR["outlier"]) - 0.5 * left - 0.5 * math.log1p(spread2 * matrix[k, k])
        weights.append((f"s{k + 1}", "wrong for a reason unknown", weight))
    vectors = {(id, name): v for id, name, _, v in said}
    same = [(id, name) == right or _same(vectors, right, (id, name)) for id, name, _ in weights]
    mine = [weight for (_, _, weight), is_right in zip(weights, same, strict=True) if is_right]
    others = [weight for (_, _, weight), is_right in zip(weights, same, strict=True) if not is_right]
    top = max(others)
    odds = math.exp(min(max(mine) - top, 300.0)) / sum(math.exp(w - top) for w in others)
    return math.sqrt(total), odds


def _same(vectors: dict[tuple[str, str], Array], right: tuple[str, str], other: tuple[str, str]) -> bool:
    """Whether two explanations come to the same sight, as a start taken for the middle of a shot of two minutes."""
    return (
        right in vectors and other in vectors and right[0] == other[0] and np.allclose(vectors[right], vectors[other])
    )


_LIMB = {"lower": 1.0, "centre": 0.0, "upper": -1.0}
SEMIDIAMETER_ARCMIN, MOON_PARALLAX_ARCMIN = 16.0, 57.0


class Sky:
    """Altitudes of the bodies from the aircraft as it really flew, by the triangle (the Moon's with its parallax).

    `asked` holds, for each shot as written, the altitude of its body at some seconds from its time.
    """

    def __init__(self, flight: Flight, world: World, really: Sequence[str]) -> None:
        plot = world.plot
        self.flown = replace(plot.with_wind_changed(*world.wind_kt), lat=world.began[0], lon=world.began[1])
        times = np.array([gmt_s(s.time) - flight.watch.error_s for s in flight.sights])
        bodies, n = [s.body for s in flight.sights], len(times)
        turned = 2.0 * flight.watch.error_s
        steps = [[0, -60, 60, -3600, 3600, -30, 30, s.duration_s / 2.0, turned] for s in flight.sights]
        at = (times[:, None] + np.array(steps)).ravel()
        height, azimuth = self._at([b for b in bodies for _ in steps[0]], at)
        self.heights, self.azimuths, self.times = height.reshape(n, -1), azimuth.reshape(n, -1)[:, 0], times
        self.should = self._at(really, np.array([gmt_s(when) for when in world.times]))[0]
        every = self._at(NAMES * n, np.repeat(times, len(NAMES)))
        self.all_heights, self.all_azimuths = (values.reshape(n, -1) for values in every)

    def _at(self, names: Sequence[str], times: Array) -> tuple[Array, Array]:
        height, azimuth = altitudes(names, times, *self.flown.position(times))
        moon = np.array([name == "Moon" for name in names])
        return height - moon * MOON_PARALLAX_ARCMIN / 60.0 * np.cos(np.radians(height)), azimuth


def _shown_by_residuals(flight: Flight, sky: Sky) -> Array:
    """G of chi-square = rᵀ·G·r, r what the shots are off by (′), with the DR as witness and the position fitted."""
    n, fix_s = len(flight.sights), gmt_s(flight.fixes[0].time)
    zn = np.radians(sky.azimuths)
    rate = sky.heights[:, 6] - sky.heights[:, 5]  # degrees a minute, so arcmin a second
    u = np.column_stack([np.cos(zn), np.sin(zn)])
    dt = (fix_s - sky.times) / 3600.0
    since = (fix_s - gmt_s(flight.start.time)) / 3600.0
    by_wind = np.vstack([-dt[:, None] * u, -since * np.eye(2)]) * flight.wind_uncertainty.sigma_kt
    cov = by_wind @ by_wind.T + np.diag([SIGMA_ARCMIN**2] * n + [START_SIGMA_NM**2] * 2)
    cov[:n, :n] += WATCH_SIGMA_S**2 * np.outer(rate, rate)
    design, inverse = np.vstack([u, np.eye(2)]), np.linalg.inv(cov)
    normal = design.T @ inverse @ design
    return np.asarray((inverse - inverse @ design @ np.linalg.solve(normal, design.T @ inverse))[:n, :n])


def explanations(flight: Flight, sky: Sky, coriolis: Array) -> list[tuple[str, str, float, Array]]:
    """Every usual mistake undone: shot, words, how often it is made, and the change of all residuals by it, ′."""
    found: list[tuple[str, str, float, Array]] = []
    n = len(flight.sights)
    for k, sight in enumerate(flight.sights):
        heights, limb = sky.heights[k], _LIMB[sight.limb]
        later = -60.0 * (heights - heights[0])
        alone = [
            ("read one degree too low", PRIOR["degree"] / 2.0, 60.0),
            ("read one degree too high", PRIOR["degree"] / 2.0, -60.0),
            ("read ten minutes too low", PRIOR["ten minutes"] / 2.0, 10.0),
            ("read ten minutes too high", PRIOR["ten minutes"] / 2.0, -10.0),
            ("time written one minute too late", PRIOR["minute"] / 2.0, later[1]),
            ("time written one minute too early", PRIOR["minute"] / 2.0, later[2]),
            ("time written one hour too late", PRIOR["hour"] / 2.0, later[3]),
            ("time written one hour too early", PRIOR["hour"] / 2.0, later[4]),
            ("start of the shot taken for its middle", PRIOR["start"], later[7]),
        ]
        mine = NAMES.index(sight.body)
        beside = (sky.all_heights[k] > 0.0) & (apart_deg(sky.all_azimuths[k], float(sky.azimuths[k])) < BESIDE_DEG)
        beside[mine] = False
        weight = np.where(beside, LISTED, 0.0)
        for j in np.flatnonzero(beside):
            prior = PRIOR["body"] * weight[j] / weight.sum()
            alone.append((f"the body was {NAMES[j]}", prior, 60.0 * (heights[0] - sky.all_heights[k, j])))
        if sight.body in ("Sun", "Moon"):
            alone += [
                (f"the limb was {other}", PRIOR["limb"] / 2.0, SEMIDIAMETER_ARCMIN * (_LIMB[other] - limb))
                for other in _LIMB
                if other != sight.limb
            ]
        found += [(sight.id, words, prior, float(change) * np.eye(n)[k]) for words, prior, change in alone]
    turned = np.full(n, -2.0 * flight.sextant.correction_arcmin)
    moved = -60.0 * (sky.heights[:, 8] - sky.heights[:, 0])
    return [
        *found,
        ("all", "sextant correction with the wrong sign", PRIOR["correction"], turned),
        ("all", "watch error with the wrong sign", PRIOR["watch"], moved),
        ("all", "Coriolis", PRIOR["coriolis"], -2.0 * coriolis),
    ]
