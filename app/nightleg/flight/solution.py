"""The solution: everything computed from a flight, frozen.

Degrees for angles, minutes of arc (arcmin) for corrections and residuals, nautical miles (nm), knots (kt). Times are
aware UTC datetimes. North and east, toward the body, and right of track are positive. Covariances are NM², in the
order north, east.
"""

from __future__ import annotations

from datetime import datetime
from typing import Literal

from msgspec import Struct, field

from nightleg.air.drift import DriftWind
from nightleg.air.reckoning import Reckoning, last_plot
from nightleg.fix.ellipse import Ellipse
from nightleg.fix.lines.base import PositionLine
from nightleg.units.positions import Position
from nightleg.units.times import gmt_s

Matrix = tuple[tuple[float, float], tuple[float, float]]


class Problem(Struct, frozen=True):
    """Something in the document that keeps a part of it from being solved: where, and in words what would be right."""

    place: str  # as in the file: "sight 3 (s3), hs"
    message: str


class DrState(Struct, frozen=True):
    """The dead reckoning at one instant."""

    kind: Literal["start", "leg", "fix", "now"]
    time: datetime
    position: Position
    track_deg: float | None  # None at ground speed 0
    gs_kt: float
    drift_deg: float | None  # right positive; None at ground speed 0
    heading_deg: float  # true
    tas_kt: float
    wind_from_deg: float
    wind_kt: float
    altitude_ft: float
    cov_nm2: Matrix
    sigma_nm: float  # 1σ per axis (rms)
    of: str | None = None  # id of the fix, for kind "fix"


class Correction(Struct, frozen=True):
    """One line of the worked solution from reading to observed altitude."""

    name: str
    arcmin: float  # added to what stands above it
    detail: str = ""  # what it rests on, in words: "31 000 ft, -46 °C"


class SightResult(Struct, frozen=True):
    """One reduced sight. `ho` and `intercept_nm` are None when the reading cannot be corrected (see the warnings)."""

    id: str
    body: str
    time: datetime  # GMT of the middle
    watch_time: datetime
    hs: float
    corrections: tuple[Correction, ...]
    ho: float | None
    hc: float
    zn: float
    intercept_nm: float | None  # toward positive
    gha: float
    gha_aries: float
    dec: float
    lha: float
    reduced_from: Position  # the DR, or the assumed position
    assumed: bool
    dr: Position  # the DR at `time`
    track_deg: float | None
    body_motion_arcmin_per_min: float
    observer_motion_arcmin_per_min: float
    sigma_arcmin: float
    fix: str | None  # the earliest fix it belongs to
    used: bool
    scatter_arcmin: float | None = None  # 1σ of a series about its own motion, None for a single reading
    n_readings: int = 1
    gs_kt: float = 0.0
    altitude_ft: float = 0.0  # pressure altitude
    temperature_c: float = 15.0  # of the air outside
    warnings: tuple[str, ...] = ()


class HeadingResult(Struct, frozen=True):
    """A heading checked by a body. `error_deg` is what the instrument showed less what it should have shown."""

    id: str
    body: str
    time: datetime  # GMT
    zn: float
    hc: float
    true_heading_deg: float
    should_show_deg: float
    error_deg: float
    shown: str
    position: Position  # the DR
    warnings: tuple[str, ...] = ()


class WindByDrift(Struct, frozen=True):
    """Drifts read near each other in time, and the wind that they give (None, and why, where they do not)."""

    ids: tuple[str, ...]
    time: datetime  # of the last
    wind: DriftWind | None
    why_not: str = ""


class LineResult(Struct, frozen=True):
    """A line of position that is not an altitude. Where it is refused, `position` is None and the warnings say why."""

    id: str
    kind: str
    time: datetime
    position: Position | None  # the point of the line nearest to the DR
    normal_deg: float | None  # the direction in which a positive offset lies
    offset_nm: float | None  # from the DR to the line
    sigma_nm: float | None
    dr: Position | None
    fix: str | None  # the earliest fix it belongs to
    used: bool
    shape: PositionLine | None = None  # the line itself, for those who draw it
    warnings: tuple[str, ...] = ()


