"""Other lines of a fix bear witness, are suspected and are put right, from the text of a flight file up."""

from __future__ import annotations

import time
import tomllib

import pytest
from geographiclib.geodesic import Geodesic

from nightleg.earth.local import offset
from nightleg.flight.adopting import adopting_edits, adoption, with_adoption
from nightleg.flight.document import Document
from nightleg.flight.linemistakes import line_mistakes
from nightleg.flight.linework import Known, line_at
from nightleg.flight.mistakes import Change
from nightleg.flight.model import Flight
from nightleg.flight.parse import flight_of
from nightleg.flight.solve import solve
from nightleg.flight.suspects import Suspect, Verdict, asks, suspects
from nightleg.sight.reduction import altitude_azimuth
from nightleg.units.angles import write_angle
from nightleg.units.positions import Position
from nightleg.units.times import gmt_s

HEAD = """\
format = "nightleg-flight-1"

[start]
time = 2026-03-14T22:00:00Z
position = "41 30.0 N 028 15.0 W"

[[leg]]
time = 2026-03-14T22:00:00Z
heading_deg = 262
tas_kt = 430
altitude_ft = 31000
wind = "310/45"
"""
SIGHT = """
[[sight]]
id = "{id}"
body = "{body}"
time = 2026-03-14T22:{minute:02d}:00Z
hs = "{hs}"   # as read
"""
STATION = Position(40.0, -30.0)
AWAY = 'station = "40 00.0 N 030 00.0 W"'
MIDDLE = 30


def fix_text(*ids: str) -> str:
    return f'\n[[fix]]\nid = "f1"\ntime = 2026-03-14T22:30:00Z\nsights = {list(ids)}   # all\n'.replace("'", '"')


def line_text(id: str, kind: str, *keys: str, minute: int = MIDDLE) -> str:
    head = f'\n[[line]]\nid = "{id}"\nkind = "{kind}"\ntime = 2026-03-14T22:{minute:02d}:00Z\n'
    return head + "".join(f"{key}   # kept\n" for key in keys)


def place() -> tuple[float, float]:
    """Where the aircraft is at the fix: some miles beside its DR."""
    plot = solve(flight_of(HEAD)).plots[0]
    lat, lon = offset(*plot.position(plot.time_s + MIDDLE * 60.0), 3.0, -2.0)
    return float(lat), float(lon)


def seen() -> tuple[float, float, float]:
    """Distance (NM) and bearing of the station, and the radial that the aircraft is on, by geographiclib."""
    line = Geodesic.WGS84.Inverse(*place(), *STATION)
    return line["s12"] / 1852.0, line["azi1"] % 360.0, (line["azi2"] + 180.0) % 360.0


def stars(*named: str) -> str:
    """Readings of bodies at the time of the fix that agree with the place where the aircraft is."""
    lat, lon = place()
    text = HEAD
    for k, body in enumerate(named):
        text += SIGHT.format(id=f"s{k + 1}", body=body, minute=MIDDLE, hs="40 00.0")
    for k, body in enumerate(named):
        solution = solve(flight_of(text))
        sight = solution.sight(f"s{k + 1}")
        assert sight.ho is not None and sight.intercept_nm is not None
        there, _ = altitude_azimuth(lat, lon, sight.gha, sight.dec)
        parallax = sight.hc - float(altitude_azimuth(*sight.dr, sight.gha, sight.dec)[0])
        hs = write_angle(40.0 + float(there) + parallax - sight.ho)
        text = text.replace(f'body = "{body}"\ntime = 2026-03-14T22:{MIDDLE:02d}:00Z\nhs = "40 00.0"',
                            f'body = "{body}"\ntime = 2026-03-14T22:{MIDDLE:02d}:00Z\nhs = "{hs}"')  # fmt: skip
    return text


@pytest.fixture(scope="module")
def two_stars() -> str:
    return stars("Capella", "Procyon")


def verdict(flight: Flight) -> Verdict:
    return suspects(flight, solve(flight), "f1")


