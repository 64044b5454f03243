"""The working of the dead reckoning can be worked again from what it shows: formula, inputs, result."""

from __future__ import annotations

import math
import re

import pytest

from nightleg.air.speeds import tas_from_cas, tas_from_mach
from nightleg.earth.magnetic import variation_deg
from nightleg.flight.read import parse_flight
from nightleg.flight.solution import Solution
from nightleg.flight.solve import solve
from nightleg.flight.working import explain
from nightleg.flight.working_step import Step, Working
from nightleg.units.angles import read_angle
from nightleg.units.positions import read_latitude, read_longitude
from nightleg.units.times import read_instant

START = """\
format = "nightleg-flight-1"
[start]
time = 2026-03-14T22:00:00Z
position = "{place}"
[[leg]]
time = 2026-03-14T22:00:00Z
wind = "310/45"
altitude_ft = 31000
{leg}
"""
NORTH, SOUTH = "41 30.0 N 028 15.0 W", "52 10.0 S 179 30.0 E"
FLOWN = "heading_deg = 262\ntas_kt = 430"


def worked(leg: str = FLOWN, at: str = "23:00:00", place: str = NORTH) -> tuple[Working, Solution]:
    flight = parse_flight(START.format(place=place, leg=leg)).flight
    when = read_instant(f"2026-03-14T{at}Z")
    solution = solve(flight, when)
    return explain(flight, solution, "dr"), solution


def named(working: Working, name: str) -> Step:
    return next(step for step in working.steps if step.name == name)


def figures(step: Step) -> dict[str, float]:
    """The inputs that are numbers with a unit, by name."""
    found = {}
    for name, value in step.inputs:
        figure = re.match(r"[+−-]?[0-9.]+", value)
        if figure is not None:
            found[name] = float(figure[0].replace("−", "-"))
    return found


def value(step: Step) -> float:
    return figures(Step("", "", inputs=(("value", step.value),)))["value"]


def test_the_steps_in_the_order_of_the_work() -> None:
    working, _ = worked()
    assert [step.name for step in working.steps] == [
        "from start", "true heading", "TAS", "wind", "track", "ground speed", "drift", "run 2200 to 2300",
        "latitude at 2300", "longitude at 2300", "position", "air position", "1σ of each axis",
    ]  # fmt: skip
    assert all(step.formula or step.source for step in working.steps)


@pytest.mark.parametrize("place", [NORTH, SOUTH])
@pytest.mark.parametrize("heading", ["262", "2", "90"])
def test_the_triangle_can_be_worked_again(heading: str, place: str) -> None:
    """By the components that are shown, to the digits that are shown."""
    working, solution = worked(f"heading_deg = {heading}\ntas_kt = 430", place=place)
    state = solution.dr[-1]
    track, speed, drift = (named(working, name) for name in ("track", "ground speed", "drift"))
    given = figures(track)
    from_deg, kt = (float(part) for part in dict(track.inputs)["wind"].split("/"))
    north = given["TAS"] * math.cos(math.radians(given["true heading"])) - kt * math.cos(math.radians(from_deg))
    east = given["TAS"] * math.sin(math.radians(given["true heading"])) - kt * math.sin(math.radians(from_deg))
    assert north == pytest.approx(given["north"], abs=0.051) and east == pytest.approx(given["east"], abs=0.051)  # kt
    assert math.hypot(given["north"], given["east"]) == pytest.approx(value(speed), abs=0.6)
    assert state.track_deg is not None
    found = math.degrees(math.atan2(given["east"], given["north"])) % 360.0
    assert found == pytest.approx(state.track_deg, abs=0.02)  # 0.05 kt across 430
    turned = figures(drift)["track"] - figures(drift)["true heading"]
    assert abs((turned + 180.0) % 360.0 - 180.0) == pytest.approx(value(drift), abs=0.11)


@pytest.mark.parametrize("place", [NORTH, SOUTH])
@pytest.mark.parametrize("track_deg", [0.5, 37.0, 90.0, 134.0, 181.0, 270.2, 333.0])
@pytest.mark.parametrize("at", ["22:10:00", "23:30:00"])
def test_latitude_and_longitude_can_be_worked_again(track_deg: float, at: str, place: str) -> None:
    """By the rule that is shown: 0.1′ for the digits of the inputs, 0.3′ where tan TC multiplies those of a track."""
    working, solution = worked(f"track_deg = {track_deg}\ngs_kt = 430", at, place)
    here = solution.dr[-1].position
    clock = at[:5].replace(":", "")
    latitude, longitude = named(working, f"latitude at {clock}"), named(working, f"longitude at {clock}")
    given, by = dict(latitude.inputs), figures(latitude)
    track = math.radians(by["track"])
    found = read_latitude(given["from latitude"]) * 60.0
    found += by["distance"] * math.cos(track) / by["1′ of the meridian"]
    assert found == pytest.approx(here.lat * 60.0, abs=0.1)
    assert latitude.source == "rhumb line on WGS 84; sailings as in NGA Pub. 9"
    by, given = figures(longitude), dict(longitude.inputs)
    if "M₁" in by:
        assert longitude.formula.startswith("from longitude + (M₂ − M₁)·tan TC")
        turned = (by["M₂"] - by["M₁"]) * math.tan(track)
    else:
        assert "length of 1′ of the parallel" in longitude.formula
        turned = by["distance"] * math.sin(track) / by["1′ of the parallel"]
    off = read_longitude(given["from longitude"]) + turned / 60.0 - here.lon
    assert abs((off + 180.0) % 360.0 - 180.0) * 60.0 < 0.3


