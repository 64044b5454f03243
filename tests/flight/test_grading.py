"""Work plotted by hand, held against the solution and against the truth."""

from __future__ import annotations

import math

import pytest
from msgspec.structs import replace

from nightleg.air.wind import turn_from_to
from nightleg.earth.geodesic import direct
from nightleg.flight.grade import Grade, Part
from nightleg.flight.grading import grades
from nightleg.flight.model import Flight
from nightleg.flight.onward import onward_of_fix
from nightleg.flight.read import parse_flight
from nightleg.flight.solution import Solution
from nightleg.flight.solve import solve
from nightleg.flight.truth import truth_at
from nightleg.sight.reduction import altitude_azimuth, circle_point
from nightleg.units.positions import Position
from nightleg.units.times import read_instant

TEXT = """\
format = "nightleg-flight-1"

[start]
time = 2026-03-14T22:00:00Z
position = "41 30.0 N 028 15.0 W"

[[leg]]
time = 2026-03-14T22:00:00Z
heading_deg = 262.0
tas_kt = 430.0
wind = "310/45"
altitude_ft = 31000

[[waypoint]]
name = "KILO"
position = "39 00.0 N 045 00.0 W"

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

[[line]]
id = "l1"
kind = "latitude"
time = 2026-03-14T23:30:00Z
latitude = "39 30.0 N"

[[heading_check]]
id = "h1"
body = "Capella"
time = 2026-03-14T22:40:00Z
relative_bearing_deg = 30.0
shown_deg = 262.0
shown = "true"
"""
TRUTH = """
[truth]
track = [["2026-03-14T22:00:00Z", 41.4, -28.3], ["2026-03-14T23:10:00Z", 40.0, -37.9]]
"""
ROUNDING_NM = 2e-6  # a position is written to 1e-8 degrees here, about a millimetre
LAID_OFF_NM = 1e-6  # arc cosines near half a turn lose half the digits of a double


def plotted(*records: str, text: str = TEXT) -> tuple[Flight, Solution]:
    """The flight with those records of `[[plotted]]`, and its solution."""
    flight = parse_flight(text + "".join(f"\n[[plotted]]\n{record}\n" for record in records)).flight
    return flight, solve(flight)


def only(record: str, text: str = TEXT, reveal: bool = False) -> Grade:
    flight, solution = plotted(record, text=text)
    (grade,) = grades(flight, solution, flight.truth if reveal else None)
    return grade


def part(grade: Grade, name: str) -> Part:
    return next(part for part in grade.parts if part.name == name)


def written(place: Position) -> str:
    return f'position = "{place.lat:.8f} {place.lon:.8f}"'


def away(place: Position, bearing_deg: float, distance_nm: float) -> Position:
    lat, lon, _ = direct(*place, bearing_deg, distance_nm)
    return Position(float(lat), float(lon))


@pytest.fixture(scope="module")
def bare() -> Solution:
    return plotted()[1]


def fix_place(solution: Solution) -> Position:
    place = solution.fix("f1").position
    assert place is not None
    return place


def test_a_flight_without_such_work_has_no_grades() -> None:
    flight, solution = plotted()
    assert grades(flight, solution) == ()


@pytest.mark.parametrize(("distance_nm", "within"), [(9.99, True), (10.01, False)])
def test_a_fix_by_distance_bearing_and_time(bare: Solution, distance_nm: float, within: bool) -> None:
    answer = written(away(fix_place(bare), 123.0, distance_nm))
    grade = only(f'of = "f1"\nby = "Ada"\nentered = 2026-03-14T23:07:30Z\n{answer}')
    assert (grade.of, grade.by, grade.kind, grade.against) == ("f1", "Ada", "fix", "solution")
    assert grade.error_nm == pytest.approx(distance_nm, abs=ROUNDING_NM)
    assert grade.error_bearing_deg == pytest.approx(123.0, abs=1e-4)  # degrees: millimetres in 10 NM
    assert grade.minutes == 7.5
    assert grade.within is within


def test_limits_are_those_of_the_flight(bare: Solution) -> None:
    answer = 'of = "f1"\n' + written(away(fix_place(bare), 30.0, 6.0))
    assert only(answer).within is True
    assert only(answer, text=TEXT + "\n[grading]\nfix_nm = 5.0\n").within is False


def test_the_very_place_has_no_bearing(bare: Solution) -> None:
    flight, solution = plotted('of = "f1"\nposition = "40 00 N 037 00 W"')
    work = replace(flight.plotted[0], position=fix_place(bare))
    (grade,) = grades(replace(flight, plotted=(work,)), solution)
    assert (grade.error_nm, grade.error_bearing_deg, grade.within) == (0.0, None, True)


