"""Reading what a person may write: every table and key, the forms of angles and times, what is held or left out."""

from __future__ import annotations

import subprocess
import sys
from datetime import UTC, datetime
from pathlib import Path

import pytest

from nightleg.flight.model import Flight, Leg, Reading, Sight, Wind, WindOfFix
from nightleg.flight.nearest import nearest_key
from nightleg.flight.parse import record_of
from nightleg.flight.read import parse_flight, read_flight
from nightleg.flight.schema import keys, tables
from nightleg.units.positions import Position

FIXTURES = Path(__file__).parent / "fixtures"
SMALL = (FIXTURES / "small.flight.toml").read_text(encoding="utf-8")


def at(hour: int, minute: int, second: int = 0, day: int = 14) -> datetime:
    return datetime(2026, 3, day, hour, minute, second, tzinfo=UTC)


@pytest.fixture(scope="module")
def whole() -> Flight:
    return read_flight(FIXTURES / "whole.flight.toml").flight


def test_fixtures_give_every_key_of_every_table() -> None:
    text = "".join((FIXTURES / f"{name}.flight.toml").read_text(encoding="utf-8") for name in ("whole", "model"))
    for table in tables().values():
        assert table.heading in text
        for key in keys(table.struct):
            assert f"\n{key} = " in text, f"{table.heading} {key}"


def test_values_are_in_the_units_of_the_model(whole: Flight) -> None:
    assert whole.title == "Every key at once"
    assert whole.notes.startswith("Two lines of notes,\n")
    assert whole.start.position == Position(41.5, -28.25)
    assert whole.sextant.horizon == "natural"
    assert whole.sextant.table == ((10.0, 0.3), (45.0, 0.1), (80.0, -0.05))
    assert whole.watch.check == at(21, 30)
    assert whole.legs[0].wind == Wind(from_deg=310.0, kt=45.0)
    assert whole.legs[3].wind == WindOfFix(fix="f1")
    assert isinstance(whole.legs[0].altitude_ft, float)
    assert whole.sights[0].hs == 61 + 8 / 60
    assert whole.sights[0].assumed == Position(41.0, -36.2)
    assert whole.lines[0].from_ == "start"
    assert whole.lines[5].latitude == 41.5
    assert whole.plotted[0].hc == 61 + 13 / 60
    assert whole.truth is not None
    assert whole.truth.track[1].altitude_ft == 31020.0
    model = read_flight(FIXTURES / "model.flight.toml").flight.truth
    assert model is not None
    assert (model.seed, model.wind, model.heading_error_deg) == (7, Wind(from_deg=305.0, kt=52.0), 0.8)


def test_body_has_the_spelling_of_the_catalogue(whole: Flight) -> None:
    assert whole.sights[1].body == "Moon"


def test_readings_over_midnight_have_the_dates_of_the_night(whole: Flight) -> None:
    times = [reading.time for reading in whole.sights[1].readings]
    assert times == [at(23, 59, 30), at(0, 0, 10, day=15), at(0, 0, 50, day=15)]
    assert [reading.hs for reading in whole.sights[1].readings] == [35 + 10.2 / 60, 35.25, 35 + 20 / 60]


def test_readings_are_dated_by_the_time_of_the_sight() -> None:
    readings = 'readings = [["23:59:00", 35.0], [00:01:00, 35.1], ["2026-03-16T00:02:00Z", 35.2]]'
    text = SMALL.replace('time = 2026-03-14T22:52:00Z\nhs = "61 08.0"', f"time = 2026-03-16T00:00:00Z\n{readings}")
    times = [reading.time for reading in parse_flight(text).flight.sights[0].readings]
    assert times == [at(23, 59, day=15), at(0, 1, day=16), at(0, 2, day=16)]


@pytest.mark.parametrize(
    ("clock", "watch", "found"),
    [
        ("22:00:00", "", at(22, 0)),
        ("00:10:00", "", at(0, 10, day=15)),
        ("09:59:00", "", at(9, 59, day=15)),
        ("21:59:55", "error_s = -10", at(21, 59, 55)),  # 2200:05 GMT
        ("17:10:00", "error_s = -18000", at(17, 10)),  # a watch on the time of a zone
        ("03:10:00", "error_s = 18000", at(3, 10, day=15)),
    ],
)
def test_readings_without_a_time_are_the_first_not_before_the_start(clock: str, watch: str, found: datetime) -> None:
    text = SMALL.replace('time = 2026-03-14T22:52:00Z\nhs = "61 08.0"', f'readings = [["{clock}", 35.0]]')
    assert parse_flight(f"{text}\n[watch]\n{watch}\n").flight.sights[0].readings[0].time == found


