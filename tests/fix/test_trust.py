"""Plain words about a fix, and the handbooks' most probable position."""

from __future__ import annotations

import math

import numpy as np
import pytest

from nightleg.fix.mpp import rule_distance_nm, rule_position
from nightleg.fix.trust import crossing_deg, widest_gap_deg, words


def said(azimuths, p, dof, weighted=None, offs=None, **more):
    n = len(azimuths)
    names = [f"s{i + 1} Vega" for i in range(n)]
    flags = {"prior": False, "common_solved": False, **more}
    return words(names, azimuths, [2.5] * n, p, dof, weighted or [0.1] * n, offs or ["+0.2′"] * n, **flags)


@pytest.mark.parametrize(("a", "b", "angle"), [(0, 90, 90), (10, 40, 30), (0, 180, 0), (350, 20, 30), (0, 120, 60)])
def test_crossing_angle_of_two_lines(a: float, b: float, angle: float) -> None:
    # the square root of a difference of like numbers costs half the digits at 0
    assert crossing_deg([a, b], [2.0, 2.0]) == pytest.approx(angle, abs=1e-5)


def test_one_line_does_not_cross() -> None:
    assert crossing_deg([40.0], [2.0]) == 0.0


def test_three_at_120_cross_as_well_as_two_at_right_angles() -> None:
    assert crossing_deg([0.0, 120.0, 240.0], [2.0] * 3) == pytest.approx(90.0)


def test_the_widest_gap() -> None:
    assert widest_gap_deg([0.0, 120.0, 240.0]) == pytest.approx(120.0)
    assert widest_gap_deg([350.0, 20.0, 60.0]) == pytest.approx(290.0)


def test_two_lines() -> None:
    assert said([0.0, 90.0], None, 0) == ("two lines: no check",)


def test_nearly_parallel() -> None:
    assert any("nearly parallel" in word for word in said([0.0, 20.0], None, 0))
    assert not any("nearly parallel" in word for word in said([0.0, 40.0], None, 0))


def test_agreement() -> None:
    assert said([0.0, 120.0, 240.0], 0.62, 1) == ("shots agree (p 0.62, one to spare)",)
    assert said([0.0, 120.0, 240.0], 0.62, 3, prior=True)[0].startswith("shots agree with each other and with the DR")


def test_one_shot_disagrees() -> None:
    first = said([0.0, 90.0, 180.0, 270.0], 1e-5, 2, [4.5, 0.6, -0.9, 0.3], ["+9.3′", "+0.5′", "+0.5′", "+0.5′"])[0]
    assert first.startswith("one disagrees: s1 Vega, off by +9.3′")


def test_three_lines_cannot_tell_which() -> None:
    first = said([0.0, 120.0, 240.0], 0.001, 1, [3.2, 3.2, 3.2])[0]
    assert first == "the shots disagree (p 0.001); with one to spare they do not tell which is wrong"


def test_all_on_one_side() -> None:
    assert any("on one side" in word for word in said([0.0, 60.0, 120.0], 0.5, 1))
    assert not any("on one side" in word for word in said([0.0, 60.0, 120.0], 0.5, 1, common_solved=True))


@pytest.mark.parametrize(("t", "p", "d"), [(15.0, 20.0, 8.6), (85.0, 20.0, 16.2), (0.0, 20.0, 0.0), (0.0, 0.0, 0.0)])
def test_most_probable_position_rule(t: float, p: float, d: float) -> None:
    """FAA-H-8083-18, most probable position: t = 15, p = 20 → 8.6; t = 85, p = 20 → 16.2."""
    assert rule_distance_nm(t, p) == pytest.approx(d, abs=0.05)


def test_most_probable_position_moves_toward_or_away() -> None:
    lat, lon = rule_position(40.0, -30.0, 90.0, 20.0, 15.0)
    assert (lon + 30.0) * 60.0 * math.cos(math.radians(40.0)) == pytest.approx(8.6, abs=0.1)
    lat, lon = rule_position(40.0, -30.0, 0.0, -20.0, 85.0)
    assert (lat - 40.0) * 60.0 == pytest.approx(-16.2, abs=0.1)


def test_geometry_facts_of_the_handbook() -> None:
    """FAA-H-8083-18: two lines at 30°, 5 NM error in one → 10 NM in the fix; three at 60°, 3 NM in one → 2 NM."""
    zn = np.radians([0.0, 30.0])
    two = np.linalg.solve(np.stack([np.cos(zn), np.sin(zn)], axis=1), [0.0, 5.0])
    assert np.hypot(*two) == pytest.approx(10.0, abs=0.01)
    zn = np.radians([0.0, 60.0, 120.0])
    three = np.linalg.lstsq(np.stack([np.cos(zn), np.sin(zn)], axis=1), [3.0, 0.0, 0.0], rcond=None)[0]
    assert np.hypot(*three) == pytest.approx(2.0, abs=0.01)