def test_a_fix_for_another_time_is_carried(bare: Solution) -> None:
    """An answer on the DR six minutes on from the fix, or six before it, is right."""
    for minutes, time in ((6.0, "2026-03-14T23:06:00Z"), (-6.0, "2026-03-14T22:54:00Z")):
        plot = bare.plot_at(bare.fix("f1").time) if minutes > 0 else bare.plot_of_fix["f1"]
        at_s = bare.plots[1].time_s
        lat, lon = plot.carry(*fix_place(bare), at_s, at_s + 60.0 * minutes)
        grade = only(f'of = "f1"\ntime = {time}\n' + written(Position(float(lat), float(lon))))
        assert grade.error_nm == pytest.approx(0.0, abs=ROUNDING_NM)
        assert grade.time == read_instant(time)


def test_a_fix_without_a_position_cannot_grade_one() -> None:
    text = TEXT.replace('["s1", "s2", "s3"]', '["s1"]')
    answer = 'of = "f1"\nposition = "40 00 N 037 00 W"\nentered = 2026-03-14T23:05:00Z'
    grade = only(answer, text)
    assert (grade.error_nm, grade.error_bearing_deg, grade.against, grade.within) == (None, None, "solution", None)
    assert grade.minutes == 5.0
    assert grade.warnings == ("the fix has no position to hold this one against",)
    revealed = only(answer, text + TRUTH, reveal=True)
    assert revealed.against == "truth" and revealed.error_nm is not None and revealed.warnings == ()


def test_wind_heading_and_eta_of_a_fix() -> None:
    flight, solution = plotted('of = "f1"\nwind = "300/40"\nheading_deg = 2.0\neta = 2026-03-15T00:10:00Z')
    (grade,) = grades(flight, solution)
    fix, ahead = solution.fix("f1"), onward_of_fix(flight, solution, solution.fix("f1"))
    assert fix.wind_from_deg is not None and fix.wind_kt is not None and ahead is not None and ahead.eta is not None
    angle = math.radians(fix.wind_from_deg - 300.0)  # the cosine rule, between the two vectors
    off_kt = math.sqrt(fix.wind_kt**2 + 40.0**2 - 2.0 * 40.0 * fix.wind_kt * math.cos(angle))
    assert part(grade, "wind").error == pytest.approx(off_kt, abs=1e-9)
    assert part(grade, "wind").within is None
    assert ahead.heading_deg is not None
    assert part(grade, "heading").error == pytest.approx(float(turn_from_to(ahead.heading_deg, 2.0)), abs=1e-9)
    late_min = (read_instant("2026-03-15T00:10:00Z") - ahead.eta).total_seconds() / 60.0
    assert part(grade, "ETA").error == pytest.approx(late_min, abs=1e-9)
    assert (part(grade, "heading").limit, part(grade, "ETA").limit) == (3.0, 15.0)
    assert grade.error_nm is None and grade.within is False


def test_heading_and_eta_need_a_waypoint() -> None:
    text = TEXT[: TEXT.index("[[waypoint]]")] + TEXT[TEXT.index("[[sight]]") :]
    grade = only('of = "f1"\nheading_deg = 2.0\neta = 2026-03-15T00:10:00Z', text)
    assert grade.parts == ()
    assert [warning[:22] for warning in grade.warnings] == ["there is no heading to", "there is no ETA at a w"]


def test_what_a_fix_cannot_have_is_named() -> None:
    grade = only('of = "f1"\nho = "61 05.0"\nhc = "61 13.0"\nzn_deg = 292\nintercept_nm = -8')
    assert grade.warnings == ("not graded for a fix: ho, hc, zn_deg, intercept_nm",)
    assert grade.within is None


def test_the_right_intercept_has_no_error(bare: Solution) -> None:
    sight = bare.sight("s1")
    assert sight.intercept_nm is not None and sight.ho is not None
    for answer in (
        f"intercept_nm = {sight.intercept_nm}\nzn_deg = {sight.zn}",
        f"intercept_nm = {sight.intercept_nm}",
        f"ho = {sight.ho}\nhc = {sight.hc}",
        f"ho = {sight.ho}",
    ):
        grade = only(f'of = "s1"\n{answer}')
        assert grade.error_nm == pytest.approx(0.0, abs=LAID_OFF_NM), answer
        assert grade.within is True


