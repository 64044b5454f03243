"""`nightleg draw`: a picture, whole or not at all."""

from __future__ import annotations

import errno
import os
import time
import xml.etree.ElementTree as ET
from pathlib import Path

import pytest

from nightleg.chart import export
from nightleg.chart.themes import THEMES as CHART_THEMES
from nightleg.commands.draw import KINDS, THEMES
from nightleg.commands.main import main

Capture = pytest.CaptureFixture[str]
SMALL = ["--size", "640x400"]
BEGINNINGS = {"png": b"\x89PNG\r\n\x1a\n", "svg": b"<?xml", "pdf": b"%PDF-"}


@pytest.mark.parametrize("kind", KINDS)
def test_each_kind(kind: str, night_file: str, tmp_path: Path, capsys: Capture) -> None:
    target = tmp_path / f"chart.{kind.upper()}"
    assert main(["draw", night_file, *SMALL, "-o", str(target)]) == 0
    assert target.read_bytes().startswith(BEGINNINGS[kind])
    assert capsys.readouterr() == ("", "")


def test_the_size_is_that_of_the_picture(night_file: str, tmp_path: Path) -> None:
    target = tmp_path / "chart.png"
    assert main(["draw", night_file, "--size", "800x600", "-o", str(target)]) == 0
    head = target.read_bytes()[16:24]  # width and height in a PNG's first chunk, big-endian (RFC 2083, section 4.1.1)
    assert (int.from_bytes(head[:4]), int.from_bytes(head[4:])) == (800, 600)


def test_themes_and_times_make_different_pictures(night_file: str, tmp_path: Path) -> None:
    pictures = set()
    for options in (["--theme", "paper"], ["--theme", "dim"], ["--theme", "red"], ["--at", "2230"]):
        target = tmp_path / "chart.png"
        assert main(["draw", night_file, *SMALL, *options, "-o", str(target)]) == 0
        pictures.add(target.read_bytes())
    assert len(pictures) == 4


def test_at_a_time_the_chart_knows_nothing_of_what_came_later() -> None:
    from datetime import UTC, datetime

    from nightleg.chart.scene import scene
    from nightleg.commands.draw import as_known
    from nightleg.commands.flights import solved
    from nightleg.resources import scenario

    whole = solved(str(scenario("demo")))
    now = datetime(2026, 10, 18, 21, 54, tzinfo=UTC)  # after the first shot of the last fix, before its second
    then = as_known(whole, now)
    drawn = scene(then.flight, then.solution, now)
    assert drawn.now == now
    assert {fix.id for fix in whole.solution.fixes} - {fix.id for fix in then.solution.fixes} == {"f4"}
    assert {line.id for line in drawn.lines} == {sight.id for sight in whole.solution.sights if sight.time < now}


def test_kinds_and_themes_are_those_of_the_chart() -> None:
    assert set(THEMES) == set(CHART_THEMES)
    assert all(export.ending(f"chart.{kind}") == kind for kind in KINDS)


def test_a_wrong_file_leaves_the_target_alone(night: str, tmp_path: Path, capsys: Capture) -> None:
    bad, target = tmp_path / "bad.flight.toml", tmp_path / "chart.png"
    bad.write_text(night.replace("Capella", "Capela"), encoding="utf-8")
    target.write_bytes(b"old")
    assert main(["draw", str(bad), "-o", str(target)]) == 1
    assert "Capella" in capsys.readouterr().err
    assert target.read_bytes() == b"old"


def test_a_target_that_cannot_be_written_is_named(night_file: str, tmp_path: Path, capsys: Capture) -> None:
    target = tmp_path / "no" / "chart.png"
    assert main(["draw", night_file, *SMALL, "-o", str(target)]) == 1
    assert f"{target}: cannot be written: there is no folder" in capsys.readouterr().err
    folder = tmp_path / "folder.png"
    folder.mkdir()
    assert main(["draw", night_file, *SMALL, "-o", str(folder)]) == 1
    assert f"{folder}: cannot be written: a folder stands there" in capsys.readouterr().err
    assert list(folder.iterdir()) == []


