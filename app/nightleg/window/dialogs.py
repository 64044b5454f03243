"""Questions that the window asks. Tests put another object with the same answers in its place."""

from __future__ import annotations

from pathlib import Path
from typing import Literal

from PySide6.QtGui import QIcon
from PySide6.QtWidgets import QFileDialog, QMessageBox, QPushButton, QWidget

Answer = Literal["save", "discard", "cancel"]
Versions = Literal["mine", "theirs", "both", "cancel"]

_FLIGHTS = "Flights (*.flight.toml *.toml)"
_CHARTS = "Charts (*.png *.svg *.pdf)"
_SOLUTIONS = "Solutions (*.json *.txt)"
SUFFIX = ".flight.toml"


class Dialogs:
    """Asks the person at the window.

    `folder` is where a file is looked for first, `stem` how the name of a new one begins.
    """

    def __init__(self, parent: QWidget) -> None:
        self._parent = parent
        self.folder, self.stem = "", "flight"

    def open_path(self) -> Path | None:
        """A flight file to open."""
        name, _ = QFileDialog.getOpenFileName(self._parent, "Open a flight", self.folder, _FLIGHTS)
        return Path(name) if name else None

    def save_path(self, old: Path | None) -> Path | None:
        """Where to save the flight; the ending is added if it is missing."""
        start = old or Path(self.folder) / f"{self.stem}{SUFFIX}"
        asked = self._new_file("Save the flight as", start, _FLIGHTS, SUFFIX)
        return with_suffix(asked) if asked else None

    def chart_path(self) -> Path | None:
        """Where to draw the chart."""
        return self._new_file("Export the chart as", Path(self.folder) / f"{self.stem}.png", _CHARTS, ".png")

    def solution_path(self) -> Path | None:
        """Where to write the solution; the ending says how."""
        return self._new_file("Export the solution as", Path(self.folder) / f"{self.stem}.json", _SOLUTIONS, ".json")

    def _new_file(self, title: str, start: Path, kinds: str, suffix: str) -> Path | None:
        """A file to be written. The ending is added before it is asked whether a file that is there may go."""
        dialog = QFileDialog(self._parent, title, str(start.parent), kinds)
        dialog.setAcceptMode(QFileDialog.AcceptMode.AcceptSave)
        dialog.setDefaultSuffix(suffix.removeprefix("."))
        dialog.selectFile(start.name)
        try:
            chosen = dialog.selectedFiles() if dialog.exec() else []
        finally:
            dialog.deleteLater()
        return Path(chosen[0]) if chosen else None

    def save_first(self, changed: bool = True, typed: str = "", useless: str = "") -> Answer:
        """What to do with changes that are in no file, and with a sight that is typed and not in the log.

        `useless` is other text that was typed and that no flight can hold.
        """
        box = QMessageBox(self._parent)
        box.setWindowTitle("Nightleg")
        box.setText(" ".join(_work(changed, typed, useless)))
        box.setStandardButtons(
            QMessageBox.StandardButton.Save | QMessageBox.StandardButton.Discard | QMessageBox.StandardButton.Cancel
        )
        if typed and not changed:
            box.button(QMessageBox.StandardButton.Save).setText("&Keep it")
        box.setDefaultButton(QMessageBox.StandardButton.Save)
        if not typed and not changed:
            box.setStandardButtons(QMessageBox.StandardButton.Discard | QMessageBox.StandardButton.Cancel)
            box.setDefaultButton(QMessageBox.StandardButton.Cancel)
        chosen = _asked(box)
        if chosen == QMessageBox.StandardButton.Save:
            return "save"
        return "discard" if chosen == QMessageBox.StandardButton.Discard else "cancel"

    def versions(self, name: str) -> Versions:
        """What to do with a file that somebody else has changed, before it is saved over."""
        box = QMessageBox(self._parent)
        box.setWindowTitle("Nightleg")
        box.setText(f"{name} has been changed by another program since it was read.")
        box.setInformativeText(
            "Mine saves over it. Theirs loads what the file holds now, which can be undone. "
            "Both leaves the file alone and saves mine beside it under another name."
        )
        answers: dict[Versions, QPushButton] = {
            "mine": box.addButton("Save &mine", QMessageBox.ButtonRole.DestructiveRole),
            "theirs": box.addButton("Load &theirs", QMessageBox.ButtonRole.AcceptRole),
            "both": box.addButton("Keep &both", QMessageBox.ButtonRole.AcceptRole),
        }
        box.addButton(QMessageBox.StandardButton.Cancel)
        box.setDefaultButton(answers["both"])
        _asked(box)
        clicked = box.clickedButton()
        return next((answer for answer, button in answers.items() if button is clicked), "cancel")


def _asked(box: QMessageBox) -> int:
    """Ask, and let go of the box."""
    for button in box.buttons():
        button.setIcon(QIcon())  # words are enough
    try:
        return box.exec()
    finally:
        box.deleteLater()


def _work(changed: bool, typed: str, useless: str) -> list[str]:
    said = ["The flight has changes that are not saved."] if changed else []
    if typed:
        said.append(f"What is being typed ({typed}) is not in the log; saving keeps it for the next time.")
    if useless:
        said.append(f"What was typed and cannot be used is lost in any case: {useless}. Cancel leaves it to be mended.")
    return said


def with_suffix(path: Path) -> Path:
    """The path, with the ending of flight files if it has none of TOML."""
    return path if path.name.lower().endswith(".toml") else path.with_name(path.name + SUFFIX)
