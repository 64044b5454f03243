"""Adopting an explanation, from the text of a flight file up: the right keys change, and comments stay."""

from __future__ import annotations

import tomllib
from datetime import timedelta
from typing import Any

import pytest
from msgspec.structs import replace

from nightleg.flight.adopting import adopting_edits, adoption, with_adoption
from nightleg.flight.document import Document
from nightleg.flight.errors import FlightError
from nightleg.flight.mistakes import Change, mistakes
from nightleg.flight.model import Flight
from nightleg.flight.parse import flight_of
from nightleg.flight.shots import kit_of
from nightleg.flight.solve import solve
from nightleg.flight.suspects import Suspect, suspects
from nightleg.units.positions import Position

TEXT = """\
# a night over the ocean
format = "nightleg-flight-1"

[start]
time = 2026-03-03T21:00:00Z
position = "46 30.0 N 030 15.0 W"

[sextant]
correction_arcmin = -12.0   # from the last check

[watch]
error_s = 45   # fast
rate_s_per_day = 1.5

[[leg]]
time = 2026-03-03T21:00:00Z
heading_deg = 75
tas_kt = 400
altitude_ft = 31000
wind = "280/60"

[[sight]]
id = "s1"
body = "Moon"
limb = "lower"   # the limb
time = 2026-03-03T22:22:00Z   # by the watch
hs = "HS1"   # as read

[[sight]]
id = "s2"
body = "Capella"
time = 2026-03-03T22:26:00Z
hs = "HS2"   # the second

[[sight]]
id = "s3"
body = "Procyon"
# a short series
readings = [["22:29:30", "HS3"], ["22:30:30", "HS3"]]   # of two

[[fix]]
id = "f1"
time = 2026-03-03T22:30:00Z
sights = ["s1", "s2", "s3"]   # all three
"""
COMMENTS = [line.split("#", 1)[1] for line in TEXT.splitlines() if "#" in line]


def written(*readings: str) -> str:
    text = TEXT
    for number, reading in enumerate(readings, 1):
        text = text.replace(f"HS{number}", reading)
    return text


@pytest.fixture(scope="module")
def text() -> str:
    """Readings that agree: each is what the sextant shows at the DR, to the tenth."""
    solution = solve(flight_of(written("40 00.0", "40 00.0", "40 00.0")))
    fitting = []
    for id in ("s1", "s2", "s3"):
        sight = solution.sight(id)
        assert sight.ho is not None
        degrees, minutes = divmod(round((40.0 + sight.hc - sight.ho) * 600.0), 600)
        fitting.append(f"{degrees} {minutes / 10:04.1f}")
    return written(*fitting)


@pytest.fixture(scope="module")
def swapped(text: str) -> str:
    """Capella shot, and another star near it written down."""
    return text.replace('"Capella"', '"Elnath"')


def every_slip(flight: Flight) -> list[Change]:
    solution = solve(flight)
    return list(mistakes(kit_of(flight), flight.sights, solution.plot_of_fix["f1"]))


def as_suspect(change: Change) -> Suspect:
    sight = None if change.spread_arcmin else change.sight
    id = change.sight.id if change.sight else "all"
    return Suspect(id, change.explanation, 0.0, Position(0.0, 0.0), 0.0, sight, change.kit)


def without(raw: dict[str, Any], *keys: str) -> dict[str, Any]:
    return {
        "other": {key: value for key, value in raw.items() if key != "sight"},
        "sights": [{key: value for key, value in sight.items() if key not in keys} for sight in raw["sight"]],
    }


def test_every_kind_of_slip_is_among_them(text: str, swapped: str) -> None:
    words = " ".join(change.explanation for one in (text, swapped) for change in every_slip(flight_of(one)))
    kinds = ("one degree", "ten minutes", "one minute", "one hour", "start of the shot", "the body was", "the limb was")
    for kind in (*kinds, "reason unknown", "watch error", "sextant correction", "Coriolis"):
        assert kind in words


@pytest.mark.parametrize("which", ["text", "swapped"])
def test_what_each_slip_writes_gives_the_solution_that_it_foretold(which: str, request: pytest.FixtureRequest) -> None:
    text = request.getfixturevalue(which)
    flight = flight_of(text)
    solution = solve(flight)
    for change in every_slip(flight):
        taken = adoption(flight, solution, "f1", as_suspect(change))
        foretold = with_adoption(flight, taken)
        after = Document(flight, text).with_edits(*adopting_edits(flight, taken))
        assert after.flight == foretold, change.explanation
        assert after.flight != flight
        assert solve(after.flight).fix("f1") == solve(foretold).fix("f1")
        kept = [line.split("#", 1)[1] for line in after.text.splitlines() if "#" in line]
        gone = [" the limb"] if "limb" in change.explanation or "body was" in change.explanation else []
        assert [words for words in COMMENTS if words not in kept] in ([], gone)


