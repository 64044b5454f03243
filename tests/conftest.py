"""Settings that every test shares."""

from __future__ import annotations

import os
import tempfile

import pytest

# Before anything imports Qt: tests draw in memory, on machines with a display as on those without.
os.environ["QT_QPA_PLATFORM"] = "offscreen"
# What processes of the program keep for the next one is kept apart from what whoever runs the tests has.
_CACHE = tempfile.TemporaryDirectory(prefix="nightleg-tests-")
os.environ["XDG_CACHE_HOME"] = _CACHE.name


def pytest_addoption(parser: pytest.Parser) -> None:
    """Budgets are measured wherever the benches run, and held where that is asked for; pictures approved by hand."""
    parser.addoption("--hold-budgets", action="store_true", help="fail a bench that is beyond its budget")
    parser.addoption("--approve", action="store_true", help="take the window's pictures as they are now")