def test_an_intercept_laid_off_the_wrong_way(bare: Solution) -> None:
    """Away for toward: twice the intercept off, on the side away from the body; the same by a reciprocal azimuth."""
    sight = bare.sight("s1")
    assert sight.intercept_nm is not None and sight.intercept_nm > 0.0
    away_deg = (sight.zn + 180.0) % 360.0
    for answer in (
        f"intercept_nm = {-sight.intercept_nm}",
        f"intercept_nm = {sight.intercept_nm}\nzn_deg = {away_deg}",
    ):
        grade = only(f'of = "s1"\n{answer}')
        assert grade.error_nm == pytest.approx(2.0 * sight.intercept_nm, abs=LAID_OFF_NM)
        assert grade.error_bearing_deg == pytest.approx(away_deg, abs=1e-9)


def test_an_intercept_from_an_assumed_position(bare: Solution) -> None:
    """Laid off from anywhere, the right intercept gives the right line."""
    sight, place = bare.sight("s2"), Position(40.0, -36.0)
    hc, zn = altitude_azimuth(*place, sight.gha, sight.dec)
    assert sight.ho is not None
    intercept_nm = (sight.ho - float(hc)) * 60.0
    grade = only(f'of = "s2"\n{written(place)}\nintercept_nm = {intercept_nm}\nzn_deg = {zn}\nhc = {hc + 0.05}')
    assert grade.error_nm == pytest.approx(0.0, abs=LAID_OFF_NM)
    assert part(grade, "Hc").error == pytest.approx(3.0, abs=1e-6)  # arcmin; a file keeps some 15 digits
    assert part(grade, "Zn").error == pytest.approx(0.0, abs=1e-9)


def test_a_position_alone_is_a_point_of_the_line(bare: Solution) -> None:
    sight = bare.sight("s1")
    assert sight.ho is not None
    for shift_arcmin, side_deg in ((4.0, 0.0), (-4.0, 180.0)):
        lat, lon = circle_point(sight.gha, sight.dec, sight.ho + shift_arcmin / 60.0, 115.0)
        grade = only('of = "s1"\n' + written(Position(float(lat), float(lon))))
        assert grade.error_nm == pytest.approx(4.0, abs=ROUNDING_NM)
        _, zn = altitude_azimuth(lat, lon, sight.gha, sight.dec)
        assert grade.error_bearing_deg == pytest.approx((float(zn) + side_deg) % 360.0, abs=1e-6)


def test_a_point_of_a_line_moved_to_the_fix(bare: Solution) -> None:
    """The observed line, carried eight minutes by the DR: its points at the fix time are right."""
    sight, plot = bare.sight("s1"), bare.plot_of_fix["f1"]
    assert sight.ho is not None
    lat, lon = circle_point(sight.gha, sight.dec, sight.ho, 115.0)
    time_s = bare.plots[1].time_s
    lat, lon = plot.carry(lat, lon, time_s - 480.0, time_s)
    grade = only('of = "s1"\ntime = 2026-03-14T23:00:00Z\n' + written(Position(float(lat), float(lon))))
    assert grade.error_nm == pytest.approx(0.0, abs=ROUNDING_NM)


@pytest.mark.parametrize(("entered", "within"), [("23:00:00", True), ("23:00:01", False)])
def test_one_line_takes_eight_minutes(bare: Solution, entered: str, within: bool) -> None:
    """14 CFR part 63, appendix A: one line within eight minutes."""
    answer = f'of = "s1"\nintercept_nm = {bare.sight("s1").intercept_nm}\nentered = 2026-03-14T{entered}Z'
    grade = only(answer)
    assert part(grade, "working time").within is within and grade.within is within


def test_another_line(bare: Solution) -> None:
    """Ten minutes of latitude south of a latitude line is ten minutes of the meridian's arc there off, to the south."""
    grade = only('of = "l1"\nposition = "39 20 N 040 30 W"')
    meridian_nm = 10.0 * 0.99954  # at 39°25'; WGS 84: M = a(1 - e²)/(1 - e² sin² L)^1.5 = 6361.1 km, 1851.1 m a minute
    assert grade.error_nm == pytest.approx(meridian_nm, abs=0.01)
    assert grade.error_bearing_deg == pytest.approx(180.0)
    assert grade.kind == "line" and grade.within is (grade.error_nm is not None and grade.error_nm <= 10.0)


def test_a_heading_check(bare: Solution) -> None:
    check = bare.heading_checks[0]
    grade = only(f'of = "h1"\nheading_deg = {check.true_heading_deg + 3.5}\nzn_deg = {check.zn}\nhc = {check.hc}')
    assert grade.kind == "heading check" and grade.within is False
    assert part(grade, "heading").error == pytest.approx(3.5, abs=1e-9)
    assert part(grade, "Zn").error == pytest.approx(0.0, abs=1e-9)


