"""The part of the fix panel that explains a disagreement: what may have gone wrong, tried on the chart and adopted."""

from __future__ import annotations

from PySide6.QtCore import QEvent, QModelIndex, QPersistentModelIndex, QRect, QSize, Qt, QTimer, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import (
    QHBoxLayout,
    QListWidget,
    QListWidgetItem,
    QPushButton,
    QSizePolicy,
    QStyledItemDelegate,
    QStyleOptionViewItem,
    QVBoxLayout,
    QWidget,
)

from nightleg.chart.ghosts import GhostMark
from nightleg.flight.solution import FixResult
from nightleg.flight.suspects import asks
from nightleg.window.fix.adopting import adopt
from nightleg.window.fix.search import SuspectSearch
from nightleg.window.fix.trials import Trial, Trials, odds_words
from nightleg.window.parts import wrapped
from nightleg.window.session import Session
from nightleg.window.words import faults

REST_MS = 250  # without typing, until a fix that disagrees is searched by itself
ROWS_SEEN = 4
_ASK, _CLOSE = "Explain", "Close"
_BUSY = "Weighing what may have gone wrong …"
_FAILED = "What may have gone wrong could not be worked out."


class SuspectList(QListWidget):
    """The explanations, best first. Space tries one, Enter adopts it once it is tried, Escape takes it away."""

    tried = Signal()
    adopted = Signal()
    left = Signal()

    def __init__(self) -> None:
        super().__init__()
        self.setAccessibleName("What may have gone wrong")
        self.setAccessibleDescription("Space tries one on the chart, Enter then adopts it, Escape takes it away")
        self.setToolTip("Space or a click: try it on the chart. Enter: adopt what is tried. Esc: take it away")
        self.setWordWrap(True)
        self.setTabKeyNavigation(False)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setItemDelegate(_TwoLines(self))
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)

    def event(self, event: QEvent) -> bool:
        """Keep the space bar, which elsewhere runs the clock."""
        override = event.type() == QEvent.Type.ShortcutOverride
        if override and isinstance(event, QKeyEvent) and event.key() == Qt.Key.Key_Space and not event.modifiers():
            event.accept()
            return True
        return super().event(event)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """The keys of its own; arrows move as in any list."""
        keys = {
            Qt.Key.Key_Space: self.tried,
            Qt.Key.Key_Return: self.adopted,
            Qt.Key.Key_Enter: self.adopted,
            Qt.Key.Key_Escape: self.left,
        }
        signal = keys.get(Qt.Key(event.key()))
        if signal is None:
            super().keyPressEvent(event)
        else:
            signal.emit()

    def sizeHint(self) -> QSize:
        """As high as the first few rows."""
        rows = sum(self.sizeHintForRow(row) for row in range(min(self.count(), ROWS_SEEN)))
        return QSize(200, rows + 2 * self.frameWidth())


class _TwoLines(QStyledItemDelegate):
    """Rows as high as their wrapped words at the width of the list."""

    def __init__(self, of: QListWidget) -> None:
        super().__init__(of)
        self._of = of

    def sizeHint(self, option: QStyleOptionViewItem, index: QModelIndex | QPersistentModelIndex) -> QSize:
        """Height of the words."""
        width = self._of.viewport().width() - 10
        around = QRect(0, 0, width, 1000)
        box = self._of.fontMetrics().boundingRect(around, int(Qt.TextFlag.TextWordWrap), str(index.data()))
        return QSize(width, box.height() + 5)


