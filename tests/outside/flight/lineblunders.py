"""Drawn fixes of three stars and two other lines with one blunder, and whether the geometry can tell it.

The lines are made at the place where the aircraft really was: distances and directions by geographiclib, the pressure
line by the handbooks' formula (Z = -21.5·ΔD/(ETAS·sin L), to the right of the air path). Whether a blunder can be told
is worked out as in `telling`, from the truth, with straight lines and the stated errors.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import timedelta

import numpy as np
from geographiclib.geodesic import Geodesic
from msgspec.structs import replace
from numpy.typing import NDArray

from nightleg.earth.local import between
from nightleg.earth.rhumb import rhumb_inverse
from nightleg.flight.linemistakes import LINE_PRIOR, OUTLIER_NM
from nightleg.flight.mistakes import PRIOR
from nightleg.flight.model import Flight, Line
from nightleg.units.positions import Position
from nightleg.units.times import gmt_s

from .blunders import drawn_world, logged
from .telling import SHOWS_SIGMAS, SIGMA_ARCMIN, START_SIGMA_NM, TELLING_ODDS, WATCH_SIGMA_S, Sky, World, explanations

Array = NDArray[np.float64]

STARS = ("degree", "ten minutes", "star, unknown")
LINES = {
    "reciprocal": ("bearing", "radial"),
    "ten degrees": ("bearing", "radial"),
    "variation": ("radial",),
    "ten miles": ("range",),
    "hundred miles": ("range",),
    "exchanged": ("pressure",),
    "hemisphere": ("latitude",),
    "latitude degree": ("latitude",),
    "line, unknown": ("bearing", "radial", "range", "pressure", "latitude"),
}
KINDS = (*STARS, *LINES)
RANGE_SIGMA_NM, LATITUDE_SIGMA_NM, PRESSURE_SIGMA_NM, DIRECTION_SIGMA_DEG = 1.0, 3.0, 7.0, 2.0
Undone = tuple[str, float, float]  # words, how often, change of the residual, NM


@dataclass
class Laid:
    """A line with what it says at the place where the aircraft was."""

    line: Line
    normal_deg: float
    sigma_nm: float
    per_unit: float  # change of the residual with what is written, NM
    true: float  # what would have been written without any error

    def off_nm(self, value: float) -> float:
        """The residual of another value at the true place."""
        turned = self.line.kind in ("bearing", "radial")
        away = (value - self.true + 180.0) % 360.0 - 180.0 if turned else value - self.true
        return self.per_unit * away


@dataclass
class LineCase:
    """One flight as logged: what was done wrong, and what would be right to say."""

    flight: Flight
    id: str
    right: str
    shows_sigmas: float
    odds: float

    @property
    def telling(self) -> bool:
        """Whether the geometry can tell."""
        return self.shows_sigmas >= SHOWS_SIGMAS and self.odds >= TELLING_ODDS


def draw_with_lines(rng: np.random.Generator, kind: str) -> LineCase:
    """A fix of three stars and two lines with a blunder of that kind, drawn anew until it can be planted."""
    while True:
        world = drawn_world(rng, 3, "", big=False)
        case = logged(rng, world, "") if world is not None else None
        if world is None or case is None or abs(case.truth.lat) < 25.0:
            continue
        kinds = list(dict.fromkeys([str(rng.choice(LINES[kind]))] if kind in LINES else []))
        others = [one for one in ("bearing", "radial", "range", "pressure", "latitude") if one not in kinds]
        kinds += [str(one) for one in rng.choice(others, 2 - len(kinds), replace=False)]
        laid = [_laid(rng, world, case.flight, f"x{k + 1}", one) for k, one in enumerate(kinds)]
        return _planted(rng, world, case.flight, laid, kind)


def _laid(rng: np.random.Generator, world: World, flight: Flight, id: str, kind: str) -> Laid:
    """A line without blunder or error."""
    when = world.fix_time - timedelta(minutes=float(rng.uniform(0.0, 12.0)))
    flown = replace(world.plot.with_wind_changed(*world.wind_kt), lat=world.began[0], lon=world.began[1])
    lat, lon = (float(x) for x in flown.position(gmt_s(when)))
    out = Geodesic.WGS84.Direct(lat, lon, float(rng.uniform(0.0, 360.0)), float(rng.uniform(80.0, 250.0)) * 1852.0)
    station = Position(out["lat2"], out["lon2"])
    way = Geodesic.WGS84.Inverse(lat, lon, *station)
    distance = way["s12"] / 1852.0
    line = Line(id=id, kind=kind, time=when, station=station)
    across = math.radians(1.0) * distance
    if kind == "range":
        return Laid(replace(line, slant=False), way["azi1"], RANGE_SIGMA_NM, -1.0, distance)
    if kind == "bearing":
        return Laid(line, way["azi1"] - 90.0, DIRECTION_SIGMA_DEG * across, across, way["azi1"] % 360.0)
    if kind == "radial":
        variation = float(np.round(rng.uniform(8.0, 20.0) * rng.choice([-1.0, 1.0])))
        line = replace(line, station_variation_deg=variation)
        outward = (way["azi2"] + 180.0) % 360.0
        return Laid(line, way["azi1"] + 270.0, DIRECTION_SIGMA_DEG * across, across, (outward - variation) % 360.0)
    if kind == "latitude":
        return Laid(replace(line, station=None), 0.0, LATITUDE_SIGMA_NM, 60.0, lat)
    start = flight.start
    air = world.plot.with_wind(0.0, 0.0).carry(*start.position, gmt_s(start.time), gmt_s(when))
    air_lat, air_lon = float(air[0]), float(air[1])
    run, course = (float(x) for x in rhumb_inverse(*start.position, air_lat, air_lon))
    etas = run / ((when - start.time).total_seconds() / 3600.0)
    north, east = (float(x) for x in between(air_lat, air_lon, lat, lon))
    right = east * math.cos(math.radians(course)) - north * math.sin(math.radians(course))
    per_ft = -21.5 / math.sin(math.radians((start.position.lat + air_lat) / 2.0)) / etas
    line = replace(line, station=None, from_="start", d1_ft=float(np.round(rng.uniform(-300.0, 900.0))))
    return Laid(line, course + 90.0, PRESSURE_SIGMA_NM, per_ft, right / per_ft)


def _planted(rng: np.random.Generator, world: World, flight: Flight, laid: list[Laid], kind: str) -> LineCase:
    """The fix as written with its errors and one blunder."""
    sights, n = list(flight.sights), len(flight.sights)
    step = float(rng.choice([-1.0, 1.0]))
    off = np.zeros(n + len(laid))
    if kind in STARS:
        at = int(rng.integers(n))
        name = {"degree": "one degree", "ten minutes": "ten minutes"}.get(kind, "")
        arcmin = {"degree": 60.0 * step, "ten minutes": 10.0 * step}.get(kind, float(rng.normal(0.0, OUTLIER_NM)))
        hs = sights[at].hs
        assert hs is not None
        sights[at] = replace(sights[at], hs=hs + arcmin / 60.0)
        off[at], id = arcmin, sights[at].id
        right = f"read {name} too {'high' if step > 0.0 else 'low'}" if name else "wrong for a reason unknown"
    else:
        id, at = "x1", n
    written = [one.true for one in laid]
    if kind in LINES:
        written[0], right = _blunder(rng, laid[0], kind, step)
        off[n] = laid[0].off_nm(written[0])
    lines, undone = [], []
    for one, value in zip(laid, written, strict=True):
        said = value + float(rng.normal(0.0, one.sigma_nm / abs(one.per_unit)))
        lines.append(_line(one, said))
        undone += [(one.line.id, *more) for more in _undone(one, value)]
    made = replace(flight, sights=tuple(sights), lines=tuple(lines))
    fix = replace(made.fixes[0], sights=(*(s.id for s in sights), *(line.id for line in lines)))
    made = replace(made, fixes=(fix,))
    return LineCase(made, id, right, *_told(made, world, laid, undone, off, (id, right)))


def _blunder(rng: np.random.Generator, one: Laid, kind: str, step: float) -> tuple[float, str]:
    """What is written instead, and the words that name it."""
    side, length = ("high", "long") if step > 0.0 else ("low", "short")
    if kind == "reciprocal":
        return (one.true + 180.0) % 360.0, "written as its reciprocal"
    if kind == "ten degrees":
        return (one.true + 10.0 * step) % 360.0, f"read ten degrees too {side}"
    if kind == "variation":  # its sign turned: as if the radial were read by twice the variation more
        variation = one.line.station_variation_deg or 0.0
        one.line = replace(one.line, station_variation_deg=-variation)
        one.true += 2.0 * variation
        return one.true - 2.0 * variation, "variation with the wrong sign"
    if kind in ("ten miles", "hundred miles"):
        size = 10.0 if kind == "ten miles" else 100.0
        step, length = (1.0, "long") if one.true <= size + 10.0 else (step, length)
        return one.true + size * step, f"read {size:.0f} NM too {length}"
    if kind == "exchanged":
        return -one.true, "the two values of D exchanged"
    if kind == "hemisphere":
        return -one.true, f"written {'N for S' if one.true < 0.0 else 'S for N'}"
    if kind == "latitude degree":
        return one.true + step, f"read one degree too far {'north' if step > 0.0 else 'south'}"
    return one.true + float(rng.normal(0.0, OUTLIER_NM)) / one.per_unit, "wrong for a reason unknown"


def _line(one: Laid, value: float) -> Line:
    line = one.line
    if line.kind == "range":
        return replace(line, range_nm=max(value, 0.1), sigma_nm=one.sigma_nm)
    if line.kind == "bearing":
        return replace(line, bearing_deg=value % 360.0, sigma_deg=DIRECTION_SIGMA_DEG)
    if line.kind == "radial":
        return replace(line, radial_deg=value % 360.0, sigma_deg=DIRECTION_SIGMA_DEG)
    if line.kind == "latitude":
        return replace(line, latitude=value, sigma_nm=one.sigma_nm)
    return replace(line, d2_ft=(line.d1_ft or 0.0) + value, sigma_nm=one.sigma_nm)


def _undone(one: Laid, value: float) -> list[Undone]:
    """Every usual mistake of a line undone, but the unknown one."""
    kind, often = one.line.kind, LINE_PRIOR
    meant: list[tuple[str, float, float]] = []
    if kind in ("bearing", "radial"):
        half = often["ten degrees"] / 2.0
        meant = [("written as its reciprocal", often["reciprocal"], value + 180.0)]
        meant += [("read ten degrees too low", half, value + 10.0), ("read ten degrees too high", half, value - 10.0)]
    if kind == "radial":
        variation = one.line.station_variation_deg or 0.0
        meant.append(("variation with the wrong sign", often["variation"], value - 2.0 * variation))
        meant.append(("variation applied to a true radial", often["variation"], value - variation))
    if kind == "range":
        for size, name in ((10.0, "ten miles"), (100.0, "hundred miles")):
            meant.append((f"read {size:.0f} NM too short", often[name] / 2.0, value + size))
            if value > size:
                meant.append((f"read {size:.0f} NM too long", often[name] / 2.0, value - size))
    if kind == "pressure":
        meant = [("the two values of D exchanged", often["exchanged"], -value)]
    if kind == "latitude":
        meant = [(f"written {'N for S' if value > 0.0 else 'S for N'}", often["hemisphere"], -value)]
        meant.append(("read one degree too far south", often["degree"] / 2.0, value + 1.0))
        meant.append(("read one degree too far north", often["degree"] / 2.0, value - 1.0))
    return [(words, prior, one.off_nm(other) - one.off_nm(value)) for words, prior, other in meant]


def _told(
    flight: Flight,
    world: World,
    laid: list[Laid],
    undone: list[tuple[str, str, float, float]],
    off: Array,
    right: tuple[str, str],
) -> tuple[float, float]:
    """How much shows, in sigmas, and the odds of the right explanation against all others, without random errors."""
    sky, n = Sky(flight, world, world.bodies), len(flight.sights)
    matrix = _shown(flight, sky, laid)
    ids = [*(sight.id for sight in flight.sights), *(one.line.id for one in laid)]
    said = [(id, w, p, np.append(v, np.zeros(len(laid)))) for id, w, p, v in explanations(flight, sky, np.zeros(n))]
    said += [(id, words, prior, change * np.eye(len(ids))[ids.index(id)]) for id, words, prior, change in undone]
    weights = [(id, words, math.log(p) - 0.5 * float((off + v) @ matrix @ (off + v))) for id, words, p, v in said]
    total = float(off @ matrix @ off)
    for k, id in enumerate(ids):
        gain = float(matrix[k] @ off) ** 2 / (matrix[k, k] + 1.0 / OUTLIER_NM**2)
        weight = math.log(PRIOR["outlier"]) - 0.5 * (total - gain) - 0.5 * math.log1p(OUTLIER_NM**2 * matrix[k, k])
        weights.append((id, "wrong for a reason unknown", weight))
    mine = max(weight for id, words, weight in weights if (id, words) == right)
    others = [weight for id, words, weight in weights if (id, words) != right]
    top = max(others)
    return math.sqrt(total), math.exp(min(mine - top, 300.0)) / sum(math.exp(weight - top) for weight in others)


def _shown(flight: Flight, sky: Sky, laid: list[Laid]) -> Array:
    """G of chi-square = rᵀ·G·r, r what shots (′) and lines (NM) are off by, the DR a witness and the place fitted."""
    n, m, fix_s = len(flight.sights), len(laid), gmt_s(flight.fixes[0].time)
    normals = np.radians([*sky.azimuths, *(one.normal_deg for one in laid)])
    u = np.column_stack([np.cos(normals), np.sin(normals)])
    times = np.array([*sky.times, *(gmt_s(one.line.time) for one in laid)])
    since = (fix_s - gmt_s(flight.start.time)) / 3600.0
    by_wind = np.vstack([-((fix_s - times) / 3600.0)[:, None] * u, -since * np.eye(2)])
    by_wind *= flight.wind_uncertainty.sigma_kt
    own = [*[SIGMA_ARCMIN] * n, *(one.sigma_nm for one in laid), START_SIGMA_NM, START_SIGMA_NM]
    cov = by_wind @ by_wind.T + np.diag(np.square(own))
    rate = sky.heights[:, 6] - sky.heights[:, 5]
    cov[:n, :n] += WATCH_SIGMA_S**2 * np.outer(rate, rate)
    design, inverse = np.vstack([u, np.eye(2)]), np.linalg.inv(cov)
    normal = design.T @ inverse @ design
    return np.asarray((inverse - inverse @ design @ np.linalg.solve(normal, design.T @ inverse))[: n + m, : n + m])