def test_series_late_in_a_long_flight_needs_no_date_where_the_file_reaches_its_day() -> None:
    text = SMALL.replace('time = 2026-03-14T22:52:00Z\nhs = "61 08.0"', 'readings = [["11:10:00", 35.0]]')
    assert parse_flight(text.replace("2026-03-14T23:00:00Z", "2026-03-15T11:12:00Z")).flight.sights[0].readings[
        0
    ].time == at(11, 10, day=15)


def test_left_out_keys_are_the_defaults_of_the_format() -> None:
    flight = parse_flight(SMALL).flight
    assert (flight.sextant.horizon, flight.sextant.sigma_arcmin, flight.sextant.lowest_deg) == ("bubble", 2.5, 10.0)
    assert (flight.sextant.highest_deg, flight.sextant.common_sigma_arcmin) == (75.0, 0.0)
    assert (flight.watch.error_s, flight.watch.check, flight.watch.sigma_s) == (0.0, None, 0.0)
    assert (flight.start.sigma_nm, flight.wind_uncertainty.sigma_kt) == (2.0, 12.0)
    assert flight.legs == (Leg(time=at(22, 0), heading_deg=262.0, tas_kt=430.0),)
    sight, fix = flight.sights[0], flight.fixes[0]
    assert (sight.duration_s, sight.limb, sight.sigma_arcmin, sight.use) == (120.0, "centre", None, True)
    assert (fix.kind, fix.solve_common_error, fix.prior, fix.adopt) == ("celestial", False, False, True)
    # Limits of 14 CFR part 63, appendix A.
    grading = flight.grading
    assert (grading.fix_nm, grading.shot_arcmin, grading.line_minutes) == (10.0, 8.0, 8.0)
    assert (grading.heading_deg, grading.eta_minutes) == (3.0, 15.0)
    assert flight.truth is None


@pytest.mark.parametrize(
    ("written", "degrees"),
    [
        ('"61 08.0"', 61 + 8 / 60),
        ('"61.1333"', 61.1333),
        ('"61 08 00"', 61 + 8 / 60),
        ('"-0 30.0"', -0.5),
        ("61.1333", 61.1333),
        ("61", 61.0),
        ("90", 90.0),
        ("-2", -2.0),
    ],
)
def test_forms_of_a_reading(written: str, degrees: float) -> None:
    flight = parse_flight(SMALL.replace('"61 08.0"', written)).flight
    assert flight.sights[0].hs == pytest.approx(degrees, abs=1e-12)  # degrees; the last bit of a sum may differ


@pytest.mark.parametrize(
    "written", ["2026-03-14T22:52:00+00:00", "2026-03-14 22:52:00Z", "2026-03-14T20:52:00-02:00", '"2026-03-14T22:52Z"']
)
def test_forms_of_a_time(written: str) -> None:
    assert parse_flight(SMALL.replace("2026-03-14T22:52:00Z", written)).flight.sights[0].time == at(22, 52)


@pytest.mark.parametrize("written", ["41 30.0 N 180 00.0 E", "-41.5 -180", "4130N 02815W", "90 N 0 E"])
def test_forms_of_a_position(written: str) -> None:
    position = parse_flight(SMALL.replace("41 30.0 N 028 15.0 W", written)).flight.start.position
    assert abs(position.lat) <= 90.0
    assert abs(position.lon) <= 180.0


def test_bounds_belong_to_the_ranges() -> None:
    text = SMALL.replace("heading_deg = 262.0", "heading_deg = 360\nwind = '360/0'\naltitude_ft = -2000")
    flight = parse_flight(text.replace("tas_kt = 430.0", "tas_kt = 0")).flight
    assert (flight.legs[0].heading_deg, flight.legs[0].tas_kt) == (360.0, 0.0)
    assert flight.legs[0].wind == Wind(from_deg=360.0, kt=0.0)
    assert parse_flight(text.replace("-2000", "65617")).flight.legs[0].altitude_ft == 65617.0


