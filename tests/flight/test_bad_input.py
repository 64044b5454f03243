"""Every way of getting a flight file wrong: one clear message, with its place, that says what would be right."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path
from typing import Any

import pytest

from nightleg.flight.check import check_draft
from nightleg.flight.compound import CorrectionTable, LegWind, PositionText, Readings, Time, Track, WindText
from nightleg.flight.edits import Put, edited
from nightleg.flight.errors import FileProblem, FlightError
from nightleg.flight.findings import MOST, Findings
from nightleg.flight.kinds import (
    Angle,
    BodyName,
    Choice,
    Destination,
    Flag,
    Id,
    Ids,
    Kind,
    Latitude,
    NewId,
    Number,
    Text,
    Whole,
)
from nightleg.flight.layout import line_numbers, statements
from nightleg.flight.model import Flight
from nightleg.flight.read import parse_flight
from nightleg.flight.schema import keys, tables
from nightleg.flight.tables import read_tables
from nightleg.flight.valuetext import WrittenFloat

FIXTURES = Path(__file__).parent / "fixtures"
WHOLE = (FIXTURES / "whole.flight.toml").read_text(encoding="utf-8")
MODEL = (FIXTURES / "model.flight.toml").read_text(encoding="utf-8")
SMALL = (FIXTURES / "small.flight.toml").read_text(encoding="utf-8")

# TOML texts that a value of each kind may not be.
WRONG: dict[type[Kind], list[str]] = {
    Number: ['"12"', "true", "nan", "inf", "-inf", "1e300", "[1]", "{ a = 1 }", "2026-03-14T22:00:00Z", "9" * 400],
    Angle: ['"61 70.0"', '"high"', '""', "true", "nan", "inf", "91", '"90 00.1"', "[61, 8]", '"61 08.0 N"'],
    Latitude: ['"91 N"', '"41 30.0 E"', '"-41 30.0 S"', "90.5", "true", "nan"],
    Whole: ["1.5", '"1"', "true", "-1", "9223372036854775808"],
    Choice: ['"elsewhere"', '""', "1", "true", "[]"],
    Flag: ['"true"', "1", "0", '"yes"', "[]"],
    Text: ["1", "true", "[]", "2026-03-14T22:00:00Z"],
    NewId: ["1", '""', '" s"', '"a\\u0007b"', '"start"', '"dr"', '"' + "x" * 61 + '"'],
    Ids: ['"s1"', "[1]", '[""]', '[["s1"]]', "true"],
    Destination: ['"nowhere"', '""', "41.5", "true", '"41 75 N 028 15 W"', '"' + "x" * 61 + '"'],
    BodyName: ['"Vulcan"', '"Vega\\u0000"', '"\\tVega"', '""', "1", "true", '"' + "x" * 500 + '"'],
    Time: [
        "2026-03-14T22:00:00",
        "2026-03-14",
        "22:00:00",
        '"2026-03-14T22:00:60Z"',
        '"2026-03-14T22:00:00"',
        "1899-07-28T23:59:59Z",
        "1899-07-29T01:59:59Z",
        "2053-10-08T23:58:01Z",
        "0001-01-01T00:00:00+23:00",
        "1773525600",
        '"yesterday"',
        "true",
    ],
    PositionText: [
        '"41 30.0 N"',
        '"91 N 0 E"',
        '"41 60.0 N 028 15.0 W"',
        '"-41 30.0 N 028 15.0 W"',
        '"0 N 181 E"',
        "[41.5, -28.25]",
        "41.5",
        '""',
    ],
    WindText: [
        '"310"',
        '"1e2/4e1"',
        '"310_0/45"',
        '"-1/10"',
        '"٣١٠/45"',
        '"310/45/3"',
        '"361/45"',
        '"310/-5"',
        '"nan/45"',
        '"310/inf"',
        '"/"',
        "310",
        '"fix:nowhere"',
    ],
    LegWind: [
        '"grid"',
        '"grid 361/45"',
        '"grid fix:f1"',
        '"grid grid 310/45"',
        '"310"',
        '"1e2/4e1"',
        '"361/45"',
        '"310/-5"',
        '"fix:"',
        '"fix:nowhere"',
        "310",
    ],
    CorrectionTable: [
        '"10"',
        "[10, 0.3]",
        "[[10]]",
        "[[45, 0.1], [10, 0.3]]",
        "[[10, 0.3], [10, 0.2]]",
        '[["10", 0.3]]',
    ],
    Readings: ['"61"', '["22:51:00"]', '[["22:51:00"]]', '[["22:61:00", 61]]', '[["22:51:00", 91]]', "[[61, 61]]"],
    Track: [
        '"here"',
        "[]",
        '[["2026-03-14T22:00:00Z", 41.5]]',
        '[["2026-03-14T22:00:00", 41.5, -28.25]]',
        '[["2026-03-14T22:00:00Z", 91, -28.25]]',
        '[["2026-03-14T22:00:00Z", "41.5", -28.25]]',
        '[["2026-03-14T22:00:00Z", 41.5, 181]]',
        '[["2026-03-14T22:00:00Z", 41.5, -28.25, 70000]]',
        '[["2026-03-14T22:10:00Z", 1, 1], ["2026-03-14T22:00:00Z", 1, 1]]',
    ],
}


def wrong_values(kind: Kind) -> list[str]:
    """What the key may not hold: by its class, and just outside its range."""
    name = type(kind)
    # A reference may be a word that an id may not be.
    found = [text for text in WRONG[NewId] if text not in ('"start"', '"dr"')] if name is Id else list(WRONG[name])
    if name is Number and isinstance(kind, Number):
        found += [repr(kind.low if kind.above else kind.low - 0.01), repr(kind.high + 0.01)]
    if name is Angle and isinstance(kind, Angle):
        found += [repr(kind.low - 0.01)]
    return found


Place = tuple[str | int, ...]


def place_of(table: str, key: str) -> tuple[str, Place]:
    """A text that gives the key, and the path of the table it stands in."""
    text = WHOLE if not table or key in _keys_of(tomllib.loads(WHOLE), table) else MODEL
    entries = tomllib.loads(text).get(table, {})
    if isinstance(entries, list):
        return text, (table, next(i for i, entry in enumerate(entries) if key in entry))
    return text, (table,) if table else ()


def _keys_of(raw: dict[str, Any], table: str) -> set[str]:
    entries = raw.get(table, {})
    return {key for entry in (entries if isinstance(entries, list) else [entries]) for key in entry}


def findings_of(text: str) -> dict[Place, list[str]]:
    """All that is wrong with a text, however much, by its path."""
    findings = Findings()
    check_draft(read_tables(tomllib.loads(text, parse_float=WrittenFloat), findings), findings)
    found: dict[Place, list[str]] = {}
    for path, message in findings.found:
        found.setdefault(path, []).append(message)
    return found


def errors(text: str) -> list[FileProblem]:
    with pytest.raises(FlightError) as caught:
        parse_flight(text)
    assert len(str(caught.value)) <= 4000
    assert all(line.isprintable() for line in str(caught.value).split("\n"))
    return [problem for problem in caught.value.problems if isinstance(problem, FileProblem)]


def only(text: str) -> FileProblem:
    found = errors(text)
    assert len(found) == 1, [f"{one.place}: {one.message}" for one in found]
    return found[0]


KEYS = [(table.name, key.name, key.kind) for table in tables().values() for key in keys(table.struct).values()] + [
    ("", key.name, key.kind) for key in keys(Flight).values()
]


@pytest.mark.parametrize("number", range(max(len(wrong_values(kind)) for _, _, kind in KEYS)))
def test_wrong_value_of_every_key(number: int) -> None:
    """The `number`th wrong value of every key at once: each key is named by a message of its own, with its line."""
    texts: dict[str, list[tuple[Place, str, str]]] = {}
    for table, key, kind in KEYS:
        wrong = wrong_values(kind)
        if number < len(wrong):
            whole, place = place_of(table, key)
            texts.setdefault(whole, []).append((place, key, wrong[number]))
    for whole, wanted in texts.items():
        text = with_values(whole, wanted)
        found = findings_of(text)
        lines = line_numbers(text)
        rows = text.split("\n")
        for place, key, written in wanted:
            path = (*place, key)
            own = [message for one, messages in found.items() if one[: len(path)] == path for message in messages]
            assert own, f"{path} = {written}: the key itself is not named"
            assert all(15 < len(message) < 1500 for message in own), own
            assert rows[lines[path] - 1] == f"{key} = {written}"


def with_values(text: str, wanted: list[tuple[Place, str, str]]) -> str:
    """`text` with those values, from the last to the first so that the others stay where they are."""
    spans = {one.path: (one.value_start, one.value_end) for one in statements(text) if not one.heading}
    for place, key, written in sorted(wanted, key=lambda one: spans[(*one[0], one[1])], reverse=True):
        start, end = spans[(*place, key)]
        newline = text.index("\n", end)
        text = text[:start] + written + text[newline:]
    return text


def test_wrong_value_is_told_with_place_and_line() -> None:
    """Every message of a file as a person gets it: one line each, with the line of the file and the key."""
    wanted = [(*place_of(table, key), key, wrong_values(kind)[0]) for table, key, kind in KEYS if table == "leg"]
    text = with_values(WHOLE, [(place, key, written) for _, place, key, written in wanted])
    found = errors(text)
    for _, place, key, _ in wanted:
        own = next(one for one in found if one.path == (*place, key))
        assert own.place == f"line {own.line}, [[leg]] {int(place[1]) + 1}, {key}"
        assert text.split("\n")[(own.line or 0) - 1].startswith(f"{key} = ")


@pytest.mark.parametrize("table", [one.name for one in tables().values()])
def test_unknown_key_in_every_table(table: str) -> None:
    many = tables()[table].many
    text = edited(WHOLE, Put((table, 0) if many else (table,), "headding", 1))
    problem = only(text)
    assert 'unknown key "headding"' in problem.message
    assert problem.place.startswith("line ")


@pytest.mark.parametrize(
    ("table", "key"),
    [(table.name, key.name) for table in tables().values() for key in keys(table.struct).values() if key.required],
)
def test_missing_key_of_every_table(table: str, key: str) -> None:
    place = (table, 0) if tables()[table].many else (table,)
    found = errors(edited(WHOLE, Put(place, key, None)))
    assert any(one.path == place and one.message.startswith(f"{key} is missing") for one in found)


@pytest.mark.parametrize(("table", "heading"), [("start", "[start]"), ("leg", "[[leg]]")])
def test_missing_table(table: str, heading: str) -> None:
    text = re.sub(rf"{re.escape(heading)}\n(.+\n)+", "", SMALL)
    assert f"{heading} is missing" in only(text).message


TIMED = 'time = 2026-03-14T22:52:00Z\nhs = "61 08.0"'
KNOWN = 'kind = "known"\nposition = "41 00 N 036 00 W"\n'


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        ('format = "nightleg-flight-1"\n', "", "does not say that it is a flight file"),
        ('"nightleg-flight-1"', '"nightleg-flight-9"', "format that is not known"),
        ("[start]", "[strat]", "nearest is start"),
        ("[start]", "[[start]]", "stands only once"),
        ("[[leg]]", "[leg]", "headed [[leg]]"),
        ("heading_deg", "heading", "nearest is heading_deg"),
        ("tas_kt", "tas", "nearest is tas_kt"),
        ('"Capella"', '"Capela"', "Capella"),
        ("tas_kt = 430.0", "", "the first leg gives no speed"),
        ("heading_deg = 262.0", "", "the first leg gives no direction"),
        ("heading_deg = 262.0", "heading_deg = 262.0\nheading_magnetic_deg = 270", "both give the direction"),
        ("tas_kt = 430.0", "tas_kt = 430.0\nmach = 0.7", "both give the speed"),
        ("heading_deg = 262.0", "track_deg = 262.0", "track_deg goes with gs_kt"),
        ("tas_kt = 430.0", "gs_kt = 430.0", "gs_kt goes with track_deg"),
        ("heading_deg = 262.0", "heading_compass_deg = 262.0", "deviation_deg is missing"),
        ("[[leg]]\ntime = 2026-03-14T22:00:00Z", "[[leg]]\ntime = 2026-03-14T22:00:01Z", "after the start"),
        ("tas_kt = 430.0", 'tas_kt = 430.0\nwind = "fix:f1"', "later than this leg"),
        ("tas_kt = 430.0", 'tas_kt = 430.0\nwind = "fix:f9"', 'there is no fix "f9"'),
        ("time = 2026-03-14T22:52:00Z", "time = 2026-03-14T21:52:00Z", "before the start"),
        ("time = 2026-03-14T23:00:00Z", "time = 2026-03-14T21:52:00Z", "before the start"),
        ("time = 2026-03-14T22:52:00Z\n", "", "a sight needs time and hs, or readings"),
        ('hs = "61 08.0"\n', "", "a sight needs time and hs, or readings"),
        ('sights = ["s1"]', 'sights = ["s1", "s1"]', "stands there twice"),
        ('sights = ["s1"]', 'sights = ["s2"]', 'there is no sight or line "s2"; there are "s1"'),
        ('sights = ["s1"]', "", "sights is missing"),
        ('sights = ["s1"]', 'kind = "known"', "position is missing"),
        ('sights = ["s1"]', 'sights = ["s1"]\nsigma_nm = 2', 'only kind = "known" takes it'),
        # Keys that would be left aside in silence.
        ('sights = ["s1"]', KNOWN + 'sights = ["s1"]', "sights is given, but a fix of kind"),
        ('sights = ["s1"]', KNOWN + "prior = true", "prior is given, but a fix of kind"),
        ('sights = ["s1"]', KNOWN + "solve_common_error = true", "solve_common_error is given, but a fix of kind"),
        ("heading_deg = 262.0", "heading_deg = 262.0\ndeviation_deg = 1", "deviation_deg is given beside heading_deg"),
        ('body = "Capella"', 'body = "Capella"\nlimb = "lower"', "Capella shows no limb"),
        ('body = "Capella"', 'body = "Venus"\nlimb = "upper"', "Venus shows no limb"),
        # A key of another name is told once, and nothing follows from it.
        ("tas_kt = 430.0", "tas_kt = 430.0\ncas = 300", 'unknown key "cas"; nearest is cas_kt'),
        ("tas_kt = 430.0", "tas_kt = 430.0\ntrack = 300", 'unknown key "track"; nearest is track_deg'),
        ("tas_kt = 430.0", "gs = 300", 'unknown key "gs"; nearest is gs_kt'),
        ("heading_deg = 262.0", "magnetic_heading = 262.0", "nearest is heading_magnetic_deg"),
        ('sights = ["s1"]', 'sights = ["s1"]\nlat = 41', 'unknown key "lat"; nearest is position'),
        ('sights = ["s1"]', 'sights = ["s1"]\npos = "41 30.0 N"', 'unknown key "pos"; nearest is position'),
        # Days are never changed in silence.
        (TIMED, 'readings = [["21:50:00", 61]]', "readings, 2026-03-14T21:50:00Z, is before the start"),
        (TIMED, 'readings = [["10:52:00", 61]]', "first shows 10:52:00 on 2026-03-15, 12 h 52 min later"),
        (TIMED, 'readings = [["22:52:00", 61], ["10:52:00", 61]]', "10:52:00Z lies 12 h 00 min from the first reading"),
        (TIMED, TIMED.replace("hs", 'readings = [["10:52:00", 61]]\nhs'), "12 h 00 min from the time of the sight"),
        (TIMED, TIMED.replace("hs", 'readings = [["23:53:00", 61]]\nhs'), "1 h 01 min from the time of the sight"),
    ],
)
def test_rules_of_the_format(old: str, new: str, words: str) -> None:
    assert old in SMALL
    assert words in only(SMALL.replace(old, new, 1)).message


def test_magnetic_heading_outside_the_years_of_the_model() -> None:
    text = SMALL.replace("2026-03-14", "2031-03-14").replace("heading_deg", "heading_magnetic_deg")
    problem = only(text + "\n[[leg]]\ntime = 2031-03-14T22:10:00Z\nheading_deg = 1\n")
    assert problem.place.endswith("[[leg]] 1, heading_magnetic_deg")
    assert "known here from 1900 to 2030" in problem.message
    held = errors(text + "\n[[leg]]\ntime = 2031-03-14T22:10:00Z\n")
    assert [one.place.split(", ", 1)[1] for one in held] == ["[[leg]] 1, heading_magnetic_deg", "[[leg]] 2"]
    radial = LINE.format(id="p1", kind="radial", rest=STATION + "radial_deg = 1").replace("2026", "2031")
    assert "give station_variation_deg" in only(SMALL.replace("2026-03-14", "2031-03-14") + radial).message


@pytest.mark.parametrize(
    ("time", "words"),
    [
        ("1899-07-29T02:00:30Z", "from 1899-07-29T02:01:00Z"),  # a minute before it the ephemeris has no place
        ("2053-10-08T23:57:30Z", "to 2053-10-08T23:57:00Z"),
    ],
)
def test_shot_at_the_edge_of_the_ephemeris_is_told_with_its_place(time: str, words: str) -> None:
    text = SMALL.replace("2026-03-14T22:52:00Z", time).replace("2026-03-14T23:00:00Z", time)
    problem = only(text.replace("2026-03-14T22:00:00Z", f"{time[:13]}:00:00Z"))
    assert problem.place == "line 17, [[sight]] 1 (s1), time"
    assert words in problem.message


@pytest.mark.parametrize(
    ("time", "quoted"),
    [
        ("2100-03-14T22:52:00Z", "2100-03-14T22:52:00Z"),
        ("2100-03-14T22:52:00.5Z", "2100-03-14T22:52:00.5Z"),
        ("2100-03-14T22:52:00+00:00", "2100-03-14T22:52:00Z"),
        ("2100-03-14T22:52:00+02:00", "2100-03-14T22:52:00+02:00"),
    ],
)
def test_a_time_is_quoted_as_the_file_writes_times(time: str, quoted: str) -> None:
    """GMT with Z; in another zone as it was given, since that is what is to be found in the file."""
    message = only(SMALL.replace("2026-03-14T22:52:00Z", time, 1)).message
    assert message.startswith(f"given {quoted}, outside the ephemeris, which runs from 1899-07-29T02:00:00Z to")


def test_truth_is_a_track_or_a_model() -> None:
    found = errors(MODEL + 'track = [["2026-03-14T22:00:00Z", 41.5, -28.25]]\n')
    assert [one.path for one in found] == [("truth", key) for key in ("wind", "heading_error_deg", "seed")]
    assert all("keep one of them" in one.message for one in found)


LINE = '\n[[line]]\nid = "{id}"\nkind = "{kind}"\ntime = 2026-03-14T22:50:00Z\n{rest}\n'
STATION = 'station = "47 00 N 052 00 W"\n'


@pytest.mark.parametrize(
    ("kind", "rest", "words"),
    [
        ("pressure", "d1_ft = 1\nd2_ft = 2", "from is missing"),
        ("pressure", 'from = "f9"\nd1_ft = 1\nd2_ft = 2', 'there is no fix "f9"'),
        ("pressure", 'from = "f1"\nd1_ft = 1\nd2_ft = 2', "is not before this line"),
        ("pressure", 'from = "start"\nd1_ft = 1\nd2_ft = 2\nsigma_deg = 1', "sigma_deg belongs to kind"),
        ("bearing", STATION, "needs bearing_deg or relative_bearing_deg"),
        ("bearing", STATION + "bearing_deg = 1\nrelative_bearing_deg = 1", "keep one of them"),
        ("bearing", STATION + "bearing_deg = 1\nrange_nm = 1", 'range_nm belongs to kind range; kind "bearing" takes'),
        ("bearing", "bearing_deg = 1", "station is missing"),
        ("radial", STATION, "radial_deg is missing"),
        ("range", STATION, "range_nm is missing"),
        ("latitude", "", "latitude is missing"),
        ("latitude", "latitude = 41\n" + STATION, "station belongs to kind"),
    ],
)
def test_each_kind_of_line_has_its_own_keys(kind: str, rest: str, words: str) -> None:
    assert words in only(SMALL + LINE.format(id="p1", kind=kind, rest=rest)).message


def test_sights_and_lines_share_their_ids() -> None:
    text = SMALL + LINE.format(id="s1", kind="latitude", rest="latitude = 41")
    assert 'the id "s1" is taken by [[sight]] 1; sights and lines share' in only(text).message


def test_reference_that_could_mean_two_things() -> None:
    text = SMALL.replace('"f1"', '"s1"') + '\n[[plotted]]\nof = "s1"\n'
    assert "is the id of a sight and of a fix" in only(text).message
    assert 'nothing has the id "x"' in only(SMALL + '\n[[plotted]]\nof = "x"\n').message


@pytest.mark.parametrize(
    ("second", "words"),
    [
        ("time = 2026-03-14T22:00:00Z", "not later than the leg before"),
        ("time = 2026-03-14T22:30:00Z\ntrack_deg = 1", "track_deg goes with gs_kt, not with the tas_kt held"),
        ("time = 2026-03-14T22:30:00Z\ngs_kt = 1", "gs_kt goes with track_deg, not with the heading_deg held"),
    ],
)
def test_second_leg(second: str, words: str) -> None:
    assert words in only(SMALL + f"\n[[leg]]\n{second}\n").message


@pytest.mark.parametrize(("key", "words"), [("heading_deg = 1", "airspeed"), ("tas_kt = 1", "goes with a heading")])
def test_leg_after_one_with_a_track(key: str, words: str) -> None:
    track = SMALL.replace("heading_deg = 262.0\ntas_kt = 430.0", "track_deg = 262.0\ngs_kt = 430.0")
    assert words in only(track + f"\n[[leg]]\ntime = 2026-03-14T22:30:00Z\n{key}\n").message


def test_sight_before_the_start_by_a_fast_watch() -> None:
    text = SMALL.replace("22:52:00Z", "22:00:10Z") + "\n[watch]\nerror_s = 30\n"
    message = only(text).message
    assert message.startswith("2026-03-14T22:00:10Z by the watch, which is 2026-03-14T21:59:40Z by GMT, is before")


def test_lowest_must_be_below_highest() -> None:
    assert "must be below" in only(SMALL + "\n[sextant]\nlowest_deg = 75\n").message


def test_every_problem_is_told_once_with_its_line() -> None:
    text = SMALL.replace("41 30.0 N", "41 70.0 N").replace("tas_kt = 430.0", 'tas_kt = "fast"')
    text = text.replace('"Capella"', '"Capela"').replace('"s1"]', '"s1", "s9"]')
    found = errors(text)
    assert [one.place for one in found] == [
        "line 7, [start], position",
        "line 12, [[leg]] 1, tas_kt",
        "line 16, [[sight]] 1 (s1), body",
        "line 23, [[fix]] 1 (f1), sights",
    ]


def test_row_of_a_list_is_told_with_its_own_line() -> None:
    text = (
        SMALL
        + '\n[truth]\ntrack = [\n  ["2026-03-14T22:00:00Z", 1, 2], # good\n  ["2026-03-14T23:00:00Z", 1, 200],\n]\n'
    )
    problem = only(text)
    assert problem.place == "line 28, [truth], track row 2"
    assert "given 200" in problem.message


@pytest.mark.parametrize("number", [300, 4000])
def test_all_problems_are_counted(number: int) -> None:
    text = SMALL + "".join(f"\n[[log]]\ntime = {i}\n" for i in range(number))
    with pytest.raises(FlightError) as caught:
        parse_flight(text)
    assert len(caught.value.problems) == 50
    assert caught.value.more == 2 * number - 50
    message = str(caught.value)
    assert len(message) <= 4000
    kept = message.count("\n")
    assert message.endswith(f"… and {2 * number - kept} more")


def test_a_count_that_was_given_up_says_so() -> None:
    rows = "1," * (MOST + 5)
    with pytest.raises(FlightError, match=r"… and more than [0-9]+ more$"):
        parse_flight(SMALL + f"\n[truth]\ntrack = [{rows}]\n")


def test_control_characters_are_shown_not_sent() -> None:
    text = SMALL.replace('"Capella"', '"\\u001b[31mCapella\\u0007"') + '\n["\\u001b[0m"]\n'
    errors(text)
