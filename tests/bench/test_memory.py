"""What the window takes of memory with a flight of twelve hours open."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from tests.bench.test_start import OURS

if TYPE_CHECKING:
    from tests.bench.conftest import Bench

PEAK = """
import resource
window.resize(1920, 1080)
for step in range(20):
    window.canvas.zoom(1.1 if step % 2 else 0.9)
    window.canvas.pan(30.0, 10.0)
    application.processEvents()
print(resource.getrusage(resource.RUSAGE_SELF).ru_maxrss)
"""


@pytest.mark.slow
def test_twelve_hours_open(bench: Bench, sixty_sights: Path) -> None:
    # Linux counts in KiB: getrusage(2).
    peak_kib = int(bench.run([sys.executable, "-c", OURS + PEAK, str(sixty_sights)]).split()[-1])
    bench.keep("memory with a flight of twelve hours open, at its peak", peak_kib / 1024.0, "MB", at_most=350.0)
