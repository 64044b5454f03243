"""Settings that every test shares."""

from __future__ import annotations

import os

import pytest

# Before anything imports Qt: tests draw in memory, on machines with a display as on those without.
os.environ["QT_QPA_PLATFORM"] = "offscreen"


def pytest_addoption(parser: pytest.Parser) -> None:
    """Budgets are measured wherever the benches run, and held where that is asked for."""
    parser.addoption("--hold-budgets", action="store_true", help="fail a bench that is beyond its budget")
