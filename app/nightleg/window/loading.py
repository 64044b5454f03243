"""Loading Qt. No Qt at the top of this module."""

from __future__ import annotations

import importlib

# Without Qt, so they come before it: see there.
_FIRST = ("nightleg.flight.solve", "nightleg.flight.plotting", "nightleg.chart.scene")


def load_qt() -> None:
    """Import Qt, after what does without it. Raises ImportError.

    PySide puts a function of its own in the place of Python's import, which reads the source of every module that is
    imported from then on: a tenth of a start, were all of them to come after it.
    """
    for name in (*_FIRST, "PySide6.QtWidgets"):
        importlib.import_module(name)
