"""The main window: chart in the middle, forms at its side, the log below."""

from __future__ import annotations

from dataclasses import replace
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QEvent, Qt
from PySide6.QtGui import QCloseEvent, QColor, QKeyEvent
from PySide6.QtWidgets import QHBoxLayout, QMainWindow, QScrollArea, QSplitter, QVBoxLayout, QWidget

from nightleg.chart.canvas import ChartCanvas
from nightleg.chart.scene import CAUTION
from nightleg.chart.themes import THEMES, ThemeName
from nightleg.units.positions import Position
from nightleg.window.chartwords import described
from nightleg.window.clock.menu import keeps
from nightleg.window.clock.ticker import Ticker
from nightleg.window.clock.timeline import TimeLine
from nightleg.window.dialogs import Dialogs
from nightleg.window.documents.commands import Documents
from nightleg.window.documents.export import Writers, export_chart
from nightleg.window.documents.recovering import Recovering
from nightleg.window.documents.recovery import RecoveryFolder
from nightleg.window.documents.remembered import remember
from nightleg.window.documents.settings import Keeper
from nightleg.window.drawn import drawn, under_cursor
from nightleg.window.enterkey import EnterKey
from nightleg.window.entryform import EntryForm
from nightleg.window.explain.sheet import ExplainSheet
from nightleg.window.firstrun import FirstSteps
from nightleg.window.fix.panel import FixPanel
from nightleg.window.flight.fold import FlightFold
from nightleg.window.fontscale import system_scale
from nightleg.window.header import Header
from nightleg.window.insight import keep_in_sight
from nightleg.window.log.desk import LogDesk
from nightleg.window.log.pane import LogPane
from nightleg.window.log.table import LogTable
from nightleg.window.look import look, palette, style_sheet
from nightleg.window.menus import Menus
from nightleg.window.overlaid import Overlaid
from nightleg.window.panels import WorkedPanel
from nightleg.window.parts import ElidedLabel, label, rule, wrapped
from nightleg.window.projector import Projector
from nightleg.window.session import Session
from nightleg.window.sight.form import SightForm
from nightleg.window.sight.menu import closes_sheet
from nightleg.window.sizing import Sizing, first_size, settle
from nightleg.window.strips import Strips

if TYPE_CHECKING:
    from nightleg.window.flight.form import FlightForm


