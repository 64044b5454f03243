"""Pictures against approved ones, which a person has looked at. To approve new ones, see `approve` below."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray
from PySide6.QtGui import QImage
from synthetic import crossing

from nightleg.chart.export import render
from nightleg.chart.scene import ChartScene
from nightleg.units.positions import Position

APPROVED = Path(__file__).parent / "approved"
SIZE_PX = (840, 520)


def scenes() -> dict[str, tuple[ChartScene, str]]:
    """Name, scene and theme of each approved picture: together they show every layer and symbol."""
    return {
        "islands": (crossing(start=Position(40.3, -24.2), fixes=1, seed=4), "paper"),
        "estimated": (crossing(start=Position(62.0, 4.5), fixes=2, seed=8, turn_deg=-30.0, kind="estimated"), "dim"),
        "known": (crossing(start=Position(44.0, -14.0), fixes=3, seed=6, kind="known", reveal=True), "red"),
    }


def approve() -> None:
    """Write the pictures as they are now. Run by hand (`python -c "import test_pictures as t; t.approve()"`); look!"""
    for name, (scene, theme) in scenes().items():
        (APPROVED / f"{name}.png").write_bytes(render(scene, "png", theme_name=theme, size=SIZE_PX))


def _pixels(picture: QImage) -> NDArray[np.int16]:
    flat = picture.convertToFormat(QImage.Format.Format_RGB32)
    raw = np.frombuffer(flat.constBits(), dtype=np.uint8)
    return raw.reshape(flat.height(), flat.width(), 4)[..., :3].astype(np.int16)


@pytest.mark.parametrize("name", scenes())
def test_the_picture_is_the_approved_one(name: str, tmp_path: Path) -> None:
    scene, theme = scenes()[name]
    data = render(scene, "png", theme_name=theme, size=SIZE_PX)
    made = _pixels(QImage.fromData(data))
    approved = _pixels(QImage(str(APPROVED / f"{name}.png")))
    assert made.shape == approved.shape
    difference = np.abs(made - approved).max(axis=2)
    # Other versions of Qt round their edges otherwise by a few levels of 255; a label or a line that has moved is
    # hundreds of px that differ by far more.
    strayed = int((difference > 60).sum())
    (tmp_path / f"{name}.png").write_bytes(data)
    assert strayed < 150, f"{strayed} px differ; look at {tmp_path / name}.png"


def test_a_moved_label_would_be_noticed() -> None:
    scene, theme = scenes()["islands"]
    other = crossing(start=Position(40.3, -24.2), fixes=1, seed=4, title="Night crossinh")
    made = (_pixels(QImage.fromData(render(s, "png", theme_name=theme, size=SIZE_PX))) for s in (scene, other))
    one, another = made
    assert 20 < int((np.abs(one - another).max(axis=2) > 60).sum()) < 150  # one letter; a word is more than the limit
    shifted = np.roll(one, 2, axis=1)
    assert int((np.abs(one - shifted).max(axis=2) > 60).sum()) > 1500
