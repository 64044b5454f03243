"""What a screen reader says of the sight form and the fix panel: labels, and what belongs into a field."""

from __future__ import annotations

import pytest
from PySide6.QtGui import QAccessible
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QWidget

from nightleg.window.main import MainWindow


def labels(of: QWidget) -> list[str]:
    """Names of the labels that belong to a widget."""
    face = QAccessible.queryAccessibleInterface(of)
    assert face is not None
    return [
        other.text(QAccessible.Text.Name)
        for other, kind in face.relations(QAccessible.RelationFlag.Label)
        if kind == QAccessible.RelationFlag.Label
    ]


def test_choices_are_told_by_their_labels_too(window: MainWindow) -> None:
    """On some platforms the name of a combo box is its value: the label is what says what it is."""
    assert labels(window.form.limb) == ["Limb"]
    assert labels(window.form.fix) == ["Fix"]
    assert labels(window.fix.which) == ["Fix"]


@pytest.mark.parametrize(
    ("name", "said"),
    [("body", "Down opens the list"), ("time", "Hours and minutes by the watch"), ("reading", "minutes of arc")],
)
def test_fields_say_what_belongs_into_them(window: MainWindow, name: str, said: str) -> None:
    field = next(field for known, field in window.form.fields.items() if known == name)
    assert said in field.accessibleDescription() and field.accessibleDescription() != field.placeholderText()
    field.selectAll()
    QTest.keyClicks(field, "??")
    assert said not in field.accessibleDescription() and field.accessibleDescription()  # what is wrong with it
    field.clear()
    assert said in field.accessibleDescription()


def test_units_are_words(window: MainWindow) -> None:
    form, fix = window.form, window.fix
    units = {"duration": "Seconds", "turn": "Degrees a minute", "speed": "Knots a minute", "sigma": "Minutes of arc"}
    for name, unit in units.items():
        field = next(field for known, field in form.more.fields.items() if known == name)
        assert unit in field.accessibleDescription()
    assert "degrees and minutes" in form.more.assumed.accessibleDescription()
    assert "GMT" in fix.time.accessibleDescription() and "GMT" in fix.which.accessibleDescription()
    assert "Sun" in form.limb.accessibleDescription() and "GMT" in form.fix.accessibleDescription()
    time, altitude = form.series.table.fields[0]
    assert "by the watch" in time.accessibleDescription() and "minutes of arc" in altitude.accessibleDescription()
