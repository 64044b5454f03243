"""Places kept from run to run: the same to the bit, and never from a file that is not theirs."""

from __future__ import annotations

import os
import subprocess
import sys
import zlib
from pathlib import Path

import msgspec
import numpy as np
import pytest

from nightleg import cache
from nightleg.resources import scenario
from nightleg.sky import blocks, kept, timescale
from nightleg.sky.kept import NAME, Kept
from nightleg.sky.places import places, places_of

DAY = 9505  # 2026-01-09
BODIES = ["Sun", "Moon", "Vega", "Sirius"]
TIMES_S = (DAY + 0.3) * 86400.0 + 600.0 * np.arange(4)


def computed() -> dict[kept.Key, kept.Floats]:
    """Blocks that owe nothing to any file."""
    return blocks._computed(DAY, BODIES)


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A folder with the places of a day in it."""
    store = Kept(tmp_path / "cache")
    store.add(computed())
    store.published = (8.0e8, 0.04)
    store.write()
    return tmp_path / "cache"


def test_what_is_kept_is_the_same_to_the_bit(folder: Path) -> None:
    store = Kept(folder)
    for (body, day), values in computed().items():
        found = store.find(body, day)
        assert found is not None and found.tobytes() == values.tobytes()
    assert store.published == (8.0e8, 0.04)
    assert store.find("Mars", DAY) is None and store.find("Sun", DAY + 1) is None


def test_places_from_the_file_are_the_same_to_the_bit(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(blocks, "_blocks", {})
    fresh, one = places_of(BODIES, TIMES_S), places("Moon", TIMES_S)

    def no_more(day: int, bodies: list[str]) -> dict[kept.Key, kept.Floats]:
        raise AssertionError(f"{bodies} of day {day} are in the file")

    monkeypatch.setattr(blocks, "_blocks", {})
    monkeypatch.setattr(blocks, "_computed", no_more)
    monkeypatch.setattr(kept, "kept", lambda: Kept(folder))
    again, other = places_of(BODIES, TIMES_S), places("Moon", TIMES_S)
    for field in ("gha_deg", "dec_deg", "distance_km", "radius_km"):
        assert getattr(again, field).tobytes() == getattr(fresh, field).tobytes()
        assert getattr(other, field).tobytes() == getattr(one, field).tobytes()


def test_a_damaged_or_foreign_file_is_as_none(folder: Path) -> None:
    file = folder / NAME
    whole = file.read_bytes()
    for spoilt in (
        b"",
        whole[:-1],
        whole[: len(whole) // 2],
        whole[:-100] + bytes([whole[-100] ^ 1]) + whole[-99:],
        b"\x89PNG\r\n" + whole,
        bytes(4000),
    ):
        file.write_bytes(spoilt)
        store = Kept(folder)
        assert store.find("Sun", DAY) is None and store.published is None
    store.add(computed())
    store.write()
    assert Kept(folder).find("Sun", DAY) is not None  # and is replaced by a good one


def test_other_data_other_places(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(kept, "made_from", lambda: "another ephemeris")
    assert Kept(folder).find("Sun", DAY) is None


def test_what_the_places_are_made_from_is_named() -> None:
    named = kept.made_from()
    for part in ("de421.bsp", "iers.npz", "navigational.csv", "bright.csv", "blocks.py", "timescale.py"):
        assert f"{part} " in named


def test_lists_that_do_not_fit_are_as_none(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    # A file that is whole, but says something impossible.
    for bodies, days, values in ((["Sun"], [], b""), (["Sun"], [DAY], b"12"), (["Sun"], [DAY], bytes(2 * 8 * 21))):
        data = msgspec.msgpack.encode(kept._File(kept.made_from(), None, bodies, days, values))
        check = zlib.crc32(data).to_bytes(4, "little")
        (folder / NAME).write_bytes(kept._BEGIN + check + data)
        assert Kept(folder).find("Sun", DAY) is None


def test_the_file_is_bounded_and_the_oldest_go(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(kept, "_MOST", 3)
    store = Kept(folder)
    assert store.find("Sun", DAY) is not None  # used again
    store.add({("Mars", DAY): np.ones(kept.SHAPE)})
    store.write()
    left = Kept(folder)
    assert [left.find(body, DAY) is not None for body in ("Sun", "Mars", "Sirius", "Moon", "Vega")] == [
        True,
        True,
        True,
        False,
        False,
    ]


def test_two_programs_at_once_lose_nothing(folder: Path) -> None:
    one, other = Kept(folder), Kept(folder)
    one.add({("Mars", DAY): np.ones(kept.SHAPE)})
    other.add({("Venus", DAY): np.ones(kept.SHAPE)})
    one.write()
    other.write()
    both = Kept(folder)
    assert both.find("Mars", DAY) is not None and both.find("Venus", DAY) is not None


def test_a_folder_that_cannot_be_is_no_matter(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("in the way")
    store = Kept(tmp_path / "file" / "cache")
    store.add(computed())
    store.write()
    assert store.find("Sun", DAY) is None


def test_nothing_is_kept_unless_this_is_the_program() -> None:
    assert cache.folder() is None
    assert kept.kept() is None


def test_the_end_of_the_published_rotation_is_kept(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(kept, "kept", lambda: Kept(folder))
    timescale._published.cache_clear()
    try:
        note = timescale.prediction_note(8.1e8)
    finally:
        timescale._published.cache_clear()
    assert note is not None and "DUT1 = +0.04 s" in note and "published up to 2025-05-08" in note


def test_a_second_call_of_the_program_needs_no_ephemeris_and_says_the_same(tmp_path: Path) -> None:
    script = (
        "import sys; from nightleg.commands.main import process\n"
        f"sys.argv = ['nightleg', 'solve', {str(scenario('demo'))!r}, '--json']\n"
        "code = process()\n"
        "print('skyfield' in sys.modules, file=sys.stderr)\n"
        "sys.exit(code)"
    )
    environment = {**os.environ, "NIGHTLEG_HOME": str(tmp_path), "PYTHONPATH": ":".join(sys.path)}
    said = [
        subprocess.run(
            [sys.executable, "-c", script], env=environment, capture_output=True, text=True, check=True, timeout=60
        )
        for _ in range(2)
    ]
    assert [run.stderr.strip() for run in said] == ["True", "False"]
    assert said[0].stdout == said[1].stdout and '"fixes"' in said[0].stdout
    assert [file.name for file in (tmp_path / "cache").iterdir()] == [NAME]
