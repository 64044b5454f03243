"""Odd flights: nothing to show, no position, poles, the 180th meridian, tiny circles, no movement."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from typing import get_args

import numpy as np
import pytest
from PySide6.QtGui import QImage
from synthetic import START, crossing, moved

from nightleg.chart.export import image, render, sheet_of
from nightleg.chart.ghosts import GhostMark
from nightleg.chart.marks import LandfallMark, LineMark
from nightleg.chart.registry import LAYERS
from nightleg.chart.scene import ChartScene, compose
from nightleg.chart.themes import THEMES
from nightleg.fix.ellipse import Ellipse
from nightleg.flight.model import Flight, Grid, Leg, LineKind, Start, Waypoint, Wind
from nightleg.flight.solution import Solution, TrackPoint, TrackRun
from nightleg.flight.solve import solve
from nightleg.units.positions import Position

SCENES = {
    "no position": crossing(placed=False),
    "no shots": crossing(shots=0),
    "no fix": crossing(fixes=0),
    "one shot": crossing(shots=1, placed=False),
    "many shots": crossing(shots=60),
    "no movement": crossing(gs_kt=0.0),
    "near the zenith": crossing(altitude_deg=89.9),
    "at the zenith": crossing(altitude_deg=90.0),
    "over the pole": crossing(start=Position(89.9, 10.0), track_deg=0.0, fixes=2),
    "at the south pole": crossing(start=Position(-90.0, 0.0), track_deg=0.0),
    "across 180": crossing(start=Position(-17.0, -177.0), fixes=2),
    "on the equator": crossing(start=Position(0.0, 0.0)),
    "far south": crossing(start=Position(-70.0, 60.0), fixes=3, turn_deg=90.0),
    "no title": crossing(title=""),
    "long title": crossing(title="An endless night across the whole of the ocean and back again " * 4),
    "odd title": crossing(title="<b>&amp;</b> \u202e\U0001f6e9 مرحبا"),
    "nothing": ChartScene("", "", START),
}


def flown(start: Position) -> Solution:
    """An hour with a strong wind abeam: the air plot leads well away from the track."""
    leg = Leg(time=START, heading_deg=300.0, tas_kt=240.0, wind=Wind(210.0, 60.0))
    return solve(Flight(start=Start(time=START, position=start), legs=(leg,)), START + timedelta(hours=1))


@pytest.mark.parametrize("name", SCENES)
@pytest.mark.parametrize("extent", ["plot", "flight"])
def test_every_odd_flight_gives_a_picture(name: str, extent: str) -> None:
    for number, theme in enumerate(THEMES.values()):
        size = ((1366, 768), (240, 200), (1000, 320))[number]
        sheet = sheet_of(SCENES[name], theme, size, extent="plot" if extent == "plot" else "flight")
        picture = image(sheet)
        assert _colours(picture) > 3  # ground, frame and words at the least


@pytest.mark.parametrize("kind", ["svg", "pdf"])
def test_odd_flights_as_vectors(kind: str) -> None:
    for name in ("nothing", "at the zenith", "odd title", "over the pole"):
        assert len(render(SCENES[name], kind)) > 2000


def _colours(picture: QImage) -> int:
    pixels = np.frombuffer(picture.constBits(), dtype=np.uint32)
    return int(np.unique(pixels).size)


def test_every_layer_can_be_left_out() -> None:
    scene = crossing(start=Position(44.0, -14.0), fixes=3, reveal=True)  # it ends among the Azores
    fix = scene.fixes[-1].position
    line = (moved(fix, 80.0, 90.0), moved(fix, 260.0, 90.0))
    landfall = LandfallMark("k1", "0040 Sun, landfall KILO", line, (fix, line[0]), line[0], ("0040 turn right 100°",))
    scene = replace(scene, landfalls=(landfall,), grid=Grid(chart="lambert", cone_latitude_deg=40.0))
    others = tuple(
        LineMark(kind, kind, line, line, line[:1], 0, True, True, False, kind) for kind in get_args(LineKind)
    )
    ghost = GhostMark("s2 60′ less", (line,), moved(fix, 30.0, 8.0), "8 NM off", Ellipse(6.0, 3.0, 40.0))
    scene = replace(scene, lines=(*scene.lines, *others), ghost=ghost, solution=flown(fix))
    scene = replace(scene, now=START + timedelta(hours=1))
    whole = render(scene, "png", size=(1200, 700), hidden=[])
    for layer in LAYERS:
        without = render(scene, "png", size=(1200, 700), hidden=[layer.name])
        assert without != whole, layer.name


def test_a_route_round_the_world_and_over_the_poles() -> None:
    places = [(10.0, 100.0), (5.0, -170.0), (-60.0, -20.0), (90.0, 0.0), (90.0, 50.0), (0.0, 180.0), (0.0, 0.0)]
    for path in ("rhumb", "great_circle"):
        points = tuple(
            Waypoint(name=f"W{i}", position=Position(*place), path="rhumb" if path == "rhumb" else "great_circle")
            for i, place in enumerate(places)
        )
        flight = Flight(
            start=Start(time=START, position=Position(0.0, 0.0)),
            legs=(Leg(time=START, heading_deg=90.0, tas_kt=400.0),),
            waypoints=points,
        )
        run = TrackRun((TrackPoint(START, Position(0.0, 0.0)),), ())
        scene = compose(flight, Solution("", START, (), (), ()), [], [run])
        for extent in ("plot", "flight"):
            sheet = sheet_of(scene, THEMES["paper"], (900, 600), extent="plot" if extent == "plot" else "flight")
            assert _colours(image(sheet)) > 3


def test_a_larger_device_gives_a_larger_picture_of_the_same() -> None:
    sheet = sheet_of(crossing(), THEMES["dim"], (600, 400))
    sharp = replace(sheet, view=replace(sheet.view, device_pixel_ratio=2.0), _kept={})
    assert image(sharp).width() == 1200
