"""The usual mistakes of a fix, each undone: what the navigator would have written without it, and how often it is made.

How often mistakes are made is a matter of experience (common practice, no source); the table stands in `PRIOR`.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import timedelta
from functools import lru_cache

import numpy as np
from msgspec import Struct
from msgspec.structs import replace
from numpy.typing import NDArray

from nightleg.air.reckoning import Reckoning
from nightleg.flight.linework import LineAt
from nightleg.flight.model import Sight
from nightleg.flight.shots import Kit, Shot, ready
from nightleg.sight.reduction import altitude_azimuth
from nightleg.sky.catalogue import BODIES, NAVIGATIONAL_STARS, SOLAR_SYSTEM, star, stars_down_to
from nightleg.sky.places import gha_aries_deg, places_of
from nightleg.units.times import gmt_s

Array = NDArray[np.float64]

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
    "outlier": 0.004,
}
OUTLIER_ARCMIN = 60.0  # spread of a reading that is wrong for no reason that is known
NEAR_DEG = 45.0  # another body is taken for the one logged only this near in azimuth …
NEAR_ARCMIN = 90.0  # … and explains a reading only if it stands this near to it
_OTHERS_WEIGHT = 0.2  # how much more rarely a star is shot that is not in the list
_PRECESSION_DEG = 2.5  # more than a catalogue place of 1991 is off in any year of the ephemeris
_BRIGHTEST_OTHERS = 3.0  # magnitude down to which stars outside the list are mistaken for one


class Change(Struct, frozen=True):
    """A mistake undone: the sight or the line as it would have been, or the whole kit (for all shots)."""

    explanation: str
    prior: float
    sight: Sight | None = None
    kit: Kit | None = None
    spread_arcmin: float = 0.0  # more error allowed to this sight; to a line, NM
    turned: float = 1.0  # factor on the Coriolis correction of all shots
    line: LineAt | None = None

    @property
    def id(self) -> str:
        """Of the shot or line that it touches; "all" for what touches every shot."""
        one = self.sight or self.line
        return one.id if one is not None else "all"


def mistakes(kit: Kit, suspected: tuple[Sight, ...], plot: Reckoning) -> Iterator[Change]:
    """Every usual mistake of a fix, undone one at a time: in each suspected sight, then in all together."""
    for sight in suspected:
        yield from _of_reading(sight)
        yield from _of_time(kit, sight)
        yield from _of_body(kit, sight, plot)
        yield from _of_limb(sight)
        yield Change("wrong for a reason unknown", PRIOR["outlier"], sight, spread_arcmin=OUTLIER_ARCMIN)
    if suspected:
        yield from _of_all(kit)


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


def _of_time(kit: Kit, sight: Sight) -> Iterator[Change]:
    """A start taken for the middle of a shot of two minutes comes to the same sight as a minute too early: one.

    A shot before the start of the flight was none, so no time is meant that lies there.
    """
    start = sight.duration_s / 2.0 if not sight.readings and sight.duration_s >= 30.0 else 0.0
    for seconds, prior, name in ((60.0, "minute", "one minute"), (3600.0, "hour", "one hour")):
        for sign, side in ((1.0, "early"), (-1.0, "late")):
            words, often = f"time written {name} too {side}", PRIOR[prior] / 2.0
            if sign * seconds == start:
                words, often, start = f"{words}, or {_START}", often + PRIOR["start"], 0.0
            meant = _shifted(sight, sign * seconds)
            if ready(kit.watch, kit.start, meant).time_s >= gmt_s(kit.start):
                yield Change(words, often, meant)
    if start:
        yield Change(_START, PRIOR["start"], _shifted(sight, start))


_START = "start of the shot taken for its middle"


def _of_body(kit: Kit, sight: Sight, plot: Reckoning) -> Iterator[Change]:
    """Every body above the horizon that stands near the reading, also bright stars outside the list.

    Each body in that part of the sky may have been taken for the one logged, so the more there are, the less often one
    of them was.
    """
    shot = ready(kit.watch, kit.start, sight)
    where = plot.position(shot.time_s)
    logged = places_of([sight.body], np.array([shot.time_s]))
    _, zn = altitude_azimuth(*where, logged.gha_deg, logged.dec_deg)
    stars, around = _stars_about(shot, where, float(zn[0]))
    names = [name for name in (*SOLAR_SYSTEM, *stars) if name != sight.body]
    found = places_of(names, np.full(len(names), shot.time_s))
    height, azimuth = altitude_azimuth(*where, found.gha_deg, found.dec_deg)
    around += float(np.sum(_beside(height, azimuth, float(zn[0]))[: len(names) - len(stars)]))
    around -= 1.0 if sight.body in BODIES else _OTHERS_WEIGHT
    for i in np.flatnonzero(_near(shot, height, azimuth, float(zn[0]), 0.0)):
        weight = 1.0 if names[i] in BODIES else _OTHERS_WEIGHT
        prior = PRIOR["body"] * weight / max(around, weight)
        yield Change(f"the body was {names[i]}", prior, replace(sight, body=names[i], limb="centre"))


def _beside(height: Array, azimuth: Array, zn_deg: float) -> NDArray[np.bool_]:
    """Which bodies stand above the horizon on the side of the sky where one was looked for."""
    return np.asarray((height > 0.0) & (np.abs((azimuth - zn_deg + 180.0) % 360.0 - 180.0) < NEAR_DEG))


def _near(shot: Shot, height: Array, azimuth: Array, zn_deg: float, margin_deg: float) -> NDArray[np.bool_]:
    """Which bodies stand near enough to the reading and the azimuth of the body logged."""
    apart = np.abs((azimuth - zn_deg + 180.0) % 360.0 - 180.0)
    nearness = np.abs(height - shot.hs_deg) < NEAR_ARCMIN / 60.0 + margin_deg
    high = 1.0 / np.maximum(np.cos(np.radians(height)), 0.05)  # degrees of azimuth shrink toward the zenith
    return np.asarray(nearness & (apart < NEAR_DEG + margin_deg * high))


def _stars_about(shot: Shot, where: tuple[Array, Array], zn_deg: float) -> tuple[list[str], float]:
    """Stars that may be near, and the weight of all on that side of the sky.

    By their catalogue places: apparent places are worked out for these few only.
    """
    names, ra, dec, weight = _starlit()
    rough = altitude_azimuth(*where, gha_aries_deg(shot.time_s) - ra, dec)
    near = np.flatnonzero(_near(shot, *rough, zn_deg, _PRECESSION_DEG))
    return [names[i] for i in near], float(np.sum(weight[_beside(*rough, zn_deg)]))


@lru_cache(maxsize=1)
def _starlit() -> tuple[tuple[str, ...], Array, Array, Array]:
    """Stars that may be shot or taken for one: names, places of the catalogue, and how readily each is meant."""
    others = (one for one in stars_down_to(_BRIGHTEST_OTHERS) if one.name not in NAVIGATIONAL_STARS)
    stars = (*map(star, NAVIGATIONAL_STARS), *others)
    weight = [1.0 if one.name in NAVIGATIONAL_STARS else _OTHERS_WEIGHT for one in stars]
    places = np.array([(one.ra_deg, one.dec_deg, w) for one, w in zip(stars, weight, strict=True)])
    return tuple(one.name for one in stars), places[:, 0], places[:, 1], places[:, 2]


def _of_limb(sight: Sight) -> Iterator[Change]:
    if sight.body in ("Sun", "Moon"):
        for limb in ("lower", "centre", "upper"):
            if limb != sight.limb:
                yield Change(f"the limb was {limb}", PRIOR["limb"] / 2.0, replace(sight, limb=limb))


def _of_all(kit: Kit) -> Iterator[Change]:
    if kit.watch.error_s or kit.watch.rate_s_per_day:
        turned = replace(kit.watch, error_s=-kit.watch.error_s, rate_s_per_day=-kit.watch.rate_s_per_day)
        yield Change("watch error with the wrong sign", PRIOR["watch"], kit=replace(kit, watch=turned))
    if kit.sextant.correction_arcmin:
        turned_sextant = replace(kit.sextant, correction_arcmin=-kit.sextant.correction_arcmin)
        yield Change(
            "sextant correction with the wrong sign", PRIOR["correction"], kit=replace(kit, sextant=turned_sextant)
        )
    yield Change("readings made up with Coriolis of the wrong sign", PRIOR["coriolis"], turned=-1.0)