def numbers() -> dict[str, str]:
    distance, bearing, radial = seen()
    heading = 262.0
    return {
        "range": f"range_nm = {distance:.1f}\nslant = false",
        "bearing": f"bearing_deg = {bearing:.1f}",
        "relative": f"relative_bearing_deg = {(bearing - heading) % 360.0:.1f}",
        "radial": f'radial_deg = {radial:.1f}\nreference = "true"',
        "latitude": f'latitude = "{write_angle(place()[0])} N"',
    }


def test_a_blundered_star_among_two_and_a_range_is_named(two_stars: str) -> None:
    """A degree too much in one star of two: range and DR find it, and adopting that restores the file."""
    text = two_stars + line_text("d", "range", AWAY, *numbers()["range"].split("\n")) + fix_text("s1", "s2", "d")
    right = flight_of(text)
    assert verdict(right).chance_log_odds > 2.0 and not verdict(right).telling
    hs = right.sights[0].hs
    assert hs is not None
    wrong = Document(right, text).with_value(("sight", "s1"), "hs", hs + 1.0)
    solution = solve(wrong.flight)
    assert asks(solution.fix("f1"))
    said = suspects(wrong.flight, solution, "f1")
    assert (said.suspects[0].id, said.suspects[0].explanation) == ("s1", "read one degree too high") and said.telling
    edits = adopting_edits(wrong.flight, adoption(wrong.flight, solution, "f1", said.suspects[0]))
    assert wrong.with_edits(*edits).flight == right


SIDE = "relative bearing counted to the wrong side"
BLUNDERS = {
    "range too long": ("range", "range_nm", lambda v: v + 10.0, "read 10 NM too long"),
    "range too short": ("range", "range_nm", lambda v: v - 10.0, "read 10 NM too short"),
    "range, hundreds": ("range", "range_nm", lambda v: v + 100.0, "read 100 NM too long"),
    "bearing reversed": ("bearing", "bearing_deg", lambda v: (v + 180.0) % 360.0, "written as its reciprocal"),
    "bearing, tens": ("bearing", "bearing_deg", lambda v: v + 10.0, "read ten degrees too high"),
    "wrong side": ("relative", "relative_bearing_deg", lambda v: 360.0 - v, SIDE),
    "radial reversed": ("radial", "radial_deg", lambda v: (v + 180.0) % 360.0, "written as its reciprocal"),
    "radial, tens": ("radial", "radial_deg", lambda v: v - 10.0, "read ten degrees too low"),
    "N for S": ("latitude", "latitude", lambda v: -v, "written S for N"),
    "latitude, a degree": ("latitude", "latitude", lambda v: v + 1.0, "read one degree too far north"),
    "no reason": ("latitude", "latitude", lambda v: v + 0.37, "wrong for a reason unknown"),
}  # fmt: skip


@pytest.mark.parametrize("name", BLUNDERS)
def test_a_line_that_is_wrong_is_named_and_put_right(two_stars: str, name: str) -> None:
    of, key, change, words = BLUNDERS[name]
    kind = "bearing" if of == "relative" else of
    keys = ([] if of == "latitude" else [AWAY]) + numbers()[of].split("\n")
    text = two_stars + line_text("x", kind, *keys) + fix_text("s1", "s2", "x")
    right = flight_of(text)
    value = getattr(right.lines[0], key)
    wrong = Document(right, text).with_value(("line", "x"), key, round(change(value), 6))
    solution = solve(wrong.flight)
    said = suspects(wrong.flight, solution, "f1")
    first = said.suspects[0]
    assert (first.id, first.explanation) == ("x", words)
    taken = adoption(wrong.flight, solution, "f1", first)
    after = wrong.with_edits(*adopting_edits(wrong.flight, taken))
    assert after.flight == with_adoption(wrong.flight, taken)
    if name == "no reason":
        assert not after.flight.lines[0].use and taken.step == "leave out x"
    else:
        assert getattr(after.flight.lines[0], key) == pytest.approx(value, abs=1e-9)
        assert taken.step == f"take x as {words}"