def test_a_long_run_goes_by_meridional_parts() -> None:
    """Meridional parts by the series of Pub. 9's table 6 (in ln), here with WGS 84's eccentricity."""
    working, _ = worked("track_deg = 37\ngs_kt = 430", "23:50:00")
    longitude = named(working, "longitude at 2350")
    first = read_latitude(dict(named(working, "latitude at 2350").inputs)["from latitude"])
    e2 = 0.00669437999014
    s = math.sin(math.radians(first))
    parts = math.log(math.tan(math.radians(45.0 + first / 2.0))) - e2 * s - e2**2 / 3.0 * s**3 - e2**3 / 5.0 * s**5
    assert figures(longitude)["M₁"] == pytest.approx(parts * 10800.0 / math.pi, abs=0.006)


def test_a_run_across_the_180th_meridian() -> None:
    working, solution = worked("track_deg = 80\ngs_kt = 430", "22:30:00", SOUTH)
    assert solution.dr[-1].position.lon < 0.0
    assert dict(named(working, "longitude at 2230").inputs)["from longitude"] == "179°30.0′E"


def test_a_great_circle() -> None:
    """Its triangle is that of where the leg begins; latitude and longitude are those of the geodesic."""
    working, solution = worked(f'{FLOWN}\nsteering = "great_circle"')
    state = solution.dr[-1]
    track, speed = named(working, "track"), named(working, "ground speed")
    given = figures(track)
    assert given["true heading"] == 262.0
    assert math.hypot(given["north"], given["east"]) == pytest.approx(value(speed), abs=0.6)
    begin = math.degrees(math.atan2(given["east"], given["north"])) % 360.0
    assert state.track_deg is not None and abs(begin - state.track_deg) > 3.0
    assert f"{begin:05.1f}° there" in track.formula
    assert "262.0° where the leg begins" in named(working, "true heading").formula
    latitude, longitude = named(working, "latitude at 2300"), named(working, "longitude at 2300")
    assert "Karney" in latitude.source and "Karney" in longitude.source
    by = figures(latitude)
    first = math.radians(read_angle("41 30.0"))
    far, course = math.radians(by["distance"] / 60.0), math.radians(by["track"])
    sphere = math.sin(first) * math.cos(far) + math.cos(first) * math.sin(far) * math.cos(course)
    # a sphere of 60 NM a degree against WGS 84: up to 0.5 % of the run, 402 NM, of which a fifth is northing
    assert math.degrees(math.asin(sphere)) * 60.0 == pytest.approx(read_latitude(latitude.value) * 60.0, abs=1.5)


def test_a_heading_by_compass_and_by_variation() -> None:
    when = read_instant("2026-03-14T22:00:00Z")
    variation = float(variation_deg(41.5, -28.25, 31000.0, when))
    side = "W" if variation < 0.0 else "E"
    compass = named(worked("heading_compass_deg = 270\ndeviation_deg = -1.5\ntas_kt = 430")[0], "true heading")
    assert compass.value == f"{270.0 - 1.5 + variation:05.1f}°"
    assert dict(compass.inputs) == {
        "compass heading logged": "270.0°", "deviation": "1.5° W", "variation": f"{abs(variation):.1f}° {side}",
    }  # fmt: skip
    assert compass.source == "IGRF-14"
    magnetic = named(worked("heading_magnetic_deg = 270\ntas_kt = 430")[0], "true heading")
    assert dict(magnetic.inputs)["variation"] == f"{abs(variation):.1f}° {side}"


def test_a_deviation_left_from_a_compass_heading_is_none_of_a_magnetic_one() -> None:
    later = "[[leg]]\ntime = 2026-03-14T22:30:00Z\nheading_magnetic_deg = 270"
    working, _ = worked(f"heading_compass_deg = 270\ndeviation_deg = -4\ntas_kt = 430\n{later}")
    step = named(working, "true heading")
    shown = read_angle(dict(step.inputs)["variation"][:-3]) * (-1.0 if step.inputs[1][1].endswith("W") else 1.0)
    assert value(step) == pytest.approx(270.0 + shown, abs=0.11)


