"""The working of the way ahead: distance, course, heading to steer, time of arrival, times due. No Qt here."""

from __future__ import annotations

from nightleg.flight.working_wind import AHEAD, ahead_working

__all__ = ["AHEAD", "ahead_working"]
