"""From a keystroke in the sight form to the chart that shows it, in a flight of sixty sights."""

from __future__ import annotations

import gc
import time
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from nightleg.chart.scene import ChartScene
from nightleg.units.angles import write_angle
from nightleg.window.app import document, main_window
from nightleg.window.dialogs import Answer, Dialogs
from nightleg.window.main import MainWindow

if TYPE_CHECKING:
    from tests.bench.conftest import Bench


class _Discard(Dialogs):
    def __init__(self) -> None:
        pass

    def save_first(self, changed: bool = True, typed: str = "", useless: str = "") -> Answer:
        return "discard"


@pytest.fixture
def window(qtbot: QtBot, sixty_sights: Path) -> Iterator[MainWindow]:
    """A window on the flight, a sight of Capella complete but for the last figure of its reading."""
    made = main_window(document(sixty_sights))
    made.dialogs = _Discard()
    qtbot.addWidget(made)
    made.resize(1920, 1080)
    with qtbot.waitExposed(made):
        made.show()
    for field, text in ((made.form.body, "Capella"), (made.form.time, "073540")):
        field.setFocus()
        QTest.keyClicks(field, text)
    QApplication.processEvents()
    sight = made.session.worked.sight
    assert sight is not None
    made.form.reading.setFocus()
    QTest.keyClicks(made.form.reading, write_angle(sight.hc).replace("°", " ").removesuffix("′")[:-1])
    qtbot.wait(400)
    gc.freeze()  # as the program does once it has started
    yield made
    gc.unfreeze()


# remarks of the platform that draws in memory
@pytest.mark.qt_log_ignore("This plugin does not support")
@pytest.mark.slow
def test_keystroke(bench: Bench, window: MainWindow, monkeypatch: pytest.MonkeyPatch) -> None:
    item, field = window.canvas.item, window.form.reading
    times_ms, scenes = [], set()
    shown_at, show_scene = [0.0], window.canvas.show_scene

    def show(scene: ChartScene) -> None:
        show_scene(scene)  # paints at once
        shown_at[0] = time.process_time()

    monkeypatch.setattr(window.canvas, "show_scene", show)
    for number in range(70):
        for key in (str((3 * number + 1) % 10), Qt.Key.Key_Backspace):
            painted = item.paintings + item.quick_paintings
            begun = time.process_time()
            QTest.keyClick(field, key)
            assert item.paintings + item.quick_paintings == painted + 1
            times_ms.append((shown_at[0] - begun) * 1e3)
            scenes.add(id(window.canvas.scene))
            for _ in range(3):  # what else was to be painted
                QApplication.processEvents()
    assert len(window.session.worked.solution.sights) == 61 and len(scenes) > 1
    note = f"95th percentile {np.percentile(times_ms, 95):.1f} ms"
    bench.keep(
        "keystroke to repainted chart, 60 sights: median", float(np.median(times_ms)), "ms", at_most=12.0, note=note
    )
