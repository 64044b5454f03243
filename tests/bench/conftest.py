"""The measuring bench: every measurement goes into one table, printed at the end of the run.

    python3 tests/run.py tests/bench -m ""

Times of one machine say little elsewhere, so a budget is a ratio wherever there is a floor to measure against: both are
timed in the same run, turn and turn about, and their medians are compared.
"""

from __future__ import annotations

import json
import math
import os
import subprocess
import sys
import time
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from functools import partial
from pathlib import Path

import numpy as np
import pytest

APP = Path(__file__).resolve().parents[2] / "app"
START = datetime(2026, 1, 10, 20, 0, 0, tzinfo=UTC)
SEED = 20260110  # of the flight with sixty sights
# The northern sky's brighter navigational stars.
STARS = """
    Aldebaran Alioth Alkaid Alphard Alpheratz Arcturus Bellatrix Betelgeuse Capella Deneb Diphda Dubhe Elnath Hamal
    Kochab Markab Menkar Mirfak Pollux Procyon Regulus Rigel Schedar Sirius Vega
"""


@dataclass(frozen=True)
class Row:
    """One measurement, and what it may come to."""

    name: str
    measured: float
    unit: str
    at_most: float | None
    at_least: float | None
    note: str

    @property
    def ok(self) -> bool:
        """Whether it keeps its budget; without one, whether it is a number at all."""
        return (
            math.isfinite(self.measured)
            and (self.at_most is None or self.measured <= self.at_most)
            and (self.at_least is None or self.measured >= self.at_least)
        )

    def cells(self) -> tuple[str, ...]:
        """The row in words."""
        limit, sign = (self.at_least, "≥") if self.at_least is not None else (self.at_most, "≤")
        if limit is None:
            return self.name, f"{self.measured:,.4g}", self.unit, "", "", "measured", self.note
        share = f"{self.measured / limit:.2f}"
        return (
            self.name,
            f"{self.measured:,.4g}",
            self.unit,
            f"{sign} {limit:,g}",
            share,
            "ok" if self.ok else "NOT KEPT",
            self.note,
        )


@dataclass
class Bench:
    """Measures and notes the result for the table; where budgets are held, a test whose budget is not kept fails.

    On a machine that does other work beside it a measurement tells nothing, so the table alone is made by default.
    """

    rows: list[Row] = field(default_factory=list)
    held: bool = False
    compiled: Path = Path()  # where compiled modules are kept when not beside their sources

    def keep(
        self,
        name: str,
        measured: float,
        unit: str,
        *,
        at_most: float | None = None,
        at_least: float | None = None,
        note: str = "",
    ) -> None:
        """Note a measurement. Raises AssertionError when it is no number, or beyond a budget that is held."""
        row = Row(name, measured, unit, at_most, at_least, note)
        self.rows.append(row)
        assert math.isfinite(measured), name
        assert row.ok or not self.held, " ".join(row.cells())

    def medians_s(self, *calls: Callable[[], object], rounds: int = 7) -> tuple[float, ...]:
        """Median times of some calls, made turn and turn about after one round that does not count."""
        times: list[list[float]] = [[] for _ in calls]
        for turn in range(rounds + 1):
            for call, kept in zip(calls, times, strict=True):
                begun = time.perf_counter()
                call()
                if turn:
                    kept.append(time.perf_counter() - begun)
        return tuple(float(np.median(kept)) for kept in times)

    def run(self, command: Sequence[str]) -> str:
        """What a command prints. Raises AssertionError when it does not end well.

        Modules are kept compiled, ours as the libraries' are since their installation: where a variable forbids that
        (PYTHONDONTWRITEBYTECODE), each start would compile all of ours, and the floor nothing.
        """
        paths = [str(APP), *filter(None, [os.environ.get("PYTHONPATH")])]
        environment = {**os.environ, "PYTHONPATH": os.pathsep.join(paths), "QT_QPA_PLATFORM": "offscreen"}
        if environment.pop("PYTHONDONTWRITEBYTECODE", ""):
            environment["PYTHONPYCACHEPREFIX"] = str(self.compiled)
        done = subprocess.run(command, env=environment, capture_output=True, text=True, encoding="utf-8", timeout=60)
        assert done.returncode == 0, f"{' '.join(command)} ended with {done.returncode}: {done.stderr[-2000:]}"
        return done.stdout

    def process_medians_s(self, *commands: Sequence[str], rounds: int = 11) -> tuple[float, ...]:
        """Median wall times of whole processes, run turn and turn about. Raises AssertionError when one fails."""
        return self.medians_s(*(partial(self.run, command) for command in commands), rounds=rounds)


_BENCH = Bench()


@pytest.fixture(scope="session", autouse=True)
def _compiled(tmp_path_factory: pytest.TempPathFactory) -> None:
    _BENCH.compiled = tmp_path_factory.mktemp("compiled")


