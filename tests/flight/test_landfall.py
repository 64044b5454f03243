"""Landfalls: the line through the destination, the turn on it, and what is prepared for it."""

from __future__ import annotations

import math
from datetime import UTC, datetime, timedelta

import numpy as np
import pytest
from geographiclib.geodesic import Geodesic
from msgspec.structs import replace

from nightleg.air.wind import ground
from nightleg.flight.errors import FlightError
from nightleg.flight.landfall import LandfallResult, landfall
from nightleg.flight.model import Fix, Flight, Landfall, Leg, Sextant, Sight, Start, Waypoint, Wind
from nightleg.flight.read import parse_flight
from nightleg.flight.reduce import SUN_CAUTION
from nightleg.flight.solve import solve
from nightleg.flight.write import write_flight
from nightleg.sight.reduction import altitude_azimuth
from nightleg.sky.places import places
from nightleg.units.positions import Position
from nightleg.units.times import gmt_s

START = datetime(2026, 3, 14, 12, 0, tzinfo=UTC)
KILO = Position(32.0 + 20.0 / 60.0, -17.0)
WANTED = Landfall(id="k1", body="Sun", destination="KILO", time=START + timedelta(hours=1, minutes=53), side="left")
FLIGHT = Flight(
    start=Start(time=START, position=Position(41.5, -10.0)),
    legs=(
        Leg(
            time=START,
            heading_deg=220.0,
            tas_kt=330.0,
            wind=Wind(from_deg=310.0, kt=45.0),
            altitude_ft=31000.0,
            steering="great_circle",
        ),
    ),
    waypoints=(Waypoint(name="KILO", position=KILO),),
)


def worked(flight: Flight = FLIGHT, wanted: Landfall = WANTED, **changes: object) -> LandfallResult:
    wanted = replace(wanted, **changes)
    flight = replace(flight, landfalls=(wanted,))
    return landfall(flight, solve(flight), wanted)


def way(a: Position, b: Position) -> tuple[float, float]:
    """Distance, NM, and first azimuth by GeographicLib."""
    line = Geodesic.WGS84.Inverse(*a, *b)
    return line["s12"] / 1852.0, line["azi1"] % 360.0


def test_destination_and_turn_lie_on_one_circle_of_equal_altitude() -> None:
    """When the turn is reached the body has the same altitude there as at the destination."""
    found = worked()
    assert found.turn is not None and found.to_turn is not None
    sun = places("Sun", gmt_s(found.to_turn.end))
    there, _ = altitude_azimuth(*found.destination, sun.gha_deg, sun.dec_deg)
    turn, _ = altitude_azimuth(*found.turn, sun.gha_deg, sun.dec_deg)
    # the clock of the iteration stops within half a second: 0.01′
    assert float(turn - there) * 60.0 == pytest.approx(0.0, abs=0.01)
    assert found.hc == pytest.approx(float(there), abs=0.01 / 60.0)


@pytest.mark.parametrize("side", ["left", "right"])
def test_the_turn_lies_on_the_side_wanted_by_more_than_two_sigma(side: str) -> None:
    found = worked(side=side)
    assert found.turn is not None and found.down is not None and found.turn_deg is not None
    _, to_destination = way(FLIGHT.start.position, KILO)
    off_nm, toward_turn = way(KILO, found.turn)
    right = math.sin(math.radians(toward_turn - to_destination)) > 0.0
    assert right == (side == "right")
    # an arc of a sphere against a chord on the ellipsoid: 0.3 %
    assert off_nm == pytest.approx(found.aim_off_nm, rel=4e-3)
    plot = solve(FLIGHT).plots[0]
    cov = plot.covariance(gmt_s(found.to_turn.end))
    u = np.array([math.cos(math.radians(found.line_deg)), math.sin(math.radians(found.line_deg))])
    assert found.sigma_nm == pytest.approx(math.sqrt(u @ cov @ u))
    assert found.aim_off_nm > 2.0 * found.sigma_nm
    # one who aimed off to the left turns right onto the line
    assert (found.turn_deg > 0.0) == (side == "left")


