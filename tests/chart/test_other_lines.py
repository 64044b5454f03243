"""Lines of other kinds on the chart: where they are drawn, checked with other people's geodesics, and what is said."""

from __future__ import annotations

import math
from dataclasses import replace
from datetime import UTC, datetime, timedelta

import numpy as np
import pytest
from geographiclib.geodesic import Geodesic

from nightleg.chart.export import sheet_of
from nightleg.chart.facts import facts
from nightleg.chart.pick import Entry, pick
from nightleg.chart.registry import LAYERS, layers
from nightleg.chart.scene import ChartScene, scene
from nightleg.chart.themes import LINE_DASHES_PX, THEMES
from nightleg.chart.viewport import NO_MARGINS
from nightleg.flight.linework import BUILDERS
from nightleg.flight.model import Fix, Flight, Leg, Line, Start, Wind
from nightleg.flight.solve import solve
from nightleg.units.positions import Position

START = datetime(2026, 3, 14, 22, 0, tzinfo=UTC)
AT = START + timedelta(minutes=30)
BEGUN = Position(41.5, -28.25)
STATION = Position(41.0, -30.5)
MADE = {
    "pressure": {"from_": "start", "d1_ft": 210.0, "d2_ft": 340.0},
    "bearing": {"station": STATION, "bearing_deg": 95.0},
    "radial": {"station": STATION, "radial_deg": 280.0, "reference": "true"},
    "range": {"station": STATION, "range_nm": 95.0, "slant": False},
    "latitude": {"latitude": 41.4},
}
_TENTH_M_NM = 0.1 / 1852.0  # what two geodesic libraries may differ by, and much less than a px


def flight(*kinds: str, start: Position = BEGUN, fixed: bool = False) -> Flight:
    lines = tuple(Line(id=kind, kind=kind, time=AT, **MADE[kind]) for kind in kinds)
    later = AT + timedelta(minutes=10)
    return Flight(
        start=Start(time=START, position=start),
        legs=(Leg(time=START, heading_deg=262.0, tas_kt=430.0, wind=Wind(from_deg=310.0, kt=45.0), altitude_ft=31e3),),
        lines=lines,
        fixes=(Fix(id="f1", time=later, sights=kinds, prior=True),) if fixed else (),
    )


def drawn(*kinds: str, fixed: bool = False) -> ChartScene:
    held = flight(*kinds, fixed=fixed)
    return scene(held, solve(held))


def points(kind: str) -> tuple[Position, ...]:
    return drawn(kind).of_kind(kind)[0].observed


def test_every_kind_of_line_has_a_layer_and_a_look_of_its_own() -> None:
    found = {layer.kind: layer for layer in LAYERS if getattr(layer, "kind", None) in BUILDERS}
    assert set(found) == set(BUILDERS) == set(MADE)
    looks = {(layer.dash_px, layer.sign) for layer in found.values()}
    assert len(looks) == len(found) and all(layer.sign is not None for layer in found.values())
    assert not {layer.dash_px for layer in found.values() if layer.dash_px} & set(LINE_DASHES_PX)
    assert {layer.name for layer in found.values()} == set(BUILDERS)  # what they are switched by
    assert len({layer.title for layer in LAYERS if layer.title}) == len([layer for layer in LAYERS if layer.title])


def test_a_range_is_a_circle() -> None:
    """Each point lies 30 NM from the station by geographiclib; the circle goes all round."""
    held = Line(id="r", kind="range", time=AT, station=STATION, range_nm=30.0, slant=False)
    whole = Flight(start=flight().start, legs=flight().legs, lines=(held,))
    (mark,) = scene(whole, solve(whole)).of_kind("range")
    lines = [Geodesic.WGS84.Inverse(*STATION, *place) for place in mark.observed]
    assert [line["s12"] / 1852.0 for line in lines] == pytest.approx([30.0] * len(lines), abs=_TENTH_M_NM)
    assert {round(line["azi1"] / 45.0) % 8 for line in lines} == set(range(8))
    arc = [Geodesic.WGS84.Inverse(*STATION, *place)["s12"] / 1852.0 for place in points("range")]
    assert arc == pytest.approx([95.0] * len(arc), abs=_TENTH_M_NM)


def test_a_bearing_is_the_place_where_the_great_circle_leaves_the_aircraft_so() -> None:
    away = [Geodesic.WGS84.Inverse(*place, *STATION)["azi1"] % 360.0 for place in points("bearing")]
    assert away == pytest.approx([95.0] * len(away), abs=0.01)  # degrees; 0.01° is 10 m at 30 NM


def test_a_radial_is_the_great_circle_that_leaves_the_station_so() -> None:
    places = [place for place in points("radial") if math.dist(place, STATION) > 1e-6]
    out = [Geodesic.WGS84.Inverse(*STATION, *place)["azi1"] % 360.0 for place in places]
    assert out == pytest.approx([280.0] * len(out), abs=1e-6)


