"""From the call to the first painted chart."""

from __future__ import annotations

import sys
from typing import TYPE_CHECKING

import pytest

if TYPE_CHECKING:
    from tests.bench.conftest import Bench

# What any program on these libraries has to do before something can be seen.
FLOOR = """
import pyqtgraph
from PySide6.QtWidgets import QApplication
application = QApplication([])
plot = pyqtgraph.PlotWidget()
plot.resize(1366, 768)
plot.show()
application.processEvents()
plot.grab()
"""
OURS = """
import sys
from pathlib import Path
from PySide6.QtWidgets import QApplication
application = QApplication([])
from nightleg.window.app import document, main_window
window = main_window(document(Path(sys.argv[1]) if len(sys.argv) > 1 else None))
window.show()
while window.canvas.item.paintings == 0:
    application.processEvents()
"""


@pytest.mark.slow
def test_first_painted_chart(bench: Bench) -> None:
    ours_s, floor_s = bench.process_medians_s([sys.executable, "-c", OURS], [sys.executable, "-c", FLOOR], rounds=9)
    bench.keep(
        "first painted chart, whole process, against Qt and pyqtgraph showing an empty plot",
        ours_s / floor_s,
        "×",
        at_most=1.3,
        note=f"{ours_s:.2f} s against {floor_s:.2f} s",
    )
