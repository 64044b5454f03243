"""The chart on the screen: a sheet that is panned, zoomed and asked what lies under the cursor.

The view box of `board` holds the part of the projection's plane that is seen and turns wheel and drag into it; one item
in it paints the sheet of that view. A new solution is a new scene in the same view.
"""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import replace

import numpy as np
from PySide6.QtCore import QEvent, QPointF, Qt, QTimer, Signal
from PySide6.QtGui import QHideEvent, QKeyEvent, QResizeEvent
from PySide6.QtWidgets import QVBoxLayout, QWidget

from nightleg.chart.board import Board
from nightleg.chart.dragahead import DragAhead
from nightleg.chart.fit import Extent, fit
from nightleg.chart.follow import about, in_sight, suited, within_limits
from nightleg.chart.hand import Hand
from nightleg.chart.measure import Measured
from nightleg.chart.memory import Memory
from nightleg.chart.overlay import Over, OverlayItem
from nightleg.chart.pick import KINDS, Entry, log_key
from nightleg.chart.registry import LAYERS, layers
from nightleg.chart.scene import ChartScene
from nightleg.chart.sheet import Sheet
from nightleg.chart.sheetitem import SheetItem
from nightleg.chart.themes import Theme
from nightleg.chart.viewport import Viewport
from nightleg.units.positions import Position

_WHEEL_STEP = 1.25
_PAN_PX = 80.0
_REST_MS = 150  # without moving, until labels are placed anew


