"""Checks between the entries of a flight: order, references, and keys that need or exclude each other."""

from __future__ import annotations

from nightleg.flight.findings import Findings
from nightleg.flight.tables import Draft


def check_draft(draft: Draft, findings: Findings) -> None:
    """Adds to `findings` whatever contradicts itself between the entries."""
