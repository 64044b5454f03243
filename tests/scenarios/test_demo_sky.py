"""The sky of the demo flight, against PyEphem: bodies where they are said to be, readings what they must be."""

from __future__ import annotations

import math
from datetime import datetime
from itertools import pairwise

import pytest

from nightleg.flight.shots import watch_to_gmt
from nightleg.flight.solve import solve

from .demo import JOINING, altitude_azimuth, closed_flight, demo_flight, true_place

STARLIGHT_DEG = -8.0  # Sun below this: the brightest stars are seen from an aircraft (common practice, no source)


def _gmt(when: datetime) -> datetime:
    flight = demo_flight()
    return watch_to_gmt(flight.watch, flight.start.time, when)


def test_readings_are_the_altitudes_at_the_truth_within_their_errors() -> None:
    """PyEphem's altitude at the true place against Ho, which rests on the whole chain.

    Ho is made at the DR: its Coriolis term and the Moon's parallax change by less than 0.3' from there to the truth.
    """
    flight = closed_flight()
    errors_arcmin = {}
    for sight in solve(flight).sights:
        assert sight.ho is not None
        altitude_deg, _ = altitude_azimuth(sight.body, true_place(sight.time), sight.time)
        errors_arcmin[sight.id] = 60.0 * (sight.ho - altitude_deg)
    aside_arcmin = errors_arcmin.pop("s3")
    assert aside_arcmin < -10.0
    assert all(abs(error) < 3.0 * flight.sextant.sigma_arcmin for error in errors_arcmin.values()), errors_arcmin
    mean_arcmin = sum(errors_arcmin.values()) / len(errors_arcmin)
    assert abs(mean_arcmin) < 3.0 * flight.sextant.sigma_arcmin / math.sqrt(len(errors_arcmin))


def test_bodies_stand_within_what_the_instrument_reaches() -> None:
    flight = closed_flight()
    for sight in solve(flight).sights:
        altitude_deg, _ = altitude_azimuth(sight.body, true_place(sight.time), sight.time)
        assert flight.sextant.lowest_deg < altitude_deg < flight.sextant.highest_deg, sight.id


@pytest.mark.parametrize(("fix", "shots"), [("f2", "s4 s5 s6"), ("f3", "s7 s8 s9"), ("f4", f"s10 s11 {JOINING}")])
def test_three_bodies_stand_around_the_horizon(fix: str, shots: str) -> None:
    solution = solve(closed_flight())
    assert solution.fix(fix).sights == tuple(shots.split())
    sights = [solution.sight(id) for id in shots.split()]
    azimuths = sorted(altitude_azimuth(one.body, true_place(one.time), one.time)[1] for one in sights)
    gaps_deg = [(after - before) % 360.0 for before, after in zip(azimuths, azimuths[1:] + azimuths[:1], strict=True)]
    assert min(gaps_deg) > 90.0
    assert max(gaps_deg) < 150.0
    assert all(altitude_azimuth("Sun", true_place(one.time), one.time)[0] < STARLIGHT_DEG for one in sights)
    minutes = [(after.time - before.time).total_seconds() / 60.0 for before, after in pairwise(sights)]
    assert minutes == pytest.approx([4.0, 4.0], abs=0.01)  # min: the watch gains no more than that


def test_the_suns_line_crosses_the_moons_well() -> None:
    """30° of azimuth or more: 14 CFR part 63, appendix A."""
    solution = solve(demo_flight())
    sun, moon = solution.sight("s1"), solution.sight("s2")
    assert (sun.body, moon.body) == ("Sun", "Moon")
    sun_deg, moon_deg = (altitude_azimuth(one.body, true_place(one.time), one.time)[1] for one in (sun, moon))
    assert 30.0 < abs(sun_deg - moon_deg) < 150.0


def test_the_moons_limb_is_the_lit_one() -> None:
    """The lit half faces the Sun: the upper limb is lit where the way to the Sun leaves the Moon upward."""
    sight = next(one for one in demo_flight().sights if one.body == "Moon")
    assert sight.time is not None
    when = _gmt(sight.time)
    (moon_alt, moon_az), (sun_alt, sun_az) = (
        altitude_azimuth(body, true_place(when), when) for body in ("Moon", "Sun")
    )
    h, s, across = math.radians(moon_alt), math.radians(sun_alt), math.radians(sun_az - moon_az)
    from_zenith_deg = math.degrees(
        math.atan2(
            math.sin(across) * math.cos(s), math.cos(h) * math.sin(s) - math.sin(h) * math.cos(s) * math.cos(across)
        )
    )
    assert abs(from_zenith_deg) < 85.0  # clear of 90°, where either limb would do
    assert sight.limb == "upper"


def test_the_sun_sets_when_the_log_says() -> None:
    """Upper limb on the horizon at h₀ = −50′ − 2.12′·√(height in m) (the almanac's term, from memory)."""
    remark = next(one for one in demo_flight().log if one.text.startswith("Sunset"))
    sun_deg, _ = altitude_azimuth("Sun", true_place(remark.time), remark.time)
    set_deg = -(50.0 + 2.12 * math.sqrt(15000 * 0.3048)) / 60.0
    assert sun_deg == pytest.approx(set_deg, abs=0.25)  # degrees: a minute of time, as the log is kept


def test_the_log_warns_before_the_sun_is_looked_at() -> None:
    flight = demo_flight()
    first = next(one for one in flight.sights if one.body == "Sun").readings[0].time
    assert any("dark filters" in remark.text and remark.time < first for remark in flight.log)