def test_headings_make_the_tracks_to_the_turn_and_down_the_line() -> None:
    """Air vector and wind give the geodesic's azimuth, and the times are distance over ground speed."""
    found = worked()
    assert found.turn is not None and found.to_turn is not None and found.down is not None
    begin, when = found.dr, found.begin
    for run, end in ((found.to_turn, found.turn), (found.down, found.destination)):
        distance, azimuth = way(begin, end)
        track, gs, _ = ground(run.heading_deg, 330.0, 310.0, 45.0)
        assert float(track) == pytest.approx(azimuth, abs=1e-4)
        assert run.distance_nm == pytest.approx(distance, abs=1e-4)
        assert (run.end - when).total_seconds() == pytest.approx(distance / float(gs) * 3600.0, abs=0.01)
        begin, when = end, run.end


def test_presets_are_read_again_as_the_altitude_of_the_destination() -> None:
    """One who reads the preset, at the destination on the track to the turn, gets Hc there: the chain closes."""
    flight = replace(FLIGHT, sextant=Sextant(correction_arcmin=-1.5, table=((10.0, 0.3), (60.0, -0.2))))
    found = worked(flight, limb="lower")
    assert found.to_turn is not None and found.turn is not None
    arriving = Geodesic.WGS84.Inverse(*found.dr, *found.turn)["azi2"] % 360.0
    for row in found.table[::5]:
        leg = replace(
            FLIGHT.legs[0],
            heading_deg=None,
            tas_kt=None,
            track_deg=arriving,
            gs_kt=found.to_turn.gs_kt,
            time=row.time,
        )
        sight = Sight(id="s", body="Sun", time=row.time, hs=row.preset, limb="lower")
        there = Flight(start=Start(time=row.time, position=KILO), legs=(leg,), sights=(sight,), sextant=flight.sextant)
        result = solve(there).sight("s")
        assert result.ho is not None
        # the table of the dome is taken at the reading, by steps
        assert (result.ho - row.hc) * 60.0 == pytest.approx(0.0, abs=1e-6)


def test_table_stands_about_the_expected_time() -> None:
    table = worked().table
    assert [row.time - WANTED.time for row in table] == [timedelta(minutes=4 * k) for k in range(-5, 6)]
    sun = places("Sun", np.array([gmt_s(row.time) for row in table]))
    hc, zn = altitude_azimuth(*KILO, sun.gha_deg, sun.dec_deg)
    assert [row.hc for row in table] == pytest.approx(hc.tolist(), abs=1e-9)
    assert [row.zn for row in table] == pytest.approx(zn.tolist(), abs=1e-9)


def test_the_suns_filters_come_first() -> None:
    assert worked().warnings == (SUN_CAUTION,)
    assert SUN_CAUTION not in worked(body="Venus").warnings


def test_a_body_abeam_is_called_useless() -> None:
    """Its line runs along the way to the destination: there is no moment to turn."""
    _, course = way(FLIGHT.start.position, KILO)
    for body in ("Moon", "Venus", "Sun"):
        found = worked(body=body)
        along = abs(math.degrees(math.asin(math.sin(math.radians(found.line_deg - course)))))
        assert any(said.startswith("useless") for said in found.warnings) == (along < 30.0 or found.hc < 0.0)
    east = replace(FLIGHT, start=Start(time=START, position=Position(32.3, -26.0)))
    assert any("no moment to turn" in said for said in worked(east).warnings)  # Sun in the south, flying east


def test_what_else_is_warned_of() -> None:
    def said(text: str, **changes: object) -> bool:
        return any(text in one for one in worked(**changes).warnings)

    assert said("not more than 2σ", aim_off_nm=20.0)
    assert not said("not more than 2σ", aim_off_nm=80.0)
    assert said("below the horizon", body="Arcturus")
    assert said("not near the time expected", time=START + timedelta(hours=3))
    assert said("the Sun is up", body="Capella")
    low = replace(FLIGHT, sextant=Sextant(highest_deg=50.0))
    assert any("outside what the instrument reaches, 10° to 50°" in one for one in worked(low).warnings)
    strong = replace(FLIGHT, legs=(replace(FLIGHT.legs[0], wind=Wind(from_deg=210.0, kt=400.0)),))
    found = worked(strong)
    assert found.turn is None and found.to_turn is None and found.down is None
    assert any("no heading leads" in one for one in found.warnings)


