"""The other lines of a flight: from what was logged to a line of position at its time.

One builder for each kind stands in `BUILDERS`; a new kind is a model class in `fix.lines`, a builder and a row here.
"""

from __future__ import annotations

from collections.abc import Callable

from msgspec import Struct

from nightleg.air.reckoning import Reckoning
from nightleg.earth.geodesic import inverse
from nightleg.earth.magnetic import variation_deg
from nightleg.earth.rhumb import rhumb_inverse
from nightleg.fix.lines.base import PositionLine, foot
from nightleg.fix.lines.bearings import BearingLine, RadialLine
from nightleg.fix.lines.latitude import LatitudeLine
from nightleg.fix.lines.pressure import PressureLine, displacement_right_nm
from nightleg.fix.lines.ranges import RangeLine, ground_range_nm
from nightleg.flight.model import Line
from nightleg.flight.solution import LineResult
from nightleg.units.positions import Position
from nightleg.units.times import gmt_s

# 1σ where none is given (common practice, no source)
PRESSURE_SIGMA_NM = 7.0
RANGE_SIGMA_NM = 1.0
LATITUDE_SIGMA_NM = 3.0
DIRECTION_SIGMA_DEG = 2.0

NEAREST_STATION_NM = 2.0  # nearer, a direction to or from it says nothing
_LEAST_SIGMA_NM = 1e-3


class LineAt(Struct, frozen=True):
    """A line of the file as a line of position at its time."""

    line: Line
    time_s: float
    shape: PositionLine

    @property
    def id(self) -> str:
        return self.line.id

    @property
    def sigma_nm(self) -> float:
        """1σ, with a floor so that a weight stays finite."""
        return max(self.shape.sigma_nm, _LEAST_SIGMA_NM)


class Known(Struct, frozen=True):
    """A place known at a time: where a pressure line was begun."""

    time_s: float
    position: Position


def line_at(line: Line, plot: Reckoning, known: dict[str, Known]) -> LineAt:
    """A checked line in the plot of its fix; `known` gives the start ("start") and the fixes that were found by id.

    Raises ValueError, in words, where there is no such line.
    """
    time_s = gmt_s(line.time)
    return LineAt(line, time_s, BUILDERS[line.kind](line, plot, time_s, known))


def _latitude(line: Line, plot: Reckoning, time_s: float, known: dict[str, Known]) -> PositionLine:
    return LatitudeLine(_given(line.latitude), _or(line.sigma_nm, LATITUDE_SIGMA_NM))


def _range(line: Line, plot: Reckoning, time_s: float, known: dict[str, Known]) -> PositionLine:
    station, range_nm = _station(line), _given(line.range_nm)
    if line.slant is not False:  # a range measured by radio is the slant one
        height_ft = plot.leg(time_s).altitude_ft - _or(line.station_elevation_ft, 0.0)
        range_nm = ground_range_nm(range_nm, height_ft)
    return RangeLine(*station, range_nm, _or(line.sigma_nm, RANGE_SIGMA_NM))


def _radial(line: Line, plot: Reckoning, time_s: float, known: dict[str, Known]) -> PositionLine:
    station, radial_deg = _station(line), _given(line.radial_deg)
    if line.reference != "true":
        variation = line.station_variation_deg
        if variation is None:
            variation = float(variation_deg(*station, 0.0, line.time))
        radial_deg = (radial_deg + variation) % 360.0
    return RadialLine(*station, radial_deg, _or(line.sigma_deg, DIRECTION_SIGMA_DEG), _distance(station, plot, time_s))


def _bearing(line: Line, plot: Reckoning, time_s: float, known: dict[str, Known]) -> PositionLine:
    station = _station(line)
    bearing_deg = line.bearing_deg
    if bearing_deg is None:
        bearing_deg = (plot.heading(time_s) + _given(line.relative_bearing_deg)) % 360.0
    return BearingLine(
        *station, bearing_deg, _or(line.sigma_deg, DIRECTION_SIGMA_DEG), _distance(station, plot, time_s)
    )


def _pressure(line: Line, plot: Reckoning, time_s: float, known: dict[str, Known]) -> PositionLine:
    name = line.from_ or "start"
    if name not in known:
        raise ValueError(f"fix {name}, where the first reading was taken, has no position")
    first = known[name]
    hours = (time_s - first.time_s) / 3600.0
    if hours <= 0.0:
        raise ValueError(f"the second reading is not later than {name}, where the first was taken")
    air = plot.with_wind(0.0, 0.0).carry(*first.position, first.time_s, time_s)
    air_lat, air_lon = float(air[0]), float(air[1])
    path_nm, path_deg = rhumb_inverse(*first.position, air_lat, air_lon)
    middle = (first.position.lat + air_lat) / 2.0
    right_nm = displacement_right_nm(_given(line.d1_ft), _given(line.d2_ft), float(path_nm) / hours, middle)
    return PressureLine(air_lat, air_lon, float(path_deg), right_nm, _or(line.sigma_nm, PRESSURE_SIGMA_NM))


def line_result(at: LineAt, plot: Reckoning, fix_id: str | None) -> LineResult:
    """A line as the solution lists it, about the DR of its time."""
    lat, lon = (float(x) for x in plot.position(at.time_s))
    return LineResult(
        id=at.id,
        kind=at.line.kind,
        time=at.line.time,
        position=Position(*foot(at.shape, lat, lon)),
        normal_deg=float(at.shape.normal_deg(lat, lon)) % 360.0,
        offset_nm=float(at.shape.offset_nm(lat, lon)),
        sigma_nm=at.shape.sigma_nm,
        dr=Position(lat, lon),
        fix=fix_id,
        used=at.line.use,
        shape=at.shape,
    )


def refused_line(line: Line, fix_id: str | None, why: str) -> LineResult:
    """A line that gives no position, and why."""
    return LineResult(line.id, line.kind, line.time, None, None, None, None, None, fix_id, False, warnings=(why,))


BUILDERS: dict[str, Callable[[Line, Reckoning, float, dict[str, Known]], PositionLine]] = {
    "bearing": _bearing,
    "latitude": _latitude,
    "pressure": _pressure,
    "radial": _radial,
    "range": _range,
}


def _station(line: Line) -> Position:
    if line.station is None:
        raise ValueError(f"line {line.id} has no station")
    return line.station


def _distance(station: Position, plot: Reckoning, time_s: float) -> float:
    """Distance of the station from the DR. Raises ValueError where it is too near for a direction."""
    lat, lon = plot.position(time_s)
    distance_nm = float(inverse(lat, lon, *station)[0])
    if distance_nm < NEAREST_STATION_NM:
        raise ValueError(f"the station is {distance_nm:.1f} NM from the DR: so near, a direction gives no line")
    return distance_nm


def _given(value: float | None) -> float:
    if value is None:
        raise ValueError("the line lacks a value that its kind needs")
    return value


def _or(value: float | None, default: float) -> float:
    return default if value is None else value
