"""What a flight comes to: the rules of order, restarts, warnings and refusals."""

from __future__ import annotations

import math
from datetime import UTC, datetime, timedelta
from typing import Literal

import numpy as np
import pytest
from msgspec.structs import replace

from nightleg.earth.local import between
from nightleg.flight.model import (
    Fix,
    Flight,
    Leg,
    Reading,
    Sextant,
    Sight,
    Start,
    Watch,
    Wind,
    WindOfFix,
    WindUncertainty,
)
from nightleg.flight.solve import Unsolvable, solve
from nightleg.units.positions import Position

START = datetime(2026, 3, 14, 22, 0, tzinfo=UTC)
LEG = Leg(
    time=START,
    heading_deg=262.0,
    tas_kt=430.0,
    wind=Wind(from_deg=310.0, kt=45.0),
    altitude_ft=31000.0,
    temperature_c=-46.0,
)
CAPELLA, SIRIUS, DUBHE = 60.41, 30.53, 55.17  # readings near the DR's


def at(minutes: float) -> datetime:
    return START + timedelta(minutes=minutes)


def sights() -> tuple[Sight, ...]:
    return (
        Sight(id="s1", body="Capella", time=at(52), hs=CAPELLA),
        Sight(id="s2", body="Sirius", time=at(56), hs=SIRIUS),
        Sight(id="s3", body="Dubhe", time=at(60), hs=DUBHE),
    )


def fix(*ids: str, **more) -> Fix:
    return Fix(**{"id": "f1", "time": at(60), "sights": ids, **more})


def flight(**more) -> Flight:
    base = {
        "start": Start(time=START, position=Position(41.5, -28.25)),
        "legs": (LEG,),
        "sights": sights(),
        "fixes": (fix("s1", "s2", "s3"),),
    }
    return Flight(**{**base, **more})


def read_at_the_dr(draft: Flight) -> tuple[Sight, ...]:
    """The sights of a flight with the readings that the DR calls for."""
    sights = draft.sights
    for _ in range(4):
        shown = solve(Flight(start=draft.start, legs=draft.legs, sights=sights)).sights
        sights = tuple(
            Sight(id=s.id, body=s.body, time=s.time, hs=(s.hs or 0.0) - (r.intercept_nm or 0.0) / 60.0)
            for s, r in zip(sights, shown, strict=True)
        )
    return sights


def nm(a: Position, b: Position) -> float:
    return math.hypot(*(float(x) for x in between(*a, *b)))


def test_a_fix_and_the_dead_reckoning_after_it() -> None:
    solution = solve(flight(), now=at(90))
    result = solution.fix("f1")
    assert result.position is not None and result.adopted
    assert [state.kind for state in solution.dr] == ["start", "fix", "now"]
    assert solution.dr[1].position == result.position
    assert nm(solution.dr[2].position, result.position) == pytest.approx(401.285 / 2.0, abs=0.2)
    assert result.dof == 1 and result.p_value is not None
    assert set(result.residuals_arcmin) == {"s1", "s2", "s3"}
    assert solution.problems == () and result.warnings == ()


def test_the_solution_is_frozen_and_repeatable() -> None:
    one, other = solve(flight(), now=at(90)), solve(flight(), now=at(90))
    assert one.sights == other.sights and one.fixes == other.fixes and one.dr == other.dr
    with pytest.raises(AttributeError):
        one.title = "changed"  # frozen


def test_a_sight_is_reduced_at_the_dr_before_its_fix_never_from_it() -> None:
    """A shot after the fix time is carried along the plot that the fix was worked from."""
    late = (*sights()[:2], Sight(id="s3", body="Dubhe", time=at(64), hs=56.0))
    solution = solve(flight(sights=late))
    unfixed = solve(flight(sights=late, fixes=()))
    for with_fix, without in zip(solution.sights, unfixed.sights, strict=True):
        assert with_fix.dr == without.dr
        assert with_fix.intercept_nm == without.intercept_nm


def test_a_second_fix_starts_from_the_first() -> None:
    more = (*sights(), Sight(id="s4", body="Regulus", time=at(90), hs=55.0))
    second = Fix(id="f2", time=at(90), sights=("s4",), prior=True)
    solution = solve(flight(sights=more, fixes=(fix("s1", "s2", "s3"), second)))
    first = solution.fix("f1")
    assert first.position is not None
    plot = solution.plot_of_fix["f2"]
    assert (plot.lat, plot.lon) == first.position
    assert plot.cov_nm2 == first.cov_nm2
    assert solution.fix("f2").wind_since == at(60)


