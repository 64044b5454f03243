"""Explaining a disagreement: usual mistakes put into a good flight are named, and a good flight is left in peace."""

from __future__ import annotations

import math
from collections.abc import Callable
from datetime import timedelta

import pytest
from msgspec.structs import replace

from nightleg.flight.model import Flight, Sight
from nightleg.flight.read import read_flight
from nightleg.flight.solve import solve
from nightleg.flight.suspects import Verdict, asks, suspects
from nightleg.resources import scenario


@pytest.fixture(scope="module")
def flight() -> Flight:
    return read_flight(scenario("demo")).flight


def with_mistake(flight: Flight, id: str, mistake: Callable[[Sight], Sight]) -> Flight:
    return replace(flight, sights=tuple(mistake(s) if s.id == id else s for s in flight.sights))


def verdict(flight: Flight, fix: str) -> Verdict:
    return suspects(flight, solve(flight), fix)


MISTAKES: dict[str, tuple[str, str, Callable[[Sight], Sight], str]] = {
    "a degree too much": ("s5", "f2", lambda s: replace(s, hs=(s.hs or 0) + 1.0), "read one degree too high"),
    "a degree too little": ("s7", "f3", lambda s: replace(s, hs=(s.hs or 0) - 1.0), "read one degree too low"),
    "an hour late": (
        "s9",
        "f3",
        lambda s: replace(s, time=s.time + timedelta(hours=1) if s.time else None),
        "time written one hour too late",
    ),
    "a minute late": (
        "s9",
        "f3",
        lambda s: replace(s, time=s.time + timedelta(minutes=1) if s.time else None),
        "time written one minute too late",
    ),
    "no reason": ("s9", "f3", lambda s: replace(s, hs=(s.hs or 0) + 35 / 60), "wrong for a reason unknown"),
}


@pytest.mark.parametrize("name", MISTAKES)
def test_the_mistake_is_named_first(flight: Flight, name: str) -> None:
    id, fix, mistake, words = MISTAKES[name]
    wrong = with_mistake(flight, id, mistake)
    assert asks(solve(wrong).fix(fix))
    said = verdict(wrong, fix)
    assert (said.suspects[0].id, said.suspects[0].explanation) == (id, words)
    assert said.telling and said.words == f"most likely {id}: {words}"
    assert said.chance_log_odds < said.suspects[0].log_odds


@pytest.mark.parametrize("name", ["a degree too much", "an hour late", "a minute late"])
def test_trying_it_restores_the_fix(flight: Flight, name: str) -> None:
    """The first suspect carries the sight as it was before the mistake."""
    id, fix, mistake, _ = MISTAKES[name]
    first = verdict(with_mistake(flight, id, mistake), fix).suspects[0]
    right = next(s for s in flight.sights if s.id == id)
    assert first.sight is not None and first.sight.time == right.time
    assert first.sight.hs == pytest.approx(right.hs)


def test_a_good_fix_is_left_in_peace(flight: Flight) -> None:
    for fix in ("f2", "f3"):
        assert not asks(solve(flight).fix(fix))
        said = verdict(flight, fix)
        assert not said.telling and said.chance_log_odds > 2.0


def test_the_star_that_was_really_shot_is_named(flight: Flight) -> None:
    """A star near Fomalhaut's place logged in its stead: among the names offered is Fomalhaut."""
    from nightleg.sight.reduction import altitude_azimuth
    from nightleg.sky.catalogue import NAVIGATIONAL_STARS
    from nightleg.sky.places import places

    solution = solve(flight)
    sight = solution.sight("s8")
    apart = {}
    for name in NAVIGATIONAL_STARS:
        place = places(name, (sight.time - solution.dr[0].time).total_seconds() + solution.plots[0].time_s)
        hc, zn = altitude_azimuth(*sight.dr, place.gha_deg, place.dec_deg)
        apart[name] = math.hypot(float(hc) - sight.hc, ((float(zn) - sight.zn + 180.0) % 360.0 - 180.0) / 3.0)
    neighbour = sorted(apart, key=lambda name: apart[name])[1]
    wrong = with_mistake(flight, "s8", lambda s: replace(s, body=neighbour))
    offered = [s.explanation for s in verdict(wrong, "f3").suspects]
    # only a body that stands within 90′ of the reading can be meant
    assert "the body was Fomalhaut" in offered


def test_the_wrong_limb_of_the_moon(flight: Flight) -> None:
    """Thirty-odd minutes of arc: with the DR and the Sun line beside it the Moon's limb is found out."""
    wrong = with_mistake(flight, "s2", lambda s: replace(s, limb="lower"))
    said = verdict(wrong, "f1")
    assert [s.explanation for s in said.suspects[:4] if s.id == "s2"][:1] in (
        ["the limb was upper"],
        ["wrong for a reason unknown"],
    )
    assert "the limb was upper" in [s.explanation for s in said.suspects[:3]]


def test_two_shots_and_one(flight: Flight) -> None:
    """With two lines and the DR something can be said; with one nothing."""
    assert verdict(flight, "f4").suspects
    lone = replace(flight, fixes=tuple(replace(f, sights=f.sights[:1]) for f in flight.fixes))
    assert verdict(lone, "f4").words.startswith("fewer than two shots")


def test_odds_are_finite_and_in_order(flight: Flight) -> None:
    wrong = with_mistake(flight, "s5", lambda s: replace(s, hs=(s.hs or 0) - 20.0))
    odds = [s.log_odds for s in verdict(wrong, "f2").suspects]
    assert odds == sorted(odds, reverse=True)
    assert all(math.isfinite(x) for x in odds)


def test_unknown_fix(flight: Flight) -> None:
    with pytest.raises(KeyError):
        suspects(flight, solve(flight), "nothing")


def test_a_fix_far_from_the_dr_asks_too(flight: Flight) -> None:
    """Two lines check nothing, but a degree misread in one puts the fix far from the DR."""
    two = replace(flight, fixes=tuple(replace(f, sights=f.sights[:2]) if f.id == "f3" else f for f in flight.fixes))
    assert not asks(solve(two).fix("f3"))
    id = next(f.sights[0] for f in two.fixes if f.id == "f3")
    wrong = with_mistake(two, id, lambda s: replace(s, hs=(s.hs or 0) + 1.0))
    result = solve(wrong).fix("f3")
    assert result.p_value is None and asks(result)
    assert verdict(wrong, "f3").suspects


def test_what_comes_to_the_same_is_said_as_one(flight: Flight) -> None:
    """In a shot of two minutes the start lies one minute before the middle; in one of three minutes it does not."""
    late = with_mistake(flight, "s9", lambda s: replace(s, time=s.time - timedelta(minutes=1) if s.time else None))
    first = verdict(late, "f3").suspects[0]
    assert first.explanation == "time written one minute too early, or start of the shot taken for its middle"
    longer = with_mistake(
        late, "s9", lambda s: replace(s, duration_s=180.0, time=s.time - timedelta(seconds=30) if s.time else None)
    )
    named = [s.explanation for s in verdict(longer, "f3").suspects if s.id == "s9"]
    assert "start of the shot taken for its middle" in named


def test_a_reading_that_leads_nowhere_is_explained_all_the_same(flight: Flight) -> None:
    """Fifty degrees off no position fits as logged; that chance did it is then out of the question."""
    wrong = with_mistake(flight, "s9", lambda s: replace(s, hs=(s.hs or 0) + (50.0 if (s.hs or 0) < 35.0 else -45.0)))
    said = verdict(wrong, "f3")
    assert said.words
    if said.suspects:
        assert said.chance_log_odds < -10.0