class FixSuspects(QWidget):
    """Shows what explains the fix that is shown. `ghost` is what is tried, for the chart.

    `button` asks, and stands where the panel puts it.
    """

    changed = Signal()
    """Another ghost, or none."""
    answered = Signal()
    """The explanations that a person asked for are shown."""

    def __init__(self, session: Session) -> None:
        super().__init__()
        self._session = session
        self._fix: FixResult | None = None
        self._asked: str | None = None  # id of the fix that a person asked about
        self._trying = False
        self.found: Trials | None = None
        self.search = SuspectSearch(self)
        self.button = QPushButton(_ASK)
        self.words = wrapped()
        self.list = SuspectList()
        self.said = wrapped("wrong")
        self.try_button, self.adopt_button = QPushButton("Try on the chart"), QPushButton("Adopt")
        self._lay_out()
        self._rest = QTimer(self)
        self._rest.setSingleShot(True)
        self._rest.setInterval(REST_MS)
        self._rest.timeout.connect(self._begin)
        self.search.found.connect(self._show)
        self.search.failed.connect(lambda: self.words.setText(_FAILED))
        self.button.clicked.connect(self._press)
        self.try_button.clicked.connect(self.toggle)
        self.adopt_button.clicked.connect(self.adopt)
        self.list.tried.connect(self.toggle)
        self.list.adopted.connect(self.adopt)
        self.list.left.connect(self.leave)
        self.list.itemClicked.connect(lambda: self._try(True))
        self.list.currentRowChanged.connect(self._moved)

    @property
    def trial(self) -> Trial | None:
        """The explanation that the list's cursor stands on."""
        row = self.list.currentRow()
        return self.found.trials[row] if self.found is not None and 0 <= row < len(self.found.trials) else None

    @property
    def ghost(self) -> GhostMark | None:
        """What is tried, while it belongs to the flight that is shown."""
        current = self.found is not None and self.found.flight is self._session.worked.flight
        return self.trial.ghost if self._trying and current and self.trial is not None else None

    def show_fix(self, fix: FixResult | None) -> None:
        """Another fix, or the same worked anew. A disagreement is searched once typing rests."""
        before, self._fix = self._fix, fix
        if fix is None or (before is not None and before.id != fix.id):
            self._asked = None
        able = fix is not None and fix.kind == "celestial" and bool(fix.sights)
        self.setVisible(able)
        self.button.setVisible(able)
        if self.found is not None and self.found.flight is self._session.worked.flight and self.found.fix == fix:
            return
        self._clear()
        if able and fix is not None and (self._asked == fix.id or asks(fix)):
            self._rest.start()

    def ask(self) -> None:
        """Search now, because a person wants to know; the cursor goes to the list."""
        if self._fix is None:
            self._session.told.emit("There is no fix whose shots could be explained.")
            return
        self._asked = self._fix.id
        if self.found is None:
            self._begin()
        self.button.setText(_CLOSE)
        self.list.setFocus(Qt.FocusReason.ShortcutFocusReason)

    def toggle(self) -> None:
        """Try the explanation under the cursor on the chart, or take it away."""
        if self.trial is None:
            self.ask()
        else:
            self._try(not self._trying)

    def adopt(self) -> None:
        """Adopt what is tried; what has not been seen is tried first."""
        trial = self.trial
        if trial is None or not self._trying:
            self.toggle()
            return
        self._asked = None
        problems = adopt(self._session, trial.taken)
        self.said.setText(f"Not adopted: {faults(*problems)}" if problems else "")
        self.said.setVisible(bool(problems))

    def leave(self) -> bool:
        """Take the ghost away; without one, close what was asked for. Whether there was anything to leave."""
        if self._trying:
            self._try(False)
            return True
        if self._asked is None and not self.search.running:
            return False
        self._close()
        return True

    def stop(self) -> None:
        """Let go of everything."""
        self._rest.stop()
        self.search.stop()

    def _press(self) -> None:
        if self.found is not None or self.search.running:
            self._close()
        else:
            self.ask()

    def _close(self) -> None:
        self._asked = None
        self._clear()
        self.button.setFocus(Qt.FocusReason.OtherFocusReason)

    def _begin(self) -> None:
        worked = self._session.worked
        if self._fix is not None and any(fix.id == self._fix.id for fix in worked.solution.fixes):
            self._busy()  # not before: a reading that is half typed disagrees as a rule
            self.search.ask(worked.flight, worked.solution, self._fix.id)

    def _busy(self) -> None:
        self.words.setText(_BUSY)
        self.words.show()
        self.button.setText(_CLOSE)

    def _clear(self) -> None:
        """Nothing found, nothing tried."""
        self._rest.stop()
        self.search.cancel()
        shown, self._trying, self.found = self.ghost is not None, False, None
        self.list.clear()
        for part in (self.words, self.list, self.said, self.try_button, self.adopt_button):
            part.hide()
        self.button.setText(_ASK)
        if shown:
            self.changed.emit()

    def _show(self, found: Trials) -> None:
        """What was found, if it is still asked for."""
        if found.flight is not self._session.worked.flight or self._fix is None or found.fix.id != self._fix.id:
            return
        self.found = found
        self.words.setText(found.words)
        self.words.setVisible(bool(found.words))
        self.list.clear()
        for trial in found.trials:
            odds = odds_words(trial.suspect.log_odds)
            item = QListWidgetItem(f"{trial.title}\n{odds}; {trial.effect}")
            item.setData(Qt.ItemDataRole.AccessibleTextRole, f"{trial.title}: {odds}; {trial.effect}")
            self.list.addItem(item)
        for part in (self.list, self.try_button, self.adopt_button):
            part.setVisible(bool(found.trials))
        self.list.updateGeometry()
        self.list.setCurrentRow(0 if found.trials else -1)
        self._tell()
        if self._asked is not None:
            self.answered.emit()

    def _moved(self) -> None:
        self.said.hide()
        if self._trying:
            self.changed.emit()

    def _try(self, on: bool) -> None:
        if on != self._trying or on:
            self._trying = on
            self._tell()
            self.changed.emit()

    def _tell(self) -> None:
        """The buttons say what they do now."""
        self.try_button.setText("Take it off the chart" if self._trying else "Try on the chart")
        self.adopt_button.setEnabled(self._trying)

    def _lay_out(self) -> None:
        for button, name, tip in (
            (
                self.button,
                "Explain why the shots of this fix might disagree",
                "Why might the shots disagree? (Shift+F9)",
            ),
            (self.try_button, "Try the explanation on the chart, or take it away", "Space, or Ctrl+F9"),
            (self.adopt_button, "Adopt the explanation that is tried", "Enter, or Ctrl+Shift+F9"),
        ):
            button.setProperty("kind", "fold")
            button.setAccessibleName(name)
            button.setToolTip(tip)
        foot = QHBoxLayout()
        foot.setSpacing(8)
        foot.addWidget(self.try_button)
        foot.addWidget(self.adopt_button)
        foot.addStretch(1)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(4)
        for row in (self.words, self.list, self.said):
            column.addWidget(row)
        column.addLayout(foot)
        for hidden in (self.words, self.list, self.said, self.try_button, self.adopt_button):
            hidden.hide()