def test_fixes_may_stand_in_any_order_in_the_file() -> None:
    more = (*sights(), Sight(id="s4", body="Regulus", time=at(90), hs=55.0))
    one, two = fix("s1", "s2", "s3"), Fix(id="f2", time=at(90), sights=("s4",), prior=True)
    forward, backward = solve(flight(sights=more, fixes=(one, two))), solve(flight(sights=more, fixes=(two, one)))
    assert forward.fix("f2") == backward.fix("f2")
    assert [f.id for f in backward.fixes] == ["f2", "f1"]


def test_not_adopted() -> None:
    solution = solve(flight(fixes=(fix("s1", "s2", "s3", adopt=False),)), now=at(90))
    assert [state.kind for state in solution.dr] == ["start", "now"]
    assert solution.fix("f1").position is not None and not solution.fix("f1").adopted


def test_one_line_gives_no_position_but_the_handbooks_rule() -> None:
    result = solve(flight(fixes=(fix("s1"),))).fix("f1")
    assert result.position is None and result.cov_nm2 is None and result.wind_kt is None and not result.adopted
    assert "one line" in result.trust[0] and result.warnings
    assert result.mpp_rule is not None
    p, t = abs(result.intercepts_nm["s1"]), 60.0
    assert nm(result.dr, result.mpp_rule) == pytest.approx(t * p / (t + p), abs=0.01)


def test_one_line_and_the_dr() -> None:
    result = solve(flight(fixes=(fix("s1", prior=True),))).fix("f1")
    assert result.position is not None and result.ellipse95 is not None
    assert result.dof == 1 and result.p_value is not None
    # along the line nothing but the DR: sqrt(4 + 12²) NM
    assert result.ellipse95.semi_major_nm == pytest.approx(2.4477 * math.sqrt(148.0), rel=0.03)


def test_the_same_star_thrice_at_one_time_is_parallel() -> None:
    same = tuple(Sight(id=f"s{i}", body="Capella", time=at(60), hs=59.0) for i in (1, 2, 3))
    result = solve(flight(sights=same)).fix("f1")
    assert result.position is None
    assert "parallel" in result.warnings[-1]


def test_two_lines_have_no_check() -> None:
    result = solve(flight(fixes=(fix("s1", "s2"),))).fix("f1")
    assert result.position is not None and result.p_value is None and result.dof == 0
    assert result.trust[0] == "two lines: no check"
    assert result.redundancy["s1"] == pytest.approx(0.0, abs=1e-9)


def test_a_sight_set_aside_is_reduced_but_not_used() -> None:
    aside = tuple(Sight(id=s.id, body=s.body, time=s.time, hs=s.hs, use=s.id != "s3") for s in sights())
    solution = solve(flight(sights=aside))
    assert solution.sight("s3").ho is not None and not solution.sight("s3").used
    result = solution.fix("f1")
    assert result.sights == ("s1", "s2")
    assert any("s3" in warning for warning in result.warnings)


def test_all_shots_set_aside() -> None:
    aside = tuple(Sight(id=s.id, body=s.body, time=s.time, hs=s.hs, use=False) for s in sights())
    result = solve(flight(sights=aside)).fix("f1")
    assert result.position is None and not result.adopted
    assert "no usable shot" in result.trust[0]


def test_an_empty_fix() -> None:
    result = solve(flight(fixes=(fix(),))).fix("f1")
    assert result.position is None and "no usable shot" in result.trust[0]


def test_a_known_fix_restarts_the_dr() -> None:
    known = Fix(id="f1", time=at(60), kind="known", position=Position(40.0, -37.0), sigma_nm=1.0)
    solution = solve(flight(fixes=(known,)), now=at(60))
    assert solution.dr[-1].position == Position(40.0, -37.0)
    assert solution.dr[-1].sigma_nm == pytest.approx(1.0)
    assert solution.fix("f1").wind_kt is not None


def test_watch_error_and_rate() -> None:
    """GMT = watch time - error; the error grows from the last check (positive rate: gaining)."""
    watch = Watch(error_s=10.0, check=at(-60), rate_s_per_day=24.0)
    solution = solve(flight(watch=watch))
    expected = 10.0 + 24.0 * (60 + 52) / 1440.0
    assert (solution.sight("s1").watch_time - solution.sight("s1").time).total_seconds() == pytest.approx(
        expected, abs=1e-5
    )