def changed_keys(text: str, words: str, of: str) -> tuple[str, set[str], str]:
    """The step of a slip, the keys that it changed, and the new text."""
    flight = flight_of(text)
    change = next(
        one for one in every_slip(flight) if words in one.explanation and (one.sight.id if one.sight else "all") == of
    )
    taken = adoption(flight, solve(flight), "f1", as_suspect(change))
    after = Document(flight, text).with_edits(*adopting_edits(flight, taken)).text
    before, new = tomllib.loads(text), tomllib.loads(after)
    keys = set()
    for table, other in zip([*before["sight"], before["watch"], before["sextant"]],
                            [*new["sight"], new["watch"], new["sextant"]], strict=True):  # fmt: skip
        keys |= {key for key in {*table, *other} if table.get(key) != other.get(key)}
    return taken.step, keys, after


@pytest.mark.parametrize(
    ("words", "of", "keys", "step"),
    [
        ("one degree too low", "s2", {"hs"}, "take s2 as read one degree too low"),
        ("ten minutes too high", "s3", {"readings"}, "take s3 as read ten minutes too high"),
        ("one minute too late", "s2", {"time"}, "take s2 as time written one minute too late"),
        ("one hour too early", "s3", {"readings"}, "take s3 as time written one hour too early"),
        ("start of the shot", "s1", {"time"}, ""),
        ("limb was upper", "s1", {"limb"}, "take s1 as upper limb"),
        ("limb was centre", "s1", {"limb"}, "take s1 as centre of the body"),
        ("reason unknown", "s2", {"use"}, "leave out s2"),
        ("watch error", "all", {"error_s", "rate_s_per_day"}, "turn the sign of the watch error"),
        ("sextant correction", "all", {"correction_arcmin"}, "turn the sign of the sextant correction"),
        ("Coriolis", "all", {"hs", "readings"}, "turn Coriolis in the readings of f1"),
    ],
)
def test_only_what_was_wrong_is_written(text: str, words: str, of: str, keys: set[str], step: str) -> None:
    said, changed, _ = changed_keys(text, words, of)
    assert changed == keys
    assert said == step or (not step and said.startswith("take s1 as "))


def test_another_body_is_named(swapped: str) -> None:
    step, keys, _ = changed_keys(swapped, "the body was Capella", "s2")
    assert (step, keys) == ("take s2 as Capella", {"body"})


def test_a_reading_stays_in_degrees_and_minutes(text: str) -> None:
    _, _, after = changed_keys(text, "one degree too low", "s2")
    before, new = (tomllib.loads(one)["sight"][1]["hs"] for one in (text, after))
    assert new == f"{int(before.split()[0]) + 1} {before.split()[1]}"


def test_a_misread_degree_is_found_and_put_right(text: str) -> None:
    """A degree too much is named first, and adopting that restores what the file says."""
    right = flight_of(text)
    hs = next(sight.hs for sight in right.sights if sight.id == "s2")
    assert hs is not None
    wrong = Document(right, text).with_value(("sight", "s2"), "hs", hs + 1.0)
    solution = solve(wrong.flight)
    first = suspects(wrong.flight, solution, "f1").suspects[0]
    assert (first.id, first.explanation) == ("s2", "read one degree too high")
    mended = wrong.with_edits(*adopting_edits(wrong.flight, adoption(wrong.flight, solution, "f1", first)))
    assert mended.flight == right


def test_what_is_no_longer_there_is_said(text: str) -> None:
    flight = flight_of(text)
    change = next(one for one in every_slip(flight) if one.sight is not None and one.sight.id == "s2")
    less = replace(flight, sights=flight.sights[:1])
    with pytest.raises(KeyError):
        adoption(less, solve(flight), "f1", as_suspect(change))


def test_no_time_before_the_start_is_offered(text: str) -> None:
    """An hour before these shots the flight had not begun; with an earlier start it had."""
    late = text.replace("T21:00:00Z", "T22:00:00Z")
    assert any("one hour too late" in change.explanation for change in every_slip(flight_of(text)))
    assert not any("one hour too late" in change.explanation for change in every_slip(flight_of(late)))
    assert any("one minute too late" in change.explanation for change in every_slip(flight_of(late)))


def test_a_time_before_the_start_is_refused_as_any_edit_is(text: str) -> None:
    flight = flight_of(text.replace("T21:00:00Z", "T22:00:00Z"))
    sight = flight.sights[0]
    assert sight.time is not None
    early = Suspect(
        "s1", "too late", 0.0, Position(0.0, 0.0), 0.0, replace(sight, time=sight.time - timedelta(hours=1))
    )
    with pytest.raises(FlightError, match="before the start of the flight"):
        Document(flight, text.replace("T21:00:00Z", "T22:00:00Z")).with_edits(
            *adopting_edits(flight, adoption(flight, solve(flight), "f1", early))
        )
