"""The folds of the sight form: a series of readings, and what a sight seldom needs."""

from __future__ import annotations

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QGridLayout, QHBoxLayout, QPushButton, QVBoxLayout, QWidget

from nightleg.units.times import write_clock
from nightleg.window.parts import Entry, captioned, label, rekind, wrapped
from nightleg.window.session import Session, Worked
from nightleg.window.sight.draft import MORE, Draft, FieldName, Typed
from nightleg.window.sight.filing import angle_text
from nightleg.window.sight.series import RowText, Spread, odd_words, spread
from nightleg.window.sight.seriespicture import SeriesPicture
from nightleg.window.sight.seriestable import MOST_ROWS, SeriesTable

_NAMES: dict[FieldName, str] = {
    "duration": "Duration",
    "turn": "Turn",
    "speed": "Speed change",
    "sigma": "Own sigma",
    "assumed": "Assumed position",
}
_ABOUT: dict[FieldName, str] = {
    "duration": "Seconds; empty: 120 seconds",
    "turn": "Degrees a minute, to the right positive, or with R or L after it; empty: none",
    "speed": "Knots a minute, faster positive; empty: none",
    "sigma": "Minutes of arc, one sigma; empty: that of the sextant",
    "assumed": "Latitude and longitude like 41 00 N 036 12 W, in degrees and minutes; empty: the DR",
}


def fold(text: str, name: str) -> QPushButton:
    """A button that folds a part of the form out and in."""
    made = QPushButton(text)
    made.setCheckable(True)
    made.setProperty("kind", "fold")
    made.setAccessibleName(name)
    return made


