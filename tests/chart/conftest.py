"""What the chart's tests share: a Qt application without a window, and the invented flights beside them."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parent))


@pytest.fixture(autouse=True)
def _application(qapp: object) -> object:
    """Fonts and pictures need the application of the test run."""
    return qapp