def test_it_begins_where_it_says_or_at_the_moment() -> None:
    begin = START + timedelta(minutes=40)
    assert worked(begin=begin).begin == begin
    flight = replace(FLIGHT, landfalls=(WANTED,))
    assert landfall(flight, solve(flight, begin), WANTED).begin == begin
    late = landfall(flight, solve(flight, WANTED.time + timedelta(minutes=5)), WANTED)
    assert late.begin == START and any("has passed" in one for one in late.warnings)


def test_after_a_fix_the_aim_off_shrinks() -> None:
    """2.5σ of 12 kt over two hours against that since a fix at 1300."""
    known = Fix(id="f1", time=START + timedelta(hours=1), kind="known", position=Position(36.9, -13.5), sigma_nm=1.0)
    after = worked(replace(FLIGHT, fixes=(known,)))
    assert after.aim_off_nm < 0.6 * worked().aim_off_nm


@pytest.mark.parametrize("lat", [62.0, -41.0, 88.5, -87.0])
def test_a_position_will_do_for_the_destination_anywhere(lat: float) -> None:
    there = f"{abs(lat):g} {'N' if lat > 0 else 'S'} 020 W"
    start = Position(lat - math.copysign(1.4, lat) if abs(lat) > 85.0 else lat - 4.0, -19.0)
    flight = replace(FLIGHT, start=Start(time=START, position=start))
    for body in ("Sun", "Moon", "Jupiter"):
        found = worked(flight, destination=there, body=body, time=START + timedelta(minutes=40))
        assert found.destination == Position(lat, -20.0)
        assert found.turn is not None
        off_nm, _ = way(found.destination, found.turn)
        if abs(found.hc) < 80.0:
            assert off_nm == pytest.approx(found.aim_off_nm, rel=6e-3)


def test_what_the_file_says_is_written_again() -> None:
    begin = START + timedelta(minutes=40)
    every = replace(WANTED, limb="upper", aim_off_nm=45.0, begin=begin, side="right")
    flight = replace(FLIGHT, landfalls=(WANTED, replace(every, id="k2", destination="33 00 N 016 12.5 W")))
    assert parse_flight(write_flight(flight)).flight == flight


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ('destination = "KILO"', 'destination = "KILI"', 'there is no waypoint "KILI"'),
        ('destination = "KILO"', 'destination = "33 75 N 016 W"', "right is the name of a [[waypoint]] or a position"),
        ('side = "left"', 'side = "port"', 'right is one of "left", "right"'),
        ('side = "left"', "", "side is missing"),
        ('body = "Sun"', 'body = "Vega"\nlimb = "lower"', "Vega shows no limb"),
        ("time = 2026-03-14T13:53:00Z", "time = 2026-03-14T11:00:00Z", "is not after the start of the flight"),
        ('side = "left"', 'side = "left"\nbegin = 2026-03-14T14:00:00Z', "is not before the time expected"),
        ('side = "left"', 'side = "left"\nbegin = 2026-03-14T11:00:00Z', "is before the start of the flight"),
        ('side = "left"', 'side = "left"\naim_off = 40', "nearest is aim_off_nm"),
    ],
)
def test_a_landfall_that_cannot_be_is_told(old: str, new: str, said: str) -> None:
    text = write_flight(replace(FLIGHT, landfalls=(WANTED,)))
    assert old in text
    with pytest.raises(FlightError) as caught:
        parse_flight(text.replace(old, new))
    messages = [problem.message for problem in caught.value.problems]
    assert len(messages) == 1 and said in messages[0], messages
