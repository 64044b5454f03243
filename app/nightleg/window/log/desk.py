"""The log at work: what is put in, taken away, shown and copied, by menu, by key and by the strip above the table."""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta

from PySide6.QtCore import QObject, Qt, Signal
from PySide6.QtGui import QAction, QActionGroup, QKeySequence
from PySide6.QtWidgets import QHBoxLayout, QMenu, QToolButton, QWidget

from nightleg.flight.shots import watch_error_s
from nightleg.units.times import write_clock
from nightleg.window.log.entries import FILTERS
from nightleg.window.log.insert import What, inserted, without
from nightleg.window.log.table import LogTable
from nightleg.window.other.kinds import KINDS
from nightleg.window.other.work import beside
from nightleg.window.session import Session
from nightleg.window.sight.draft import Draft

_INSERTS: tuple[tuple[What, str, str], ...] = (
    ("remark", "&Remark at this time", "Ctrl+Shift+R"),
    ("leg", "&Leg from this time on", "Ctrl+Shift+L"),
    ("fix", "Fi&x at this time", "Ctrl+Shift+F"),
    ("known", "&Known position at this time", "Ctrl+Shift+K"),
    ("waypoint", "&Waypoint at the DR", "Ctrl+Shift+W"),
)
_WORDS = {"all": "&All entries", "sights": "&Sights only", "fixes": "&Fixes only", "legs": "L&egs and DR only"}
_WORDS |= {"remarks": "Remar&ks only", "lines": "Ot&her lines only", "readings": "&Drifts and heading checks only"}