def test_a_full_disk_keeps_the_old_picture(
    night_file: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: Capture
) -> None:
    def full(descriptor: int) -> None:
        raise OSError(errno.ENOSPC, "No space left on device")

    target = tmp_path / "chart.png"
    target.write_bytes(b"old")
    monkeypatch.setattr(os, "fsync", full)
    assert main(["draw", night_file, *SMALL, "-o", str(target)]) == 1
    assert capsys.readouterr().err == f"nightleg: {target}: cannot be written: No space left on device\n"
    assert target.read_bytes() == b"old"
    assert {path.name for path in tmp_path.iterdir()} == {"chart.png", "night.flight.toml"}


def test_what_libraries_write_to_standard_error_stays_there(
    night_file: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capfd: pytest.CaptureFixture[str]
) -> None:
    def noisy(*arguments: object, **options: object) -> bytes:
        os.write(2, b"a library's own remark\n")
        return b"picture"

    monkeypatch.setattr(export, "render", noisy)
    assert main(["draw", night_file, "-o", str(tmp_path / "chart.png")]) == 0
    assert capfd.readouterr().err == ""
    os.write(2, b"after it")
    assert capfd.readouterr().err == "after it"


def test_what_the_chart_refuses_is_told(
    night_file: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: Capture
) -> None:
    def refuse(*arguments: object, **options: object) -> bytes:
        raise ValueError("the plot holds both poles")

    monkeypatch.setattr(export, "render", refuse)
    assert main(["draw", night_file, "-o", str(tmp_path / "chart.png")]) == 1
    assert "night.flight.toml: cannot be drawn: the plot holds both poles" in capsys.readouterr().err


@pytest.mark.parametrize(
    "title", ["\\u001b[31mred\\u0007\\u0000", "\\ufffe\\uffff", "\\u202eabc", "a\\nb\\tc", "<b>&amp;</b>"]
)
def test_control_characters_do_not_reach_a_picture(title: str, night: str, tmp_path: Path) -> None:
    """XML 1.0, section 2.2, has no place for them; in a PDF and on the chart they are of no use."""
    path, route = tmp_path / "x.flight.toml", '\n[[waypoint]]\nname = "K\\u0007"\nposition = "40 N 40 W"\n'
    path.write_text(night.replace('"Night crossing"', f'"{title} night"') + route, encoding="utf-8")
    for kind in KINDS:
        assert main(["draw", str(path), *SMALL, "-o", str(tmp_path / f"x.{kind}")]) == 0
    told = ET.parse(tmp_path / "x.svg").getroot().findtext("{http://www.w3.org/2000/svg}title") or ""
    assert told.endswith("night")
    assert told.isprintable()
    assert b"\x1b" not in (tmp_path / "x.pdf").read_bytes().split(b"<rdf:li")[1].split(b"</rdf:li>")[0]


def test_long_title_is_drawn(night: str, tmp_path: Path) -> None:
    path = tmp_path / "x.flight.toml"
    path.write_text(night.replace('"Night crossing"', '"' + "x" * 5000 + '"'), encoding="utf-8")
    assert main(["draw", str(path), *SMALL, "-o", str(tmp_path / "x.svg")]) == 0


def test_the_flight_file_is_not_drawn_over(night: str, tmp_path: Path, capsys: Capture) -> None:
    path = tmp_path / "night.png"
    path.write_text(night, encoding="utf-8")
    (tmp_path / "link.png").symlink_to(path)
    for target in (path, tmp_path / "link.png", tmp_path / ".." / tmp_path.name / "night.png"):
        assert main(["draw", str(path), "-o", str(target)]) == 1
        assert "would take the place of the flight file" in capsys.readouterr().err
    assert path.read_text(encoding="utf-8") == night


def test_a_plot_of_years_is_refused_at_once(night: str, tmp_path: Path, capsys: Capture) -> None:
    path = tmp_path / "x.flight.toml"
    path.write_text(night.replace('wind = "310/45"', 'wind = "310/45"\nsteering = "great_circle"'), encoding="utf-8")
    started = time.process_time()
    assert main(["draw", str(path), "--at", "2050-01-01T00:00:00Z", "-o", str(tmp_path / "x.png")]) == 1
    assert time.process_time() - started < 5.0  # s
    assert "a chart is drawn of at most 60 days" in capsys.readouterr().err
    assert main(["draw", str(path), *SMALL, "--at", "2026-05-10T00:00:00Z", "-o", str(tmp_path / "x.png")]) == 0
    assert time.process_time() - started < 10.0  # s
