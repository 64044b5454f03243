"""What is picked, what is said of it, what is measured and read out."""

from __future__ import annotations

import dataclasses
import math

import pytest
from msgspec.structs import replace
from synthetic import crossing, moved

from nightleg.chart.export import sheet_of
from nightleg.chart.facts import facts
from nightleg.chart.follow import about, in_sight, suited
from nightleg.chart.layers.track import shown_ticks
from nightleg.chart.measure import measure
from nightleg.chart.pick import Entry, log_key, pick, position_of, runs_of, snapped
from nightleg.chart.pickground import pick_of, ways_at, wind_at
from nightleg.chart.readout import read_out
from nightleg.chart.registry import layers
from nightleg.chart.sheet import Sheet
from nightleg.chart.themes import THEMES
from nightleg.chart.trackfacts import between
from nightleg.chart.viewport import NO_MARGINS, Viewport
from nightleg.earth.projection import Mercator, choose
from nightleg.flight.model import WindOfFix
from nightleg.units.positions import Position, write_position

SCENE = crossing(fixes=2)


def view() -> Viewport:
    return sheet_of(SCENE, THEMES["paper"], (1200, 800), margins=NO_MARGINS).view


def test_symbols_come_before_lines_and_lines_before_ellipses() -> None:
    at, fix = view(), SCENE.current_fix
    assert fix is not None and fix.ellipse95 is not None
    x, y = at.point(fix.position)
    assert pick(SCENE, at, x + 3.0, y - 3.0) == Entry("fix", fix.id)  # where its lines cross, too
    line = next(line for line in SCENE.lines if line.current)
    far = next(p for p in line.advanced if at.frame.holds(*at.point(p)) and math.dist(at.point(p), (x, y)) > 150.0)
    assert pick(SCENE, at, *at.point(far)) == Entry("sight", line.id)
    assert pick(SCENE, at, -500.0, -500.0) is None
    tip = moved(fix.position, fix.ellipse95.azimuth_deg + 20.0, 0.6 * fix.ellipse95.semi_major_nm)
    assert pick(SCENE, at, *at.point(tip), reach_px=0.5) == Entry("fix", fix.id)  # inside, off symbol and lines


def test_where_entries_stand() -> None:
    assert SCENE.dr is not None and SCENE.route is not None
    assert position_of(SCENE, Entry("dr", "")) == SCENE.dr.position
    name, place = SCENE.route.waypoints[-1]
    assert position_of(SCENE, Entry("waypoint", name)) == place
    assert position_of(SCENE, Entry("fix", "none")) is None and position_of(SCENE, Entry("sight", "none")) is None
    x, y = view().point(place)
    assert snapped(SCENE, view(), x + 5.0, y) == place


def test_facts_of_each_kind() -> None:
    fix = SCENE.current_fix
    assert fix is not None and SCENE.route is not None and SCENE.dr is not None
    words = facts(SCENE, Entry("fix", fix.id))
    assert words[0].startswith(fix.text) and fix.detail in words and any("95 %" in line for line in words)
    line = next(line for line in SCENE.lines if line.current)
    words = facts(SCENE, Entry("sight", line.id))
    assert "GMT" in words[0] and any("intercept 5.0 NM toward" in line for line in words)
    assert facts(SCENE, Entry("dr", ""))[0] == f"{SCENE.dr.text} DR"
    name, _ = SCENE.route.waypoints[0]
    assert facts(SCENE, Entry("waypoint", name))[0] == name
    for kind in ("fix", "sight", "line", "waypoint"):
        assert facts(SCENE, Entry(kind, "gone")) == ()


def test_measuring_along_a_parallel_and_a_meridian() -> None:
    # Half way round the 60th parallel the great circle leads over the pole: by symmetry 000 there, and twice the way
    # from 60° N to the pole; the rhumb line keeps to 090 and is the parallel, π·N·cos 60° (WGS 84, N = 6394.2 km).
    found = measure(Position(60.0, -90.0), Position(60.0, 90.0))
    assert found.circle_deg == pytest.approx(0.0, abs=1e-6) and found.rhumb_deg == pytest.approx(90.0, abs=1e-6)
    assert found.rhumb_nm == pytest.approx(math.pi * 6394.209 * 0.5 / 1.852, rel=1e-5)
    assert found.circle_nm < 0.7 * found.rhumb_nm
    north = measure(Position(10.0, 20.0), Position(11.0, 20.0))
    assert north.rhumb_nm == pytest.approx(north.circle_nm, abs=1e-6) and north.rhumb_deg == 0.0
    pole = measure(Position(80.0, 0.0), Position(90.0, 0.0))
    assert "none" in pole.words[0] and "000.0°" in pole.words[1]
    assert measure(Position(1.0, 1.0), Position(1.0, 1.0)).circle_nm == 0.0


def test_the_read_out() -> None:
    assert read_out(None, Position(0.0, 0.0)) == ""
    # A minute of longitude on the equator is 1855.3 m (WGS 84, a = 6378.137 km): 60 of them are 60.1 NM.
    assert read_out(Position(0.0, 1.0), Position(0.0, 0.0)) == "00°00.0′N 001°00.0′E   090°  60.1 NM from the DR"
    assert read_out(Position(0.0, 1.0), None) == "00°00.0′N 001°00.0′E"
    assert read_out(Position(0.0, 1.0), Position(0.0, 0.0), "fix").endswith("60.1 NM from the fix")
    assert "from" not in read_out(Position(90.0, 0.0), Position(0.0, 0.0))