class SeriesFold(QWidget):
    """Readings, their mean and scatter, and how they lie about the computed motion."""

    changed = Signal()
    finished = Signal()

    def __init__(self) -> None:
        super().__init__()
        self.table = SeriesTable()
        self.picture = SeriesPicture()
        self.mean = label(kind="row strong")
        self.scatter = label(kind="row")
        self.said = wrapped("wrong")
        self.single = QPushButton("one reading")
        self.single.setProperty("kind", "fold")
        self.single.setAccessibleName("Back to one reading")
        self.single.setToolTip("Back to one reading; the rows are kept until the sight is in the log")
        self.put_away: tuple[RowText, ...] = ()
        head = QHBoxLayout()
        for caption, stretch in (("watch time", 4), ("altitude", 4), ("off", 3)):
            head.addWidget(label(caption, "caption"), stretch)
        head.setContentsMargins(18, 0, 0, 0)
        foot = QGridLayout()
        foot.setVerticalSpacing(0)
        foot.addWidget(self.mean, 0, 0)
        foot.addWidget(self.scatter, 1, 0)
        foot.addWidget(self.single, 0, 1, 2, 1, Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(3)
        column.addLayout(head)
        column.addWidget(self.table)
        column.addLayout(foot)
        column.addWidget(self.picture)
        column.addWidget(self.said)
        self.table.changed.connect(self.changed)
        self.table.finished.connect(self.finished)
        self.single.clicked.connect(self._to_one)

    def open(self) -> None:
        """Unfold, with the rows that were put away, and type on."""
        if not self.table.rows() and self.put_away:
            self.table.show_rows(self.put_away)
            self.put_away = ()
            self.changed.emit()
        self.table.start()

    def show_answer(self, typed: Typed, worked: Worked) -> None:
        """Mean, scatter and residuals, as far as the body is known."""
        readings, sight = typed.readings, worked.sight
        found: Spread | None = None
        if readings and sight is not None:
            found = spread(readings, sight.body_motion_arcmin_per_min + sight.observer_motion_arcmin_per_min)
        self.table.show_answer(typed, found)
        used = sum(any(part.strip() for part in row) for row in self.table.rows())
        self.mean.setText(_mean_words(typed, used))
        sigma = None if found is None else found.sigma_arcmin
        self.scatter.setText("" if sigma is None else f"scatter {sigma:.1f}′, 1σ of one reading")
        self.scatter.setToolTip("" if sigma is None else "1σ of one reading about the computed motion")
        several = found is not None and len(readings) > 1
        self.picture.show_spread(found if several else None)
        self.picture.setVisible(several)
        wrong = typed.remarks.get("series")
        words = [wrong.text] if wrong is not None and wrong.wrong else []
        if self.table.too_many:
            words.append(f"A series has at most {MOST_ROWS} rows: {self.table.too_many} at its end found no room.")
        words += odd_words(readings, found, self.table.whole(typed)) if found is not None else ()
        self.said.setText("\n".join(words))
        self.said.setVisible(bool(words))

    def _to_one(self) -> None:
        self.put_away = self.table.rows()
        self.table.show_rows(())
        self.changed.emit()


def _mean_words(typed: Typed, rows: int) -> str:
    """`5 readings, mean 2210:00  11 57.9`, `4 of 5 rows, …`, or why there is none."""
    count = len(typed.readings)
    if not count or typed.watch_time is None or typed.hs_deg is None:
        wrong = any(remark.wrong for remark in typed.rows.values())
        return "No mean: no row can be read" if wrong else "No reading yet"
    share = f"{count} of {rows} rows" if count != rows else f"{count} readings" if count > 1 else "1 reading"
    return f"{share}, mean {write_clock(typed.watch_time, seconds=True)}  {tenths(typed.hs_deg)}"


def tenths(deg: float) -> str:
    """An altitude to the tenth of a minute, as a person types it: `29 34.5`."""
    return angle_text(round(deg * 600.0) / 600.0)


class MoreFold(QWidget):
    """Duration, turn, speed change, sigma and assumed position."""

    changed = Signal()

    def __init__(self, session: Session) -> None:
        super().__init__()
        self._session = session
        self.duration = Entry("Duration of the shot in seconds", 4, figure=True)
        self.turn = Entry("Turn during the shot in degrees a minute, right positive", 4, figure=True)
        self.speed = Entry("Change of ground speed in knots a minute", 4, figure=True)
        self.sigma = Entry("Sigma of this shot in minutes of arc", 4, figure=True)
        self.assumed = Entry("Assumed position", 10)
        self.fields: dict[FieldName, Entry] = {
            "duration": self.duration,
            "turn": self.turn,
            "speed": self.speed,
            "sigma": self.sigma,
            "assumed": self.assumed,
        }
        for name, about in _ABOUT.items():
            self.fields[name].describe(about)
        self.said = wrapped("muted")
        grid = QGridLayout()
        grid.setHorizontalSpacing(8)
        grid.setVerticalSpacing(4)
        grid.addWidget(captioned("&Duration, s", self.duration), 0, 0)
        grid.addWidget(captioned("T&urn, °/min", self.turn), 0, 1)
        grid.addWidget(captioned("S&peed, kt/min", self.speed), 0, 2)
        grid.addWidget(captioned("Si&gma, ′", self.sigma), 0, 3)
        grid.addWidget(captioned("&Assumed position, in place of the DR", self.assumed), 1, 0, 1, 4)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(3)
        column.addLayout(grid)
        column.addWidget(self.said)
        self.turn.setPlaceholderText("0")
        self.speed.setPlaceholderText("0")
        self.duration.setPlaceholderText("120")
        self.assumed.setPlaceholderText("41 00 N 036 12 W")
        for field in self.fields.values():
            field.textChanged.connect(self.changed)

    def show_draft(self, draft: Draft) -> None:
        """Fill the fields."""
        for name, field in self.fields.items():
            text = str(getattr(draft, name))
            if field.text() != text:
                field.setText(text)
        self.sigma.setPlaceholderText(f"{self._session.document.flight.sextant.sigma_arcmin:g}")

    def show_remarks(self, typed: Typed) -> None:
        """What is wrong with a field is said below them."""
        said, wrong = [], False
        for name, field in self.fields.items():
            remark = typed.remarks.get(name)
            field.set_wrong(bool(remark and remark.wrong), remark.text if remark else "")
            if remark:
                said.append(f"{_NAMES[name]}: {remark.text}")
                wrong = wrong or remark.wrong
        rekind(self.said, "wrong" if wrong else "muted")
        self.said.setText("\n".join(said))
        self.said.setVisible(bool(said))


def is_unusual(draft: Draft) -> bool:
    """Whether a field of the fold holds something."""
    return any(str(getattr(draft, name)).strip() for name in MORE)
