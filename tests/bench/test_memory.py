"""What the window takes of memory with a flight of twelve hours open."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

if TYPE_CHECKING:
    from tests.bench.conftest import Bench

# The cursor stays on the chart, so that the picture for a drag is made and held as well.
OURS = """
import resource, sys
from pathlib import Path
from PySide6.QtCore import QPointF
from PySide6.QtWidgets import QApplication
application = QApplication([])
from nightleg.window.app import document, main_window
window = main_window(document(Path(sys.argv[1])))
window.resize(1920, 1080)
window.show()
window.canvas.board.lay()
for step in range(20):
    window.canvas.zoom(1.1 if step % 2 else 0.9)
    window.canvas.pan(30.0, 10.0)
    application.processEvents()
window.canvas.board.hovered.emit(QPointF(500.0, 400.0))
while window.canvas.drag_ahead.active or not window.canvas.item.paintings:
    application.processEvents()
print(resource.getrusage(resource.RUSAGE_SELF).ru_maxrss)
window.close()
"""


@pytest.mark.slow
def test_twelve_hours_open(bench: Bench, sixty_sights: Path) -> None:
    # Linux counts in KiB: getrusage(2).
    peak_kib = int(bench.run([sys.executable, "-c", OURS, str(sixty_sights)]).split()[-1])
    bench.keep("memory with a flight of twelve hours open, at its peak", peak_kib / 1024.0, "MB", at_most=350.0)