def test_following_and_changing_the_sheet() -> None:
    at = view()
    assert in_sight(at, at.centre) and not in_sight(at, moved(at.centre, 90.0, 4000.0))
    there = Position(20.0, -40.0)
    shifted = about(at, there)
    assert shifted.nm_per_px == at.nm_per_px and shifted.centre.lat == pytest.approx(20.0, abs=1e-9)
    assert suited(at) == at
    tropics = suited(about(at, Position(2.0, -30.0)))
    assert tropics.projection.kind == "mercator" and tropics.centre.lat == pytest.approx(2.0, abs=1e-6)
    north = about(Viewport(Mercator(), 0.0, 0.0, 1.0, 800, 600), Position(89.0, 12.0))  # beyond what Mercator shows
    assert suited(north).projection.kind == "polar"
    assert north.true_nm_per_px() == pytest.approx(1.0, rel=0.02)
    sheet = choose([50.0, 52.0], [-5.0, 5.0])
    assert suited(Viewport(sheet, 0.0, 0.0, 0.5, 800, 600)).projection == sheet  # it serves, so it stays


def drawn() -> Sheet:
    return sheet_of(SCENE, THEMES["paper"], (1200, 800), margins=NO_MARGINS)


def test_a_tick_of_the_track_tells_its_time_its_place_and_its_leg() -> None:
    sheet = drawn()
    x, y, _, tick, _ = next(shown for shown in shown_ticks(sheet) if pick(SCENE, sheet.view, *shown[:2]) is None)
    entry = pick_of(sheet, x + 2.0, y - 2.0)
    assert entry is not None and entry.kind == "tick" and position_of(SCENE, entry) == tick.position
    words = facts(SCENE, entry)
    assert words[0] == f"{tick.text} DR" and words[1] == write_position(tick.position)
    assert words[2] == "leg 1, 2220 on" and words[3] == "track 249°, ground speed 402 kt"
    assert log_key(SCENE, entry) == ("start", "start")


def test_the_track_tells_its_leg_and_is_marked_along_it() -> None:
    sheet = drawn()
    run = SCENE.runs[0]
    ends = between(run.points[3], run.points[4], 0.25)
    entry = pick_of(sheet, *sheet.view.point(ends))
    assert entry is not None and entry.kind == "track"
    assert entry.id == (run.times[3] + (run.times[4] - run.times[3]) / 4).isoformat()
    there = position_of(SCENE, entry)
    assert there is not None and math.dist(sheet.view.point(there), sheet.view.point(ends)) < 1.0  # px
    words = facts(SCENE, entry)
    assert words[0] == "DR track" and "leg 1, 2220 on" in words
    # Each of the two runs is 40 minutes at 402 kt; the third half a minute.
    assert words[-1] == f"{402.0 * 80.5 / 60.0:.0f} NM of it flown"
    assert len(runs_of(SCENE, sheet.view, entry)) == 3


def test_a_leg_of_the_route_tells_its_ends_course_and_distance() -> None:
    sheet, route = drawn(), SCENE.route
    assert route is not None
    middle = route.legs[0][len(route.legs[0]) // 2]
    entry = next(one for _, one in ways_at(sheet, *sheet.view.point(middle)) if one.kind == "route")
    assert entry.id == "0" and position_of(SCENE, entry) == entry.at
    first, second = facts(SCENE, entry)
    assert first == "planned route, start to JULIET"
    # JULIET was laid off 3° right of the track, 70 NM from the start.
    assert second.startswith("rhumb line, course 252") and second.endswith("70.0 NM")
    name, line = facts(SCENE, Entry("route", "1", middle))
    assert name == "planned route, JULIET to KILO" and line.startswith("great circle, course") and "at first" in line
    assert facts(SCENE, Entry("route", "7", middle)) == ()


def test_the_wind_tells_where_it_comes_from_and_who_says_so() -> None:
    sheet = drawn()
    block = sheet.found("wind")
    assert block is not None
    entry = wind_at(sheet, block.box.x, block.box.y)
    assert entry is not None and entry.kind == "wind" and wind_at(sheet, block.box.x + 500.0, block.box.y) is None
    assert facts(SCENE, entry) == ("wind 310/45", "from 310° at 45 kt", "entered with leg 1, 2220")
    assert log_key(SCENE, entry) == ("start", "start")
    assert SCENE.flight is not None
    found = replace(SCENE.flight, legs=(replace(SCENE.flight.legs[0], wind=WindOfFix("f1")),))
    scene = dataclasses.replace(SCENE, flight=found)
    assert facts(scene, entry)[-1] == "found at fix f1 of 2300" and log_key(scene, entry) == ("fix", "f1")


def test_land_under_a_click() -> None:
    # Flores of the Azores lies about 39.45° N 031.20° W (NGA Pub. 143, from memory, to a few minutes).
    near = crossing(start=Position(39.45, -30.6), fixes=0, minutes_after=15.0)
    sheet = sheet_of(near, THEMES["paper"], (1200, 800), margins=NO_MARGINS)
    x, y = sheet.view.point(Position(39.45, -31.20))
    entry = pick_of(sheet, x, y)
    assert entry is not None and entry.kind == "land"
    words = facts(near, entry)
    assert words[0] == "land" and words[1].startswith("39°2") and words[2].endswith("NM from the DR")
    assert pick_of(sheet, x, y + 200.0) is None
    hidden = Sheet(near, sheet.view, sheet.theme, layers(("land",)))
    assert pick_of(hidden, x, y) is None  # what is switched off is not meant
