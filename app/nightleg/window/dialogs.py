"""Questions that the window asks. Tests put another object with the same answers in its place."""

from __future__ import annotations

from pathlib import Path
from typing import Literal

from PySide6.QtGui import QIcon
from PySide6.QtWidgets import QFileDialog, QMessageBox, QWidget

Answer = Literal["save", "discard", "cancel"]

_FLIGHTS = "Flights (*.flight.toml *.toml)"
_CHARTS = "Charts (*.png *.svg *.pdf)"
SUFFIX = ".flight.toml"


class Dialogs:
    """Asks the person at the window."""

    def __init__(self, parent: QWidget) -> None:
        self._parent = parent

    def open_path(self) -> Path | None:
        """A flight file to open."""
        name, _ = QFileDialog.getOpenFileName(self._parent, "Open a flight", "", _FLIGHTS)
        return Path(name) if name else None

    def save_path(self, old: Path | None) -> Path | None:
        """Where to save the flight; the ending is added if it is missing."""
        name, _ = QFileDialog.getSaveFileName(self._parent, "Save the flight as", str(old or ""), _FLIGHTS)
        return with_suffix(Path(name)) if name else None

    def chart_path(self) -> Path | None:
        """Where to draw the chart."""
        name, _ = QFileDialog.getSaveFileName(self._parent, "Export the chart as", "chart.png", _CHARTS)
        return Path(name) if name else None

    def save_first(self) -> Answer:
        """What to do with changes that are in no file."""
        box = QMessageBox(self._parent)
        box.setText("The flight has changes that are not saved.")
        box.setStandardButtons(
            QMessageBox.StandardButton.Save | QMessageBox.StandardButton.Discard | QMessageBox.StandardButton.Cancel
        )
        box.setDefaultButton(QMessageBox.StandardButton.Save)
        for button in box.buttons():
            button.setIcon(QIcon())  # words are enough
        chosen = box.exec()
        if chosen == QMessageBox.StandardButton.Save:
            return "save"
        return "discard" if chosen == QMessageBox.StandardButton.Discard else "cancel"


def with_suffix(path: Path) -> Path:
    """The path, with the ending of flight files if it has none of TOML."""
    return path if path.name.lower().endswith(".toml") else path.with_name(path.name + SUFFIX)
