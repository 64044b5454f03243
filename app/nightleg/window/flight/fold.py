"""The side of the window shows the sight or the flight: a bar at its foot changes between them."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QEvent, QObject, Qt
from PySide6.QtWidgets import QPushButton, QScrollArea, QWidget

from nightleg.window.session import Session

if TYPE_CHECKING:
    from nightleg.window.flight.form import FlightForm

_OPEN, _CLOSE = "Flight  »", "«  Sight"


class FlightFold(QObject):
    """Folds the flight form out over the rest of the side, and away. The form is made when first wanted."""

    def __init__(self, side: QScrollArea, session: Session) -> None:
        super().__init__(side)
        self._side, self._session = side, session
        self._first = _page(side)
        self._flight: FlightForm | None = None
        self._seen = [0, 0]  # how far each page was scrolled
        self.bar = QPushButton(_OPEN, side)
        self.bar.setObjectName("fold")
        self.bar.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        self.bar.clicked.connect(self.turn)
        side.installEventFilter(self)
        self._name()
        self._place()

    @property
    def flight(self) -> FlightForm:
        """The flight form."""
        if self._flight is None:
            from nightleg.window.flight.form import FlightForm  # a hundred fields, no part of the start

            made = self._flight = FlightForm(self._session)
            made.setParent(self._side)
            made.hide()
            for part in made.findChildren(QWidget):
                part.setAcceptDrops(False)  # as in all of the window: a file that is dropped is a flight to be opened
        return self._flight

    @property
    def open(self) -> bool:
        """Whether the flight form is seen."""
        return self._flight is not None and self._side.widget() is self._flight

    def turn(self) -> None:
        """From the one to the other."""
        self.show_flight(not self.open)
        if self.open:
            self.flight.start()

    def show_flight(self, flight: bool = True) -> None:
        """Show the flight form, or the sight."""
        if flight == self.open:
            return
        bar = self._side.verticalScrollBar()
        self._seen[not flight] = bar.value()
        gone = self._side.takeWidget()
        if gone is not None:
            gone.setParent(self._side)
            gone.hide()
        page: QWidget = self.flight if flight else self._first
        self._side.setWidget(page)
        page.show()
        bar.setValue(self._seen[flight])
        self._name()
        self._place()

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """The bar keeps to the foot of the side."""
        if event.type() in (QEvent.Type.Resize, QEvent.Type.StyleChange, QEvent.Type.Show):
            self._place()
        return super().eventFilter(watched, event)

    def _name(self) -> None:
        self.bar.setText(_CLOSE if self.open else _OPEN)
        self.bar.setAccessibleName("Back to the sight" if self.open else "Legs, route, watch and sextant of the flight")
        self.bar.setToolTip(f"{self.bar.accessibleName()}  {'F2' if self.open else 'Shift+F2'}")

    def _place(self) -> None:
        height, side = self.bar.sizeHint().height(), self._side
        side.setViewportMargins(0, 0, 0, height)
        edge = side.frameWidth()
        self.bar.setGeometry(edge, side.height() - height, side.width() - edge, height)
        self.bar.raise_()


def _page(side: QScrollArea) -> QWidget:
    page = side.widget()
    assert page is not None
    return page
