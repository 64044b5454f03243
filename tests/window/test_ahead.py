"""The waypoint ahead, the words of the window, the rows of the log."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from nightleg.flight.document import Document
from nightleg.flight.edits import Put
from nightleg.flight.read import parse_flight
from nightleg.flight.solution import DrState
from nightleg.flight.solve import solve
from nightleg.units.positions import Position
from nightleg.window.ahead import ahead, way
from nightleg.window.dialogs import with_suffix
from nightleg.window.log.entries import COLUMNS, SPANS, entries
from nightleg.window.session import last_entry
from nightleg.window.words import drift, intercept, intercept_short, wind

START = datetime(2026, 3, 14, 22, 0, tzinfo=UTC)
ROUTE = """format = "nightleg-flight-1"
[start]
time = 2026-03-14T22:00:00Z
position = "0 0"
[[leg]]
time = 2026-03-14T22:00:00Z
heading_deg = 90
tas_kt = {tas}
wind = "0/0"
altitude_ft = 31000
[[waypoint]]
name = "ONE"
position = "0 2"
[[waypoint]]
name = "TWO"
position = "2 2"
"""


def state(tas_kt: float, minutes: float) -> tuple[Document, DrState]:
    document = parse_flight(ROUTE.format(tas=tas_kt))
    return document, solve(document.flight, START + timedelta(minutes=minutes)).dr[-1]


def test_the_next_waypoint_with_distance_and_time() -> None:
    document, at = state(300.0, 0.0)
    found = ahead(document.flight, at)
    assert found is not None and found.name == "ONE"
    # Two degrees of longitude on the equator of WGS 84: 2/360 of 2π·6378.137 km.
    assert found.distance_nm == pytest.approx(2.0 / 360.0 * 2.0 * 3.141592653589793 * 6378.137 / 1.852, abs=1e-3)
    assert found.bearing_deg == pytest.approx(90.0, abs=1e-6)
    assert found.eta is not None
    assert (found.eta - at.time).total_seconds() == pytest.approx(found.distance_nm / 300.0 * 3600.0, abs=0.1)


def test_past_the_corner_the_next_leg_counts() -> None:
    document, at = state(300.0, 26.0)  # abeam and beyond ONE, 24.1 minutes off
    found = ahead(document.flight, at)
    assert found is not None and found.name == "TWO"


def test_without_speed_there_is_no_time() -> None:
    document, at = state(0.0, 5.0)
    found = ahead(document.flight, at)
    assert found is not None and found.eta is None


def test_without_a_route_there_is_nothing_ahead() -> None:
    _, at = state(300.0, 0.0)
    bare = parse_flight(ROUTE.format(tas=300.0).split("[[waypoint]]")[0])
    assert ahead(bare.flight, at) is None


def test_the_way_to_a_place_in_words() -> None:
    # One minute of latitude north of the equator is 1842.9 m, 0.995 NM on WGS 84.
    assert way(Position(0.0, 0.0), Position(1.0, 0.0)) == "01°00.0′N 000°00.0′E   000°  59.7 NM"


@pytest.mark.parametrize(
    ("nm", "long", "short"),
    [
        (0.94, "0.9 NM toward", "0.9 T"),
        (-12.0, "12.0 NM away", "12.0 A"),
        (0.04, "0.0 NM, through the DR", "0.0"),
        (None, "—", "—"),
    ],
)
def test_intercepts(nm: float | None, long: str, short: str) -> None:
    assert intercept(nm) == long
    assert intercept_short(nm) == short


def test_drift_and_wind() -> None:
    assert [drift(deg) for deg in (5.6, -4.0, 0.2, None)] == ["6° R", "4° L", "0°", "—"]
    assert wind(359.7, 5.2) == "000/05"
    assert wind(None, None) == "—"


def test_the_log_is_in_the_order_of_time_and_has_all_there_is(demo: Document) -> None:
    flight = demo.flight
    rows = entries(flight, solve(flight, last_entry(flight)))
    assert [row.time for row in rows] == sorted(row.time for row in rows)
    kinds = [row.kind for row in rows]
    assert kinds.count("sight") == len(flight.sights)
    assert kinds.count("fix") == len(flight.fixes)
    assert kinds.count("remark") == len(flight.log)
    for row in rows:
        assert len(row.cells) == len(COLUMNS)
        for first, count in SPANS[row.kind]:  # what a long cell covers is empty
            assert not any(row.cells[first + 1 : first + count])
    unused = next(row for row in rows if row.id == "s3")
    assert "not used" in unused.cells[-1]


def test_a_fix_without_position_is_said_in_the_log(demo: Document) -> None:
    changed = demo.with_edits(*(Put(("sight", id), "use", False) for id in ("s10", "s11")))
    rows = entries(changed.flight, solve(changed.flight, last_entry(changed.flight)))
    assert next(row for row in rows if row.id == "f4").cells[2] == "no position"


def test_the_ending_of_flight_files_is_added() -> None:
    assert with_suffix(Path("night")) == Path("night.flight.toml")
    assert with_suffix(Path("night.toml")) == Path("night.toml")