class MainWindow(QMainWindow):
    """Shows a session. The dialogs that it opens are those of `dialogs`.

    Without a `keeper` no settings are kept, without `writers` no solution can be exported.
    """

    def __init__(
        self,
        session: Session,
        dialogs: Dialogs | None = None,
        keeper: Keeper | None = None,
        writers: Writers | None = None,
    ) -> None:
        super().__init__()
        self.session = session
        self.keeper = keeper or Keeper()
        self.theme_name: ThemeName = self.keeper.values.theme
        self.system_scale = system_scale()
        self.closing = False
        self._enter = EnterKey()
        self.recovering: Recovering | None = None
        theme = THEMES[self.theme_name].scaled(self.system_scale * self.keeper.values.type_size / 100.0)
        self.dialogs = dialogs or Dialogs(self)
        self.strips = Strips()
        self.ticker = Ticker(session)
        self.canvas = ChartCanvas(theme)
        session.solved.connect(self.draw)  # first of all: what is typed is seen on the chart at once
        self.header = Header(session, self.ticker)
        self.timeline = TimeLine(session, self.ticker, look(theme))
        self.form = SightForm(session)
        self.entry = EntryForm(session, self.form)
        self.worked = WorkedPanel(session)
        self.fix = FixPanel(session)
        self.sheet = ExplainSheet(session)
        self.log = LogTable(session, look(theme))
        self.pane = LogPane(self.log, indent_px=10)
        self.desk = LogDesk(session, self.log)
        self.pane.set_strip(self.desk.strip)
        self.read_out = label(kind="muted")
        self.read_out.setMinimumWidth(1)  # words under the cursor do not widen the window
        self.told = wrapped("wrong")
        self.side = self._side()
        self.fold = FlightFold(self.side, session)
        self.setCentralWidget(self._page())
        self.projector = Projector(self)
        self.sizing = Sizing(self)
        self.documents = Documents(self, self.keeper, writers)
        self.first_steps = FirstSteps(self, self.keeper)
        self.menus = Menus(self)
        session.moved.connect(self.draw)
        self.fix.suspects.changed.connect(self._show_ghost)
        self.fix.suspects.answered.connect(self._to_explanations)
        session.told.connect(self._tell)
        session.document_changed.connect(self._retitle)
        session.undo_stack.cleanChanged.connect(self._retitle)
        self.canvas.hovered.connect(self._read_out)
        self.canvas.entry_selected.connect(self.log.select_entry)
        self.log.entry_selected.connect(self.canvas.mark_entry)
        self.timeline.pointed.connect(self.read_out.setText)
        self.timeline.picked.connect(self._pick)
        for form in (self.form, self.entry.other):
            form.filed.connect(partial(keep_in_sight, self.canvas, session))
        self.desk.sight_wanted.connect(self.to_sight)
        self.desk.entry_wanted.connect(self._to_entry)
        self.desk.waypoint_wanted.connect(self._to_waypoint)
        self.log.leg_wanted.connect(self._to_leg)
        self.desk.log_wanted.connect(self.pane.show)
        self.set_theme(self.theme_name)
        self._retitle()
        self.draw()
        self.resize(first_size())
        self.form.start()

    @property
    def flight(self) -> FlightForm:
        """The flight form, behind the fold."""
        return self.fold.flight

    def draw(self) -> None:
        """Bring the session's answer to the chart."""
        ghost, plot = self.fix.suspects.ghost, drawn(self.session)
        self.canvas.show_scene(plot if ghost is None else replace(plot, ghost=ghost))
        self.canvas.setAccessibleDescription(described(self.session))

    def _show_ghost(self) -> None:
        """Draw what is tried, where it can be seen."""
        self.draw()
        ghost = self.fix.suspects.ghost
        if ghost is not None and ghost.position is not None:
            self.canvas.bring(ghost.position)

    def _to_explanations(self) -> None:
        """What was asked for is brought into view, down to its buttons."""
        settle()  # it has no place yet
        self.side.ensureWidgetVisible(self.fix.suspects, 0, 8)

    def set_theme(self, name: ThemeName) -> None:
        """Chart and window in another theme."""
        self.theme_name = name
        theme = THEMES[name].scaled(self.sizing.scale)
        of = look(theme)
        self.sizing.fit()
        self.projector.halo.colour = QColor(theme.colours["pointer"])
        self.worn = of
        self.setPalette(palette(of))
        self.setStyleSheet(style_sheet(of))
        self.canvas.set_theme(theme)
        self.log.log.set_look(of)
        self.timeline.set_look(of)
        self.header.restyle()
        self.log.fit_columns(of)
        self.pane.refit()
        self.menus.show_theme(name)

    def keep_copies(self, folder: RecoveryFolder) -> None:
        """Keep recovery copies in a folder from now on."""
        self.recovering = Recovering(self, folder)

    def welcome(self) -> None:
        """What is to be said when the window has just opened: copies that were left, settings, first steps."""
        if self.recovering is not None:
            self.recovering.offer()
        if self.keeper.fault:
            self.documents.say(self.keeper.fault)
        self.first_steps.start()

    def open(self, path: Path) -> None:
        """Open a flight file, if what is not saved may go."""
        self.documents.open(path)

    def save(self) -> bool:
        """Save to the flight's file, asking for one if it has none."""
        return self.documents.save()

    def save_as(self) -> bool:
        """Ask for a file and save to it."""
        return self.documents.save_as()

    def export(self, path: Path) -> None:
        """Draw the chart, as it is seen, into a file; what keeps it from being written is told."""
        export_chart(self, path)

    def changeEvent(self, event: QEvent) -> None:
        """Follow the system's type size."""
        super().changeEvent(event)
        if event.type() in (QEvent.Type.ThemeChange, QEvent.Type.DevicePixelRatioChange):
            scale = system_scale()
            if scale != self.system_scale:
                self.system_scale = scale
                self.set_theme(self.theme_name)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Keys that nothing else has a use for."""
        left = event.key() == Qt.Key.Key_Escape and self.fix.suspects.leave()
        if not (left or self._enter.presses(event, self.focusWidget()) or closes_sheet(self, event)):
            super().keyPressEvent(event)

    def event(self, event: QEvent) -> bool:
        """Leave keys of the clock to fields that need them."""
        if event.type() == QEvent.Type.ShortcutOverride and isinstance(event, QKeyEvent):
            self._enter.goes_down(event, self.focusWidget())
            if keeps(self.focusWidget(), event):
                event.accept()
                return True
        return super().event(event)

    def closeEvent(self, event: QCloseEvent) -> None:
        """Ask about changes that are not saved, then let go of everything."""
        self.closing = True
        if not self.documents.may_go():
            self.closing = False
            event.ignore()
            return
        remember(self, self.keeper)
        self.ticker.pause()
        self.fix.suspects.stop()
        self.canvas.board.stop()
        self.projector.stop()
        self.documents.stop()
        if self.recovering is not None:
            self.recovering.stop()
        self.session.undo_stack.blockSignals(True)  # it would speak of itself once more while it is taken down
        event.accept()

    def _side(self) -> QScrollArea:
        side = QWidget()
        side.setObjectName("page")
        column = QVBoxLayout(side)
        column.setContentsMargins(18, 5, 18, 2)
        column.setSpacing(5)
        for part in (self.entry, rule(), self.fix, rule(), self.worked):
            column.addWidget(part)
        column.addStretch(1)
        area = QScrollArea()
        area.setWidget(side)
        area.setWidgetResizable(True)
        area.setAccessibleName("Forms")
        area.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        return area

    def _page(self) -> QWidget:
        foot = QWidget()
        foot.setObjectName("foot")
        foot.setAttribute(Qt.WidgetAttribute.WA_StyledBackground)
        strip = QHBoxLayout(foot)
        strip.setContentsMargins(18, 3, 18, 3)
        strip.setSpacing(18)
        strip.addWidget(self.read_out)
        strip.addStretch(1)
        strip.addWidget(ElidedLabel(CAUTION, "muted", fixed=True))
        self.told.setContentsMargins(18, 4, 18, 4)
        self.told.setObjectName("told")
        self.told.hide()
        upper = QWidget()
        column = QVBoxLayout(upper)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(0)
        column.addWidget(self.canvas, 1)
        column.addWidget(foot)
        column.addWidget(self.timeline)
        Overlaid(self.canvas, self.strips, self.told)
        left = QSplitter(Qt.Orientation.Vertical)
        left.setAccessibleName("Chart and log")
        left.setHandleWidth(1)
        left.setChildrenCollapsible(False)
        left.addWidget(upper)
        left.addWidget(self.pane)
        left.setStretchFactor(0, 4)  # more height is more chart, and some more rows of the log
        left.setStretchFactor(1, 1)
        left.setSizes([543, 150])
        body = QHBoxLayout()
        body.setSpacing(0)
        body.addWidget(left, 1)
        body.addWidget(self.sheet)
        body.addWidget(self.side)
        page = QWidget()
        page.setObjectName("page")
        whole = QVBoxLayout(page)
        whole.setContentsMargins(0, 0, 0, 0)
        whole.setSpacing(0)
        whole.addWidget(self.header)
        whole.addLayout(body, 1)
        return page

    def to_sight(self) -> None:
        """Put the cursor where a sight, or what else is in hand, is typed."""
        self.show_sight()
        self.entry.start()

    def show_sight(self) -> None:
        """The side with sight and fix is seen."""
        self.side.show()
        self.fold.show_flight(False)

    def to_flight(self) -> None:
        """Fold the flight form out, the cursor in it."""
        self.side.show()
        self.fold.show_flight()
        self.flight.start()

    def _to_entry(self, name: str) -> None:
        self.show_sight()
        self.entry.begin(name)

    def _to_leg(self, number: int) -> None:
        self.to_flight()
        self.flight.show_leg(number)

    def _to_waypoint(self, number: int) -> None:
        self.to_flight()
        self.flight.route.choose(number)

    def _pick(self, kind: str, id: str) -> None:
        """Show an entry of the time line in the log."""
        self.pane.show()
        self.log.select_entry(kind, id)
        if self.log.log.number_of((kind, id)) is None:
            self.read_out.setText("That is still to come: a double click takes the clock there")

    def _tell(self, text: str) -> None:
        self.told.setText(text)
        self.told.setVisible(bool(text))

    def _read_out(self, place: Position | None) -> None:
        self.read_out.setText(under_cursor(self.session, place))

    def _retitle(self) -> None:
        document = self.session.document
        name = document.path.name if document.path else "not saved yet"
        mark = "*" if self.session.modified else ""
        self.setWindowTitle(f"{document.flight.title or 'Flight'} ({name}){mark} – Nightleg")
