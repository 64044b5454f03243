"""From the call to the first painted chart."""

from __future__ import annotations

import os
import shutil
import sys
from functools import partial
from pathlib import Path
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
# The program as its user calls it; only the wait for events is another: it ends with the first chart ("chart"), or when
# the view box lies under the chart and nothing of the start is left to do ("whole").
OURS = """
import sys
import nightleg.window.app as opening
from nightleg.commands.main import process

load_qt, until = opening.load_qt, sys.argv.pop()

def load_and_watch():
    load_qt()
    from PySide6.QtWidgets import QApplication

    def wait(*_):
        window = next(one for one in QApplication.topLevelWidgets() if hasattr(one, "canvas"))
        while not window.canvas.item.paintings or (until == "whole" and not window.canvas.board.is_laid):
            QApplication.processEvents()
        if until == "whole":
            QApplication.processEvents()
        window.close()
        return 0

    QApplication.exec = staticmethod(wait)

opening.load_qt = load_and_watch
sys.exit(process())
"""


@pytest.fixture
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A home of the program in which nothing is kept yet."""
    monkeypatch.setenv("NIGHTLEG_HOME", str(tmp_path))
    return tmp_path


@pytest.mark.slow
@pytest.mark.timeout(600)
def test_first_painted_chart(bench: Bench, home: Path) -> None:
    ours, floor = partial(bench.run, [sys.executable, "-c", OURS, "chart"]), [sys.executable, "-c", FLOOR]
    whole = partial(bench.run, [sys.executable, "-c", OURS, "whole"])

    def cold() -> None:
        shutil.rmtree(home / "cache", ignore_errors=True)
        ours()

    ours()
    assert os.listdir(home / "cache"), "places are kept for the next start"
    # A cold start leaves the places of the flight, so the one after it is warm.
    cold_s, warm_s, whole_s, floor_s = bench.medians_s(cold, ours, whole, partial(bench.run, floor), rounds=9)
    for name, measured_s, at_most in (
        ("first painted chart, whole process, against Qt and pyqtgraph showing an empty plot", warm_s, 1.3),
        ("the same for a flight of days never seen before", cold_s, None),
        ("until all of the start is over, the view box under the chart", whole_s, None),
    ):
        kept = "none kept" if measured_s is cold_s else "places kept by an earlier run"
        note = f"{measured_s:.2f} s against {floor_s:.2f} s; {kept}"
        bench.keep(name, measured_s / floor_s, "×", at_most=at_most, note=note)
