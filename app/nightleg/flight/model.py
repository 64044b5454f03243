"""The flight document: what a person wrote, as frozen values.

Every field carries its unit in its name or in its comment; angles and positions that a person may write as text are
held in decimal degrees, times as aware UTC datetimes (the log's GMT). Defaults are those of the file format. Reading
and checking live in `flight.read`, computing in `flight.solve`.
"""

from __future__ import annotations

from datetime import datetime
from typing import Literal

import msgspec

from nightleg.units.positions import Position

Horizon = Literal["bubble", "natural"]
Limb = Literal["centre", "lower", "upper"]
Path = Literal["rhumb", "great_circle"]
LineKind = Literal["pressure", "bearing", "radial", "range", "latitude"]

FORMAT = "nightleg-flight-1"


class Record(msgspec.Struct, frozen=True, kw_only=True):
    """Base of every table of the file: frozen, comparable, hashable when its fields are."""


class Sextant(Record):
    """The instrument: its corrections, its random error, and what it can reach."""

    horizon: Horizon = "bubble"
    correction_arcmin: float = 0.0
    sigma_arcmin: float = 2.5
    common_sigma_arcmin: float = 0.0
    height_of_eye_m: float = 0.0
    lowest_deg: float = 10.0
    highest_deg: float = 75.0
    table: tuple[tuple[float, float], ...] = ()  # (altitude in degrees, correction in arcmin), rising


class Watch(Record):
    """The watch: error at its last check (positive: fast) and rate (positive: gaining)."""

    error_s: float = 0.0
    check: datetime | None = None  # None: at the start of the flight
    rate_s_per_day: float = 0.0
    sigma_s: float = 0.0


class Start(Record):
    """Where the flight begins."""

    time: datetime
    position: Position
    sigma_nm: float = 2.0


class WindUncertainty(Record):
    """How well the wind is known: 1σ of each component, constant between adopted fixes."""

    sigma_kt: float = 12.0


class Wind(Record):
    """A wind, named by where it comes from (degrees true, knots)."""

    from_deg: float
    kt: float


class WindOfFix(Record):
    """The wind found at a fix, written "fix:ID"."""

    fix: str


class Leg(Record):
    """What is held from `time` on. A key left out (None) is inherited from the leg before."""

    time: datetime
    heading_deg: float | None = None
    heading_magnetic_deg: float | None = None
    heading_compass_deg: float | None = None
    deviation_deg: float | None = None
    track_deg: float | None = None
    gs_kt: float | None = None
    tas_kt: float | None = None
    cas_kt: float | None = None
    mach: float | None = None
    wind: Wind | WindOfFix | None = None
    altitude_ft: float | None = None
    temperature_c: float | None = None
    steering: Path | None = None


class Waypoint(Record):
    """A point of the planned route, and how one gets to it."""

    name: str
    position: Position
    path: Path = "rhumb"


class Reading(Record):
    """One reading of a series: watch time and altitude."""

    time: datetime  # watch time
    hs: float  # degrees


class Sight(Record):
    """One observation as logged. `time` and `hs` are None where `readings` give them."""

    id: str
    body: str  # the catalogue's spelling
    time: datetime | None = None  # watch time of the middle
    hs: float | None = None  # degrees
    readings: tuple[Reading, ...] = ()
    duration_s: float = 120.0
    limb: Limb = "centre"
    turn_deg_per_min: float = 0.0
    speed_change_kt_per_min: float = 0.0
    sigma_arcmin: float | None = None
    horizon: Horizon | None = None
    correction_arcmin: float | None = None
    assumed: Position | None = None
    use: bool = True


class Fix(Record):
    """A fix wanted at `time` from the named sights and lines, or a position known by other means."""

    id: str
    time: datetime
    sights: tuple[str, ...] = ()
    kind: Literal["celestial", "known"] = "celestial"
    position: Position | None = None
    sigma_nm: float | None = None
    solve_common_error: bool = False
    prior: bool = False
    adopt: bool = True


class Line(Record):
    """A line of position that is not an altitude."""

    id: str
    kind: LineKind
    time: datetime
    use: bool = True
    sigma_nm: float | None = None
    sigma_deg: float | None = None
    from_: str | None = msgspec.field(default=None, name="from")
    d1_ft: float | None = None
    d2_ft: float | None = None
    station: Position | None = None
    bearing_deg: float | None = None
    relative_bearing_deg: float | None = None
    radial_deg: float | None = None
    reference: Literal["magnetic", "true"] | None = None
    station_variation_deg: float | None = None
    range_nm: float | None = None
    slant: bool | None = None
    station_elevation_ft: float | None = None
    latitude: float | None = None  # degrees


class HeadingCheck(Record):
    """A heading checked by the relative bearing of a body."""

    id: str
    body: str
    time: datetime  # watch time
    relative_bearing_deg: float
    shown_deg: float
    shown: Literal["compass", "magnetic", "true", "grid"] = "compass"


class Drift(Record):
    """A drift read on one heading."""

    id: str
    time: datetime
    heading_deg: float
    drift_deg: float
    sigma_deg: float = 1.0


class Plotted(Record):
    """A person's own answer, which review grades and the solution never uses."""

    of: str
    by: str | None = None
    time: datetime | None = None
    entered: datetime | None = None
    position: Position | None = None
    ho: float | None = None  # degrees
    hc: float | None = None  # degrees
    zn_deg: float | None = None
    intercept_nm: float | None = None
    wind: Wind | None = None
    heading_deg: float | None = None
    eta: datetime | None = None


class Remark(Record):
    """A line of the log."""

    time: datetime
    text: str


class Grading(Record):
    """Limits of the training grades; defaults of 14 CFR part 63, appendix A."""

    fix_nm: float = 10.0
    shot_arcmin: float = 8.0
    line_minutes: float = 8.0
    heading_deg: float = 3.0
    eta_minutes: float = 15.0


class TruthPoint(Record):
    """One point of the track really flown."""

    time: datetime
    position: Position
    altitude_ft: float | None = None


class Truth(Record):
    """What really happened: a recorded track, or the model that makes one."""

    track: tuple[TruthPoint, ...] = ()
    wind: Wind | None = None
    heading_error_deg: float | None = None
    seed: int | None = None


class Flight(Record):
    """The whole document."""

    start: Start
    legs: tuple[Leg, ...]
    title: str = ""
    notes: str = ""
    sextant: Sextant = Sextant()
    watch: Watch = Watch()
    wind_uncertainty: WindUncertainty = WindUncertainty()
    waypoints: tuple[Waypoint, ...] = ()
    sights: tuple[Sight, ...] = ()
    fixes: tuple[Fix, ...] = ()
    lines: tuple[Line, ...] = ()
    heading_checks: tuple[HeadingCheck, ...] = ()
    drifts: tuple[Drift, ...] = ()
    plotted: tuple[Plotted, ...] = ()
    log: tuple[Remark, ...] = ()
    grading: Grading = Grading()
    truth: Truth | None = None
