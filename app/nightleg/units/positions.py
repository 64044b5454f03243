"""Positions as navigators write and type them."""

from __future__ import annotations

from typing import NamedTuple


class Position(NamedTuple):
    """Geodetic latitude and longitude in degrees, north and east positive."""

    lat: float
    lon: float