def test_the_dr_at_the_time_of_a_fix_is_the_one_before_it(bare: Solution) -> None:
    grade = only('of = "dr"\ntime = 2026-03-14T23:00:00Z\n' + written(bare.fix("f1").dr))
    assert grade.error_nm == pytest.approx(0.0, abs=ROUNDING_NM)
    assert grade.kind == "dr"


def test_the_dr_ahead(bare: Solution) -> None:
    """Worked before its time: a DR ahead has no working time, and that is no fault."""
    lat, lon = bare.plots[1].position(bare.plots[1].time_s + 600.0)
    answer = f"time = 2026-03-14T23:10:00Z\nentered = 2026-03-14T23:04:00Z\n{written(Position(float(lat), float(lon)))}"
    grade = only(f'of = "dr"\n{answer}\nwind = "310/45"')
    assert grade.error_nm == pytest.approx(0.0, abs=ROUNDING_NM)
    assert (grade.minutes, grade.warnings) == (None, ())
    assert part(grade, "wind").error == pytest.approx(0.0, abs=1e-9)


def test_a_dr_without_a_time_or_before_the_start() -> None:
    answer = 'of = "dr"\nposition = "41 12 N 036 05 W"\n'
    assert only(answer).warnings == ("for no time: give time, the GMT that the answer is for",)
    early = only(answer + "time = 2026-03-14T21:00:00Z")
    assert early.warnings == ("for a time before the start of the flight",) and early.error_nm is None
    late = only(answer + "entered = 2026-03-14T22:50:00Z")
    assert late.time == read_instant("2026-03-14T22:50:00Z") and late.error_nm is not None and late.minutes is None


def test_entered_before_its_time_is_told(bare: Solution) -> None:
    grade = only(f'of = "f1"\nentered = 2026-03-14T22:59:00Z\n{written(fix_place(bare))}')
    assert grade.minutes is None and grade.warnings == ("entered before the time that it is for",)


def test_a_dr_that_ends_at_a_pole() -> None:
    text = TEXT[: TEXT.index("[[waypoint]]")].replace("41 30.0 N", "84 00.0 N").replace("262.0", "5.0")
    grade = only('of = "dr"\ntime = 2026-03-15T03:00:00Z\nposition = "89 N 036 05 W"', text)
    assert grade.warnings == ("the DR ends before that time, over a pole",) and grade.error_nm is None


def test_several_people_keep_the_order_of_the_file(bare: Solution) -> None:
    place = fix_place(bare)
    records = [f'of = "f1"\nby = "{who}"\n' + written(away(place, 90.0, nm)) for who, nm in (("Bo", 9), ("Ada", 3))]
    flight, solution = plotted(*records, 'of = "s1"\nby = "Bo"\nho = 60', 'of = "f1"\nwind = "300/40"')
    found = grades(flight, solution)
    assert [(grade.of, grade.by) for grade in found] == [("f1", "Bo"), ("f1", "Ada"), ("s1", "Bo"), ("f1", None)]
    assert [round(grade.error_nm or 0.0) for grade in found[:2]] == [9, 3]


def test_the_truth_only_where_it_is_revealed_and_reaches(bare: Solution) -> None:
    for time, against in (("23:00", "truth"), ("23:10", "truth"), ("23:11", "solution")):
        answer = f'of = "dr"\ntime = 2026-03-14T{time}:00Z\nposition = "40 00 N 037 00 W"'
        assert only(answer, TEXT + TRUTH, reveal=True).against == against
        assert only(answer, TEXT + TRUTH).against == "solution"
        assert only(answer, TEXT + TRUTH) == only(answer)


def test_a_truth_by_a_model_has_no_track() -> None:
    text = TEXT + '\n[truth]\nwind = "300/40"\nseed = 7\n'
    assert only('of = "f1"\nposition = "40 00 N 037 00 W"', text, reveal=True).against == "solution"


def test_the_truth_at_a_time() -> None:
    truth = plotted(text=TEXT + TRUTH)[0].truth
    assert truth is not None and truth_at(None, truth.track[0].time) is None
    begin = truth.track[0]
    assert truth_at(truth, begin.time) == begin.position
    assert truth_at(truth, read_instant("2026-03-14T21:59:59Z")) is None
    place = truth_at(truth, read_instant("2026-03-14T22:35:00Z"))
    assert place is not None
    near, far = ((place.lat - end.position.lat, place.lon - end.position.lon) for end in truth.track)
    assert near[0] < 0.0 < far[0] and near[1] < 0.0 < far[1]


