"""Nightleg: celestial air navigation on a plotting chart."""

__version__ = "0.1.0"
