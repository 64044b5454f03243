"""The flight document: what a person wrote, as frozen values.

Every field carries its unit in its name or in its comment; angles and positions that a person may write as text are
held in decimal degrees, times as aware UTC datetimes (the log's GMT). Defaults are those of the file format. The type
of a field says what the file may hold there (`flight.quantities`); reader, checks and writer are made from these
declarations. Reading and checking live in `flight.read`, computing in `flight.solve`.
"""

from __future__ import annotations

from datetime import datetime
from typing import Literal

import msgspec

from nightleg.flight.quantities import (
    AltitudeFt,
    Arcmin,
    BankDeg,
    Body,
    ConeDeg,
    DirectionDeg,
    DistanceNm,
    DurationS,
    DValueFt,
    EyeM,
    HcDeg,
    HsDeg,
    IdText,
    LatitudeDeg,
    LimitDeg,
    LongitudeDeg,
    Mach,
    Minutes,
    OffsetDeg,
    PlaceText,
    ReadingSigmaArcmin,
    Reference,
    RelativeDeg,
    Seed,
    SigmaArcmin,
    SigmaDeg,
    SigmaNm,
    SigmaS,
    SignedNm,
    SpeedChange,
    SpeedKt,
    TemperatureC,
    ToleranceDeg,
    TurnRate,
    WatchErrorS,
)
from nightleg.units.positions import Position

Horizon = Literal["bubble", "natural"]
Limb = Literal["centre", "lower", "upper"]
Path = Literal["rhumb", "great_circle"]
LineKind = Literal["pressure", "bearing", "radial", "range", "latitude"]

FORMAT = "nightleg-flight-1"


class Record(msgspec.Struct, frozen=True, kw_only=True):
    """Base of every table of the file: frozen, comparable, hashable when its fields are."""


class Sextant(Record, frozen=True):
    """The instrument: its corrections, its random error, and what it can reach."""

    horizon: Horizon = "bubble"
    correction_arcmin: Arcmin = 0.0
    sigma_arcmin: ReadingSigmaArcmin = 2.5
    common_sigma_arcmin: SigmaArcmin = 0.0
    height_of_eye_m: EyeM = 0.0
    lowest_deg: LimitDeg = 10.0
    highest_deg: LimitDeg = 75.0
    table: tuple[tuple[float, float], ...] = ()  # (altitude in degrees, correction in arcmin), rising


class Watch(Record, frozen=True):
    """The watch: error at its last check (positive: fast) and rate (positive: gaining)."""

    error_s: WatchErrorS = 0.0
    check: datetime | None = None  # None: at the start of the flight
    rate_s_per_day: WatchErrorS = 0.0
    sigma_s: SigmaS = 0.0


class Start(Record, frozen=True):
    """Where the flight begins."""

    time: datetime
    position: Position
    sigma_nm: SigmaNm = 2.0


class WindUncertainty(Record, frozen=True):
    """How well the wind is known: 1σ of each component, constant between adopted fixes."""

    sigma_kt: SpeedKt = 12.0


class Wind(Record, frozen=True):
    """A wind, named by where it comes from (degrees true, or by the flight's grid; knots)."""

    from_deg: DirectionDeg
    kt: SpeedKt
    grid: bool = False


class WindOfFix(Record, frozen=True):
    """The wind found at a fix, written "fix:ID"."""

    fix: str


class Leg(Record, frozen=True):
    """What is held from `time` on. A key left out (None) is inherited from the leg before."""

    time: datetime
    heading_deg: DirectionDeg | None = None
    heading_magnetic_deg: DirectionDeg | None = None
    heading_compass_deg: DirectionDeg | None = None
    heading_grid_deg: DirectionDeg | None = None
    deviation_deg: OffsetDeg | None = None
    track_deg: DirectionDeg | None = None
    gs_kt: SpeedKt | None = None
    tas_kt: SpeedKt | None = None
    cas_kt: SpeedKt | None = None
    mach: Mach | None = None
    wind: Wind | WindOfFix | None = None
    altitude_ft: AltitudeFt | None = None
    temperature_c: TemperatureC | None = None
    steering: Path | None = None
    bank_deg: BankDeg | None = None  # of the turn onto this leg


class Grid(Record, frozen=True):
    """The chart whose grid directions are counted by: its cone, and the meridian that grid north is parallel to."""

    chart: Literal["polar", "lambert"] = "polar"
    cone_latitude_deg: ConeDeg | None = None  # of a Lambert chart: its one standard parallel
    first_parallel_deg: ConeDeg | None = None  # or the two
    second_parallel_deg: ConeDeg | None = None
    reference_deg: LongitudeDeg = 0.0  # east positive


class Waypoint(Record, frozen=True):
    """A point of the planned route, and how one gets to it."""

    name: str
    position: Position
    path: Path = "rhumb"
    due: datetime | None = None  # the time of arrival that is asked for, GMT


class Reading(Record, frozen=True):
    """One reading of a series: watch time and altitude."""

    time: datetime  # watch time
    hs: HsDeg  # degrees


class Sight(Record, frozen=True):
    """One observation as logged. `time` and `hs` are None where `readings` give them."""

    id: IdText
    body: Body  # the catalogue's spelling
    time: datetime | None = None  # watch time of the middle
    hs: HsDeg | None = None  # degrees
    readings: tuple[Reading, ...] = ()
    duration_s: DurationS = 120.0
    limb: Limb = "centre"
    turn_deg_per_min: TurnRate = 0.0
    speed_change_kt_per_min: SpeedChange = 0.0
    sigma_arcmin: ReadingSigmaArcmin | None = None
    horizon: Horizon | None = None
    correction_arcmin: Arcmin | None = None
    assumed: Position | None = None
    use: bool = True