def test_a_series_is_its_mean() -> None:
    readings = tuple(Reading(time=at(52) + timedelta(seconds=20 * k), hs=60.4 - 0.03 * k) for k in range(-3, 4))
    series = Sight(id="s1", body="Capella", readings=readings)
    solution = solve(flight(sights=(series, *sights()[1:])))
    sight = solution.sight("s1")
    assert sight.hs == pytest.approx(60.4) and sight.n_readings == 7
    assert abs((sight.time - at(52)).total_seconds()) < 1e-5
    # readings fall by 5.4′ a minute, as the almanac and the run of the aircraft say within a tenth
    assert sight.scatter_arcmin is not None and sight.scatter_arcmin < 0.3


def test_assumed_position_gives_the_same_circle() -> None:
    from nightleg.flight.plotting import circle_about
    from nightleg.sight.reduction import altitude

    first = sights()[0]
    assumed = Sight(id="s1", body="Capella", time=at(52), hs=CAPELLA, assumed=Position(40.0, -36.0))
    a, b = solve(flight()).sight("s1"), solve(flight(sights=(assumed, *sights()[1:]))).sight("s1")
    assert first.assumed is None
    assert a.ho == b.ho and a.hc != b.hc and b.assumed
    assert b.ho is not None
    lat, lon = circle_about(b, 60.0)
    assert np.allclose(altitude(lat, lon, a.gha, a.dec), a.ho, atol=1e-9)
    assert solve(flight()).fix("f1").position == solve(flight(sights=(assumed, *sights()[1:]))).fix("f1").position


def test_magnetic_heading_takes_the_variation_at_the_start_of_the_leg() -> None:
    """Heading true = compass + deviation + variation; variation from ppigrf at the start of the leg."""
    import ppigrf

    compass = Leg(time=START, heading_compass_deg=270.0, deviation_deg=-2.0, tas_kt=430.0, altitude_ft=31000.0)
    solution = solve(flight(legs=(compass,), sights=(), fixes=()))
    east, north, _ = ppigrf.igrf(-28.25, 41.5, 31000 * 0.3048e-3, datetime(2026, 3, 14, 22, 0))
    variation = math.degrees(math.atan2(east.item(), north.item()))
    assert solution.dr[0].heading_deg == pytest.approx(268.0 + variation, abs=0.01)


def test_leg_keys_left_out_are_inherited() -> None:
    second = Leg(time=at(30), heading_deg=200.0)
    climb = Leg(time=at(40), altitude_ft=35000.0)
    states = solve(flight(legs=(LEG, second, climb), sights=(), fixes=())).dr
    assert [s.kind for s in states] == ["start", "leg", "leg"]
    assert states[1].tas_kt == 430.0 and states[1].wind_kt == 45.0 and states[1].altitude_ft == 31000.0
    assert states[2].heading_deg == 200.0 and states[2].altitude_ft == 35000.0


def test_cas_held_through_a_climb_gives_another_tas() -> None:
    """CAS 280 kt at 31 000 ft standard: TAS 444.3 (derived by ISO 2533)."""
    first = Leg(time=START, heading_deg=262.0, cas_kt=280.0, altitude_ft=31000.0)
    climb = Leg(time=at(40), altitude_ft=35000.0)
    states = solve(flight(legs=(first, climb), sights=(), fixes=())).dr
    assert states[0].tas_kt == pytest.approx(444.3, abs=0.1)
    assert states[1].tas_kt > 470.0


def test_track_and_ground_speed_given() -> None:
    given = Leg(time=START, track_deg=250.0, gs_kt=400.0, wind=Wind(from_deg=310.0, kt=45.0))
    state = solve(flight(legs=(given,), sights=(), fixes=())).dr[0]
    assert state.track_deg == pytest.approx(250.0) and state.gs_kt == pytest.approx(400.0)
    assert state.drift_deg is not None and state.drift_deg < 0.0


def test_wind_found_at_a_fix_is_flown_after_it() -> None:
    after = Leg(time=at(60), wind=WindOfFix(fix="f1"))
    solution = solve(flight(legs=(LEG, after)), now=at(70))
    result = solution.fix("f1")
    assert solution.dr[-1].wind_kt == result.wind_kt and solution.dr[-1].wind_from_deg == result.wind_from_deg
    assert result.wind_kt != pytest.approx(45.0, abs=0.1)