def test_ends_of_the_ephemeris_are_inside() -> None:
    for first in ("1899-07-29", "2053-10-08"):
        flight = parse_flight(SMALL.replace("2026-03-14", first)).flight
        assert flight.start.time.date().isoformat() == first


def test_fix_without_shots_and_known_fix_without_a_list_are_read() -> None:
    assert parse_flight(SMALL.replace('sights = ["s1"]', "sights = []")).flight.fixes[0].sights == ()
    known = 'kind = "known"\nposition = "41 00 N 036 00 W"'
    assert parse_flight(SMALL.replace('sights = ["s1"]', known)).flight.fixes[0].position == Position(41.0, -36.0)


def test_entries_may_stand_in_any_order() -> None:
    tail = SMALL[SMALL.index("[[sight]]") :]
    fix_first = SMALL.replace(tail, tail[tail.index("[[fix]]") :] + "\n" + tail[: tail.index("[[fix]]")])
    assert parse_flight(fix_first).flight == parse_flight(SMALL).flight


def test_byte_order_mark_and_other_line_ends_are_accepted(tmp_path: Path) -> None:
    for data in (b"\xef\xbb\xbf" + SMALL.encode(), SMALL.replace("\n", "\r\n").encode()):
        path = tmp_path / "x.flight.toml"
        path.write_bytes(data)
        document = read_flight(path)
        assert document.flight == parse_flight(SMALL).flight
        assert document.text.encode("utf-8") == data


def test_watch_error_decides_whether_a_sight_is_before_the_start() -> None:
    early = SMALL.replace("time = 2026-03-14T22:52:00Z", "time = 2026-03-14T21:59:50Z")
    slow = early + "\n[watch]\nerror_s = -10\n"
    assert parse_flight(slow).flight.watch.error_s == -10.0


def test_one_table_can_be_read_alone() -> None:
    sight = record_of("sight", {"id": "s9", "body": "vega", "readings": [["22:10:00", "30 00"]]}, at(22, 0))
    reading = Reading(time=at(22, 10), hs=30.0)
    assert sight == Sight(id="s9", body="Vega", readings=(reading,))


@pytest.mark.parametrize(
    ("table", "written", "meant"),
    [
        ("leg", "heading", "heading_deg"),
        ("leg", "tas", "tas_kt"),
        ("leg", "tas_mph", "tas_kt"),
        ("leg", "magnetic_heading", "heading_magnetic_deg"),
        ("leg", "altitude", "altitude_ft"),
        ("leg", "temperature", "temperature_c"),
        ("leg", "course", "track_deg"),
        ("leg", "wnd", "wind"),
        ("start", "lat", "position"),
        ("start", "Position", "position"),
        ("line", "lat", "latitude"),
        ("sight", "star", "body"),
        ("sight", "duration", "duration_s"),
        ("sight", "sigma", "sigma_arcmin"),
        ("sight", "HS", "hs"),
        ("fix", "sight", "sights"),
        ("sextant", "height_of_eye", "height_of_eye_m"),
        ("watch", "rate", "rate_s_per_day"),
        ("sight", "qqq", ""),
        ("sight", "reading", "readings"),
        ("next_sight", "reading", "hs"),
        ("leg", "variation_deg", "heading_magnetic_deg"),  # the variation itself is computed
        ("leg", "kt", ""),
        ("wind_uncertainty", "kt", "sigma_kt"),
        ("plotted", "who", "by"),
        ("heading_check", "shown_by", "shown"),
        ("heading_check", "bearing_deg", "relative_bearing_deg"),
        ("line", "slant_range", "range_nm"),
        ("line", "range_ft", "range_nm"),
        ("start", "altitude_ft", ""),
        ("drift", "drift_kt", "drift_deg"),
        ("leg", "trackk_kt", ""),
    ],
)
def test_nearest_key_is_the_one_that_was_meant(table: str, written: str, meant: str) -> None:
    assert nearest_key(written, list(keys(tables()[table].struct))) == meant


def test_reading_needs_no_writing_library() -> None:
    code = "import sys, nightleg.flight.read; print([m for m in ('pyproj', 'PySide6') if m in sys.modules])"
    run = subprocess.run(
        [sys.executable, "-c", code],
        capture_output=True,
        text=True,
        check=True,
        env={"PYTHONPATH": str(Path(__file__).parents[2] / "app")},
    )
    assert run.stdout.strip() == "[]"
