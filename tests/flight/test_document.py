"""Documents: what a person wrote stays, edits are checked, files are replaced whole."""

from __future__ import annotations

import difflib
import os
import tomllib
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from nightleg.flight.document import Document, changed_on_disk, save
from nightleg.flight.edits import Append, Put, Remove, edited
from nightleg.flight.errors import FlightError
from nightleg.flight.model import Wind
from nightleg.flight.read import parse_flight, read_flight
from nightleg.units.positions import Position

FIXTURES = Path(__file__).parent / "fixtures"
WHOLE = (FIXTURES / "whole.flight.toml").read_text(encoding="utf-8")
SMALL = (FIXTURES / "small.flight.toml").read_text(encoding="utf-8")


def changed_lines(before: str, after: str) -> list[str]:
    difference = difflib.ndiff(before.splitlines(), after.splitlines())
    return [line for line in difference if line[0] in "+-"]


@pytest.fixture
def small() -> Document:
    return parse_flight(SMALL)


@pytest.mark.parametrize("name", ["whole", "small"])
def test_saved_unedited_it_is_the_same_to_the_byte(tmp_path: Path, name: str) -> None:
    source = FIXTURES / f"{name}.flight.toml"
    saved = save(read_flight(source), tmp_path / "copy.flight.toml")
    assert saved.path is not None
    assert saved.path.read_bytes() == source.read_bytes()


def test_value_is_replaced_and_its_comment_stays() -> None:
    document = parse_flight(WHOLE).with_value(("watch",), "error_s", 3.0)
    assert changed_lines(WHOLE, document.text) == ["- error_s = 2.5 # fast", "+ error_s = 3.0 # fast"]
    assert document.flight.watch.error_s == 3.0


def test_values_of_the_model_are_written_as_a_navigator_would(small: Document) -> None:
    text = small.with_value(("start",), "position", Position(41.25, -28.0)).text
    assert 'position = "41 15.0 N 028 00.0 W"' in text
    text = small.with_value(("leg", 0), "wind", Wind(from_deg=310.0, kt=45.0)).text
    assert 'wind = "310/45"' in text
    assert 'hs = "61 09.0"' in small.with_value(("sight", "s1"), "hs", 61.15).text


def test_new_key_goes_to_the_end_of_its_table(small: Document) -> None:
    document = small.with_value(("sight", "s1"), "limb", "centre")
    assert changed_lines(SMALL, document.text) == ['+ limb = "centre"']
    assert 'hs = "61 08.0"\nlimb = "centre"\n' in document.text


def test_key_is_taken_away_with_none(small: Document) -> None:
    document = small.with_value(("start",), "sigma_nm", 3.0)
    assert document.with_value(("start",), "sigma_nm", None).text == SMALL


def test_key_above_all_tables(small: Document) -> None:
    assert changed_lines(SMALL, small.with_value((), "notes", "calm").text) == ['+ notes = "calm"']
    assert small.with_value((), "title", 'a "b"\\').flight.title == 'a "b"\\'


def test_table_that_was_left_out_is_made(small: Document) -> None:
    document = small.with_value(("watch",), "error_s", 2.0)
    assert document.text == SMALL + "\n[watch]\nerror_s = 2.0\n"


def test_sight_is_added_after_the_last_one(small: Document) -> None:
    values = {"id": "s2", "body": "Vega", "time": small.flight.fixes[0].time, "hs": "30 12.5", "limb": None}
    document = small.with_table_appended("sight", values)
    assert [sight.id for sight in document.flight.sights] == ["s1", "s2"]
    assert document.text.index('id = "s2"') < document.text.index("[[fix]]")
    assert not [line for line in changed_lines(SMALL, document.text) if line.startswith("-")]


def test_tables_of_two_kinds_mixed_keep_their_order() -> None:
    document = parse_flight(WHOLE).with_value(("sight", "s2"), "limb", "upper")
    assert changed_lines(WHOLE, document.text) == ['- limb = "lower"', '+ limb = "upper"']


def test_removed_table_leaves_all_else(small: Document) -> None:
    values = {"id": "s2", "body": "Vega", "time": small.flight.fixes[0].time, "hs": "30 12.5"}
    assert small.with_table_appended("sight", values).without(("sight", "s2")).text == SMALL
    assert not parse_flight(WHOLE).without(("truth",)).text.count("[truth]")


def test_edit_that_breaks_the_flight_is_refused_and_loses_nothing(small: Document) -> None:
    with pytest.raises(FlightError, match='there is no sight or line "s1"'):
        small.without(("sight", 0))
    with pytest.raises(FlightError, match="out of range"):
        small.with_value(("sight", 0), "hs", "95 00")
    assert small.text == SMALL
    assert small.with_edits(Put(("fix", "f1"), "sights", []), Remove(("sight", "s1"))).flight.sights == ()


def test_unknown_place(small: Document) -> None:
    with pytest.raises(KeyError):
        small.with_value(("sight", "s9"), "hs", "30 00")
    with pytest.raises(KeyError):
        small.without(("sight", 7))