def test_wind_of_a_fix_that_found_none() -> None:
    after = Leg(time=at(60), wind=WindOfFix(fix="f1"))
    solution = solve(flight(legs=(LEG, after), fixes=(fix("s1"),)), now=at(70))
    assert solution.dr[-1].wind_kt == 45.0
    assert any("leg 2" in warning and "f1" in warning for warning in solution.warnings)


def test_a_shot_after_a_leg_that_waits_for_its_own_fix() -> None:
    late = (*sights()[:2], Sight(id="s3", body="Dubhe", time=at(64), hs=56.0))
    after = Leg(time=at(62), wind=WindOfFix(fix="f1"))
    assert solve(flight(legs=(LEG, after), sights=late)).fix("f1").position is not None


def test_standing_still_has_no_track() -> None:
    still = Leg(time=START, heading_deg=90.0, tas_kt=40.0, wind=Wind(from_deg=90.0, kt=40.0))
    state = solve(flight(legs=(still,), sights=(), fixes=())).dr[0]
    assert state.track_deg is None and state.drift_deg is None and state.gs_kt == 0.0


def test_a_body_below_the_horizon_is_refused_and_the_rest_answered() -> None:
    low = (*sights(), Sight(id="s4", body="Regulus", time=at(61), hs=-0.5))
    solution = solve(flight(sights=low))
    assert solution.sight("s4").ho is None and not solution.sight("s4").used
    assert [p.place for p in solution.problems] == ["[[sight]] 4 (s4), hs"]
    assert solution.fix("f1").position is not None


def test_a_low_body_is_warned_of() -> None:
    low = (*sights(), Sight(id="s4", body="Regulus", time=at(61), hs=3.0))
    assert any("refraction" in w for w in solve(flight(sights=low)).sight("s4").warnings)


def test_the_sun_brings_its_caution() -> None:
    sun = (Sight(id="s1", body="Sun", time=at(60), hs=20.0),)
    assert any("filters" in w for w in solve(flight(sights=sun, fixes=())).sight("s1").warnings)


def test_sights_outside_the_error_model_are_named() -> None:
    old = (*sights(), Sight(id="s4", body="Regulus", time=at(50), hs=45.0))
    again = Fix(id="f2", time=at(70), sights=("s3", "s4"), prior=True)
    warnings = solve(flight(sights=old, fixes=(fix("s1", "s2", "s3"), again))).fix("f2").warnings
    assert any("older than the last adopted fix" in w for w in warnings)
    assert any("used in fix f1 too" in w for w in warnings)


def test_rhumb_line_above_85_degrees_is_refused() -> None:
    high = flight(start=Start(time=START, position=Position(86.0, 10.0)), sights=(), fixes=())
    problems = solve(high).problems
    assert problems and problems[0].place == "[[leg]] 1, steering" and "great_circle" in problems[0].message


def test_across_the_pole_on_a_great_circle() -> None:
    north = Leg(time=START, heading_deg=0.0, tas_kt=480.0, steering="great_circle")
    polar = flight(start=Start(time=START, position=Position(86.0, 10.0)), legs=(north,), sights=(), fixes=())
    solution = solve(polar, now=at(60))
    assert solution.problems == ()
    assert solution.dr[-1].position.lat == pytest.approx(86.0, abs=0.1)
    assert solution.dr[-1].position.lon == pytest.approx(-170.0, abs=1e-6)


def test_a_fix_near_the_pole() -> None:
    """Nothing in the fix divides by the cosine of the latitude."""
    north = Leg(time=START, heading_deg=0.0, tas_kt=480.0, steering="great_circle", altitude_ft=31000.0)
    place = Start(time=START, position=Position(82.0, 10.0), sigma_nm=2.0)
    empty = flight(start=place, legs=(north,), sights=(), fixes=())
    bodies = ("Capella", "Vega", "Regulus")
    drafts = tuple(Sight(id=f"s{i}", body=b, time=at(57 + i), hs=40.0) for i, b in enumerate(bodies))
    good = read_at_the_dr(flight(start=place, legs=(north,), sights=drafts, fixes=()))
    result = solve(flight(start=place, legs=(north,), sights=good, fixes=(fix("s0", "s1", "s2"),))).fix("f1")
    assert solve(empty).problems == ()
    assert result.position is not None
    assert nm(result.position, result.dr) < 1.0


