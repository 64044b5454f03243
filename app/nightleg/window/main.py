"""The main window: chart in the middle, forms at its side, the log below."""

from __future__ import annotations

from pathlib import Path

from PySide6.QtCore import Qt
from PySide6.QtGui import QCloseEvent
from PySide6.QtWidgets import QHBoxLayout, QMainWindow, QScrollArea, QSplitter, QVBoxLayout, QWidget

from nightleg.chart.canvas import ChartCanvas
from nightleg.chart.scene import CAUTION, scene
from nightleg.chart.themes import THEMES, ThemeName
from nightleg.units.positions import Position
from nightleg.window.ahead import way
from nightleg.window.dialogs import Dialogs
from nightleg.window.header import Header
from nightleg.window.logtable import LogPane, LogTable
from nightleg.window.look import look, palette, style_sheet
from nightleg.window.menus import Menus
from nightleg.window.panels import FixPanel, WorkedPanel
from nightleg.window.parts import label, rule, wrapped
from nightleg.window.session import Session
from nightleg.window.sightform import SightForm

SIDE_PX = 404


class MainWindow(QMainWindow):
    """Shows a session. The dialogs that it opens are those of `dialogs`."""

    def __init__(self, session: Session, dialogs: Dialogs | None = None) -> None:
        super().__init__()
        self.session = session
        self.theme_name: ThemeName = "paper"
        theme = THEMES[self.theme_name]
        self.dialogs = dialogs or Dialogs(self)
        self.header = Header(session)
        self.canvas = ChartCanvas(theme)
        self.form = SightForm(session)
        self.worked = WorkedPanel(session)
        self.fix = FixPanel(session)
        self.log = LogTable(session, look(theme))
        self.pane = LogPane(self.log, indent_px=10)
        self.read_out = label(kind="muted")
        self.told = wrapped("wrong")
        self.side = self._side()
        self.setCentralWidget(self._page())
        self.menus = Menus(self)
        session.solved.connect(self.draw)
        session.told.connect(self._tell)
        session.document_changed.connect(self._retitle)
        session.undo_stack.cleanChanged.connect(self._retitle)
        self.canvas.hovered.connect(self._read_out)
        self.set_theme(self.theme_name)
        self._retitle()
        self.draw()
        self.resize(1360, 768)
        self.form.start()

    def draw(self) -> None:
        """Bring the session's answer to the chart."""
        worked = self.session.worked
        self.canvas.show_scene(scene(worked.flight, worked.solution, self.session.now))

    def set_theme(self, name: ThemeName) -> None:
        """Chart and window in another theme."""
        self.theme_name = name
        theme = THEMES[name]
        of = look(theme)
        self.setPalette(palette(of))
        self.setStyleSheet(style_sheet(of))
        self.canvas.set_theme(theme)
        self.log.log.set_look(of)
        self.log.fit_columns(of)
        self.pane.refit()
        self.menus.show_theme(name)

    def open(self, path: Path) -> None:
        """Open a flight file, if what is not saved may go."""
        if self.may_go() and self.session.open(path):
            self.canvas.fit_plot()
            self.form.start()

    def save(self) -> bool:
        """Save to the flight's file, asking for one if it has none."""
        return self.session.save() if self.session.document.path else self.save_as()

    def save_as(self) -> bool:
        """Ask for a file and save to it."""
        path = self.dialogs.save_path(self.session.document.path)
        return path is not None and self.session.save(path)

    def export(self, path: Path) -> None:
        """Draw the chart, as it is seen, into a file; what keeps it from being written is told."""
        from nightleg.chart.export import ending, render  # with it come the writers of PDF and SVG
        from nightleg.safefile import write_atomically

        drawn = self.canvas.scene
        if drawn is None:
            return
        try:
            write_atomically(path, render(drawn, ending(path), theme_name=self.theme_name))
        except (OSError, ValueError) as error:
            self.session.told.emit(f"No chart written: {error}")

    def may_go(self) -> bool:
        """Whether the document may be left: saved, or not wanted."""
        if not self.session.modified:
            return True
        answer = self.dialogs.save_first()
        return self.save() if answer == "save" else answer == "discard"

    def closeEvent(self, event: QCloseEvent) -> None:
        """Ask about changes that are not saved."""
        if self.may_go():
            event.accept()
        else:
            event.ignore()

    def _side(self) -> QScrollArea:
        side = QWidget()
        side.setObjectName("page")
        column = QVBoxLayout(side)
        column.setContentsMargins(18, 10, 18, 6)
        column.setSpacing(7)
        for part in (self.form, rule(), self.fix, rule(), self.worked):
            column.addWidget(part)
        column.addStretch(1)
        area = QScrollArea()
        area.setWidget(side)
        area.setWidgetResizable(True)
        area.setFixedWidth(SIDE_PX)
        area.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
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
        strip.addWidget(label(CAUTION, "muted"))
        self.told.setContentsMargins(18, 4, 18, 4)
        self.told.hide()
        upper = QWidget()
        column = QVBoxLayout(upper)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(0)
        column.addWidget(self.canvas, 1)
        column.addWidget(self.told)
        column.addWidget(foot)
        left = QSplitter(Qt.Orientation.Vertical)
        left.setHandleWidth(1)
        left.setChildrenCollapsible(False)
        left.addWidget(upper)
        left.addWidget(self.pane)
        left.setStretchFactor(0, 1)
        left.setStretchFactor(1, 0)
        left.setSizes([560, 176])
        body = QHBoxLayout()
        body.setSpacing(0)
        body.addWidget(left, 1)
        body.addWidget(self.side)
        page = QWidget()
        page.setObjectName("page")
        whole = QVBoxLayout(page)
        whole.setContentsMargins(0, 0, 0, 0)
        whole.setSpacing(0)
        whole.addWidget(self.header)
        whole.addLayout(body, 1)
        return page

    def _tell(self, text: str) -> None:
        self.told.setText(text)
        self.told.setVisible(bool(text))

    def _read_out(self, place: Position | None) -> None:
        state = self.session.worked.solution.dr[-1]
        self.read_out.setText("" if place is None else f"{way(state.position, place)} from the DR")

    def _retitle(self) -> None:
        document = self.session.document
        name = document.path.name if document.path else "not saved yet"
        mark = "*" if self.session.modified else ""
        self.setWindowTitle(f"{document.flight.title or 'Flight'} ({name}){mark} – Nightleg")