@pytest.mark.parametrize("ends", ["\n", "\r\n"])
def test_line_ends_mark_and_missing_last_line_end_are_kept(ends: str) -> None:
    text = "\ufeff" + SMALL.rstrip("\n").replace("\n", ends)
    document = parse_flight(text).with_value(("fix", "f1"), "prior", True)
    assert document.text.startswith("\ufeff")
    assert document.text == text + ends + "prior = true" + ends


def test_inline_tables_and_dotted_keys() -> None:
    text = SMALL.replace("[start]\n", "").replace('time = 2026-03-14T22:00:00Z\nposition = "', 'start.position = "', 1)
    text = text.replace("\n\n[[leg]]", "\nstart.time = 2026-03-14T22:00:00Z\n\n[[leg]]", 1)
    document = parse_flight(text).with_value(("start",), "sigma_nm", 3.0)
    assert "start.sigma_nm = 3.0\n\n[[leg]]" in document.text
    inline = text.replace("\n\n[[leg]]", '\nwaypoint = [{ name = "A", position = "1 1" }]\n\n[[leg]]', 1)
    added = parse_flight(inline).with_table_appended("waypoint", {"name": "B", "position": "2 2"})
    assert [point.name for point in added.flight.waypoints] == ["A", "B"]
    moved = added.with_value(("waypoint", 1), "position", "3 3")
    assert moved.flight.waypoints[1].position == Position(3.0, 3.0)
    assert [point.name for point in moved.without(("waypoint", 0)).flight.waypoints] == ["B"]


EDITS = st.one_of(
    st.builds(Put, st.sampled_from([("start",), ("watch",), ("leg", 1), ("sight", 0), ("sight", 1), ("fix", 1)]),
              st.sampled_from(["time", "limb", "id", "new"]),
              st.one_of(st.none(), st.floats(allow_nan=False, allow_infinity=False), st.text(
                  st.characters(codec="utf-8")), st.booleans(), st.integers(-(2**62), 2**62))),
    st.builds(Append, st.sampled_from(["sight", "log", "waypoint"]),
              st.dictionaries(st.sampled_from(["a", "b"]), st.text(st.characters(codec="utf-8")))),
    st.builds(Remove, st.sampled_from([("truth",), ("log", 0), ("sight", 0), ("leg", 0)])),
)  # fmt: skip


@given(st.sampled_from([WHOLE, SMALL]), EDITS)
def test_edit_does_what_it_says_and_nothing_else(text: str, edit: Put | Append | Remove) -> None:
    """Whatever is edited, the values that TOML reads afterwards differ only there, and no comment is lost."""
    expected = tomllib.loads(text)
    try:
        if isinstance(edit, Append):
            expected.setdefault(edit.name, []).append(dict(edit.values))
        elif isinstance(edit, Remove):
            holder: Any = expected if len(edit.place) == 1 else expected[str(edit.place[0])]
            del holder[edit.place[-1]]
        else:
            table: Any = expected
            for step in edit.place:
                table = table.setdefault(step, {}) if isinstance(step, str) and step == "watch" else table[step]
            if edit.value is None:
                table.pop(edit.key, None)
                if edit.place == ("watch",) and not table:
                    del expected["watch"]
            else:
                table[edit.key] = edit.value
    except (KeyError, IndexError):
        with pytest.raises(KeyError):
            edited(text, edit)
        return
    after = edited(text, edit)
    assert tomllib.loads(after) == {key: value for key, value in expected.items() if value != []}
    for comment in ("# A flight file with every", "# half way", "# The series runs over midnight."):
        assert (comment in after) == (comment in text)


def test_saving_keeps_permissions_and_follows_links(tmp_path: Path) -> None:
    target, link = tmp_path / "real.flight.toml", tmp_path / "link.flight.toml"
    target.write_text(SMALL)
    target.chmod(0o640)
    link.symlink_to(target)
    document = read_flight(link).with_value((), "title", "New")
    assert document.unsaved
    document = save(document)
    assert not document.unsaved
    assert link.is_symlink()
    assert target.stat().st_mode & 0o777 == 0o640
    assert read_flight(target).flight.title == "New"
    assert sorted(os.listdir(tmp_path)) == ["link.flight.toml", "real.flight.toml"]


def test_change_on_disk_is_seen(tmp_path: Path) -> None:
    path = tmp_path / "x.flight.toml"
    path.write_text(SMALL)
    document = read_flight(path)
    assert not changed_on_disk(document)
    edited_one = document.with_value((), "title", "Mine")
    assert not changed_on_disk(edited_one)
    path.write_text(SMALL.replace("Small", "Other"))
    assert changed_on_disk(edited_one)
    assert not changed_on_disk(save(edited_one))
    path.unlink()
    assert changed_on_disk(document)
    assert not changed_on_disk(parse_flight(SMALL))


def test_saving_without_a_path(small: Document) -> None:
    with pytest.raises(ValueError, match="no file yet"):
        save(small)
