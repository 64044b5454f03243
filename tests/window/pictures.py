"""Pictures of the window: made small, compared by numbers, and the difference drawn for a person to look at."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from PySide6.QtGui import QImage

Pixels = NDArray[np.uint8]
"""Height × width × (red, green, blue)."""

PATCH_PX = 4
STRAYED = 24.0
"""Levels of 255 by which a patch may differ in any colour: what edges are smoothed to differs by less on average."""
MOST_STRAYED = 2e-4
"""Share of patches that may differ by more: 13 of 65 000. A short word that has moved is some thirty."""
MOST_MEAN = 0.8
"""Mean difference of all patches in levels of 255: a ground two levels darker is beyond it."""


@dataclass(frozen=True)
class Difference:
    """How far two pictures of one size are apart."""

    strayed: float  # share of patches
    mean: float  # levels of 255

    @property
    def small(self) -> bool:
        """Whether both show the same, but for how edges are smoothed."""
        return self.strayed <= MOST_STRAYED and self.mean <= MOST_MEAN


def pixels(picture: QImage) -> Pixels:
    """The colours of a picture."""
    flat = picture.convertToFormat(QImage.Format.Format_RGB888)
    rows = np.frombuffer(flat.constBits(), dtype=np.uint8).reshape(flat.height(), flat.bytesPerLine())
    return rows[:, : 3 * flat.width()].reshape(flat.height(), flat.width(), 3).copy()


def compare(made: Pixels, approved: Pixels) -> Difference:
    """Compare the means of small patches, which edges that are smoothed otherwise hardly change."""
    apart = np.abs(_patches(made) - _patches(approved)).max(axis=2)
    return Difference(float((apart > STRAYED).mean()), float(apart.mean()))


def strays(made: Pixels, approved: Pixels) -> QImage:
    """The new picture in pale grey, and in red the patches that differ."""
    grey = (160 + made.mean(axis=2) * 0.37).astype(np.uint8)
    shown = np.repeat(grey[:, :, None], 3, axis=2)
    apart = np.abs(_patches(made) - _patches(approved)).max(axis=2) > STRAYED
    where = np.kron(apart, np.ones((PATCH_PX, PATCH_PX), dtype=bool))
    part = shown[: where.shape[0], : where.shape[1]]
    part[where] = (200, 0, 0)
    height, width = shown.shape[:2]
    return QImage(shown.tobytes(), width, height, 3 * width, QImage.Format.Format_RGB888).copy()


def save_small(picture: Pixels, path: Path) -> None:
    """Write a PNG of at most 256 colours: large grounds exactly, the shades of smoothed edges by their nearest."""
    height, width = picture.shape[:2]
    wide = picture.astype(np.uint32)
    exact = (wide[..., 0] << 16 | wide[..., 1] << 8 | wide[..., 2]).ravel()
    colours, which, counts = np.unique(exact, return_inverse=True, return_counts=True)
    order = np.argsort(-counts, kind="stable")
    parts = np.stack([colours >> 16, colours >> 8 & 255, colours & 255], axis=1).astype(np.int64)
    kept: list[int] = []
    seen: set[tuple[int, ...]] = set()
    for number in order:  # the most frequent colour of each cube of 12 levels
        cube = tuple(parts[number] // 12)
        if cube not in seen and len(kept) < 256:
            seen.add(cube)
            kept.append(int(number))
    nearest = (np.abs(parts[:, None, :] - parts[kept][None, :, :]).sum(axis=2)).argmin(axis=1).astype(np.uint8)
    made = np.zeros((height, -(-width // 4) * 4), dtype=np.uint8)  # rows of a QImage begin at whole words
    made[:, :width] = nearest[which.ravel()].reshape(height, width)
    image = QImage(made.tobytes(), width, height, made.shape[1], QImage.Format.Format_Indexed8)
    image.setColorTable([0xFF000000 | int(colours[number]) for number in kept])
    assert image.save(str(path), "PNG", 0), f"cannot write {path}"  # 0: as small as it gets


def _patches(picture: Pixels) -> NDArray[np.float64]:
    height, width = (size // PATCH_PX * PATCH_PX for size in picture.shape[:2])
    parts = picture[:height, :width].reshape(height // PATCH_PX, PATCH_PX, width // PATCH_PX, PATCH_PX, 3)
    return parts.mean(axis=(1, 3))
