"""What is on the chart: which fix matters, which words stand beside it, what is held back."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from typing import Any

import pytest
from synthetic import START, crossing

from nightleg.chart.export import sheet_of
from nightleg.chart.registry import LAYERS, layers
from nightleg.chart.scene import compose
from nightleg.chart.themes import THEMES
from nightleg.chart.trackfacts import dr_now
from nightleg.flight.model import Flight, Leg, Start
from nightleg.flight.solution import LineOfPosition, Solution
from nightleg.units.positions import Position

HERE = Position(40.0, -30.0)
FLIGHT = Flight(start=Start(time=START, position=HERE), legs=(Leg(time=START, heading_deg=90.0, tas_kt=400.0),))
NOTHING = Solution("", START, (), (), ())


def _line(moved: bool, used: bool = True) -> LineOfPosition:
    run = (Position(39.0, -30.0), Position(41.0, -30.0))
    later = START + timedelta(minutes=8)
    shifted = tuple(Position(p.lat, p.lon + 1.0) for p in run) if moved else run
    return LineOfPosition("s1", None, "Vega", START, run, shifted, run, later if moved else None, used)


def test_a_line_is_named_by_its_time_and_body() -> None:
    assert compose(FLIGHT, NOTHING, [_line(False)], []).lines[0].text == "2220 Vega"
    assert compose(FLIGHT, NOTHING, [_line(True)], []).lines[0].text == "2220–2228 Vega"
    assert compose(FLIGHT, NOTHING, [_line(False, used=False)], []).lines[0].text == "2220 Vega, not used"


def test_lines_of_the_last_fix_are_current_and_each_has_its_dash() -> None:
    scene = crossing(fixes=3, shots=4)
    current = [line for line in scene.lines if line.current]
    assert [line.dash for line in current] == [0, 1, 2, 3]
    assert scene.current_fix is not None and scene.current_fix.id == "f3"
    past = [line for line in scene.lines if not line.current]
    assert len(past) == 8 and all(len(line.advanced) < len(line.observed) for line in past)


def test_kinds_of_fixes_have_their_symbols() -> None:
    for kind in ("fix", "estimated", "known"):
        assert crossing(kind=kind).fixes[0].symbol == kind


def test_with_a_time_what_comes_later_is_left_out() -> None:
    whole = crossing(fixes=2)
    assert len(whole.fixes) == 2
    flight, solution = FLIGHT, Solution("", START, (), (), ())
    assert compose(flight, solution, [_line(False)], [], START - timedelta(seconds=1)).lines == ()
    assert len(compose(flight, solution, [_line(False)], [], START).lines) == 1


def test_truth_is_shown_only_when_asked_for() -> None:
    assert crossing().truth == ()
    assert crossing(fixes=2, reveal=True).truth != ()


def test_the_legend_lists_what_is_there_and_nothing_else() -> None:
    def words(**kind: Any) -> list[str]:
        return [entry.text for entry in sheet_of(crossing(**kind), THEMES["paper"], (1366, 768)).legend]

    plain = words(fixes=1)
    assert "fix" in plain and "line of an earlier fix" not in plain and "track really flown" not in plain
    assert "most probable position" in words(kind="estimated") and "fix" not in words(kind="estimated")
    empty = sheet_of(compose(FLIGHT, NOTHING, [], []), THEMES["paper"], (1366, 768))
    assert empty.legend == ()


def test_the_dr_that_a_fix_replaced_is_shown_at_the_time_of_the_fix() -> None:
    scene = crossing(minutes_after=0.0)
    assert scene.dr is not None and scene.dr.text == "2300"
    assert scene.dr.circle50_nm == pytest.approx(1.1774 * 60.0**0.5, rel=1e-4)  # √(2 ln 2)·σ, of a round normal error
    assert scene.fixes[0].position != scene.dr.position
    assert scene.dr.name == "2300 DR before the fix"
    later = crossing(minutes_after=3.0).dr
    assert later is not None and later.name.endswith(" DR")


def test_at_the_very_time_of_a_fix_the_aircraft_is_at_the_fix() -> None:
    at, later = crossing(minutes_after=0.0), crossing(minutes_after=3.0)
    assert dr_now(at) == (at.fixes[0].position, "fix")
    assert later.dr is not None and dr_now(later) == (later.dr.position, "DR")


def test_ticks_leave_room_for_the_symbols_of_fixes() -> None:
    scene = crossing(fixes=2)
    texts = [tick.text for run in scene.runs for tick in run.ticks]
    assert texts.count("2300") == 1  # the end of the run before, not the start of the next
    # The invented track is a great circle: over 268 NM at 40° N it turns by 268/60·sin(249°)·tan(40°) = 3.5°.
    assert all(tick.track_deg == pytest.approx(249.0, abs=3.6) for run in scene.runs for tick in run.ticks)


def test_layers_are_switched_by_name() -> None:
    assert len({layer.name for layer in LAYERS}) == len(LAYERS)
    assert [layer.z for layer in layers(())] == sorted(layer.z for layer in LAYERS)
    assert {layer.name for layer in LAYERS} - {layer.name for layer in layers()} == {"air plot"}
    assert "wind" not in [layer.name for layer in layers({"wind"})]
    with pytest.raises(ValueError, match=r"'winds'.*wind"):
        layers({"winds"})


def test_a_scene_is_made_of_values() -> None:
    assert crossing(seed=5) == crossing(seed=5)
    assert crossing(seed=5) != replace(crossing(seed=5), title="another")
