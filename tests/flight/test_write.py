"""Flights made by a program: what is written reads back as the same flight."""

from __future__ import annotations

import tomllib
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from nightleg.flight.compound import EARLIEST, LATEST, CorrectionTable, Readings, Track
from nightleg.flight.kinds import Choice, Flag, Kind, Number, Text, Whole
from nightleg.flight.model import Drift, Fix, Flight, Leg, Line, Reading, Sight, Start, Truth, TruthPoint, Wind
from nightleg.flight.read import parse_flight, read_flight
from nightleg.flight.schema import keys, tables
from nightleg.flight.valuetext import SMALLEST
from nightleg.flight.write import write_flight
from nightleg.units.positions import Position

FIXTURES = Path(__file__).parent / "fixtures"
START = datetime(2026, 3, 14, 22, 0, tzinfo=UTC)
PLAIN = Flight(
    start=Start(time=START, position=Position(41.5, -28.25)), legs=(Leg(time=START, heading_deg=262.0, tas_kt=430.0),)
)


@pytest.mark.parametrize("name", ["whole", "small", "model"])
def test_fixtures_read_back_equal(name: str) -> None:
    flight = read_flight(FIXTURES / f"{name}.flight.toml").flight
    assert parse_flight(write_flight(flight)).flight == flight


def test_text_is_what_a_navigator_would_write() -> None:
    text = write_flight(PLAIN)
    assert text.startswith('format = "nightleg-flight-1"\n\n[start]\ntime = 2026-03-14T22:00:00Z\n')
    assert 'position = "41 30.0 N 028 15.0 W"' in text
    assert "[sextant]" not in text
    assert "sigma_nm" not in text


def written(low: float, high: float) -> st.SearchStrategy[float]:
    """Floats of a text that has no exponents: what is smaller than 1e-12 is written as 0 there."""
    return st.floats(low, high).map(lambda value: value if abs(value) >= SMALLEST else 0.0)


positions = st.builds(Position, written(-90, 90), written(-180, 180)) | st.builds(
    lambda lat, lon: Position(lat / 600, lon / 600), st.integers(-54000, 54000), st.integers(-108000, 108000)
)
degrees = st.floats(-2, 90) | st.integers(-1200, 54000).map(lambda tenths: tenths / 600)
directions = st.floats(0, 360)
ids = st.text(st.characters(codec="utf-8", exclude_categories=("C", "Z")), min_size=1, max_size=20).filter(
    lambda name: name.isprintable() and name not in ("start", "dr")
)
times = st.integers(0, 10**11).map(lambda us: START + timedelta(microseconds=us))
winds = st.builds(Wind, from_deg=written(0, 360), kt=written(0, 500))


@st.composite
def sights(draw: Any, name: str) -> Sight:
    count, begin = draw(st.integers(0, 3)), draw(times)
    near = st.timedeltas(timedelta(0), timedelta(minutes=30)).map(lambda after: begin + after)
    rows = tuple(Reading(time=draw(near), hs=draw(degrees)) for _ in range(count))
    body = draw(st.sampled_from(["Sun", "Moon", "Capella", "Rigil Kentaurus", "HIP 65378"]))
    return Sight(
        id=name,
        body=body,
        time=draw(near) if not rows or draw(st.booleans()) else None,
        hs=draw(degrees) if not rows or draw(st.booleans()) else None,
        readings=rows,
        duration_s=draw(st.floats(0, 600)),
        limb=draw(st.sampled_from(["centre", "lower", "upper"] if body in ("Sun", "Moon") else ["centre"])),
        sigma_arcmin=draw(st.none() | st.floats(0.01, 60)),
        correction_arcmin=draw(st.none() | st.floats(-60, 60)),
        assumed=draw(st.none() | positions),
        use=draw(st.booleans()),
    )


@st.composite
def flights(draw: Any) -> Flight:
    names = draw(st.lists(ids, min_size=2, max_size=4, unique=True))
    hours = range(draw(st.integers(0, 3)))
    more = tuple(Leg(time=START + timedelta(hours=hour + 1), heading_deg=draw(directions)) for hour in hours)
    return Flight(
        start=Start(time=START, position=draw(positions), sigma_nm=draw(st.floats(0, 1000))),
        legs=(
            Leg(
                time=START - draw(st.timedeltas(timedelta(0), timedelta(days=2))),
                heading_deg=draw(directions),
                tas_kt=draw(st.floats(0, 1000)),
                wind=draw(st.none() | winds),
                altitude_ft=draw(st.none() | st.floats(-2000, 65000)),
                temperature_c=draw(st.none() | st.floats(-273.149, 60)),
            ),
            *more,
        ),
        title=draw(st.text(st.characters(codec="utf-8"))),
        notes=draw(st.text(st.characters(codec="utf-8")) | st.just('a\n"""\\b\r\n\tc"')),
        sights=tuple(draw(sights(name)) for name in names[1:]),
        fixes=(Fix(id=names[0], time=draw(times), sights=tuple(names[1:])),),
        lines=(Line(id=names[0], kind="latitude", time=draw(times), latitude=draw(st.floats(-90, 90))),),
        drifts=(
            Drift(id=names[0], time=draw(times), heading_deg=draw(directions), drift_deg=draw(st.floats(-90, 90))),
        ),
        truth=draw(
            st.none()
            | st.just(Truth())
            | st.builds(
                lambda p, q: Truth(
                    track=(TruthPoint(time=START, position=p), TruthPoint(time=LATEST, position=q, altitude_ft=31000.5))
                ),
                positions,
                positions,
            )
        ),
    )


@settings(max_examples=150, deadline=None)
@given(flights())
def test_save_and_load_give_an_equal_flight(flight: Flight) -> None:
    assert parse_flight(write_flight(flight)).flight == flight


ALL_KINDS = [(table.name, key.name, key.kind) for table in tables().values() for key in keys(table.struct).values()]


def samples(kind: Kind) -> list[Any]:
    if isinstance(kind, Number):
        inside = [kind.low + share * (kind.high - kind.low) for share in (0.001, 0.37, 0.5, 1.0)]
        return inside if kind.above else [kind.low, *inside]
    if isinstance(kind, Whole):
        return [kind.low, kind.high]
    if isinstance(kind, Choice):
        return list(kind.options)
    if isinstance(kind, Flag):
        return [True, False]
    return ["x"] if type(kind) is Text else []


@pytest.mark.parametrize(("table", "key", "kind"), ALL_KINDS, ids=[f"{table}.{key}" for table, key, _ in ALL_KINDS])
def test_every_kind_writes_what_it_reads(table: str, key: str, kind: Kind) -> None:
    whole = read_flight(FIXTURES / "whole.flight.toml").flight
    held = getattr(whole, tables()[table].field)
    records = held if tables()[table].many else (held,)
    values = [getattr(one, keys(tables()[table].struct)[key].field) for one in records]
    for value in [one for one in values if one is not None and one != ()] + samples(kind):
        read = kind.read(tomllib.loads(f"v = {kind.write(value)}")["v"])
        if isinstance(kind, Readings):
            read = Readings.dated(read, None, START)
        assert read == value, f"{table}.{key}"


def test_kinds_with_rows_are_among_the_samples() -> None:
    kinds = {type(kind) for _, _, kind in ALL_KINDS}
    assert {CorrectionTable, Readings, Track} <= kinds
    assert EARLIEST < START < LATEST