def test_variation_of_a_magnetic_radial(two_stars: str) -> None:
    """14° east at the station: left out, turned, or applied to what was true, each is undone by its own key."""
    radial = seen()[2]
    given = "station_variation_deg = 14"
    true, turned = 'reference = "true"', "station_variation_deg = -14"
    for off_deg, keys, words, key in (
        (14.0, (given, true), "variation left out", "reference"),
        (28.0, (given, true), "variation applied with the wrong sign", "radial_deg"),
        (14.0, (turned,), "variation with the wrong sign", "station_variation_deg"),
        (0.0, (given,), "variation applied to a true radial", "reference"),
    ):
        keys = (f"radial_deg = {radial - off_deg:.1f}", *keys)
        text = two_stars + line_text("x", "radial", AWAY, *keys, "sigma_deg = 0.7") + fix_text("s1", "s2", "x")
        flight = flight_of(text)
        solution = solve(flight)
        first = suspects(flight, solution, "f1").suspects[0]
        assert (first.id, first.explanation) == ("x", words)
        after = Document(flight, text).with_edits(*adopting_edits(flight, adoption(flight, solution, "f1", first)))
        before, new = tomllib.loads(text)["line"][0], tomllib.loads(after.text)["line"][0]
        assert {one for one in {*before, *new} if before.get(one) != new.get(one)} == {key}
        offset_nm = solve(after.flight).fix("f1").residuals_arcmin["x"]
        assert abs(offset_nm) < 0.5


def test_a_fix_of_lines_alone_is_explained() -> None:
    given = numbers()
    text = HEAD + line_text("d", "range", AWAY, *given["range"].split("\n"))
    text += line_text("l", "latitude", given["latitude"]) + line_text("b", "bearing", AWAY, given["bearing"])
    text += fix_text("d", "l", "b")
    right = flight_of(text)
    assert not verdict(right).telling and verdict(right).chance_log_odds > 2.0
    latitude = right.lines[1].latitude
    assert latitude is not None
    wrong = Document(right, text).with_value(("line", "l"), "latitude", latitude + 1.0)
    said = verdict(wrong.flight)
    assert said.telling and said.words == "most likely l: read one degree too far north"
    assert said.suspects[0].line == right.lines[1]
    assert not any(one.id == "all" for one in said.suspects)


EVERY = (
    line_text("d", "range", AWAY, "range_nm = 160", "sigma_nm = 0.5")
    + line_text("g", "range", AWAY, "range_nm = 160", "slant = false")
    + line_text("n", "range", 'station = "41 20.0 N 032 30.0 W"', "range_nm = 20.5", "slant = false", "sigma_nm = 0.3")
    + line_text("b", "bearing", AWAY, "bearing_deg = 123.4")
    + line_text("c", "bearing", AWAY, "relative_bearing_deg = -139")
    + line_text("r", "radial", AWAY, "radial_deg = 317.2")
    + line_text("m", "radial", AWAY, "radial_deg = 307.2", "station_variation_deg = 12.5")
    + line_text("t", "radial", AWAY, "radial_deg = 307.2", 'reference = "true"')
    + line_text("p", "pressure", 'from = "start"', "d1_ft = 320", "d2_ft = 470")
    + line_text("l", "latitude", 'latitude = "41 12.0 N"')
    + line_text("e", "latitude", "latitude = 41.2345678")
)  # fmt: skip


