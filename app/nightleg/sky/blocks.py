"""One body over one day of GMT as a polynomial: Skyfield's apparent places, fitted at Chebyshev nodes.

A block belongs to a body and a day of the label GMT, so that leap seconds, and the change of rule at 1972, lie between
blocks. It holds the coefficients of the geocentric apparent vector (light time, deflection, aberration, precession and
nutation IAU 2000A) in the frame of the true equator, turned about the pole so that GHA = label angle - angle from the
first axis. The label angle is the Earth rotation angle as if the label were UT1, exact and without tables; the turn
holds what is left, GAST - ERA and DUT1, both smooth within a day.

Only bodies that are asked for are computed. What a day's bodies share (nutation, the Earth's place) is computed once.
"""

from __future__ import annotations

from collections.abc import Iterable
from functools import lru_cache
from typing import Any

import numpy as np
from numpy.typing import NDArray

from nightleg.sky import ephemeris, kept, timescale
from nightleg.sky.catalogue import StarData, star

Floats = NDArray[np.float64]

NODES = kept.SHAPE[0]
ARIES = "(Aries)"  # the block of GAST less the label angle, in radians, as its first component
J1991_25_TT = 2448349.0625
_KEEP = 20_000  # blocks, 0.3 kB each

_blocks: dict[tuple[str, int], Floats] = {}


class _Frame:
    """What all bodies of a day share, at the nodes of that day."""

    def __init__(self, day: int) -> None:
        start_s = day * timescale.DAY_S
        # A day that the ephemeris holds in part has its nodes in that part.
        low = 2.0 * (max(start_s, ephemeris.FIRST_S) - start_s) / timescale.DAY_S - 1.0
        high = 2.0 * (min(start_s + timescale.DAY_S, ephemeris.LAST_S) - start_s) / timescale.DAY_S - 1.0
        roots = np.cos(np.pi * (np.arange(NODES) + 0.5) / NODES)
        x = 0.5 * (low + high) + 0.5 * (high - low) * roots
        self.to_coefficients: Floats = np.asarray(np.linalg.inv(np.vander(x, increasing=True)), dtype=np.float64)

        node_s = start_s + 0.5 * (x + 1.0) * timescale.DAY_S
        whole, fraction = timescale.tt_jd(node_s)
        scale = timescale.skyfield_timescale()
        self.time: Any = scale.tt_jd(whole, fraction)
        self.earth: Any = ephemeris.kernel()[399]
        self.earth_at: Any = self.earth.at(self.time)
        dut1_rad = timescale.ERA_RAD_PER_S * timescale.dut1_s(node_s)
        self.aries_rad: Floats = _gast_minus_era_rad(self.time) + dut1_rad
        cos, sin, zero, one = np.cos(self.aries_rad), np.sin(self.aries_rad), np.zeros(NODES), np.ones(NODES)
        to_origin = np.array([[cos, sin, zero], [-sin, cos, zero], [zero, zero, one]])
        self.rotation: Floats = np.einsum("ijn,jkn->nik", to_origin, self.time.M)

    @property
    def separate(self) -> list[Any]:
        """The Earth's place at each node by itself, for many stars at once."""
        return [self.earth.at(self.time[i]) for i in range(NODES)]

    def fit(self, gcrs: Floats) -> Floats:
        """Coefficients, shape (..., NODES, 3) for vectors (..., NODES, 3) in the GCRS at the nodes."""
        return np.asarray(self.to_coefficients @ np.einsum("nik,...nk->...ni", self.rotation, gcrs))


def _gast_minus_era_rad(time: Any) -> Floats:
    """Apparent sidereal time less the Earth rotation angle; it does not depend on UT1."""
    from skyfield.earthlib import earth_rotation_angle

    difference = time.gast / 24.0 - earth_rotation_angle(time.whole, time.ut1_fraction)
    return np.asarray(2.0 * np.pi * (difference - np.round(difference)))


@lru_cache(maxsize=256)
def _frame(day: int) -> _Frame:
    return _Frame(day)


def _solar_system_block(body: str, frame: _Frame) -> Floats:
    target = ephemeris.kernel()[ephemeris.CODES[body]]
    apparent = frame.earth_at.observe(target).apparent().xyz.km
    return frame.fit(np.ascontiguousarray(apparent.T))


def _skyfield_star(stars: list[StarData]) -> Any:
    from skyfield.starlib import Star

    def column(field: str) -> Any:
        values = np.array([getattr(one, field) for one in stars])
        return values if len(stars) > 1 else float(values[0])

    return Star(
        ra_hours=column("ra_deg") / 15.0,
        dec_degrees=column("dec_deg"),
        ra_mas_per_year=column("pm_ra_mas_per_year"),
        dec_mas_per_year=column("pm_dec_mas_per_year"),
        parallax_mas=column("parallax_mas"),
        epoch=J1991_25_TT,
    )


def _star_blocks(bodies: list[str], frame: _Frame) -> list[Floats]:
    stars = [star(body) for body in bodies]
    if len(stars) < NODES:  # all nodes of one star at once, else all stars of one node at once
        vectors = np.array([frame.earth_at.observe(_skyfield_star([one])).apparent().xyz.au.T for one in stars])
    else:
        together = _skyfield_star(stars)
        vectors = np.array([at.observe(together).apparent().xyz.au.T for at in frame.separate]).transpose(1, 0, 2)
    unit = vectors / np.linalg.norm(vectors, axis=-1, keepdims=True)
    return list(frame.fit(unit))


def _computed(day: int, bodies: list[str]) -> dict[tuple[str, int], Floats]:
    """New blocks of some bodies on one day."""
    frame = _frame(day)
    made: dict[tuple[str, int], Floats] = {}
    stars = [body for body in bodies if body != ARIES and body not in ephemeris.CODES]
    for body in bodies:
        if body in ephemeris.CODES:
            made[body, day] = _solar_system_block(body, frame)
        elif body == ARIES:
            aries = np.zeros((NODES, 3))
            aries[:, 0] = frame.to_coefficients @ frame.aries_rad
            made[ARIES, day] = aries
    if stars:
        made.update(zip([(body, day) for body in stars], _star_blocks(stars, frame), strict=True))
    return made


def block(body: str, day: int) -> Floats:
    """The coefficients of one body on one day: shape (NODES, 3), rising powers of x, x from -1 to 1 over the day.

    `day` counts from 2000-01-01. Kilometres for the Sun, Moon and planets, unit vectors for stars. Raises KeyError for
    an unknown name; the caller has checked that the ephemeris covers the time.
    """
    found = _blocks.get((body, day))
    return found if found is not None else blocks([(body, day)])[0]


def blocks(keys: Iterable[tuple[str, int]]) -> list[Floats]:
    """The blocks of several (body, day), as `block`; those not yet known are computed together, day by day."""
    wanted = list(keys)
    # Held here, since another thread may empty the store meanwhile.
    found = {key: held for key in wanted if (held := _blocks.get(key)) is not None}
    missing: dict[int, list[str]] = {}
    store = kept.kept()
    new = [key for key in dict.fromkeys(wanted) if key not in found]
    for body, day in new:
        old = store.find(body, day) if store is not None else None
        if old is not None:
            found[body, day] = old
        else:
            missing.setdefault(day, []).append(body)
    for day, bodies in missing.items():
        made = _computed(day, bodies)
        found.update(made)
        if store is not None:
            store.add(made)
    if new:
        if len(_blocks) > _KEEP:
            _blocks.clear()
        _blocks.update(found)
    return [found[key] for key in wanted]
