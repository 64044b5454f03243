"""The menu of the chart: what is seen of it, following, measuring, layers."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtGui import QAction, QKeySequence
from PySide6.QtWidgets import QMenu

from nightleg.chart.canvas import ChartCanvas
from nightleg.chart.registry import LAYERS

LAYER_KEYS = "123456789"


class ChartMenu:
    """Fills a menu for a canvas."""

    def __init__(self, canvas: ChartCanvas, menu: QMenu) -> None:
        self._canvas, self._menu = canvas, menu
        # A bare letter goes to a field while one has the cursor, so there is a second key.
        self._add("&Fit the plot", lambda: canvas.fit_plot("plot"), "F", "Ctrl+0")
        self._add("Fit the &whole flight", lambda: canvas.fit_plot("flight"), "Shift+F", "Ctrl+Shift+0")
        self._add("Zoom &in", lambda: canvas.zoom(1.25), "Ctrl++", "Ctrl+=")
        self._add("Zoom &out", lambda: canvas.zoom(0.8), "Ctrl+-")
        menu.addSeparator()
        self.follow = QAction("Follow the &aircraft", menu, checkable=True, checked=canvas.following)
        self.follow.setShortcuts([QKeySequence("Ctrl+J")])
        self.follow.triggered.connect(canvas.set_following)
        canvas.following_changed.connect(self.follow.setChecked)
        menu.addAction(self.follow)
        self.measure = self._add("&Measure from the cursor", self._measure, "M", "Ctrl+D")
        menu.addSeparator()
        self.layers: dict[str, QAction] = {}
        inner = menu.addMenu("&Layers")
        for layer in LAYERS:
            if layer.title:
                number = len(self.layers)
                mark = f"&{LAYER_KEYS[number]}  " if number < len(LAYER_KEYS) else ""
                action = QAction(mark + layer.title, inner, checkable=True, checked=layer.name not in canvas.hidden)
                action.triggered.connect(self._switch)
                inner.addAction(action)
                self.layers[layer.name] = action
        inner.addSeparator()
        show_all = QAction("&All of them", inner)
        show_all.triggered.connect(lambda: self.show_only(()))
        inner.addAction(show_all)

    def show_only(self, hidden: tuple[str, ...]) -> None:
        """Switch layers off by name and all others on."""
        for name, action in self.layers.items():
            action.setChecked(name not in hidden)
        self._switch()

    def _switch(self) -> None:
        self._canvas.set_hidden([name for name, action in self.layers.items() if not action.isChecked()])

    def _measure(self) -> None:
        self._canvas.setFocus()
        if self._canvas.hand.measuring:
            self._canvas.hand.stop()
        else:
            self._canvas.hand.begin()

    def _add(self, text: str, does: Callable[[], object], *keys: str) -> QAction:
        action = QAction(text, self._menu)
        action.setShortcuts([QKeySequence(key) for key in keys])
        action.triggered.connect(lambda: does())
        self._menu.addAction(action)
        return action
