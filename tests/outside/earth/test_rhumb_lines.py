"""Rhumb lines against published values and against numerical integration of their differential equations."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from nightleg.earth.ellipsoid import NM_M, meridian_radius_nm, normal_radius_nm
from nightleg.earth.geodesic import inverse
from nightleg.earth.rhumb import rhumb_direct, rhumb_inverse
from nightleg.units.angles import read_angle

MM_NM = 1e-3 / NM_M


def _angle(text: str) -> float:
    value = read_angle(text[:-1].replace(":", " "))
    return -value if text[-1] in "SW" else value


def test_geographiclib_line_to_singapore() -> None:
    # RhumbSolve(1), EXAMPLES: 103:34:58.2 and 18 523 563 m. More figures, and the second line, from the test suite of
    # a .NET port of GeographicLib (RhumbTests).
    for start, end, azimuth_deg, metres in (
        (("40:38:23N", "073:46:44W"), ("01:21:33N", "103:59:22E"), 103.582833003410954, 18523563.0423774272),
        (("33.3N", "44.4E"), ("12.34N", "56.78E"), 151.483174375421527, 2641839.7239669343),
    ):
        nm, track = rhumb_inverse(*map(_angle, start), *map(_angle, end))
        assert nm * NM_M == pytest.approx(metres, abs=1e-6)  # a micrometre: rounding over 18 500 km
        assert track == pytest.approx(azimuth_deg, abs=1e-12)


def test_geographiclib_waypoints() -> None:
    rows = [line.split(",") for line in _lines("rhumb_waypoints.csv")]
    metres = np.array([float(row[0]) for row in rows])
    lat, lon = rhumb_direct(_angle("40:38:23N"), _angle("073:46:44W"), _angle("103:34:58.2E"), metres / NM_M)
    # Printed to 0.1".
    assert lat == pytest.approx([_angle(row[1]) for row in rows], abs=0.051 / 3600)
    assert lon == pytest.approx([_angle(row[2]) for row in rows], abs=0.051 / 3600)


def _lines(name: str) -> list[str]:
    text = Path(__file__).with_name(name).read_text(encoding="utf-8")
    return [line for line in text.splitlines() if line and not line.startswith("#")]


def _integrated(lat: float, track_deg: float, nm: float) -> tuple[float, float]:
    """Latitude reached and longitude gained, integrating dφ/ds = cos α/M(φ), dλ/ds = sin α/(N(φ)·cos φ)."""
    cos, sin = np.cos(np.radians(track_deg)), np.sin(np.radians(track_deg))

    def rates(_: float, state: np.ndarray) -> list[float]:
        at = np.degrees(state[0])
        return [cos / meridian_radius_nm(at), sin / (normal_radius_nm(at) * np.cos(state[0]))]

    solved = solve_ivp(rates, (0.0, nm), [np.radians(lat), 0.0], method="DOP853", rtol=1e-13, atol=1e-15)
    end = np.degrees(solved.y[:, -1])
    return float(end[0]), float(end[1])


@pytest.mark.parametrize("lat", [-85.0, -60.0, -3.0, 0.0, 41.5, 78.0])
@pytest.mark.parametrize(
    "track_deg", [0.0, 33.0, 89.0, 89.999, 90.0, 90.00001, 135.0, 180.0, 225.0, 269.99, 270.0, 312.0]
)
def test_against_integration(lat: float, track_deg: float) -> None:
    for nm in (0.5, 240.0):
        at, gained = _integrated(lat, track_deg, nm)
        end_lat, end_lon = rhumb_direct(lat, 179.0, track_deg, nm)
        # 0.01 mm: what the integration itself leaves over 240 NM at its tolerance of 1e-13.
        north_nm = np.radians(end_lat - at) * meridian_radius_nm(at)
        turn = (end_lon - 179.0 - gained + 180.0) % 360.0 - 180.0
        east_nm = np.radians(turn) * normal_radius_nm(at) * np.cos(np.radians(at))
        assert np.hypot(north_nm, east_nm) < 0.01 * MM_NM


def test_long_lines_against_integration() -> None:
    for lat, track_deg, nm in ((-70.0, 20.0, 8000.0), (60.0, 260.0, 3000.0), (5.0, 300.0, 5000.0)):
        at, gained = _integrated(lat, track_deg, nm)
        end_lat, end_lon = rhumb_direct(lat, 0.0, track_deg, nm)
        assert end_lat == pytest.approx(at, abs=1e-10)  # 1e-10 degrees: 0.01 mm
        assert (end_lon - gained + 180.0) % 360.0 - 180.0 == pytest.approx(0.0, abs=1e-10)


def test_meridian_is_a_geodesic() -> None:
    lat1, lat2 = np.meshgrid(np.linspace(-89.9, 89.9, 23), np.linspace(-89.5, 89.5, 17))
    nm, track = rhumb_inverse(lat1, 12.0, lat2, 12.0)
    geodesic_nm, _, _ = inverse(lat1, 12.0, lat2, 12.0)
    assert np.max(np.abs(nm - geodesic_nm)) < 1e-4 * MM_NM  # 0.1 micrometre
    assert set(np.unique(track[lat1 != lat2])) == {0.0, 180.0}
