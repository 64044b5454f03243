"""A crowded chart to measure with: two hundred labelled lines and a track of five thousand points, over islands."""

from __future__ import annotations

import math
from datetime import UTC, datetime

import numpy as np

from nightleg.chart.marks import ChartScene, DrMark, FixMark, LineMark, RunMark, Tick
from nightleg.earth.local import offset
from nightleg.fix.ellipse import Ellipse
from nightleg.units.positions import Position

MIDDLE = Position(38.6, -28.0)  # the Azores
SEED = 20260314
LINES, POINTS = 200, 5000


def places(north_nm: np.ndarray, east_nm: np.ndarray) -> tuple[Position, ...]:
    """Places so far from the middle."""
    lats, lons = offset(*MIDDLE, north_nm, east_nm)
    return tuple(map(Position, lats.tolist(), lons.tolist()))


def crowded() -> ChartScene:
    """The scene, the same in every run."""
    chance = np.random.default_rng(SEED)
    lines = []
    for number in range(LINES):
        along = np.linspace(-120.0, 120.0, 49)
        bow = along**2 / (2.0 * chance.uniform(1200.0, 4000.0))  # as of a circle of equal altitude
        turn = chance.uniform(0.0, math.pi)
        at_n, at_e = chance.uniform(-60.0, 60.0, 2)
        run = places(
            at_n + along * math.cos(turn) - bow * math.sin(turn), at_e + along * math.sin(turn) + bow * math.cos(turn)
        )
        stub = (MIDDLE, run[24])
        lines.append(LineMark(f"s{number}", f"{number:04d} Vega", run, run, stub, number % 6, True, True, False))
    east = np.linspace(-220.0, 220.0, POINTS)
    track = places(20.0 * np.sin(east / 40.0), east)
    ticks = tuple(Tick(f"{k:04d}", track[k * 100], 2, 90.0) for k in range(1, POINTS // 100))
    fix = FixMark("f1", "fix", MIDDLE, "2200", "38°36.0′N 028°00.0′W", Ellipse(3, 2, 20), Ellipse(7, 5, 20), True)
    return ChartScene(
        title="crowded",
        when="",
        now=datetime(2026, 3, 14, 22, tzinfo=UTC),
        runs=(RunMark(track, ticks, True),),
        dr=DrMark("2200", track[-1], 90.0, 6.0),
        lines=tuple(lines),
        fixes=(fix,),
        start=track[0],
    )