@pytest.fixture
def bench(request: pytest.FixtureRequest) -> Bench:
    """The one bench of the run."""
    _BENCH.held = bool(request.config.getoption("--hold-budgets"))
    return _BENCH


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter) -> None:
    """Print the table."""
    if not _BENCH.rows:
        return
    cells = [("what", "measured", "unit", "budget", "of it", "", ""), *(row.cells() for row in _BENCH.rows)]
    widths = [max(len(line[i]) for line in cells) for i in range(len(cells[0]))]
    terminalreporter.section("bench")
    for line in cells:
        aligned = (
            c.rjust(w) if 0 < i < 5 and i != 2 else c.ljust(w)
            for i, (c, w) in enumerate(zip(line, widths, strict=True))
        )
        terminalreporter.write_line("  ".join(aligned).rstrip())


@pytest.fixture(scope="session")
def sixty_sights(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A flight file of twelve hours with twenty three-star fixes, invented, the same in every run.

    The readings come from the program's own computed altitudes by a first pass, with errors of 2.5′ (1σ).
    """
    path = tmp_path_factory.mktemp("bench") / "sixty.flight.toml"
    shots = list(chosen_shots())
    hs_deg = [altitude for _, _, altitude in shots]
    error_deg = np.random.default_rng(SEED).normal(0.0, 2.5 / 60.0, len(shots))
    for errors in (np.zeros(len(shots)), error_deg):  # readings without error first, then with
        path.write_text(flight_text([(body, when) for body, when, _ in shots], hs_deg), encoding="utf-8")
        solved = json.loads(_BENCH.run([sys.executable, "-m", "nightleg", "solve", str(path), "--json"]))
        by_id = {sight["id"]: sight for sight in solved["sights"]}
        hs_deg = [
            hs + by_id[f"s{i}"]["hc"] - by_id[f"s{i}"]["ho"] + error
            for i, (hs, error) in enumerate(zip(hs_deg, errors, strict=True), start=1)
        ]
    path.write_text(flight_text([(body, when) for body, when, _ in shots], hs_deg), encoding="utf-8")
    return path


def chosen_shots() -> Iterator[tuple[str, float, float]]:
    """Body, seconds from the start and altitude near the DR of sixty shots: three stars, well spread, to a fix."""
    from nightleg.earth.rhumb import rhumb_direct
    from nightleg.sight.reduction import altitude_azimuth
    from nightleg.sky.places import places_of
    from nightleg.units.times import gmt_s

    stars = STARS.split()
    start_s = gmt_s(START)
    for fix in range(20):
        used: set[str] = set()
        for shot, wanted_deg in enumerate((30.0, 150.0, 270.0)):
            after_s = 1800.0 + fix * 2100.0 + 240.0 * (shot - 2)
            lat, lon = rhumb_direct(50.0, -5.0, 270.0, 430.0 * after_s / 3600.0)
            place = places_of(stars, np.full(len(stars), start_s + after_s))
            hc, zn = altitude_azimuth(lat, lon, place.gha_deg, place.dec_deg)
            off_deg = np.abs((zn - wanted_deg + 180.0) % 360.0 - 180.0)
            taken = np.array([star in used for star in stars])
            best = int(np.argmin(np.where((hc > 20.0) & (hc < 70.0) & ~taken, off_deg, 1e3)))
            used.add(stars[best])
            yield stars[best], after_s, float(hc[best])


def flight_text(shots: Sequence[tuple[str, float]], hs_deg: Sequence[float]) -> str:
    """The flight file."""

    def clock(after_s: float) -> str:
        return f"{START + timedelta(seconds=round(after_s)):%Y-%m-%dT%H:%M:%SZ}"

    lines = ['format = "nightleg-flight-1"', 'title = "Sixty sights"', "[sextant]", "sigma_arcmin = 2.5"]
    lines += ["[start]", f"time = {clock(0)}", 'position = "50 00.0 N 005 00.0 W"', "sigma_nm = 2.0"]
    lines += ["[[leg]]", f"time = {clock(0)}", "heading_deg = 270.0", "tas_kt = 430.0", 'wind = "270/0"']
    lines += ["altitude_ft = 31000"]
    for i, ((body, after_s), hs) in enumerate(zip(shots, hs_deg, strict=True), start=1):
        lines += ["[[sight]]", f'id = "s{i}"', f'body = "{body}"', f"time = {clock(after_s)}", f'hs = "{hs:.4f}"']
    for fix in range(len(shots) // 3):
        names = ", ".join(f'"s{3 * fix + k}"' for k in (1, 2, 3))
        lines += ["[[fix]]", f'id = "f{fix + 1}"', f"time = {clock(shots[3 * fix + 2][1])}", f"sights = [{names}]"]
    return "\n".join(lines) + "\n"
