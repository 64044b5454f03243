"""The form of lines and other readings: the fields of the kind in hand, and what comes of them at each keystroke."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QGridLayout, QHBoxLayout, QLabel, QPushButton, QVBoxLayout, QWidget

from nightleg.units.times import write_clock
from nightleg.window.letters import lettered
from nightleg.window.other.choice import KindChoice
from nightleg.window.other.draft import reference
from nightleg.window.other.entry import file_other, other_fault
from nightleg.window.other.kinds import EntryKind, FormField, Other, kind_of
from nightleg.window.other.words import answer_words, belongs, remark_of
from nightleg.window.parts import Choice, Entry, Rows, label, rekind, spoken_label, wrapped
from nightleg.window.session import Session
from nightleg.window.sight.draft import NEW_FIX, NO_FIX

ACROSS = 3  # columns of fields
MENU_LETTERS = "FESLCOVH"
"""Letters that belong to the menu bar."""
_ENTER = "Enter in log"


class OtherForm(QWidget):
    """Typing goes to the session; answers come from it. The fields are made anew for each kind."""

    filed = Signal()
    """Enter was pressed and the entry went into the log."""

    def __init__(self, session: Session) -> None:
        super().__init__()
        self._session = session
        self._filling = False
        self._kind: EntryKind | None = None
        self.chooser = KindChoice(session)
        self.fields: dict[str, Entry | Choice] = {}
        self.fix = Choice("Fix that the line belongs to")
        self.enter = QPushButton(_ENTER)
        self.enter.setToolTip("Enter")
        for part in (self.fix, self.enter):  # in no layout until there is a kind, but never a window of its own
            part.setParent(self)
            part.hide()
        spoken_label("Fix", self.fix, self)
        self.belongs = label(kind="muted")
        self.remark = wrapped("muted")
        self.main = label(kind="line")
        self.rows = Rows("What it comes to")
        self._grid = QGridLayout()
        self._captions: list[QLabel] = []
        self._lay_out()
        self.fix.activated.connect(self._typed_fix)
        self.enter.clicked.connect(self.file)
        session.draft_replaced.connect(self.show_draft)
        session.typed_changed.connect(self.show_remarks)
        session.solved.connect(self.show_answer)
        session.document_changed.connect(self._fill_choices)
        self.show_draft()
        self.show_remarks()

    def start(self) -> None:
        """Put the cursor where something is to be typed next."""
        kind = self._kind
        if kind is None:
            return
        wanting = [key for key in other_fault(self._session) if key in self.fields] or [kind.fields[0].key]
        self._go(min(wanting, key=[one.key for one in kind.fields].index))

    def show_draft(self) -> None:
        """The fields of the kind in hand, filled from the session's draft."""
        draft = self._session.draft.other
        if not draft.kind:
            return
        kind = kind_of(draft.kind)
        self._filling = True
        if kind is not self._kind:
            self._kind = kind
            self._make_fields(kind)
        for one in kind.fields:
            field, text = self.fields[one.key], draft.text(one.key)
            if isinstance(field, Entry) and field.text() != text:
                field.setText(text)
        self._filling = False
        self._fill_choices()

    def show_remarks(self) -> None:
        """Say at the fields what is wrong with them, or what is still to come."""
        session, typed = self._session, self._session.other
        if typed is None or typed.kind is not self._kind:
            return
        for key, field in self.fields.items():
            remark = typed.remarks.get(key)
            if isinstance(field, Entry):
                field.set_wrong(bool(remark and remark.wrong), remark.text if remark else "")
        text, wrong = remark_of(session.draft.other, typed, session.worked)
        rekind(self.remark, "wrong" if wrong else "muted")
        self.remark.setText(text)
        self.enter.setEnabled(typed.complete)
        self.show_answer()

    def show_answer(self) -> None:
        """Show what it comes to."""
        session = self._session
        if self._kind is None or not session.draft.other.kind:
            return
        main, rows = answer_words(session.worked)
        self.main.setText(main)
        self.main.setAccessibleName(f"{self._kind.title}: {main}")
        self.rows.show_rows(rows)
        self.belongs.setText(belongs(session.worked))
        self._choose_fix()

    def file(self) -> None:
        """Put it into the log, or go to the field that still needs something."""
        wanting = [key for key in other_fault(self._session) if key in self.fields]
        if wanting:
            self._go(wanting[0])
        elif file_other(self._session):
            self.filed.emit()
            self.start()

    def _go(self, key: str) -> None:
        field = self.fields[key]
        field.setFocus(Qt.FocusReason.OtherFocusReason)
        if isinstance(field, Entry):
            field.selectAll()

    def _make_fields(self, kind: EntryKind) -> None:
        """Boxes with their names over them, three in a row; fix and button come last."""
        for old in (*self._captions, *self.fields.values()):
            self._grid.removeWidget(old)
            old.hide()
            old.deleteLater()
        self._captions.clear()
        self.fields.clear()
        captions = lettered([*(one.caption for one in kind.fields), "Fix"], MENU_LETTERS)
        line = column = 0
        for one, caption in zip(kind.fields, captions, strict=False):
            if column + one.width > ACROSS:
                line, column = line + 1, 0
            field = self.fields[one.key] = self._field(one)
            self._put(caption, field, line, column, one.width)
            column += one.width
        if kind.in_fix:
            line, column = (line + 1, 0) if column >= ACROSS else (line, column)
            self._put(captions[-1], self.fix, line, column, 1)
            column += 1
        self.fix.setVisible(kind.in_fix)
        line, column = (line + 1, ACROSS - 1) if column >= ACROSS else (line, ACROSS - 1)
        self._grid.addWidget(self.enter, 2 * line + 1, column)
        self.enter.show()
        fix = [self.fix] if kind.in_fix else []
        order: list[QWidget] = [self.chooser, *self.fields.values(), *fix, self.enter]
        for first, second in pairwise(order):
            QWidget.setTabOrder(first, second)

    def _put(self, caption: str, field: QWidget, line: int, column: int, width: int) -> None:
        name = QLabel(caption)
        name.setProperty("kind", "caption")
        name.setBuddy(field)
        self._captions.append(name)
        self._grid.addWidget(name, 2 * line, column, 1, width)
        self._grid.addWidget(field, 2 * line + 1, column, 1, width)

    def _field(self, one: FormField) -> Entry | Choice:
        if one.is_choice:
            choice = Choice(one.spoken)
            choice.activated.connect(lambda _: self._chosen(one.key))
            return choice
        entry = Entry(one.spoken, 4 * one.width, figure=one.width == 1)
        entry.setPlaceholderText(one.usual)
        entry.textChanged.connect(lambda text: self._typed(one.key, text))
        entry.returnPressed.connect(self.file)
        return entry

    def _fill_choices(self) -> None:
        """What can be chosen, and what is."""
        kind, draft = self._kind, self._session.draft.other
        if kind is None or kind.name != draft.kind:
            return
        self._filling = True
        for one in kind.fields:
            field = self.fields[one.key]
            if isinstance(field, Choice):
                words = self._choices(one)
                if [field.itemText(i) for i in range(field.count())] != words:
                    field.clear()
                    field.addItems(words)
                self._show_choice(one, field, draft)
        self._filling = False
        self._choose_fix()

    def _choices(self, one: FormField) -> list[str]:
        if not one.refers:
            return [words for words, _ in one.options]
        fixes = sorted(self._session.document.flight.fixes, key=lambda fix: fix.time)
        return ["start", *(fix.id for fix in fixes)]

    def _show_choice(self, one: FormField, field: Choice, draft: Other) -> None:
        chosen = draft.text(one.key) or one.usual
        if one.refers and not chosen:
            typed = self._session.other
            when = None if typed is None else typed.values.get("time")
            chosen = reference(self._session.document.flight, when)
        field.setCurrentIndex(max(field.findText(chosen), 0))

    def _choose_fix(self) -> None:
        """The fixes that a line can go into, the one it goes into chosen."""
        kind, session = self._kind, self._session
        if kind is None or not kind.in_fix:
            return
        fixes = sorted((f for f in session.document.flight.fixes if f.kind == "celestial"), key=lambda fix: fix.time)
        choices = [(f"{fix.id}, {write_clock(fix.time)}", fix.id) for fix in fixes]
        choices += [("new fix", NEW_FIX), ("no fix", NO_FIX)]
        if [self.fix.itemData(i) for i in range(self.fix.count())] != [id for _, id in choices]:
            self.fix.clear()
            for text, id in choices:
                self.fix.addItem(text, id)
        chosen = session.draft.other.fix
        if chosen is None and session.worked.other is not None and session.worked.fix is not None:
            known = {fix.id for fix in fixes}
            chosen = session.worked.fix.id if session.worked.fix.id in known else NEW_FIX
        if chosen is not None:
            self.fix.setCurrentIndex(self.fix.findData(chosen))
        for one in kind.fields:
            field = self.fields[one.key]
            if one.refers and isinstance(field, Choice):
                self._show_choice(one, field, session.draft.other)

    def _typed(self, key: str, text: str) -> None:
        if not self._filling:
            draft = self._session.draft
            self._session.type(replace(draft, other=draft.other.put(key, text)))

    def _chosen(self, key: str) -> None:
        field = self.fields[key]
        if isinstance(field, Choice):
            self._typed(key, field.currentText())

    def _typed_fix(self) -> None:
        draft = self._session.draft
        self._session.type(replace(draft, other=replace(draft.other, fix=self.fix.currentData())))

    def _lay_out(self) -> None:
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(4)
        head = QHBoxLayout()
        head.setSpacing(6)
        head.addWidget(self.chooser)
        head.addStretch(1)
        head.addWidget(self.belongs)
        column.addLayout(head)
        self._grid.setHorizontalSpacing(8)
        self._grid.setVerticalSpacing(3)
        for number in range(ACROSS):
            self._grid.setColumnStretch(number, 1)
        column.addLayout(self._grid)
        self.remark.setMinimumHeight(self.remark.fontMetrics().height() + 2)
        self.remark.setAlignment(Qt.AlignmentFlag.AlignTop)
        column.addWidget(self.remark)
        column.addWidget(self.main, 0, Qt.AlignmentFlag.AlignLeft)
        column.addWidget(self.rows)
