"""The chart on the screen: a sheet that is panned, zoomed and asked what lies under the cursor.

A pyqtgraph view box holds the part of the projection's plane that is seen and turns wheel and drag into it; one item in
it paints the sheet of that view. A new solution is a new scene in the same view.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pyqtgraph
from PySide6.QtCore import QEvent, QPointF, Qt, QTimer, Signal
from PySide6.QtGui import QKeyEvent, QResizeEvent
from PySide6.QtWidgets import QVBoxLayout, QWidget

from nightleg.chart.fit import Extent, fit
from nightleg.chart.memory import Memory
from nightleg.chart.pens import colour
from nightleg.chart.registry import layers
from nightleg.chart.scene import ChartScene
from nightleg.chart.sheet import Sheet
from nightleg.chart.sheetitem import SheetItem
from nightleg.chart.themes import Theme
from nightleg.chart.viewport import Viewport
from nightleg.units.positions import Position

_WHEEL_STEP = 1.25
_PAN_PX = 80.0
_NARROWEST_NM = 2.0  # across the shorter side
_WIDEST_NM = 12000.0
_REST_MS = 150  # without moving, until labels are placed anew


class ChartCanvas(QWidget):
    """The chart, filling whatever room it is given."""

    hovered = Signal(object)
    """The Position under the cursor; None where there is none."""
    view_changed = Signal()

    def __init__(self, theme: Theme, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._theme = theme
        self._scene: ChartScene | None = None
        self._view: Viewport | None = None
        self._fitted: Extent | None = "plot"  # what the view was fitted to, until someone moves it
        self._fit_view: Viewport | None = None  # as it was then
        self._layers = layers()
        self._memory = Memory()
        self.item = SheetItem()
        self.item.setAcceptedMouseButtons(Qt.MouseButton.NoButton)
        # pyqtgraph has no types.
        self._box: Any = pyqtgraph.ViewBox(lockAspect=True, enableMenu=False, border=None, defaultPadding=0.0)
        self._box.disableAutoRange()
        self._box.setBackgroundColor(None)
        self._plane: Any = pyqtgraph.GraphicsView(self, background=None)
        self._plane.setCentralItem(self._box)
        self._plane.setFrameShape(self._plane.Shape.NoFrame)
        self.item.setParentItem(self._box)
        self._box.sigRangeChangedManually.connect(self._moved_by_hand)
        self._box.sigResized.connect(self._tell_box)
        self._plane.scene().sigMouseMoved.connect(self._mouse_at)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.addWidget(self._plane)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self._plane.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.setMinimumSize(240, 200)
        self.setAccessibleName("Chart")
        self._resting = QTimer(self)
        self._resting.setSingleShot(True)
        self._resting.setInterval(_REST_MS)
        self._resting.timeout.connect(self._rest)
        self._apply_ground()

    @property
    def view(self) -> Viewport | None:
        """What part of the Earth is seen; None before there is a scene."""
        return self._view

    @property
    def scene(self) -> ChartScene | None:
        """What is drawn."""
        return self._scene

    @property
    def fitted(self) -> Extent | None:
        """What the view was fitted to; None once someone has moved it."""
        return self._fitted

    def show_scene(self, scene: ChartScene) -> None:
        """Draw a scene, in the view that there is: at once what has changed, the places of labels when that rests."""
        first = self._scene is None
        self._scene = scene
        if first or self._view is None:
            self.fit_plot()
        else:
            self._show(quick=self.item.paintings > 0)
            if not self._resting.isActive():
                self._resting.start()

    def set_theme(self, theme: Theme) -> None:
        """Draw in another theme."""
        if theme != self._theme:
            self._theme = theme
            self._apply_ground()
            self._show()

    def fit_plot(self, extent: Extent = "plot") -> None:
        """Move the view so that the plot, or the whole flight, fills the canvas."""
        self._fitted = extent
        size = self._size_px()
        if self._scene is None or size is None:
            return
        current, ratio = self._view.projection if self._view else None, self.devicePixelRatioF()
        self._fit_view = fit(self._scene, size, extent=extent, current=current, device_pixel_ratio=ratio)
        self._look(self._fit_view)

    def zoom(self, factor: float, at_px: tuple[float, float] | None = None) -> None:
        """Enlarge `factor` times about a point of the canvas, or about its middle."""
        if self._view is not None:
            x, y = at_px or self._view.middle_px
            self._fitted = None
            self._look(_within_limits(self._view.zoomed(factor, x, y)), moving=True)

    def pan(self, dx_px: float, dy_px: float) -> None:
        """Move the chart right and down."""
        if self._view is not None:
            self._fitted = None
            self._look(self._view.panned(dx_px, dy_px), moving=True)

    def position_at(self, x_px: float, y_px: float) -> Position | None:
        """The place at a point of the canvas; None where there is none."""
        if self._view is None:
            return None
        lat, lon = (float(v) for v in self._view.to_position(x_px, y_px))
        return Position(lat, lon) if np.isfinite(lat) and np.isfinite(lon) else None

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Keep what is seen in the middle, or the fit."""
        super().resizeEvent(event)
        size, view = self._size_px(), self._view
        if self._scene is None or size is None:
            return
        if view is None or self.item.paintings == 0:  # nobody has seen the old view
            self.fit_plot(self._fitted or "plot")
            return
        width, height = size
        scale, fitted = view.nm_per_px, self._fit_view
        if self._fitted is not None and fitted is not None:  # what was to be in sight stays in sight
            scale = fitted.nm_per_px * max(fitted.width_px / width, fitted.height_px / height)
        self._look(replace(view, nm_per_px=scale, width_px=width, height_px=height))

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Arrows pan, plus and minus zoom."""
        steps = {
            Qt.Key.Key_Left: (_PAN_PX, 0.0),
            Qt.Key.Key_Right: (-_PAN_PX, 0.0),
            Qt.Key.Key_Up: (0.0, _PAN_PX),
            Qt.Key.Key_Down: (0.0, -_PAN_PX),
        }
        key = Qt.Key(event.key())
        if key in steps:
            self.pan(*steps[key])
        elif key in (Qt.Key.Key_Plus, Qt.Key.Key_Equal):
            self.zoom(_WHEEL_STEP)
        elif key == Qt.Key.Key_Minus:
            self.zoom(1.0 / _WHEEL_STEP)
        else:
            super().keyPressEvent(event)

    def _size_px(self) -> tuple[int, int] | None:
        """The canvas in px; None while there is no room for a chart."""
        size = self.size()
        return (size.width(), size.height()) if min(size.width(), size.height()) >= 100 else None

    def _look(self, view: Viewport, *, moving: bool = False) -> None:
        """Show another part of the Earth."""
        self._view = view
        self._tell_box()
        self._show(moving=moving)
        if moving:
            self._resting.start()
        else:
            self._resting.stop()
        self.view_changed.emit()

    def _tell_box(self, *_: object) -> None:
        """Bring the view box to the view."""
        view = self._view
        if view is None:
            return
        half_x, half_y = view.width_px * view.nm_per_px / 2.0, view.height_px * view.nm_per_px / 2.0
        self._box.setRange(
            xRange=(view.x_nm - half_x, view.x_nm + half_x),
            yRange=(view.y_nm - half_y, view.y_nm + half_y),
            padding=0.0,
            disableAutoRange=True,
        )

    def _moved_by_hand(self, *_: object) -> None:
        """Follow the view box after a wheel or a drag."""
        view = self._view
        if view is None:
            return
        (left, right), (bottom, top) = self._box.viewRange()
        nm_per_px = (right - left) / view.width_px
        if abs(nm_per_px / view.nm_per_px - 1.0) < 1e-9:  # a drag: rounding is no zoom
            nm_per_px = view.nm_per_px
        moved = replace(view, x_nm=(left + right) / 2.0, y_nm=(bottom + top) / 2.0, nm_per_px=nm_per_px)
        self._fitted = None
        limited = _within_limits(moved)
        self._look(view if limited is not moved else moved, moving=True)

    def _show(self, *, moving: bool = False, quick: bool = False) -> None:
        if self._scene is not None and self._view is not None:
            sheet = Sheet(self._scene, self._view, self._theme, self._layers, memory=self._memory, quick=quick)
            self.item.show_sheet(sheet, moving=moving)

    def _rest(self) -> None:
        """The hand has let go."""
        self._show()

    def _apply_ground(self) -> None:
        self._plane.setBackground(colour(self._theme, "ground"))

    def _mouse_at(self, at: QPointF) -> None:
        self.hovered.emit(self.position_at(at.x(), at.y()))

    def leaveEvent(self, event: QEvent) -> None:
        """No place is under the cursor any more."""
        super().leaveEvent(event)
        self.hovered.emit(None)


def _within_limits(view: Viewport) -> Viewport:
    """The view, not closer and not wider than makes sense."""
    across = min(view.width_px, view.height_px)
    nm_per_px = min(max(view.nm_per_px, _NARROWEST_NM / across), _WIDEST_NM / across)
    return view if nm_per_px == view.nm_per_px else replace(view, nm_per_px=nm_per_px)
