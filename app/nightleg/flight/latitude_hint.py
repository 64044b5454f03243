"""Whether a sight may give a latitude, asked before anything is loaded or worked for that."""

from __future__ import annotations

from nightleg.flight.solution import SightResult

POLARIS = "Polaris"
LEAST_ZENITH_DEG = 5.0  # nearer to the zenith the azimuth turns too fast for any rule of the meridian
_MOST_OF_ZENITH = 0.5  # hour angle in degrees for each degree of zenith distance: twice the rule's, for fast aircraft


def may_give_latitude(sight: SightResult) -> bool:
    """Whether the body is Polaris, or stands near the meridian by its hour angle at the DR."""
    if sight.ho is None:
        return False
    if sight.body == POLARIS:
        return True
    _, zenith, angle = by_meridian(sight)
    return LEAST_ZENITH_DEG <= zenith < 90.0 and abs(angle) <= _MOST_OF_ZENITH * zenith


def by_meridian(sight: SightResult) -> tuple[bool, float, float]:
    """Whether the upper transit is the nearer one, zenith distance there and hour angle from it, degrees, at the DR."""
    angle = (sight.gha + sight.dr.lon + 180.0) % 360.0 - 180.0
    if abs(angle) <= 90.0:
        return True, abs(sight.dr.lat - sight.dec), angle
    return False, 180.0 - abs(sight.dr.lat + sight.dec), (angle + 360.0) % 360.0 - 180.0