class Fix(Record, frozen=True):
    """A fix wanted at `time` from the named sights and lines, or a position known by other means."""

    id: IdText
    time: datetime
    sights: tuple[str, ...] = ()
    kind: Literal["celestial", "known"] = "celestial"
    position: Position | None = None
    sigma_nm: SigmaNm | None = None
    solve_common_error: bool = False
    prior: bool = False
    adopt: bool = True


class Line(Record, frozen=True):
    """A line of position that is not an altitude."""

    id: IdText
    kind: LineKind
    time: datetime
    use: bool = True
    sigma_nm: SigmaNm | None = None
    sigma_deg: SigmaDeg | None = None
    from_: Reference | None = msgspec.field(default=None, name="from")
    d1_ft: DValueFt | None = None
    d2_ft: DValueFt | None = None
    station: Position | None = None
    bearing_deg: DirectionDeg | None = None
    relative_bearing_deg: RelativeDeg | None = None
    radial_deg: DirectionDeg | None = None
    reference: Literal["magnetic", "true"] | None = None
    station_variation_deg: OffsetDeg | None = None
    range_nm: DistanceNm | None = None
    slant: bool | None = None
    station_elevation_ft: AltitudeFt | None = None
    latitude: LatitudeDeg | None = None  # degrees


class HeadingCheck(Record, frozen=True):
    """A heading checked by the relative bearing of a body."""

    id: IdText
    body: Body
    time: datetime  # watch time
    relative_bearing_deg: RelativeDeg
    shown_deg: DirectionDeg
    shown: Literal["compass", "magnetic", "true", "grid"] = "compass"
    sigma_deg: SigmaDeg = 0.5  # of the error found
    reset: bool = False  # whether the instrument was set right after this check


class Drift(Record, frozen=True):
    """A drift read on one heading."""

    id: IdText
    time: datetime
    heading_deg: DirectionDeg
    drift_deg: OffsetDeg
    sigma_deg: SigmaDeg = 1.0


class Plotted(Record, frozen=True):
    """A person's own answer, which review grades and the solution never uses."""

    of: Reference
    by: str | None = None
    time: datetime | None = None
    entered: datetime | None = None
    position: Position | None = None
    ho: HcDeg | None = None  # degrees
    hc: HcDeg | None = None  # degrees
    zn_deg: DirectionDeg | None = None
    intercept_nm: SignedNm | None = None
    wind: Wind | None = None
    heading_deg: DirectionDeg | None = None
    eta: datetime | None = None


class Landfall(Record, frozen=True):
    """A run to one side of a destination and then down a body's line of position through it."""

    id: IdText
    body: Body
    destination: PlaceText  # name of a waypoint, or a position
    time: datetime  # expected there, GMT
    side: Literal["left", "right"]  # of the destination, seen on the way to it
    limb: Limb = "centre"
    aim_off_nm: DistanceNm | None = None  # None: as far as the DR's error asks for
    begin: datetime | None = None  # when the heading to the turn is taken up; None: at the DR of the moment


class NextSight(Record, frozen=True):
    """A sight that waits to be entered: a reading handed to the person at the table, and the fix it joins."""

    body: Body
    time: datetime  # watch time of the middle
    hs: HsDeg  # degrees
    fix: Reference | None = None
    text: str = ""


class Remark(Record, frozen=True):
    """A line of the log."""

    time: datetime
    text: str


class Grading(Record, frozen=True):
    """Limits of the training grades; defaults of 14 CFR part 63, appendix A."""

    fix_nm: DistanceNm = 10.0
    shot_arcmin: SigmaArcmin = 8.0
    line_minutes: Minutes = 8.0
    heading_deg: ToleranceDeg = 3.0
    eta_minutes: Minutes = 15.0


class TruthPoint(Record, frozen=True):
    """One point of the track really flown."""

    time: datetime
    position: Position
    altitude_ft: AltitudeFt | None = None


class Truth(Record, frozen=True):
    """What really happened: a recorded track, or the model that makes one."""

    track: tuple[TruthPoint, ...] = ()
    wind: Wind | None = None
    heading_error_deg: OffsetDeg | None = None
    seed: Seed | None = None


class Flight(Record, frozen=True):
    """The whole document. The names given to lists are those of their tables in the file."""

    start: Start
    legs: tuple[Leg, ...] = msgspec.field(name="leg")
    title: str = ""
    notes: str = ""
    sextant: Sextant = Sextant()
    watch: Watch = Watch()
    wind_uncertainty: WindUncertainty = WindUncertainty()
    grid: Grid | None = None
    waypoints: tuple[Waypoint, ...] = msgspec.field(default=(), name="waypoint")
    sights: tuple[Sight, ...] = msgspec.field(default=(), name="sight")
    fixes: tuple[Fix, ...] = msgspec.field(default=(), name="fix")
    lines: tuple[Line, ...] = msgspec.field(default=(), name="line")
    heading_checks: tuple[HeadingCheck, ...] = msgspec.field(default=(), name="heading_check")
    drifts: tuple[Drift, ...] = msgspec.field(default=(), name="drift")
    landfalls: tuple[Landfall, ...] = msgspec.field(default=(), name="landfall")
    plotted: tuple[Plotted, ...] = ()
    next_sight: NextSight | None = None
    log: tuple[Remark, ...] = ()
    grading: Grading = Grading()
    truth: Truth | None = None