def test_a_heading_by_the_grid_and_by_a_track() -> None:
    grid = named(worked("heading_grid_deg = 290\ntas_kt = 430")[0], "true heading")
    assert grid.value == f"{290.0 - 28.25 + 1e-9:05.1f}°"  # polar grid of Greenwich: true = grid + longitude
    assert dict(grid.inputs)["convergence"] in ("28.2° W", "28.3° W")
    working, _ = worked("track_deg = 257\ngs_kt = 400")
    assert "by the wind triangle" in named(working, "true heading").formula
    assert named(working, "TAS").inputs == (("ground speed logged", "400 kt"),)
    assert named(working, "track").value == "257.0°"


def test_airspeeds_can_be_worked_again() -> None:
    """By the formulae shown, which are those of the compressible subsonic pitot tube and ISO 2533's speed of sound."""
    mach = named(worked("heading_deg = 262\nmach = 0.76")[0], "TAS")
    by = figures(mach)
    tas = by["Mach"] * 38.968 * math.sqrt(273.15 + by["temperature"])
    assert tas == pytest.approx(value(mach), abs=0.6) and tas == pytest.approx(tas_from_mach(0.76, 31000.0), abs=0.1)
    assert dict(mach.inputs)["temperature"].endswith("°C, standard")
    cas = named(worked("heading_deg = 262\ncas_kt = 280\ntemperature_c = -40")[0], "TAS")
    by = figures(cas)
    impact = 1013.25 * ((1.0 + 0.2 * (by["CAS"] / 661.48) ** 2) ** 3.5 - 1.0)
    assert impact == pytest.approx(
        by["pressure"] * ((1.0 + 0.2 * by["Mach"] ** 2) ** 3.5 - 1.0), rel=5e-4
    )  # of 0.1 hPa
    tas = by["Mach"] * 38.968 * math.sqrt(273.15 + by["temperature"])
    assert tas == pytest.approx(tas_from_cas(280.0, 31000.0, -40.0), abs=0.1)
    assert by["temperature"] == -40.0


def test_the_wind_says_whose_it_is() -> None:
    known = '[[fix]]\nid = "k1"\ntime = 2026-03-14T22:30:00Z\nkind = "known"\nposition = "41 0 N 032 30 W"\n'
    later = '[[leg]]\ntime = 2026-03-14T22:40:00Z\nwind = "fix:k1"\n'
    found = named(worked(f"{FLOWN}\n{later}{known}")[0], "wind")
    assert found.formula == "found at fix k1"
    at_once = known.replace("22:30", "22:00")  # no time has passed, so there is no wind
    unfound = named(worked(f"{FLOWN}\n{later}{at_once}", "22:50:00")[0], "wind")
    assert unfound.formula == "fix k1 has found none by then: the wind before is held on" and unfound.value == "310/45"
    assert named(worked(f"{FLOWN}")[0], "wind").formula.startswith("as logged")


def test_several_runs_say_what_each_held_and_their_sum() -> None:
    later = "[[leg]]\ntime = 2026-03-14T22:30:00Z\nheading_deg = 190\n"
    working, _ = worked(f"{FLOWN}\n{later}")
    first, second = named(working, "run 2200 to 2230"), named(working, "run 2230 to 2300")
    assert dict(first.inputs)["true heading"] == "262.0°" and "true heading" not in dict(second.inputs)
    assert named(working, "time flown").value == "60.0 min"
    whole = value(named(working, "distance flown"))
    assert whole == pytest.approx(value(first) + value(second), abs=0.16)  # three values to 0.05 NM
    for step in (first, second):
        by = figures(step)
        assert by["ground speed"] * by["time flown"] / 60.0 == pytest.approx(value(step), abs=0.1)


def test_a_turn_that_is_being_flown() -> None:
    later = "[[leg]]\ntime = 2026-03-14T22:59:30Z\nheading_deg = 190\nbank_deg = 25\n"
    working, solution = worked(f"{FLOWN}\n{later}")
    assert named(working, "true heading").formula.startswith("on the way to the heading of the leg")
    assert named(working, "true heading").value == f"{solution.dr[-1].heading_deg:05.1f}°"
    assert any(step.name.startswith("turn 2259:30") for step in working.steps)


def test_no_motion_over_the_ground() -> None:
    working, _ = worked("heading_deg = 310\ntas_kt = 45")
    assert named(working, "run 2200 to 2300").value == "none"
    assert not any(step.name.startswith(("latitude", "longitude", "track")) for step in working.steps)


def test_at_the_start_nothing_is_flown() -> None:
    working, _ = worked(at="22:00:00")
    assert not any(step.name.startswith(("run", "latitude")) for step in working.steps)
    assert named(working, "position").value == "41°30.0′N 028°15.0′W"