def test_lines_against_the_truth(bare: Solution) -> None:
    """A line through the true place is right against the truth, however far it lies from the solution's."""
    truth = plotted(text=TEXT + TRUTH)[0].truth
    sight = bare.sight("s1")
    place = truth_at(truth, sight.time)
    assert place is not None and sight.ho is not None
    hc, _ = altitude_azimuth(*place, sight.gha, sight.dec)
    true_nm = abs(float(hc) - sight.ho) * 60.0
    for answer in (written(place), f"{written(place)}\nintercept_nm = 0.0", f"ho = {float(hc)}"):
        grade = only(f'of = "s1"\n{answer}', TEXT + TRUTH, reveal=True)
        assert grade.against == "truth" and grade.error_nm == pytest.approx(0.0, abs=ROUNDING_NM)
        hidden = only(f'of = "s1"\n{answer}', TEXT + TRUTH)
        assert hidden.error_nm == pytest.approx(true_nm, abs=ROUNDING_NM) and true_nm > 1.0


def test_a_latitude_line_against_the_truth() -> None:
    text = (TEXT + TRUTH).replace("23:10:00Z", "23:40:00Z")
    true = truth_at(plotted(text=text)[0].truth, read_instant("2026-03-14T23:30:00Z"))
    assert true is not None
    grade = only(f'of = "l1"\nposition = "{true.lat:.8f} -44.0"', text, reveal=True)
    assert grade.against == "truth" and grade.error_nm == pytest.approx(0.0, abs=ROUNDING_NM)


def test_a_refused_reading_is_no_line_but_the_truth_is() -> None:
    text = TEXT.replace('hs = "60 24.7"', 'hs = "-1 30.0"')
    grade = only('of = "s1"\nintercept_nm = 3', text)
    assert grade.error_nm is None and grade.warnings == (
        "the reading is refused, so there is no line to hold this one against",
    )
    assert only('of = "s1"\nintercept_nm = 3', text + TRUTH, reveal=True).error_nm is not None


def test_a_flight_by_the_grid_near_the_pole() -> None:
    """A person's winds and bearings are true, also where the legs are counted by the grid."""
    text = TEXT[: TEXT.index("[[waypoint]]")].replace("41 30.0 N", "88 30.0 N")
    text = text.replace("heading_deg", "heading_grid_deg").replace('"310/45"', '"grid 310/45"')
    text += 'steering = "great_circle"\n'
    solution = solve(parse_flight(text).flight)
    lat, lon = solution.plots[0].position(solution.plots[0].time_s + 600.0)
    answer = written(away(Position(float(lat), float(lon)), 200.0, 100.0))  # over the pole and on
    true_deg = (310.0 - 28.25) % 360.0  # true = grid + longitude on the polar grid of Greenwich, east positive
    grade = only(f'of = "dr"\ntime = 2026-03-14T22:10:00Z\n{answer}\n', text)
    assert grade.error_nm == pytest.approx(100.0, abs=ROUNDING_NM)
    assert grade.error_bearing_deg == pytest.approx(200.0, abs=1e-4)
    wind = part(only(f'of = "dr"\ntime = 2026-03-14T22:00:00Z\nwind = "{true_deg:.2f}/45"', text), "wind")
    assert wind.error == pytest.approx(0.0, abs=0.01)  # kt: the wind is written to 0.01°


def test_across_the_180th_meridian_and_in_the_south() -> None:
    text = TEXT[: TEXT.index("[[waypoint]]")].replace('"41 30.0 N 028 15.0 W"', '"60 00.0 S 179 58.0 W"')
    solution = solve(parse_flight(text).flight)
    lat, lon = solution.plots[0].position(solution.plots[0].time_s + 600.0)
    assert float(lon) > 0.0  # the other side
    answer = 'of = "dr"\ntime = 2026-03-14T22:10:00Z\nposition = "60 10.0 S 179 59.0 W"'
    grade = only(answer, text)
    east_nm = 60.0 * ((-179.0 - 59.0 / 60.0 - float(lon)) % 360.0) * math.cos(math.radians(60.1))
    assert grade.error_nm == pytest.approx(math.hypot(east_nm, 60.0 * (float(lat) + 60.0 + 10.0 / 60.0)), rel=0.01)
    assert grade.error_bearing_deg is not None and 60.0 < grade.error_bearing_deg < 120.0