class LogDesk(QObject):
    """Commands of the log. `actions` are for a menu, `strip` stands above the table."""

    sight_wanted = Signal()
    """A sight is to be typed in the form."""
    log_wanted = Signal()
    """The log is to be seen."""
    entry_wanted = Signal(str)
    """An entry of a kind (one of linekinds.KINDS) is to be typed in the form."""
    waypoint_wanted = Signal(int)
    """A waypoint (number from 0) is to be shown in the flight form."""

    def __init__(self, session: Session, table: LogTable) -> None:
        super().__init__(table)
        self._session, self._table = session, table
        self.inserts = [self._action(text, self._insert(what), key) for what, text, key in _INSERTS]
        self.inserts.insert(1, self._action("&Sight, in the form", self.new_sight, "Ctrl+Shift+N"))
        self.others = QMenu("Li&ne or reading, in the form", table)
        for kind in KINDS:
            action = QAction(kind.title, self.others)
            action.triggered.connect(self._begin(kind.name))
            self.others.addAction(action)
        self.inserts.insert(2, self.others.menuAction())
        self.filters = QActionGroup(self)
        for number, name in enumerate(FILTERS):
            action = self._action(_WORDS[name], self._filter(name), f"Alt+{number}")
            action.setCheckable(True)
            action.setChecked(name == "all")
            action.setIconText(name)
            self.filters.addAction(action)
        self.full = self._action("Full &log, all columns", self._show_full, "Shift+F4")
        self.full.setIconText("full log")
        self.full.setCheckable(True)
        self.edit = self._action("&Edit the cell", table.edit_current, "Ctrl+Return")
        self.use = self._action("&Use or set aside", table.switch_use, "Ctrl+U")
        self.delete = self._action("&Take away", self.take_away, "Ctrl+Delete")
        self.copy = self._action("&Copy the chosen rows", table.copy, "Ctrl+C")
        self.copy.setShortcutContext(Qt.ShortcutContext.WidgetWithChildrenShortcut)  # elsewhere it copies other things
        self.copy_all = self._action("Copy the &whole log", table.copy_all, "Ctrl+Shift+C")
        table.delete_wanted.connect(self.take_away)
        table.filter_left.connect(self._filter("all"))
        self.strip = self._strip()

    def fill(self, menu: QMenu) -> None:
        """Put the commands into a menu."""
        menu.addActions(self.inserts)
        menu.addSeparator()
        menu.addActions([self.edit, self.use, self.delete, self.copy, self.copy_all])
        menu.addSeparator()
        menu.addActions(self.filters.actions())
        menu.addAction(self.full)

    def go(self) -> None:
        """The keys go to the log, its cursor in view."""
        self.log_wanted.emit()
        self._table.setFocus()
        self._table.reveal()

    def insert(self, what: What) -> None:
        """Put an entry in at flight time, and go to it to be filled in."""
        session = self._session
        self._table.settle()
        made = inserted(what, session.document, session.base, session.now)
        if not session.edit(made.label, *made.edits):
            return
        if made.kind == "waypoint":
            self.waypoint_wanted.emit(int(made.id))
            return
        table = self._table
        self.log_wanted.emit()
        self._choose("all")
        table.edit_entry(made.kind, made.id)

    def new_sight(self) -> None:
        """Begin a sight in the form, at flight time by the watch."""
        session = self._session
        flight = session.document.flight
        shown = session.now + timedelta(seconds=watch_error_s(flight.watch, flight.start.time, session.now))
        session.replace_draft(beside(session.draft, Draft(time=write_clock(shown, seconds=False))))
        self.sight_wanted.emit()

    def take_away(self) -> None:
        """Take the selected entries out of the flight, or say what keeps them in."""
        table, session = self._table, self._session
        table.settle()
        numbers = table.chosen_rows()
        rows = [table.log.rows[number] for number in numbers]
        places = [row.place for row in rows if row.place is not None and not row.typed]
        if not places:
            said = "This is worked out from the other entries." if rows else "Choose a row of the log first."
            session.told.emit(said)
            return
        if not table.in_sight():
            self.go()
            session.told.emit("This row was out of sight: once more takes it away.")
            return
        made = without(session.document, places)
        if isinstance(made, str):
            session.told.emit(made)
        elif session.edit(made.label, *made.edits) and table.log.rows:
            number = min(numbers[0], len(table.log.rows) - 1)
            table.setCurrentIndex(table.log.index(number, table.currentIndex().column()))

    def _begin(self, name: str) -> Callable[[], None]:
        return lambda: self.entry_wanted.emit(name)

    def _choose(self, name: str) -> None:
        for action, known in zip(self.filters.actions(), FILTERS, strict=True):
            if known == name:
                action.setChecked(True)
        self._table.log.set_filter(name)
        self._table.none.place()
        if self._table.hasFocus():
            self._table.reveal()

    def _insert(self, what: What) -> Callable[[], None]:
        return lambda: self.insert(what)

    def _filter(self, name: str) -> Callable[[], None]:
        return lambda: self._choose(name)

    def _show_full(self) -> None:
        self._table.set_full(self.full.isChecked())

    def _action(self, text: str, does: Callable[[], object], *keys: str) -> QAction:
        action = QAction(text, self)
        action.setShortcuts([QKeySequence(key) for key in keys])
        action.triggered.connect(lambda: does())
        return action

    def _strip(self) -> QWidget:
        strip = QWidget()
        strip.setObjectName("page")
        strip.setAccessibleName("Kinds of entry shown in the log")
        row = QHBoxLayout(strip)
        row.setContentsMargins(6, 1, 12, 1)
        row.setSpacing(2)
        for action in self.filters.actions():
            row.addWidget(_switch(action))
        row.addStretch(1)
        menu = QMenu(strip)
        menu.addActions(self.inserts)
        more = QToolButton()
        more.setText("insert")
        more.setAccessibleName("Insert an entry at flight time")
        more.setMenu(menu)
        more.setPopupMode(QToolButton.ToolButtonPopupMode.InstantPopup)
        more.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        row.addWidget(more)
        row.addWidget(_switch(self.full))
        return strip


def _switch(action: QAction) -> QToolButton:
    button = QToolButton()
    button.setDefaultAction(action)
    button.setToolButtonStyle(Qt.ToolButtonStyle.ToolButtonTextOnly)
    button.setFocusPolicy(Qt.FocusPolicy.NoFocus)  # the menu and the keys are for those without a mouse
    keys = action.shortcut().toString()
    button.setAccessibleName(action.text().replace("&", ""))
    button.setAccessibleDescription(f"Shown in the log, {keys}")
    button.setToolTip(f"{action.text().replace('&', '')}  {keys}")
    return button
