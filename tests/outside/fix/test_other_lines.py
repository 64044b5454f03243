"""Lines of position that are not altitudes, against handbooks, geographiclib and geometry."""

from __future__ import annotations

import math

import numpy as np
import pytest
from geographiclib.geodesic import Geodesic

from nightleg.earth.local import between, offset
from nightleg.fix.lines.base import PositionLine, foot
from nightleg.fix.lines.bearings import BearingLine, RadialLine
from nightleg.fix.lines.latitude import LatitudeLine
from nightleg.fix.lines.pressure import Z_CONSTANT_NM, PressureLine, displacement_right_nm
from nightleg.fix.lines.ranges import RangeLine, ground_range_nm

STATION = (47.0, -52.0)
NEAR = (46.2, -54.1)


def geodesic(a: tuple[float, float], b: tuple[float, float]) -> tuple[float, float, float]:
    """Distance NM, azimuth at a and at b (direction of travel), by geographiclib (Karney 2013)."""
    line = Geodesic.WGS84.Inverse(*a, *b)
    return line["s12"] / 1852.0, line["azi1"] % 360.0, line["azi2"] % 360.0


def lines() -> list[PositionLine]:
    return [
        LatitudeLine(46.5, 2.0),
        RangeLine(*STATION, 87.0, 2.0),
        RadialLine(*STATION, 250.0, 2.0, 100.0),
        BearingLine(*STATION, 65.0, 2.0, 100.0),
        PressureLine(46.0, -54.0, 262.0, 12.0, 7.0),
    ]


@pytest.mark.parametrize("line", lines(), ids=lambda line: type(line).__name__)
def test_every_point_of_a_line_lies_on_it(line: PositionLine) -> None:
    lat, lon = line.points(*NEAR, 60.0, 41)
    assert np.max(np.abs(line.offset_nm(lat, lon))) < 0.005


@pytest.mark.parametrize("line", lines(), ids=lambda line: type(line).__name__)
def test_a_step_along_the_normal_shortens_the_offset(line: PositionLine) -> None:
    """The sign that every line shares: positive toward the normal; near the DR's distance mile for mile."""
    normal = math.radians(float(line.normal_deg(*NEAR)))
    there = offset(*NEAR, math.cos(normal), math.sin(normal))
    change = float(line.offset_nm(*NEAR)) - float(line.offset_nm(*there))
    assert change == pytest.approx(1.0, abs=0.06)
    across = offset(*NEAR, -math.sin(normal), math.cos(normal))
    assert float(line.offset_nm(*NEAR)) - float(line.offset_nm(*across)) == pytest.approx(0.0, abs=0.05)


@pytest.mark.parametrize("line", lines(), ids=lambda line: type(line).__name__)
def test_the_foot_is_on_the_line(line: PositionLine) -> None:
    assert float(line.offset_nm(*foot(line, *NEAR))) == pytest.approx(0.0, abs=1e-5)


def test_range_by_geographiclib() -> None:
    lat, lon = RangeLine(*STATION, 87.0, 2.0).points(*NEAR, 60.0, 9)
    for place in zip(lat, lon, strict=True):
        assert geodesic(place, STATION)[0] == pytest.approx(87.0, abs=1e-6)


def test_radial_leaves_the_station_and_bearing_is_taken_at_the_aircraft() -> None:
    lat, lon = RadialLine(*STATION, 250.0, 2.0, 100.0).points(*NEAR, 60.0, 9)
    for place in list(zip(lat, lon, strict=True))[1:]:
        assert geodesic(STATION, place)[1] == pytest.approx(250.0, abs=1e-6)
    lat, lon = BearingLine(*STATION, 65.0, 2.0, 100.0).points(*NEAR, 60.0, 9)
    for place in zip(lat, lon, strict=True):
        assert geodesic(place, STATION)[1] == pytest.approx(65.0, abs=1e-4)


def test_the_two_part_by_the_convergency() -> None:
    """Convergency is the change of longitude times the sine of the middle latitude (common practice, no source)."""
    place = Geodesic.WGS84.Direct(*STATION, 250.0, 300.0 * 1852.0)
    end = (place["lat2"], place["lon2"])
    _, at_aircraft, _ = geodesic(end, STATION)
    turned = at_aircraft - 70.0  # 250 less 180
    expected = abs(end[1] - STATION[1]) * math.sin(math.radians((end[0] + STATION[0]) / 2.0))
    assert abs(turned) == pytest.approx(expected, abs=0.05)


def test_angles_become_miles_by_the_distance() -> None:
    """One degree at 60 NM is one mile and 1/21 (the one-in-sixty rule; 57.3 exactly)."""
    assert RadialLine(*STATION, 250.0, 1.0, 57.2958).sigma_nm == pytest.approx(1.0, abs=1e-4)


def test_slant_range() -> None:
    """At 36 000 ft (5.92 NM) over a station at sea level a slant range of 10 NM is 8.06 NM on the ground."""
    assert ground_range_nm(10.0, 36000.0) == pytest.approx(8.06, abs=0.01)
    assert ground_range_nm(10.0, 0.0) == 10.0
    with pytest.raises(ValueError, match="cannot be shorter"):
        ground_range_nm(5.0, 36000.0)


@pytest.mark.parametrize(("latitude", "nm"), [(45.0, -22.8), (-45.0, 22.8)])
def test_pressure_displacement(latitude: float, nm: float) -> None:
    """Handbooks' formula Z = 21.47·(D₂ - D₁)/(ETAS·sin L) for a rise of 300 ft at 400 kt; right of track positive."""
    assert displacement_right_nm(0.0, 300.0, 400.0, latitude) == pytest.approx(nm, abs=0.05)
    assert abs(nm) == pytest.approx(21.47 * 300.0 / 400.0 / math.sin(math.radians(45.0)), abs=0.05)


def test_pressure_constant_from_the_geostrophic_wind() -> None:
    """Geostrophic wind g/f·slope, integrated across the path with scipy: the constant of the line."""
    from scipy.integrate import quad

    latitude, tas_ms, rise_m, path_m = 50.0, 230.0, 100.0, 600e3
    f = 2.0 * 7.292115e-5 * math.sin(math.radians(latitude))
    # height rising along the path means wind from the right: in the north it blows with low pressure on its left
    drift_m, _ = quad(lambda x: -9.80665 / f * (rise_m / path_m) / tas_ms, 0.0, path_m)
    found = displacement_right_nm(0.0, rise_m / 0.3048, tas_ms / (1852.0 / 3600.0), latitude)
    assert found == pytest.approx(drift_m / 1852.0, rel=1e-9)
    assert pytest.approx(21.47, abs=0.05) == Z_CONSTANT_NM


def test_no_pressure_line_near_the_equator() -> None:
    with pytest.raises(ValueError, match="equator"):
        displacement_right_nm(0.0, 300.0, 400.0, 19.0)


def test_pressure_line_runs_along_the_path() -> None:
    line = PressureLine(46.0, -54.0, 90.0, 10.0, 7.0)
    lat, lon = line.points(46.0, -54.0, 50.0, 3)
    for place in zip(lat, lon, strict=True):
        north, _ = between(46.0, -54.0, *place)
        assert float(north) == pytest.approx(-10.0, abs=0.4)  # right of an eastward path is south
