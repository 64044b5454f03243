"""The uncertainty of ETA and waypoint against drawn flights: no covariance is used in the drawing.

Errors of the first position, of the fix and (with a DR taken in) of the wind are drawn from the stated model; the wind
is found as way over time, the heading is steered from a DR ahead of the fix, and the true aircraft is flown there.
"""

from __future__ import annotations

import numpy as np
import pytest

from nightleg.fix.joint import Joint, found, sigma_along

DRAWS = 20_000
WITHIN = 4.0 / np.sqrt(2.0 * DRAWS)  # four standard errors of a standard deviation: 2 % at 20 000 draws
HOURS, WORK_H, RUN_H = 1.0, 0.2, 1.5  # since the last fix, from the fix to the work, from there to the waypoint
P0 = np.array([[6.0, 2.0], [2.0, 4.0]])
C = np.array([[9.0, -3.0], [-3.0, 5.0]])


def rows(m: np.ndarray) -> tuple[tuple[float, float], tuple[float, float]]:
    return (float(m[0, 0]), float(m[0, 1])), (float(m[1, 0]), float(m[1, 1]))


def flown(e: np.ndarray, e0: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Errors of the wind found, and of the DR at the waypoint, as the plane's own kinematics gives them."""
    wind = np.array([20.0, -30.0])
    air = np.array([-60.0, -400.0]) * HOURS
    start = np.zeros(2)
    truth = start + e0 + air + wind * HOURS
    fix = truth - e
    wind_found = (fix - (start + air)) / HOURS
    ahead = np.array([250.0, 320.0])
    dr = fix + (ahead + wind_found) * (WORK_H + RUN_H)
    return wind - wind_found, truth + (ahead + wind) * (WORK_H + RUN_H) - dr


def drawn(rng: np.random.Generator, cov: np.ndarray) -> np.ndarray:
    return rng.multivariate_normal(np.zeros(2), cov, DRAWS)


def checked(joint: Joint, wind: np.ndarray, place: np.ndarray) -> None:
    for direction in (0.0, 37.0, 90.0, 141.0):
        a = np.radians(direction)
        unit = np.array([np.cos(a), np.sin(a)])
        assert np.std(wind @ unit) == pytest.approx(sigma_along(joint.wind_kt2, direction), rel=WITHIN)
        expected = sigma_along(joint.after(WORK_H + RUN_H), direction)
        assert np.std(place @ unit) == pytest.approx(expected, rel=WITHIN)


def test_a_fix_of_lines_alone() -> None:
    rng = np.random.default_rng(20260314)
    wind, place = flown(drawn(rng, C), drawn(rng, P0))
    joint = found(rows(C), rows(P0), HOURS)
    checked(joint, wind, place)
    # taking the two for independent would be far off: the test can tell
    apart = Joint(joint.place_nm2, joint.wind_kt2).after(WORK_H + RUN_H)
    assert sigma_along(apart, 90.0) < 0.9 * sigma_along(joint.after(WORK_H + RUN_H), 90.0)


def test_a_fix_that_took_the_dr_in() -> None:
    """x ~ DR + prior, one poor line measured: the fix shares a part of the error at the beginning."""
    rng = np.random.default_rng(5)
    sigma_w = 12.0
    e0, dw = drawn(rng, P0), sigma_w * rng.standard_normal((DRAWS, 2))
    off = e0 + dw * HOURS  # truth less DR
    prior = P0 + (sigma_w * HOURS) ** 2 * np.eye(2)
    u, s = np.array([np.cos(0.4), np.sin(0.4)]), 3.0
    measured = off @ u + s * rng.standard_normal(DRAWS)
    gain = prior @ u / (u @ prior @ u + s**2)
    fix_off = measured[:, None] * gain
    cov = prior - np.outer(gain, u @ prior)
    e = off - fix_off
    wind_error = dw - fix_off / HOURS  # the wind found is the held one changed by way over time
    joint = found(rows(cov), rows(P0), HOURS, rows(prior))
    checked(joint, wind_error, e + (WORK_H + RUN_H) * wind_error)
