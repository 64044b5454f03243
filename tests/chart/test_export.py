"""Pictures as files: the same bytes everywhere, letters without fonts, endings, sizes, whole files."""

from __future__ import annotations

import os
import re
import subprocess
import sys
import zlib
from pathlib import Path
from xml.etree import ElementTree

import pytest
from PySide6.QtGui import QColor, QImage
from synthetic import crossing

from nightleg.chart import fonts
from nightleg.chart.export import draw, ending, render
from nightleg.chart.sheet import Sheet
from nightleg.chart.themes import THEMES, theme
from nightleg.flight.read import parse_flight
from nightleg.flight.solve import solve

HERE = Path(__file__).parent
APP = HERE.parents[1] / "app"
CODE = """
import hashlib, sys
sys.path.insert(0, {here!r})
from synthetic import crossing
from nightleg.chart.export import render
for kind in ("png", "svg", "pdf"):
    data = render(crossing(fixes=2, seed=3), kind, theme_name="dim", size=(900, 600))
    print(kind, hashlib.sha256(data).hexdigest())
"""
FLIGHT = """
format = "nightleg-flight-1"
title = "Night crossing"
[start]
time = 2026-03-14T22:00:00Z
position = "40 40.0 N 023 10.0 W"
[[leg]]
time = 2026-03-14T22:00:00Z
heading_deg = 256.0
tas_kt = 430.0
wind = "310/45"
altitude_ft = 31000
[[waypoint]]
name = "KILO"
position = "37 50.0 N 033 00.0 W"
path = "great_circle"
[[sight]]
id = "s1"
body = "Capella"
time = 2026-03-14T22:32:00Z
hs = 58.2
[[sight]]
id = "s2"
body = "Sirius"
time = 2026-03-14T22:36:00Z
hs = 30.5
[[fix]]
id = "f1"
time = 2026-03-14T22:40:00Z
sights = ["s1", "s2"]
"""


def _elsewhere(**environment: str) -> str:
    given = {k: v for k, v in os.environ.items() if k not in ("TZ", "LANG", "LC_ALL", "LANGUAGE", "PYTHONHASHSEED")}
    given |= {"PYTHONPATH": str(APP), "QT_QPA_PLATFORM": "offscreen"} | environment
    code = CODE.format(here=str(HERE))
    done = subprocess.run(
        [sys.executable, "-c", code], env=given, capture_output=True, text=True, check=True, timeout=100
    )
    return done.stdout


def test_the_same_bytes_whatever_zone_language_and_hash_seed() -> None:
    one = _elsewhere(TZ="Pacific/Chatham", LANG="C", LC_ALL="C", PYTHONHASHSEED="1")
    other = _elsewhere(TZ="America/Nome", LANG="de_DE.UTF-8", LC_ALL="ar_EG.UTF-8", PYTHONHASHSEED="77")
    assert len(one.splitlines()) == 3
    assert one == other


@pytest.mark.parametrize("name", THEMES)
def test_a_png_has_the_size_and_the_ground_of_its_theme(name: str) -> None:
    picture = QImage.fromData(render(crossing(), "png", theme_name=name, size=(800, 500)))
    assert (picture.width(), picture.height()) == (800, 500)
    assert picture.pixelColor(3, 3) == QColor(theme(name).colours["ground"])


def test_svg_carries_its_letters_as_outlines() -> None:
    data = render(crossing(), "svg", size=(800, 500))
    root = ElementTree.fromstring(data)
    tags = {element.tag.rpartition("}")[2] for element in root.iter()}
    # Without text elements there is nothing that a viewer could set in another typeface.
    assert "text" not in tags and "image" not in tags and "path" in tags
    assert root.get("viewBox") == "0 0 800 500"
    assert b"nan" not in data.lower().replace(b"nightleg", b"")