def test_now_before_the_start() -> None:
    with pytest.raises(Unsolvable, match="before the start"):
        solve(flight(), now=at(-5))


def test_after_the_last_published_earth_rotation() -> None:
    later = START.replace(year=2045)
    future = Flight(
        start=Start(time=later, position=Position(41.5, -28.25)),
        legs=(Leg(time=later, heading_deg=90.0, tas_kt=400.0),),
    )
    assert any("prediction" in warning for warning in solve(future).warnings)


def test_common_error_needs_three_shots() -> None:
    result = solve(flight(fixes=(fix("s1", "s2", solve_common_error=True),))).fix("f1")
    assert result.common_error_arcmin is None and result.position is not None
    assert any("common error" in w for w in result.warnings)


def test_common_error_is_found() -> None:
    """Readings too high by 6′ on four bodies around the horizon: +6′ (positive when readings are too high)."""
    bodies = ("Capella", "Spica", "Alkaid", "Sirius")
    drafts = tuple(Sight(id=f"s{i}", body=b, time=at(54 + 2 * i), hs=40.0) for i, b in enumerate(bodies))
    exact = read_at_the_dr(flight(sights=drafts, fixes=()))
    high = tuple(Sight(id=s.id, body=s.body, time=s.time, hs=(s.hs or 0.0) + 0.1) for s in exact)
    wanted = fix(*(s.id for s in high), solve_common_error=True)
    result = solve(flight(sights=high, fixes=(wanted,))).fix("f1")
    assert result.common_error_arcmin == pytest.approx(6.0, abs=0.1)
    assert result.position is not None and nm(result.position, result.dr) < 0.02


def test_an_exact_start_and_an_exact_wind_are_not_singular() -> None:
    sure = flight(
        start=Start(time=START, position=Position(41.5, -28.25), sigma_nm=0.0),
        wind_uncertainty=WindUncertainty(sigma_kt=0.0),
        fixes=(fix("s1", "s2", "s3", prior=True),),
    )
    result = solve(sure).fix("f1")
    assert result.position is not None and nm(result.position, result.dr) < 0.01


def test_a_thousand_shots_in_one_fix() -> None:
    many = tuple(
        Sight(id=f"s{i}", body=("Capella", "Sirius", "Dubhe")[i % 3], time=at(60), hs=(59.0, 29.6, 55.1)[i % 3])
        for i in range(1000)
    )
    result = solve(flight(sights=many, fixes=(fix(*(s.id for s in many)),))).fix("f1")
    assert result.position is not None and result.dof == 998


def test_sextant_errors_common_to_all_widen_the_ellipse() -> None:
    narrow = solve(flight()).fix("f1").ellipse95
    wide = solve(flight(sextant=Sextant(common_sigma_arcmin=5.0))).fix("f1").ellipse95
    assert narrow is not None and wide is not None and wide.semi_major_nm > narrow.semi_major_nm


@pytest.mark.parametrize("size", [1e-300, 1e-6, 100.0, 5000.0])
@pytest.mark.parametrize("which", ["reading", "common", "wind", "watch", "start"])
@pytest.mark.parametrize("prior", [False, True])
def test_absurd_sigmas_give_numbers_or_no_position(size: float, which: str, prior: bool) -> None:
    base = {
        "sextant": Sextant(
            sigma_arcmin=size if which == "reading" else 2.5, common_sigma_arcmin=size if which == "common" else 0.0
        ),
        "wind_uncertainty": WindUncertainty(sigma_kt=size if which == "wind" else 12.0),
        "watch": Watch(sigma_s=size if which == "watch" else 0.0),
        "start": Start(time=START, position=Position(41.5, -28.25), sigma_nm=size if which == "start" else 2.0),
        "fixes": (fix("s1", "s2", "s3", prior=prior),),
    }
    result = solve(flight(**base)).fix("f1")
    if result.position is not None:
        assert all(math.isfinite(x) for x in result.position)
        assert result.cov_nm2 is not None and np.all(np.isfinite(result.cov_nm2))
        assert result.p_value is None or 0.0 <= result.p_value <= 1.0


def test_a_fix_across_the_world_has_no_wind_found() -> None:
    far = Fix(id="f1", time=at(60), kind="known", position=Position(-41.0, 150.0), sigma_nm=1.0)
    result = solve(flight(fixes=(far,))).fix("f1")
    assert result.wind_kt is None or (math.isfinite(result.wind_kt) and math.isfinite(result.wind_from_deg or 0.0))


