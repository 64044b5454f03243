"""Loading Qt. No Qt at the top of this module."""

from __future__ import annotations

import builtins
import importlib

# Without Qt, so they come before it: see there.
_FIRST = ("nightleg.flight.solve", "nightleg.flight.plotting", "nightleg.chart.scene")


def load_qt() -> None:
    """Import Qt, after what does without it, and give Python its own import function back. Raises ImportError.

    PySide puts a function of its own in the place of Python's import. It reads the source of every module that is
    imported from then on, to see whether it speaks of PySide, for a switch of the names of Qt's methods
    (`__feature__`) that is not used here: a tenth of a start.
    """
    for name in (*_FIRST, "PySide6.QtWidgets"):
        importlib.import_module(name)
    own = getattr(builtins, "__orig_import__", None)  # PySide keeps it there
    if own is not None:
        builtins.__import__ = own
