"""A hand-made solution, so that what is written of one can be checked apart from how it is computed."""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from PySide6.QtWidgets import QApplication

import nightleg
from nightleg.fix.ellipse import ellipse
from nightleg.flight.model import Flight, Leg, Remark, Start, Truth, TruthPoint, Wind
from nightleg.flight.solution import Correction, DrState, FixResult, SightResult, Solution
from nightleg.units.positions import Position

BEGIN = datetime(2026, 3, 14, 22, tzinfo=UTC)
COV_NM2 = ((4.0, 1.0), (1.0, 9.0))

NIGHT = """\
format = "nightleg-flight-1"
title = "Night crossing"

[start]
time = 2026-03-14T22:00:00Z
position = "41 30.0 N 028 15.0 W"

[[leg]]
time = 2026-03-14T22:00:00Z
heading_deg = 262.0
tas_kt = 430.0
wind = "310/45"
altitude_ft = 31000

[[sight]]
id = "s1"
body = "Capella"
time = 2026-03-14T22:52:00Z
hs = "60 24.7"

[[sight]]
id = "s2"
body = "Regulus"
time = 2026-03-14T22:56:00Z
hs = "50 01.1"

[[sight]]
id = "s3"
body = "Kochab"
time = 2026-03-14T23:00:00Z
hs = "35 05.0"

[[fix]]
id = "f1"
time = 2026-03-14T23:00:00Z
sights = ["s1", "s2", "s3"]

[[log]]
time = 2026-03-14T22:20:00Z
text = "level"

[truth]
track = [["2026-03-14T22:00:00Z", 41.4, -28.3], ["2026-03-14T23:00:00Z", 40.1, -36.9]]
"""


def _at(minutes: float) -> datetime:
    return BEGIN + timedelta(minutes=minutes)


def _dr(kind: Any, minutes: float, of: str | None = None, **changes: Any) -> DrState:
    values: dict[str, Any] = {
        "kind": kind,
        "time": _at(minutes),
        "position": Position(41.5, -28.25 - minutes / 60.0),
        "track_deg": 257.12,
        "gs_kt": 402.4,
        "drift_deg": -4.88,
        "heading_deg": 262.0,
        "tas_kt": 430.0,
        "wind_from_deg": 310.0,
        "wind_kt": 45.0,
        "altitude_ft": 31000.0,
        "cov_nm2": COV_NM2,
        "sigma_nm": 2.55,
        "of": of,
    }
    return DrState(**{**values, **changes})


def _sight(id: str, minutes: float, **changes: Any) -> SightResult:
    values: dict[str, Any] = {
        "id": id,
        "body": "Capella",
        "time": _at(minutes),
        "watch_time": _at(minutes) + timedelta(seconds=3),
        "hs": 61.0 + 8.0 / 60.0,
        "corrections": (
            Correction("sextant", 0.3),
            Correction("Coriolis", 9.02, "402 kt, 41°N"),
            Correction("refraction", -0.2, "31 000 ft, −46 °C"),
        ),
        "ho": 61.1,
        "hc": 61.2,
        "zn": 292.1,
        "intercept_nm": -6.0,
        "gha": 312.1,
        "gha_aries": 201.2,
        "dec": 45.99,
        "lha": 276.0,
        "reduced_from": Position(41.2, -36.1),
        "assumed": False,
        "dr": Position(41.2, -36.1),
        "track_deg": 257.1,
        "body_motion_arcmin_per_min": -3.21,
        "observer_motion_arcmin_per_min": 6.1,
        "sigma_arcmin": 2.5,
        "fix": "f1",
        "used": True,
    }
    return SightResult(**{**values, **changes})


def _fix(id: str, minutes: float, **changes: Any) -> FixResult:
    values: dict[str, Any] = {
        "id": id,
        "kind": "celestial",
        "time": _at(minutes),
        "position": Position(41.2, -36.08),
        "cov_nm2": COV_NM2,
        "ellipse50": ellipse(COV_NM2, 0.5),
        "ellipse95": ellipse(COV_NM2, 0.95),
        "cep_nm": 2.9,
        "sights": ("s1", "s2", "s3"),
        "residuals_arcmin": {"s1": 0.1, "s2": -1.2, "s3": 0.0},
        "intercepts_nm": {"s1": -6.0, "s2": 1.0, "s3": 2.0},
        "redundancy": {"s1": 0.3, "s2": 0.3, "s3": 0.4},
        "chi2": 0.63,
        "dof": 1,
        "p_value": 0.43,
        "common_error_arcmin": None,
        "common_error_sigma_arcmin": None,
        "prior": False,
        "dr": Position(41.3, -36.2),
        "dr_cov_nm2": COV_NM2,
        "from_dr_nm": 8.24,
        "from_dr_deg": 136.2,
        "wind_from_deg": 300.2,
        "wind_kt": 39.8,
        "wind_since": BEGIN,
        "mpp_rule": None,
        "adopted": True,
        "trust": ("three lines agree",),
        "warnings": (),
    }
    return FixResult(**{**values, **changes})