class ChartCanvas(QWidget):
    """The chart, filling whatever room it is given."""

    hovered = Signal(object)
    """The Position under the cursor, or to which a measuring line is led; None where there is none."""
    view_changed = Signal()
    entry_selected = Signal(str, str)
    """Kind and id of the log's entry that tells of what was chosen, or of that itself; empty where nothing is."""
    following_changed = Signal(bool)

    def __init__(self, theme: Theme, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._theme = theme
        self._scene: ChartScene | None = None
        self._view: Viewport | None = None
        self._fitted: Extent | None = "plot"  # what the view was fitted to, until someone moves it
        self._fit_view: Viewport | None = None  # as it was then
        self._layers = layers()
        self._following = True
        self._marked: tuple[Entry | None, bool] = None, False  # and whether its facts are told
        self._measured: Measured | None = None
        self._cursor_px: tuple[float, float] | None = None
        self._memory = Memory()
        self.item = SheetItem()
        self.item.setAcceptedMouseButtons(Qt.MouseButton.NoButton)
        self.drag_ahead = DragAhead(self, self.item)
        self.overlay = OverlayItem()
        self.hand = Hand(self)
        self.board = Board(self, (self.item, self.overlay), self.hand)
        self.board.moved_by_hand.connect(self._moved_by_hand)
        self.board.resized.connect(self._tell_box)
        self.board.hovered.connect(self.mouse_at)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.addWidget(self.board)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setMinimumSize(240, 200)
        self.setAccessibleName("Chart")
        self._resting = QTimer(self)
        self._resting.setSingleShot(True)
        self._resting.setInterval(_REST_MS)
        self._resting.timeout.connect(self._rest)

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

    @property
    def chosen(self) -> Entry | None:
        """What was chosen on the chart, or marked from elsewhere."""
        return self._marked[0]

    @property
    def measured(self) -> Measured | None:
        """The measuring line, if there is one."""
        return self._measured

    @property
    def cursor_px(self) -> tuple[float, float] | None:
        """Where the cursor is; None where it is not on the chart."""
        return self._cursor_px

    @property
    def following(self) -> bool:
        """Whether the view moves on when the DR is about to leave it."""
        return self._following

    @property
    def hidden(self) -> frozenset[str]:
        """Names of the layers that are switched off."""
        return frozenset(layer.name for layer in LAYERS) - {layer.name for layer in self._layers}

    def set_hidden(self, names: Collection[str]) -> None:
        """Switch layers off by name, and all others on. Raises ValueError for a name that there is not."""
        shown = layers(names)
        if shown != self._layers:
            self._layers = shown
            self._show()

    def set_following(self, on: bool) -> None:
        """Keep the DR in view from now on, or stop that."""
        if on != self._following:
            self._following = on
            self.following_changed.emit(on)
        if on:
            self._follow()

    def choose(self, entry: Entry | None) -> None:
        """Mark an entry, tell its facts, and let others know."""
        self._marked = entry, True
        self._show_over()
        self.entry_selected.emit(*(log_key(self._scene, entry) if entry and self._scene else ("", "")))

    def mark_entry(self, kind: str, id: str) -> None:
        """Mark an entry that was chosen elsewhere; what is not on the chart takes the mark away."""
        found = next((known for known in KINDS if known == kind), None)
        entry = Entry(found, id) if found is not None else None
        if entry != self._marked[0]:
            self._marked = entry, False
            self._show_over()

    def show_measured(self, measured: Measured | None) -> None:
        """Show a measuring line, or none."""
        self._measured = measured
        self._show_over()

    def show_scene(self, scene: ChartScene) -> None:
        """Draw a scene, in the view that there is: at once what has changed, the places of labels when that rests."""
        before, self._scene = self._scene, scene
        if before is None or self._view is None:
            self.fit_plot()
        elif not ((before.now, before.start) != (scene.now, scene.start) and self._follow()):
            # what is typed of a sight does not get here: a slip must not carry the chart away
            self._show(quick=self.item.paintings > 0)
            if not self._resting.isActive():
                self._resting.start()

    def set_theme(self, theme: Theme) -> None:
        """Draw in another theme."""
        if theme != self._theme:
            self._theme = theme
            self._show()

    def _follow(self) -> bool:
        """Move the view to the DR where that is about to leave it; whether it was moved."""
        scene, view = self._scene, self._view
        if not self._following or scene is None or view is None or scene.dr is None:
            return False
        if in_sight(view, scene.dr.position):
            return False
        if self._fitted is not None:
            self.fit_plot(self._fitted)
        if self._view is not None and not in_sight(self._view, scene.dr.position):  # long after the last of the plot
            self._look(suited(about(self._view, scene.dr.position, scene.grid), scene.grid))
        return True

    def fit_plot(self, extent: Extent = "plot") -> None:
        """Move the view so that the plot, or the whole flight, fills the canvas; from then on it is followed."""
        if not self._following:
            self._following = True
            self.following_changed.emit(True)
        self._fitted = extent
        size = self._size_px()
        if self._scene is None or size is None:
            return
        current, ratio = self._view.projection if self._view else None, self.devicePixelRatioF()
        self._fit_view = fit(self._scene, size, extent=extent, current=current, device_pixel_ratio=ratio)
        self._look(self._fit_view)

    def bring(self, place: Position) -> None:
        """Move the view to a place where that is not seen."""
        if self._scene is not None and self._view is not None and not in_sight(self._view, place):
            self._fitted, grid = None, self._scene.grid
            self._look(suited(about(self._view, place, grid), grid))

    def zoom(self, factor: float, at_px: tuple[float, float] | None = None) -> None:
        """Enlarge `factor` times about a point of the canvas, or about its middle."""
        if self._view is not None:
            x, y = at_px or self._view.middle_px
            self._fitted = None
            self._look(within_limits(self._view.zoomed(factor, x, y)), moving=True)

    def pan(self, dx_px: float, dy_px: float) -> None:
        """Move the chart right and down; it follows the aircraft no longer."""
        if self._view is not None:
            self._fitted = None
            self.set_following(False)
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
        """Arrows pan, plus and minus zoom, M measures."""
        if self.hand.key(event):
            return
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

    def _look(self, view: Viewport, *, moving: bool = False, told: bool = False) -> None:
        """Show another part of the Earth; `told` where the view box knows it already."""
        self._view = view
        if not told:
            self._tell_box()
        self._show(moving=moving)
        if moving:
            self._resting.start()
        else:
            self._resting.stop()
        self.view_changed.emit()

    def _tell_box(self) -> None:
        """Bring the view box to the view."""
        view = self._view
        if view is None:
            return
        half_x, half_y = view.width_px * view.nm_per_px / 2.0, view.height_px * view.nm_per_px / 2.0
        self.board.show_range((view.x_nm - half_x, view.x_nm + half_x), (view.y_nm - half_y, view.y_nm + half_y))

    def _moved_by_hand(self) -> None:
        """Follow the view box after a wheel or a drag."""
        view = self._view
        if view is None:
            return
        (left, right), (bottom, top) = self.board.shown_range()
        nm_per_px = (right - left) / view.width_px
        if abs(nm_per_px / view.nm_per_px - 1.0) < 1e-9:  # a drag: rounding is no zoom
            nm_per_px = view.nm_per_px
        moved = replace(view, x_nm=(left + right) / 2.0, y_nm=(bottom + top) / 2.0, nm_per_px=nm_per_px)
        self._fitted = None
        if nm_per_px == view.nm_per_px:
            self.set_following(False)
        limited = within_limits(moved)
        self._look(view if limited is not moved else moved, moving=True, told=limited is moved)

    def _show(self, *, moving: bool = False, quick: bool = False) -> None:
        if self._scene is not None and self._view is not None:
            sheet = Sheet(self._scene, self._view, self._theme, self._layers, memory=self._memory, quick=quick)
            self.item.show_sheet(sheet, moving=moving)
            self._show_over()
            if quick:  # before all other views of the window: what was typed is seen at once
                self.board.paint_now()

    def _show_over(self) -> None:
        if self._scene is not None and self._view is not None:
            entry, told = self._marked
            self.overlay.show_over(Over(self._scene, self._view, self._theme, entry, told, self._measured))
            self.board.refresh()

    def _rest(self) -> None:
        """The hand has let go. While it still holds the chart, that is not at rest, however long a frame took."""
        if self.hand.holding:
            self._resting.start()
            return
        view = self._view
        grid = self._scene.grid if self._scene is not None else None
        better = suited(view, grid) if view is not None and self._fitted is None else view
        if better is not None and better != view:
            self._look(better)
        else:
            self._show()

    def mouse_at(self, at: QPointF) -> None:
        """The cursor is here; at the end of a measuring line that follows it, the place is what that was led to."""
        self._cursor_px = at.x(), at.y()
        self.drag_ahead.come()
        self.hovered.emit(self.hand.end or self.position_at(at.x(), at.y()))

    def leaveEvent(self, event: QEvent) -> None:
        """No place is under the cursor any more."""
        super().leaveEvent(event)
        self._cursor_px = None
        self.drag_ahead.leave()
        self.hovered.emit(None)

    def hideEvent(self, event: QHideEvent) -> None:
        """Nothing is to be done for who sees nothing."""
        super().hideEvent(event)
        self.drag_ahead.leave()
