"""A hand that does anything in any order in a window: drawn from a seed, so that what it finds can be found again."""

from __future__ import annotations

import functools
import gc
import random
from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime, timedelta
from pathlib import Path

from PySide6.QtCore import QEvent, QObject, QPoint, Qt
from PySide6.QtGui import QGuiApplication
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QLineEdit

from nightleg.chart.themes import THEMES
from nightleg.flight.document import Document
from nightleg.flight.read import parse_flight
from nightleg.flight.solve import solve
from nightleg.units.angles import write_angle
from nightleg.window.main import MainWindow

START = datetime.fromisoformat("2026-03-14T18:00:00+00:00")
_BODIES = ("Polaris", "Capella", "Regulus", "Arcturus", "Vega", "Spica", "Sirius", "Dubhe")
_CELLS = {  # what is typed into a column of the log: right, odd and wrong
    "time": ("{hhmm}", "2560", ""),
    "reading": ("40 {tenths}", "4{digit} 1{tenths}", "late", "91 00"),
    "entry": ("Vega", "Regulus", "Vegga"),
    "intercept": ("3{digit}0/4{digit}", "250-38"),
    "Hc": ("26{digit}", "s1 s2", "TC 2{digit}0"),
    "Zn": ("42{digit}", "-5"),
    "note": ("seen through haze", ""),
    "use": ("yes", "no", "maybe"),
}


def twelve_hours() -> Document:
    """A flight of twelve hours: six legs, two fixes of three shots that agree, a route, a remark."""
    readings = [write_angle(sight.hc) for sight in solve(parse_flight(_text(("40 00.0",) * 6)).flight).sights]
    return parse_flight(_text(tuple(one.replace("°", " ").rstrip("′") for one in readings)))


def eastward() -> Document:
    """A flight with one leg due east, whose course no pole ends."""
    return parse_flight(
        'format = "nightleg-flight-1"\n[start]\ntime = 2026-03-14T18:00:00Z\nposition = "41 30.0 N 010 15.0 W"\n'
        '[[leg]]\ntime = 2026-03-14T18:00:00Z\ntrack_deg = 90\ngs_kt = 200\nwind = "0/0"\naltitude_ft = 10000\n'
    )


def _text(readings: tuple[str, ...]) -> str:
    lines = [
        'format = "nightleg-flight-1"\ntitle = "Twelve hours"\n\n# ---- Start ----\n[start]\n'
        'time = 2026-03-14T18:00:00Z\nposition = "41 30.0 N 010 15.0 W"\n'
    ]
    for number in range(6):
        when = START + timedelta(hours=2 * number)
        lines.append(
            f"\n[[leg]]  # {number + 1}\ntime = {when:%Y-%m-%dT%H:%M:%SZ}\nheading_deg = {262 + 3 * number}\n"
            f'tas_kt = 430\nwind = "310/45"\naltitude_ft = 31000\n'
        )
    lines.append('\n[[waypoint]]\nname = "HALFWAY"\nposition = "38 00.0 N 060 00.0 W"\n')
    for number, reading in enumerate(readings):
        fix, shot = divmod(number, 3)
        when = START + timedelta(hours=2 + 4 * fix, minutes=4 * shot)
        lines.append(f'\n[[sight]]\nid = "s{number + 1}"\nbody = "{("Polaris", "Capella", "Regulus")[shot]}"\n')
        lines.append(f'time = {when:%Y-%m-%dT%H:%M:%SZ}\nhs = "{reading}"\n')
        if shot == 2:
            ids = ", ".join(f'"s{3 * fix + one}"' for one in (1, 2, 3))
            lines.append(f'\n[[fix]]\nid = "f{fix + 1}"\ntime = {when:%Y-%m-%dT%H:%M:%SZ}\nsights = [{ids}]\n')
    lines.append('\n[[log]]\ntime = 2026-03-14T19:30:00Z\ntext = "Cirrus above"\n')
    return "".join(lines)


@dataclass(frozen=True)
class Held:
    """What a process holds."""

    rss_mb: float
    objects: int  # below the window, of Qt
    widgets: int  # all there are
    windows: int  # of the desktop
    items: int  # on the chart
    python: int  # objects that Python's collector knows

    @classmethod
    def by(cls, window: MainWindow) -> Held:
        """What is held once all that is to be deleted is deleted, and answers that were kept are let go of.

        How many answers are kept is bounded, each by itself; what grows beside them is a leak.
        """
        QApplication.processEvents()
        QApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete)
        for kept in [one for one in gc.get_objects() if isinstance(one, functools._lru_cache_wrapper)]:
            if kept.__module__.startswith("nightleg.") and kept.cache_info().maxsize not in (None, 1):
                kept.cache_clear()
        gc.collect()
        scene = window.canvas.item.scene()
        pages = int(Path("/proc/self/statm").read_text().split()[1]) if Path("/proc/self/statm").exists() else 0
        return cls(
            pages * 4096 / 1e6,
            len(window.findChildren(QObject)),
            len(QApplication.allWidgets()),
            len(QApplication.topLevelWidgets()) + len(QGuiApplication.topLevelWindows()),
            0 if scene is None else len(scene.items()),
            len(gc.get_objects()),
        )