def test_now_outside_the_ephemeris() -> None:
    with pytest.raises(Unsolvable, match="outside the ephemeris, 1899-07-29T02:00:00Z"):
        solve(flight(), now=datetime(2100, 1, 1, tzinfo=UTC))


@pytest.mark.parametrize("steering", ["rhumb", "great_circle"])
def test_a_rhumb_line_over_the_pole_is_named_where_it_is_flown(steering: Literal["rhumb", "great_circle"]) -> None:
    """Not the leg that begins after it, however that one is steered."""
    north = Start(time=START, position=Position(84.0, -28.25))
    legs = (replace(LEG, heading_deg=5.0), Leg(time=at(90), heading_deg=100.0, steering=steering))
    solution = solve(flight(start=north, legs=legs, sights=(), fixes=()))
    (problem,) = solution.problems
    assert problem.place == "[[leg]] 1, steering" and "passes the pole on a rhumb line" in problem.message


def test_a_body_below_the_horizon_is_named() -> None:
    sun = (Sight(id="s1", body="Sun", time=at(60), hs=40.0),)
    assert any("below the horizon" in w for w in solve(flight(sights=sun, fixes=())).sight("s1").warnings)


def test_a_set_aside_sight_below_the_horizon_stops_nothing() -> None:
    low = (*sights(), Sight(id="s4", body="Regulus", time=at(61), hs=-1.5, use=False))
    solution = solve(flight(sights=low))
    assert solution.problems == () and solution.sight("s4").ho is None
    assert solution.sight("s4").warnings


def test_two_fixes_at_one_time_are_named() -> None:
    known = Fix(id="k", time=at(60), kind="known", position=Position(40.0, -37.0), sigma_nm=1.0)
    solution = solve(flight(fixes=(known, fix("s1", "s2", "s3"))))
    assert any("fix k stands at the same time" in w for w in solution.fix("f1").warnings)


def test_what_a_first_leg_leaves_open_is_said() -> None:
    bare = (Leg(time=START, heading_deg=262.0, tas_kt=430.0),)
    warnings = solve(flight(legs=bare)).warnings
    assert any("sea level" in w for w in warnings) and any("calm" in w for w in warnings)
    assert not any("leg 1" in w for w in solve(flight()).warnings)
    climb = (LEG, Leg(time=at(20), altitude_ft=10000.0))
    assert any("leg 2 changes altitude" in w for w in solve(flight(legs=climb)).warnings)


def test_one_line_against_the_dr_is_said_so() -> None:
    far = (Sight(id="s1", body="Capella", time=at(60), hs=57.0),)
    agreed = solve(flight(fixes=(fix("s1", prior=True),))).fix("f1").trust[0]
    apart = solve(flight(sights=far, fixes=(fix("s1", prior=True),))).fix("f1").trust[0]
    assert agreed.startswith("the line agrees with the DR") and apart.startswith("the line disagrees with the DR")


def test_two_circles_meet_twice() -> None:
    """The other crossing of two lines fits as well, and is offered; both altitudes are those observed there."""
    from nightleg.sight.reduction import altitude

    result = solve(flight(fixes=(fix("s1", "s3"),))).fix("f1")
    assert result.position is not None and len(result.alternatives) == 1
    other = result.alternatives[0]
    assert nm(other, result.position) > 500.0
    for id in ("s1", "s3"):
        sight = solve(flight()).sight(id)
        assert sight.ho is not None
        # the run of some minutes and the deflection there are within a degree
        assert float(altitude(*other, sight.gha, sight.dec)) == pytest.approx(sight.ho, abs=1.5)


@pytest.mark.parametrize("dr", [Position(-35.0, 150.0), Position(10.0, 60.0), Position(75.0, -170.0)])
def test_three_stars_find_the_place_from_anywhere_on_the_globe(dr: Position) -> None:
    """The same shots with a DR on the other side of the world: the fix is where they were taken."""
    good = solve(flight()).fix("f1")
    lost = flight(start=Start(time=START, position=dr, sigma_nm=2.0))
    result = solve(lost).fix("f1")
    assert result.position is not None and good.position is not None
    # track and ground speed are those of another DR: bubble and run are off by some minutes of arc
    assert nm(result.position, good.position) < 25.0
    assert any("from the DR" in warning for warning in result.warnings)