def test_bearing_and_radial_part_as_the_meridians_converge() -> None:
    """Far from a station in high latitude the two are different curves: by Δλ·sin(middle latitude) of direction."""
    lines = (
        Line(id="b", kind="bearing", time=AT, station=Position(60.0, -10.0), bearing_deg=90.0),
        Line(id="v", kind="radial", time=AT, station=Position(60.0, -10.0), radial_deg=270.0, reference="true"),
    )
    held = replace_lines(flight(start=Position(60.0, -28.25)), lines)
    made = scene(held, solve(held))
    (mark,) = made.of_kind("radial")
    end = min(mark.observed, key=lambda place: abs(place.lon + 30.0))
    back = Geodesic.WGS84.Inverse(*end, 60.0, -10.0)["azi1"]  # east of it along the radial, and not 090 there
    expected = 90.0 - abs(end.lon + 10.0) * math.sin(math.radians((60.0 + end.lat) / 2.0))
    assert back == pytest.approx(expected, abs=0.3)  # degrees; the rule is that of a small triangle
    (other,) = made.of_kind("bearing")
    seen = [Geodesic.WGS84.Inverse(*place, 60.0, -10.0)["azi1"] for place in other.observed]
    assert seen == pytest.approx([90.0] * len(seen), abs=0.01)


def replace_lines(held: Flight, lines: tuple[Line, ...]) -> Flight:
    return Flight(start=held.start, legs=held.legs, lines=lines)


def test_a_latitude_is_its_parallel() -> None:
    assert {place.lat for place in points("latitude")} == {41.4}


def test_a_pressure_line_is_straight_beside_the_air_path() -> None:
    """Parallel to 262°, as far to the side as the published formula says (21.5, handbooks 21.47): within 0.3 %."""
    calm = Flight(start=flight().start, legs=(Leg(time=START, heading_deg=262.0, tas_kt=430.0, altitude_ft=31000.0),))
    air = solve(calm, now=AT).dr[-1].position
    middle = math.radians((41.5 + air.lat) / 2.0)
    expected = 21.47 / math.sin(middle) * (340.0 - 210.0) / 430.0
    a = math.radians(262.0)
    sides = []
    for place in points("pressure"):
        line = Geodesic.WGS84.Inverse(*air, *place)
        north, east = (line["s12"] / 1852.0 * f(math.radians(line["azi1"])) for f in (math.cos, math.sin))
        sides.append(north * math.sin(a) - east * math.cos(a))  # to the left
    middle_side = sides[len(sides) // 2]
    assert middle_side == pytest.approx(expected, rel=0.003)
    # a straight line of the plane at the air position: beside a geodesic it bends by less than a px of 0.2 NM
    assert np.ptp(sides) < 1.0


def test_lines_are_picked_by_a_click_and_tell_their_facts() -> None:
    for kind in MADE:
        made = drawn(kind)
        view = sheet_of(made, THEMES["paper"], (1200, 800), margins=NO_MARGINS).view
        (mark,) = made.of_kind(kind)
        xy = [view.point(place) for place in mark.observed]
        assert made.dr is not None
        dr = view.point(made.dr.position)
        far = next(at for at in xy if view.frame.holds(*at) and math.dist(at, dr) > 60.0)
        assert pick(made, view, *far) == Entry("line", kind)
        words = facts(made, Entry("line", kind))
        assert words[0] == f"{kind} {kind}, 2230:00 GMT"
        assert "from the DR" in words[1] and words[2].startswith("1σ ")


def test_the_legend_and_the_labels_tell_the_kinds_in_use() -> None:
    made = drawn("radial", "latitude")
    sheet = sheet_of(made, THEMES["paper"], (1200, 800))
    said = [entry.text for entry in sheet.legend]
    assert "radial from a station" in said and "latitude" in said
    assert "line of position" not in said and "pressure line" not in said
    assert {"line radial", "line latitude"} <= {label.request.key for label in sheet.placed}
    hidden = sheet_of(made, THEMES["paper"], (1200, 800), hidden=["radial"])
    assert "radial from a station" not in [entry.text for entry in hidden.legend]
    assert len(layers(["radial"])) == len(layers([])) - 1


def test_lines_carried_to_a_fix_are_shown_where_they_were_and_where_they_are() -> None:
    made = drawn("latitude", "range", fixed=True)
    for kind in ("latitude", "range"):
        (mark,) = made.of_kind(kind)
        assert mark.moved and mark.advanced != mark.observed and mark.text == f"2230–2240 {kind}"
    said = [entry.text for entry in sheet_of(made, THEMES["paper"], (1200, 800)).legend]
    assert said.count("line as observed") == 1
    assert replace(made, lines=()).of_kind("range") == ()