def test_what_each_slip_writes_gives_the_solution_that_it_foretold() -> None:
    ids = tuple("dgnbcrmtple")
    text = HEAD + EVERY + fix_text(*ids)
    flight = flight_of(text)
    solution = solve(flight)
    assert not solution.problems
    said = set()
    for change in every_slip(flight):
        assert change.line is not None
        meant = None if change.spread_arcmin else change.line.line
        suspect = Suspect(change.id, change.explanation, 0.0, Position(0.0, 0.0), 0.0, line=meant)
        taken = adoption(flight, solution, "f1", suspect)
        foretold = with_adoption(flight, taken)
        after = Document(flight, text).with_edits(*adopting_edits(flight, taken))
        assert after.flight == foretold != flight, change.explanation
        assert after.text.count("# kept") >= text.count("# kept") - 1  # a key that goes takes its remark along
        assert solve(after.flight).fix("f1") == solve(foretold).fix("f1")
        said.add(change.explanation)
    assert said >= {
        "written as its reciprocal",
        "read ten degrees too high",
        "relative bearing counted to the wrong side",
        "variation left out",
        "variation applied with the wrong sign",
        "variation with the wrong sign",
        "variation applied to a true radial",
        "read 10 NM too short",
        "read 100 NM too long",
        "slant range taken for one along the ground",
        "the two values of D exchanged",
        "written N for S",
        "read one degree too far south",
        "wrong for a reason unknown",
    }


def every_slip(flight: Flight) -> list[Change]:
    plot = solve(flight).plot_of_fix["f1"]
    known = {"start": Known(gmt_s(flight.start.time), flight.start.position)}
    return [change for line in flight.lines for change in line_mistakes(line_at(line, plot, known), plot, known)]


def test_a_change_that_moves_nothing_is_not_offered() -> None:
    """Far from the station a slant range is a range along the ground, to a fraction of its sigma."""
    far = HEAD + line_text("d", "range", AWAY, "range_nm = 160", "sigma_nm = 1.0") + fix_text("d")
    assert not any("slant" in change.explanation for change in every_slip(flight_of(far)))


def test_exchanged_d_values_are_named(two_stars: str) -> None:
    """D rises 150 ft in half an hour: exchanged, the line lies on the other side of the air path."""
    base = two_stars + line_text("p", "pressure", 'from = "start"', "d1_ft = 0", "d2_ft = 0", "sigma_nm = 3.0")
    per_ft = solve(flight_of(base.replace("d2_ft = 0", "d2_ft = 100"))).line("p").offset_nm
    none = solve(flight_of(base)).line("p").offset_nm
    assert per_ft is not None and none is not None
    free = solve(flight_of(two_stars + fix_text("s1", "s2"))).fix("f1").position
    shape = solve(flight_of(base)).line("p").shape
    assert free is not None and shape is not None
    rise = -float(shape.offset_nm(*free)) / ((per_ft - none) / 100.0)
    assert abs(rise) > 100.0  # the wind of the flight blows across
    text = base.replace("d1_ft = 0", f"d1_ft = {rise:.0f}") + fix_text("s1", "s2", "p")
    first = verdict(flight_of(text)).suspects[0]
    assert (first.id, first.explanation) == ("p", "the two values of D exchanged")


def test_of_many_lines_and_shots_the_worst_are_weighed(two_stars: str) -> None:
    given = numbers()
    text, ids = two_stars, ["s1", "s2"]
    for k in range(14):
        ids.append(f"x{k}")
        far = "latitude" if k % 2 else "range"
        keys = ([] if far == "latitude" else [AWAY]) + given[far].split("\n")
        text += line_text(ids[-1], far, *keys)
    flight = flight_of(text + fix_text(*ids))
    said = verdict(flight)
    assert said.words.endswith("(of 16 shots and lines the 12 that fit worst were weighed)")


def test_it_takes_no_longer_than_a_glance(two_stars: str) -> None:
    """Two stars and three lines: within a quarter of a second, the best of five."""
    given = numbers()
    text = two_stars + line_text("d", "range", AWAY, *given["range"].split("\n"))
    text += line_text("l", "latitude", given["latitude"]) + line_text("b", "bearing", AWAY, given["bearing"])
    flight = flight_of(text + fix_text("s1", "s2", "d", "l", "b"))
    solution = solve(flight)
    took = []
    for _ in range(5):
        begin = time.thread_time()
        suspects(flight, solution, "f1")
        took.append(time.thread_time() - begin)
    assert min(took) < 0.25
