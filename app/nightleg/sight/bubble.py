"""Deflection of a bubble: the vertical that a moving aircraft shows.

On an aircraft that moves over a turning Earth the apparent vertical leans. Its lean to the right of track has three
parts, each an acceleration over g = 9.80665 m/s² (ISO 80000-3, standard acceleration), as an angle in arcmin:

- Coriolis: 2Ω V sin L
- rhumb line: V² tan L sin TC / R, since a constant track bends away from the great circle
- wander: V ω, since the track really turned while the shot lasted (right positive, so the force is to the left)

and ahead there is the change of speed (speeding up presses backward). The air-navigation handbooks print the first
three as 2.62, 0.146 and 5.25 for ground speeds in hundreds of knots (FAA-H-8083-18, AFPAM 11-216; from memory). Like
them this leaves out what the motion takes off gravity itself, below 0.4 % of the lean.
"""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

from nightleg.earth.ellipsoid import NM_M
from nightleg.sight.reduction import ARCMIN_PER_RADIAN

Array = NDArray[np.float64]

G_M_S2 = 9.80665
EARTH_ROTATION_RAD_S = 7.292115e-5  # WGS 84
EARTH_RADIUS_M = 6371008.8  # mean radius of WGS 84; the term it serves is below 20′
KT_M_S = NM_M / 3600.0

CORIOLIS_PER_KT = 2.0 * EARTH_ROTATION_RAD_S * KT_M_S / G_M_S2 * ARCMIN_PER_RADIAN
RHUMB_PER_KT2 = KT_M_S**2 / EARTH_RADIUS_M / G_M_S2 * ARCMIN_PER_RADIAN
WANDER_PER_KT_DEG_MIN = KT_M_S * np.radians(1.0) / 60.0 / G_M_S2 * ARCMIN_PER_RADIAN
AHEAD_PER_KT_MIN = KT_M_S / 60.0 / G_M_S2 * ARCMIN_PER_RADIAN


def coriolis_right_arcmin(lat: Any, gs_kt: Any) -> Array:
    """Lean to the right of track by the Earth's rotation, arcmin."""
    return np.asarray(CORIOLIS_PER_KT * gs_kt * np.sin(np.radians(lat)))


def rhumb_right_arcmin(lat: Any, gs_kt: Any, track_deg: Any) -> Array:
    """Lean to the right of track by holding a constant true track, arcmin."""
    return np.asarray(RHUMB_PER_KT2 * gs_kt**2 * np.sin(np.radians(track_deg)) * np.tan(np.radians(lat)))


def wander_right_arcmin(gs_kt: Any, turn_deg_per_min: Any) -> Array:
    """Lean to the right of track by turning, right positive, beyond the path held, arcmin."""
    return np.asarray(-WANDER_PER_KT_DEG_MIN * gs_kt * turn_deg_per_min)


def ahead_arcmin(speed_change_kt_per_min: Any) -> Array:
    """Lean ahead by a change of ground speed, arcmin."""
    return np.asarray(-AHEAD_PER_KT_MIN * speed_change_kt_per_min)


def level(apparent_deg: Any, right_arcmin: Any, ahead_arcmin: Any, off_track_deg: Any) -> Array:
    """Altitude above the true horizon, degrees, of a body seen `apparent_deg` above the leaning one. All broadcast.

    `off_track_deg` is the body's true azimuth less the track. The lean is applied as an exact tilt of the vertical;
    its first order is right·sin + ahead·cos of the angle off track, its second the square of the lean across the
    line of sight times tan H / 6876.
    """
    along, upright = _components(right_arcmin, ahead_arcmin, off_track_deg)
    ratio = np.clip(np.sin(np.radians(apparent_deg)) / np.hypot(along, upright), -1.0, 1.0)
    return np.asarray(np.degrees(np.arcsin(ratio) - np.arctan2(along, upright)))


def lean(true_deg: Any, right_arcmin: Any, ahead_arcmin: Any, off_track_deg: Any) -> Array:
    """Inverse of `level`: the altitude above the leaning horizon, degrees."""
    along, upright = _components(right_arcmin, ahead_arcmin, off_track_deg)
    h = np.radians(true_deg)
    return np.asarray(np.degrees(np.arcsin(np.clip(upright * np.sin(h) + along * np.cos(h), -1.0, 1.0))))


def first_order_arcmin(right_arcmin: Any, off_track_deg: Any) -> Array:
    """A lean to the right as a correction of the altitude, arcmin, to first order."""
    return np.asarray(right_arcmin * np.sin(np.radians(off_track_deg)))


def _components(right_arcmin: Any, ahead_arcmin: Any, off_track_deg: Any) -> tuple[Array, Array]:
    """Components of the apparent upward direction, toward the body and upright.

    The apparent gravity leans toward the force, so its upward opposite leans away from it.
    """
    right, ahead = np.asarray(right_arcmin) / ARCMIN_PER_RADIAN, np.asarray(ahead_arcmin) / ARCMIN_PER_RADIAN
    beta = np.radians(off_track_deg)
    norm = np.sqrt(1.0 + right**2 + ahead**2)
    return -(right * np.sin(beta) + ahead * np.cos(beta)) / norm, 1.0 / norm
