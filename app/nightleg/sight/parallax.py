"""Parallax and semidiameter, as vectors on the ellipsoid.

An observer does not stand at the Earth's centre: the direction measured is from the aircraft, Hc is from the centre
(with the geodetic vertical of the place). Given the observed altitude the geocentric one follows exactly from the
triangle centre, aircraft, body, so that Ho does not depend on how wrong the assumed position is.
"""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

from nightleg.earth.ellipsoid import A_M, E2

Array = NDArray[np.float64]


def observer_km(lat: Any, height_m: Any) -> tuple[Array, Array]:
    """North and up components, km, of the vector from the Earth's centre to a place, in the place's own horizon."""
    s, c = np.sin(np.radians(lat)), np.cos(np.radians(lat))
    normal_m = A_M / np.sqrt(1.0 - E2 * s * s)
    return np.asarray(-normal_m * E2 * s * c / 1000.0), np.asarray((normal_m * (1.0 - E2 * s * s) + height_m) / 1000.0)


def to_geocentric(
    limb_deg: Any, zn_deg: Any, lat: Any, height_m: Any, distance_km: Any, radius_km: Any, limb: Any
) -> tuple[Array, Array]:
    """Semidiameter and parallax in arcmin, each to be added, for an observed altitude free of refraction.

    `limb_deg` is the altitude of what was observed: centre (`limb` 0), lower limb (+1) or upper limb (-1). `zn_deg` is
    the geocentric azimuth; `distance_km` from the Earth's centre, infinite for stars. All broadcast.
    """
    if np.isinf(distance_km).all():  # stars alone, the common case: nothing to work out
        nothing = np.zeros(np.broadcast(limb_deg, zn_deg, distance_km).shape)
        return nothing, nothing
    rho_north, rho_up = observer_km(lat, height_m)
    rho_north, rho_up = rho_north / distance_km, rho_up / distance_km
    az, zn = np.radians(zn_deg), np.radians(zn_deg)
    semidiameter = np.zeros(np.broadcast(limb_deg, distance_km, az).shape)
    size = np.asarray(radius_km) / distance_km
    seen = np.radians(limb_deg)
    # Semidiameter depends on the distance from the aircraft, that on the altitude of the centre; and the azimuth seen
    # differs from the geocentric one by a trace. Both settle in a few rounds.
    for _ in range(4):
        h = seen + semidiameter
        cos_h, sin_h = np.cos(h), np.sin(h)
        north, east, up = cos_h * np.cos(az), cos_h * np.sin(az), sin_h
        along = rho_north * north + rho_up * up
        reach = -along + np.sqrt(1.0 - rho_north**2 - rho_up**2 + along**2)
        semidiameter = limb * np.arcsin(size / reach)
        north, east, up = reach * north + rho_north, reach * east, reach * up + rho_up
        az = az + np.sin(zn - np.arctan2(east, north))
    centre = np.arctan2(up, np.hypot(north, east))
    return np.asarray(np.degrees(semidiameter) * 60.0), np.asarray(np.degrees(centre - h) * 60.0)


def to_observed(
    geocentric_deg: Any, zn_deg: Any, lat: Any, height_m: Any, distance_km: Any, radius_km: Any, limb: Any
) -> Array:
    """Inverse of `to_geocentric`: altitude of the limb (or centre) seen from the aircraft, free of refraction."""
    rho_north, rho_up = observer_km(lat, height_m)
    rho_north, rho_up = rho_north / distance_km, rho_up / distance_km
    h, zn = np.radians(geocentric_deg), np.radians(zn_deg)
    north, east, up = np.cos(h) * np.cos(zn) - rho_north, np.cos(h) * np.sin(zn), np.sin(h) - rho_up
    reach = np.sqrt(north**2 + east**2 + up**2)
    seen = np.arctan2(up, np.hypot(north, east))
    return np.asarray(np.degrees(seen - limb * np.arcsin(np.asarray(radius_km) / distance_km / reach)))