class Hand:
    """Does one thing after another in a window; real time is its own, and moves when it says so."""

    def __init__(self, window: MainWindow, seed: int) -> None:
        self.window, self.chance, self.real_s = window, random.Random(seed), 1000.0
        window.ticker._real_s = lambda: self.real_s
        self.done: dict[str, int] = {}
        acts: tuple[tuple[int, Callable[[], None]], ...] = (
            (740, self.key),
            (14, self.fill),
            (12, self.file),
            (60, self.cell),
            (30, self.undo),
            (20, self.redo),
            (30, self.jump),
            (30, self.drag),
            (12, self.wheel),
            (3, self.theme),
            (5, self.filter),
        )
        self._acts = [act for weight, act in acts for _ in range(weight)]

    def act(self) -> None:
        """One thing."""
        act = self.chance.choice(self._acts)
        self.done[act.__name__] = self.done.get(act.__name__, 0) + 1
        act()

    def fly(self, seconds: float) -> None:
        """Real time passes, and the timer of the clock fires if it runs."""
        self.real_s += seconds
        if self.window.ticker.running:
            self.window.ticker._timer.stop()
            self.window.ticker.tick()
            self.window.ticker._timer.stop()

    def key(self) -> None:
        """A key in one of the form's fields."""
        form = self.window.form
        field: QLineEdit = self.chance.choice((form.reading, form.reading, form.reading, form.time, form.body))
        sign = self.chance.choice("0123456789 .-")
        if self.chance.random() < 0.3 or len(field.text()) > 9:
            QTest.keyClick(field, Qt.Key.Key_Backspace)
        else:
            QTest.keyClicks(field, sign)

    def fill(self) -> None:
        """A sight as it should be."""
        form, minutes = self.window.form, self.chance.randrange(700)
        form.body.setText(self.chance.choice(_BODIES))
        form.time.setText(f"{START + timedelta(minutes=minutes):%H%M}")
        form.reading.setText(f"{self.chance.randrange(15, 70)} {self.chance.randrange(600) / 10:04.1f}")

    def file(self) -> None:
        """Enter: filed if it can be."""
        if len(self.window.session.document.flight.sights) < 14:
            QTest.keyClick(self.window.form.reading, Qt.Key.Key_Return)

    def cell(self) -> None:
        """A text for a cell of the log."""
        model = self.window.log.log
        for _ in range(20 if model.rows else 0):
            row, column = self.chance.randrange(len(model.rows)), self.chance.choice(list(_CELLS))
            if column not in model.columns:
                continue
            index = model.index(row, model.columns.index(column))
            if index.flags() & Qt.ItemFlag.ItemIsEditable:
                text = self.chance.choice(_CELLS[column]).format(
                    hhmm=f"{model.rows[row].time + timedelta(minutes=self.chance.randrange(-3, 4)):%H%M}",
                    tenths=f"{self.chance.randrange(600) / 10:04.1f}",
                    digit=self.chance.randrange(10),
                )
                if self.chance.random() < 0.8:
                    model.setData(index, text)
                else:
                    self._typed_in(row, model.columns.index(column), text)
                return

    def _typed_in(self, row: int, column: int, text: str) -> None:
        log = self.window.log
        log.setCurrentIndex(log.log.index(row, column))
        log.edit_current()
        field = QApplication.focusWidget()
        if isinstance(field, QLineEdit) and field.property("cell"):
            field.selectAll()
            QTest.keyClicks(field, text)
            QTest.keyClick(field, Qt.Key.Key_Return)
            QTest.keyClick(field, Qt.Key.Key_Escape)
        self.window.form.reading.setFocus()

    def undo(self) -> None:
        """A step or two back."""
        for _ in range(self.chance.randrange(1, 3)):
            self.window.session.undo_stack.undo()

    def redo(self) -> None:
        """A step on."""
        self.window.session.undo_stack.redo()

    def jump(self) -> None:
        """The clock to somewhere, or on to an entry."""
        ticker = self.window.ticker
        self.chance.choice((ticker.to_next, ticker.to_previous, ticker.to_last, self._anywhere))()

    def _anywhere(self) -> None:
        self.window.ticker.set(START + timedelta(seconds=self.chance.randrange(43200)))

    def drag(self) -> None:
        """The chart is taken and moved."""
        at, by = QPoint(300, 200), QPoint(self.chance.randrange(-80, 81), self.chance.randrange(-60, 61))
        target = self.window.canvas.childAt(at)  # what lies there fills the canvas
        QTest.mousePress(target, Qt.MouseButton.LeftButton, pos=at)
        for part in (0.5, 1.0):
            QTest.mouseMove(target, at + by * part)
        QTest.mouseRelease(target, Qt.MouseButton.LeftButton, pos=at + by)

    def wheel(self) -> None:
        """In, out, or fitted again."""
        canvas = self.window.canvas
        if self.chance.random() < 0.5:
            canvas.fit_plot()
        else:
            canvas.zoom(self.chance.choice((0.7, 1.4)), (300.0, 200.0))

    def theme(self) -> None:
        """Another theme."""
        self.window.set_theme(self.chance.choice(list(THEMES)))

    def filter(self) -> None:
        """Other rows of the log, or other columns."""
        desk = self.window.desk
        self.chance.choice([*desk.filters.actions(), desk.full]).trigger()
