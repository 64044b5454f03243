"""Legend, map of the whole flight and scale bar; labels that have little room."""

from __future__ import annotations

import numpy as np
import pytest
from PySide6.QtGui import QColor, QPainter
from synthetic import crossing

from nightleg.chart.box import Box
from nightleg.chart.export import sheet_of
from nightleg.chart.fit import fit
from nightleg.chart.ink import InkMap
from nightleg.chart.labels import Request, place
from nightleg.chart.layers import legend
from nightleg.chart.layers.overview import _outline, _view
from nightleg.chart.lettering import Style, write
from nightleg.chart.overlay import _beside
from nightleg.chart.paths import clip_lines
from nightleg.chart.sheet import Sheet, picture
from nightleg.chart.themes import THEMES, Theme
from nightleg.chart.viewport import NO_MARGINS, Rect

PAPER = THEMES["paper"]


@pytest.mark.parametrize("scale", [1.0, 1.85])
def test_the_legend_has_one_size_of_type(monkeypatch: pytest.MonkeyPatch, scale: float) -> None:
    written: list[tuple[str, float]] = []

    def noted(painter: QPainter, x: float, y: float, text: str, lettering: Style, theme: Theme, *, halo: bool) -> None:
        written.append((text, lettering.px))
        write(painter, x, y, text, lettering, theme, halo=halo)

    monkeypatch.setattr(legend, "write", noted)
    rows = {}
    for size in ((1900, 1000), (960, 440)):
        written.clear()
        sheet = sheet_of(crossing(), PAPER.scaled(scale), size, margins=NO_MARGINS)
        picture(size, 1.0, sheet.paint)
        assert {px for _, px in written} == {PAPER.small_px * scale}
        rows[size] = [text for text, _ in written]
        (box,) = next(layer for layer in sheet.layers if layer.name == "legend").obstacles(sheet)
        assert box.width * box.height <= 0.25 * size[0] * size[1]
    few, many = rows[(960, 440)], rows[(1900, 1000)]
    assert "DR, circle of 50 %" in few and set(few) <= set(many)
    assert (few == many) == (scale == 1.0)  # before a projector there is no room for what is lettered anyway


def test_a_chart_too_small_for_a_legend_has_none() -> None:
    sheet = sheet_of(crossing(), PAPER.scaled(2.0), (540, 300), margins=NO_MARGINS)
    assert list(next(layer for layer in sheet.layers if layer.name == "legend").obstacles(sheet)) == []


def test_the_legend_stands_on_a_ground_of_its_own_in_a_frame() -> None:
    size = (1200, 800)
    sheet = sheet_of(crossing(), PAPER, size, margins=NO_MARGINS)
    made = picture(size, 1.0, sheet.paint)
    (box,) = next(layer for layer in sheet.layers if layer.name == "legend").obstacles(sheet)
    sides = box.bounds()
    ground = QColor(PAPER.colours["ground"])
    along = np.linspace(sides.left + 3.0, sides.right - 3.0, 60)
    # A px beside the rounded place too: the edge may lie between two.
    edge = [
        min(made.pixelColor(round(x), round(sides.top) + d).lightness() for d in (-1, 0, 1)) for x in along.tolist()
    ]
    assert max(edge) < ground.lightness() - 40
    assert all(made.pixelColor(round(x), round(sides.top) + 4) == ground for x in along.tolist())


def test_the_map_of_the_whole_flight_shows_all_of_the_charts_view() -> None:
    scene = crossing(fixes=6, minutes_between=90.0)
    size = (1500, 800)
    view = fit(scene, size, extent="plot")
    seen = 0
    for dx in (-1500.0, 0.0, 1500.0, 3000.0):
        for dy in (-500.0, 0.0, 500.0):
            sheet = Sheet(scene, view.panned(dx, dy), PAPER)
            small = _view(sheet)
            if small is None:
                continue
            frame, outline = small.frame, _outline(sheet, small)
            assert all(frame.holds(x, y) for x, y in outline.tolist())
            assert all(frame.holds(x, y) for x, y in small.points([fix.position for fix in scene.fixes]))
            seen += 1
    assert seen >= 8
    far = Sheet(scene, view.panned(60000.0, 0.0), PAPER)
    small = _view(far)
    assert small is None or small.nm_per_px < 4.0 * fit(scene, (236, 150), extent="flight").nm_per_px


def test_a_label_without_room_gives_way_to_a_shorter_one() -> None:
    frame, ink = Rect(0.0, 0.0, 300.0, 200.0), InkMap(300.0, 200.0)
    short = Request((), 60.0, 12.0, (Box(40.0, 100.0, 60.0, 12.0),), 1.0, "one")
    wanted = replace_request(short, 240.0)
    assert [placed.request.width for placed in place([wanted], frame, [], ink)] == [240.0]
    in_the_way = [Box(200.0, 100.0, 60.0, 30.0)]
    assert [placed.request.width for placed in place([wanted], frame, in_the_way, ink)] == [60.0]


def replace_request(short: Request, width: float) -> Request:
    return Request((), width, 12.0, (Box(150.0, 100.0, width, 12.0),), 1.0, short.key, shorter=short)


def test_lines_run_on_behind_the_scale_bar() -> None:
    size = (1200, 800)
    sheet = sheet_of(crossing(), PAPER, size, margins=NO_MARGINS)
    bar = next(layer for layer in sheet.layers if layer.name == "scalebar")
    (box,) = bar.obstacles(sheet)
    _, made = sheet.piece(bar, box, 1.0)
    clear = sum(made.pixelColor(x, y).alpha() == 0 for x in range(made.width()) for y in range(made.height()))
    assert clear > 0.6 * made.width() * made.height()


def test_a_card_covers_as_little_as_it_can_of_what_it_tells_of() -> None:
    frame, run = Rect(0.0, 0.0, 1000.0, 700.0), np.array(((100.0, 600.0), (900.0, 60.0)))  # up to the right
    for share in (0.2, 0.5, 0.8):
        x, y = (run[0] + share * (run[1] - run[0])).tolist()
        card = _beside(frame, x, y, 270.0, 135.0, 24.0, [run])
        assert not card.holds(x, y) and clip_lines(run, card)[0] == []
        assert frame.left <= card.left and card.right <= frame.right
        assert frame.top <= card.top and card.bottom <= frame.bottom
    assert _beside(frame, 500.0, 400.0, 270.0, 135.0, 24.0, []) == Rect(524.0, 241.0, 794.0, 376.0)  # right and above