@pytest.fixture(scope="session", autouse=True)
def application(qapp: QApplication) -> QApplication:
    """The one Qt application of the run, of the kind that the window's tests need, before a picture makes a lesser."""
    return qapp


@pytest.fixture
def make_dr() -> Callable[..., DrState]:
    """Makes a DR state: kind, minutes after 2200, id of the fix, and any field to change."""
    return _dr


@pytest.fixture
def make_sight() -> Callable[..., SightResult]:
    """Makes a reduced sight: id, minutes after 2200, and any field to change."""
    return _sight


@pytest.fixture
def make_fix() -> Callable[..., FixResult]:
    """Makes a fix: id, minutes after 2200, and any field to change."""
    return _fix


@pytest.fixture
def flight() -> Flight:
    """A document with a remark and a truth; only what the log takes from it matters."""
    return Flight(
        start=Start(time=BEGIN, position=Position(41.5, -28.25)),
        legs=(Leg(time=BEGIN, heading_deg=262.0, tas_kt=430.0, wind=Wind(from_deg=310.0, kt=45.0)),),
        title="Night crossing",
        log=(Remark(time=_at(10), text="level at flight level 310"),),
        truth=Truth(track=(TruthPoint(time=BEGIN, position=Position(41.4, -28.3), altitude_ft=31000.0),), seed=7),
    )


@pytest.fixture
def solution() -> Solution:
    """Three sights to a fix, one sight and a fix without a position after midnight, and the DR at a time asked for."""
    nowhere: dict[str, Any] = dict.fromkeys(
        ("position", "cov_nm2", "ellipse50", "ellipse95", "cep_nm", "p_value", "from_dr_nm", "from_dr_deg")
    ) | dict.fromkeys(("wind_from_deg", "wind_kt", "wind_since"))
    return Solution(
        title="Night crossing",
        now=_at(180),
        dr=(_dr("start", 0), _dr("leg", 0), _dr("fix", 60, "f1"), _dr("now", 180)),
        sights=(
            _sight("s1", 52),
            _sight("s2", 56.123, body="Rigil Kentaurus", used=False, warnings=("low: refraction is not reliable",)),
            _sight("s3", 60, ho=None, intercept_nm=None, assumed=True, n_readings=5, scatter_arcmin=1.23),
            _sight("s9", 140, fix="f2", hs=-0.5),
        ),
        fixes=(
            _fix("f1", 60),
            _fix("f2", 150, sights=("s9",), residuals_arcmin={"s9": 4.0}, intercepts_nm={"s9": 4.0}, redundancy={},
                 chi2=0.0, dof=-1, adopted=False, trust=("one shot: a line, no position",), **nowhere),
        ),
        warnings=("after the last published Earth rotation: its last value is held",),
    )  # fmt: skip


@pytest.fixture
def night() -> str:
    """The text of a flight file: one leg, three stars to one fix, a remark, a truth."""
    return NIGHT


@pytest.fixture
def night_file(tmp_path: Path) -> str:
    """The path of a sound flight file."""
    path = tmp_path / "night.flight.toml"
    path.write_text(NIGHT, encoding="utf-8")
    return str(path)


@pytest.fixture
def program(tmp_path: Path) -> Callable[..., subprocess.CompletedProcess[bytes]]:
    """Runs the program as a process of its own: its words, then changes to its environment by name (None: unset)."""

    def run(*words: str, stdin: Any = subprocess.DEVNULL, stdout: Any = subprocess.PIPE, **changes: str | None) -> Any:
        environment = {name: value for name, value in os.environ.items() if not name.startswith(("LC_", "PYTHON"))}
        environment |= {
            "PYTHONPATH": str(Path(nightleg.__file__).parents[1]),
            "XDG_CACHE_HOME": str(tmp_path / "cache"),
            "XDG_STATE_HOME": str(tmp_path / "state"),
            "HOME": str(tmp_path / "home"),
        }
        for name, value in changes.items():
            environment.pop(name, None)
            if value is not None:
                environment[name] = value
        command = [sys.executable, "-m", "nightleg", *words]
        return subprocess.run(
            command, env=environment, stdin=stdin, stdout=stdout, stderr=subprocess.PIPE, timeout=60, check=False
        )

    return run
