"""Distance and bearing of work plotted by hand, against GeographicLib.

Source: C. F. F. Karney's own implementation of "Algorithms for geodesics", J. Geodesy 87, 2013 (geographiclib on PyPI).
"""

from __future__ import annotations

import numpy as np
import pytest
from geographiclib.geodesic import Geodesic

from nightleg.flight.grading import grades
from nightleg.flight.read import parse_flight
from nightleg.flight.solve import solve
from nightleg.flight.truth import truth_at
from nightleg.units.times import read_instant

LENGTH_NM = 1e-9  # 2 micrometres: two implementations that are good to some nanometres, and the units between
ANGLE_DEG = 1e-8  # 2 micrometres across at a tenth of the shortest distance drawn here, some NM

FILE = """\
format = "nightleg-flight-1"
[start]
time = 2026-03-14T22:00:00Z
position = "{lat1:.9f} {lon1:.9f}"
[[leg]]
time = 2026-03-14T22:00:00Z
heading_deg = 90
tas_kt = 100
wind = "000/0"
altitude_ft = 31000
[[fix]]
id = "f1"
time = 2026-03-14T22:30:00Z
kind = "known"
position = "{lat1:.9f} {lon1:.9f}"
sigma_nm = 1
[[plotted]]
of = "f1"
position = "{lat2:.9f} {lon2:.9f}"
[truth]
track = [["2026-03-14T22:00:00Z", {lat1:.9f}, {lon1:.9f}], ["2026-03-14T23:00:00Z", {lat3:.9f}, {lon3:.9f}]]
"""


def _drawn(seed: int) -> list[dict[str, float]]:
    """Places all over the world, the 180° meridian and both polar caps among them, and answers 1 to 1 000 NM away."""
    draw = np.random.default_rng(seed)
    places = []
    for number in range(12):
        lat1 = float(np.degrees(np.arcsin(draw.uniform(-1.0, 1.0))))
        lon1 = float(draw.uniform(-180.0, 180.0))
        if number % 4 == 1:
            lon1 = float(draw.choice([-1.0, 1.0]) * (180.0 - draw.uniform(0.0, 0.2)))
        if number % 4 == 2:
            lat1 = float(draw.choice([-1.0, 1.0]) * draw.uniform(85.0, 89.0))
        ends = []
        for _ in range(2):
            metres = 1852.0 * 10.0 ** draw.uniform(0.0, 3.0)
            ends.append(Geodesic.WGS84.Direct(lat1, lon1, draw.uniform(0.0, 360.0), metres))
        (lat2, lon2), (lat3, lon3) = ((end["lat2"], end["lon2"]) for end in ends)
        names = {"lat1": lat1, "lon1": lon1, "lat2": lat2, "lon2": lon2, "lat3": lat3, "lon3": lon3}
        places.append({name: round(value, 9) for name, value in names.items()})
    return places


@pytest.mark.parametrize("seed", range(3))
def test_a_plotted_fix(seed: int) -> None:
    for drawn in _drawn(seed):
        flight = parse_flight(FILE.format(**drawn)).flight
        (grade,) = grades(flight, solve(flight))
        theirs = Geodesic.WGS84.Inverse(drawn["lat1"], drawn["lon1"], drawn["lat2"], drawn["lon2"])
        assert grade.error_nm == pytest.approx(theirs["s12"] / 1852.0, abs=LENGTH_NM)
        assert grade.error_bearing_deg is not None
        assert abs((grade.error_bearing_deg - theirs["azi1"] + 180.0) % 360.0 - 180.0) < ANGLE_DEG


@pytest.mark.parametrize("seed", range(3))
def test_against_the_truth_half_way(seed: int) -> None:
    """At half the time the truth is half way along the geodesic, and the answer is held against that place."""
    for drawn in _drawn(seed):
        flight = parse_flight(FILE.format(**drawn)).flight
        line = Geodesic.WGS84.InverseLine(drawn["lat1"], drawn["lon1"], drawn["lat3"], drawn["lon3"])
        middle = line.Position(line.s13 / 2.0)
        place = truth_at(flight.truth, read_instant("2026-03-14T22:30:00Z"))
        assert place is not None
        off = Geodesic.WGS84.Inverse(middle["lat2"], middle["lon2"], *place)
        assert off["s12"] / 1852.0 < LENGTH_NM
        (grade,) = grades(flight, solve(flight), flight.truth)
        theirs = Geodesic.WGS84.Inverse(middle["lat2"], middle["lon2"], drawn["lat2"], drawn["lon2"])
        assert grade.against == "truth"
        assert grade.error_nm == pytest.approx(theirs["s12"] / 1852.0, abs=LENGTH_NM)