class LineOfPosition(Struct, frozen=True):
    """A sight's line on the chart: as observed, and moved by the DR to the time of its fix.

    Each is a run of points of the exact circle of equal altitude about the foot of the perpendicular from the position
    the sight was reduced from.
    """

    id: str
    fix: str | None
    label: str  # body
    time: datetime
    observed: tuple[Position, ...]
    advanced: tuple[Position, ...]  # equal to `observed` where there is no fix or no interval
    stub: tuple[Position, ...]  # azimuth stub: from the reduced-from position to the foot on the line
    advanced_to: datetime | None
    used: bool
    kind: str = "sight"  # or that of another line


class FixResult(Struct, frozen=True):
    """One fix. `position` is None when the lines do not give one."""

    id: str
    kind: Literal["celestial", "known"]
    time: datetime
    position: Position | None
    cov_nm2: Matrix | None
    ellipse50: Ellipse | None
    ellipse95: Ellipse | None
    cep_nm: float | None
    sights: tuple[str, ...]  # ids really used
    residuals_arcmin: dict[str, float]  # Ho - Hc at the fix; against the DR where there is no fix
    intercepts_nm: dict[str, float]  # Ho - Hc at the DR carried to each shot
    redundancy: dict[str, float]
    chi2: float
    dof: int
    p_value: float | None
    common_error_arcmin: float | None
    common_error_sigma_arcmin: float | None
    prior: bool
    dr: Position  # the DR at the time of the fix, from the last adopted fix before it
    dr_cov_nm2: Matrix
    from_dr_nm: float | None
    from_dr_deg: float | None
    wind_from_deg: float | None  # wind found since `wind_since`
    wind_kt: float | None
    wind_since: datetime | None
    mpp_rule: Position | None  # the handbooks' most probable position for one line
    adopted: bool
    trust: tuple[str, ...]  # in plain words, most important first
    warnings: tuple[str, ...] = ()
    wind_cov_kt2: Matrix | None = None  # of the wind found, north and east
    alternatives: tuple[Position, ...] = ()  # other places on the globe that fit the same shots


class TrackPoint(Struct, frozen=True):
    """A point of the DR track as plotted."""

    time: datetime
    position: Position


class TrackRun(Struct, frozen=True):
    """An unbroken run of the DR track: from the start or an adopted fix to the next adopted fix or the end."""

    points: tuple[TrackPoint, ...]
    ticks: tuple[TrackPoint, ...]  # positions at whole multiples of the tick interval, for labels


class Solution(Struct, frozen=True):
    """What a flight comes to."""

    title: str
    now: datetime
    dr: tuple[DrState, ...]  # start, each leg, each adopted fix (after it), now last if it was asked for
    sights: tuple[SightResult, ...]
    fixes: tuple[FixResult, ...]
    lines: tuple[LineResult, ...] = ()
    heading_checks: tuple[HeadingResult, ...] = ()
    drift_winds: tuple[WindByDrift, ...] = ()
    warnings: tuple[str, ...] = ()
    problems: tuple[Problem, ...] = ()
    # the DR plots all this rests on, one from the start and one from each adopted fix, for those who draw or carry on
    plots: tuple[Reckoning, ...] = ()
    plot_of_fix: dict[str, Reckoning] = field(default_factory=dict)  # the plot each fix was worked from

    def plot_at(self, when: datetime) -> Reckoning:
        """The DR plot in force at an instant: the last begun by then, or the first."""
        return last_plot(self.plots, gmt_s(when))

    def fix_behind(self, when: datetime) -> FixResult | None:
        """The fix that the DR at an instant sets out from; None where it sets out from the start."""
        behind = [fix for fix in self.fixes if fix.adopted and fix.position is not None and fix.time <= when]
        return max(behind, key=lambda fix: fix.time, default=None)

    def sight(self, id: str) -> SightResult:
        """The reduced sight of that id. Raises KeyError."""
        for sight in self.sights:
            if sight.id == id:
                return sight
        raise KeyError(id)

    def line(self, id: str) -> LineResult:
        """The other line of that id. Raises KeyError."""
        for line in self.lines:
            if line.id == id:
                return line
        raise KeyError(id)

    def fix(self, id: str) -> FixResult:
        """The fix of that id. Raises KeyError."""
        for fix in self.fixes:
            if fix.id == id:
                return fix
        raise KeyError(id)