def test_pdf_is_one_landscape_page_with_its_fonts_and_no_clock() -> None:
    data = render(crossing(), "pdf", page="A3")
    assert data.startswith(b"%PDF") and data.rstrip().endswith(b"%%EOF")
    assert len(re.findall(rb"/Type\s*/Page\b", data)) == 1
    box = re.search(rb"/MediaBox \[\s*0 0 ([\d.]+) ([\d.]+)", data)
    assert box is not None
    # ISO 216: A3 is 420 by 297 mm; a point is 1/72 inch. Qt rounds pages to whole points.
    assert float(box[1]) == pytest.approx(420 / 25.4 * 72, abs=1.0)
    assert float(box[2]) == pytest.approx(297 / 25.4 * 72, abs=1.0)
    names = set(re.findall(rb"/FontName /([\w+-]+)", data))
    assert names and all(b"B612" in name for name in names)
    assert data.count(b"/FontFile2") + data.count(b"/FontFile3") == len(names)
    stamps = set(re.findall(rb"D:(\d{14})", data))
    assert stamps == {b"20260314230030"}  # the flight's time, not that of the drawing
    assert b"CreateDate" not in data and b"ModifyDate" not in data
    # Every offset of the table at the end points at its object, wherever the date that was put in moved it.
    table = data[data.rindex(b"\nxref\n") :]
    offsets = [int(offset) for offset in re.findall(rb"(\d{10}) \d{5} n", table)]
    assert offsets and all(re.match(rb"\d+ 0 obj", data[offset : offset + 12]) for offset in offsets)
    start = re.search(rb"startxref\s+(\d+)", table)
    assert start is not None and data[int(start[1]) :].startswith(b"xref")


def test_pdf_text_can_be_copied() -> None:
    data = render(crossing(), "pdf")
    streams = re.findall(rb"stream\r?\n(.*?)\r?\nendstream", data, re.DOTALL)
    texts = [zlib.decompress(s) if s[:1] == b"x" else s for s in streams]
    assert sum(text.count(b" Tj") + text.count(b" TJ") for text in texts) > 10


def test_endings_sizes_themes_and_pages_are_checked() -> None:
    assert ending("a/b.PNG") == "png"
    for name, words in (("chart.gif", r"\.gif.*\.png, \.svg or \.pdf"), ("chart", "no ending")):
        with pytest.raises(ValueError, match=words):
            ending(name)
    with pytest.raises(ValueError, match="from 200 to 16384"):
        render(crossing(), "png", size=(100, 100))
    with pytest.raises(ValueError, match="paper, dim, red"):
        render(crossing(), "png", theme_name="blue")
    with pytest.raises(ValueError, match="A4 or A3"):
        render(crossing(), "pdf", page="A9")


def test_draw_writes_a_solved_flight_and_keeps_the_old_file_on_error(tmp_path: Path) -> None:
    flight = parse_flight(FLIGHT).flight
    target = tmp_path / "chart.png"
    draw(flight, solve(flight), target, size=(640, 400))
    first = target.read_bytes()
    assert first.startswith(b"\x89PNG")
    with pytest.raises(ValueError, match="theme"):
        draw(flight, solve(flight), target, theme="none")
    assert target.read_bytes() == first
    assert [path.name for path in tmp_path.iterdir()] == ["chart.png"]


def test_a_missing_font_is_an_error_not_another_typeface(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    broken = tmp_path / "B612-Regular.otf"
    broken.write_bytes(b"no font")
    monkeypatch.setattr(fonts, "resource", lambda *_: broken)
    fonts.load.cache_clear()
    try:
        with pytest.raises(fonts.FontMissing, match=r"B612-Regular\.otf is not the typeface B612"):
            fonts.load()

        def gone(*_: str) -> Path:
            raise FileNotFoundError("resources/fonts did not come with this installation")

        monkeypatch.setattr(fonts, "resource", gone)
        with pytest.raises(fonts.FontMissing, match="install the program again"):
            fonts.load()
    finally:
        fonts.load.cache_clear()


def test_letters_are_those_of_the_shipped_files() -> None:
    # B612's figures are of one width, capitals 0.73 em high; the trade's signs are in it.
    widths = {fonts.text_width_px(figure, 100.0) for figure in "0123456789"}
    assert len(widths) == 1
    for sign in "°′″σ±−½–·":
        assert fonts.metrics(100.0).inFontUcs4(ord(sign)), sign


def test_a_failing_layer_leaves_no_painter_behind(monkeypatch: pytest.MonkeyPatch) -> None:
    def fail(*_: object) -> None:
        raise RuntimeError("no paint")

    monkeypatch.setattr(Sheet, "paint", fail)
    for kind in ("png", "svg", "pdf"):
        with pytest.raises(RuntimeError, match="no paint"):
            render(crossing(), kind)
