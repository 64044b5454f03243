"""Boxes on a picture, upright or turned: of labels, symbols and panels."""

from __future__ import annotations

import math

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from nightleg.chart.viewport import Rect

Array = NDArray[np.float64]


class Box(Struct, frozen=True):
    """A rectangle about (x, y), px, turned clockwise by `angle_deg`."""

    x: float
    y: float
    width: float
    height: float
    angle_deg: float = 0.0

    def corners(self) -> Array:
        """The four corners (4, 2), in order."""
        a = math.radians(self.angle_deg)
        u = np.array((math.cos(a), math.sin(a))) * (self.width / 2.0)
        v = np.array((-math.sin(a), math.cos(a))) * (self.height / 2.0)
        middle = np.array((self.x, self.y))
        return np.array((middle - u - v, middle + u - v, middle + u + v, middle - u + v))

    def bounds(self) -> Rect:
        """The upright rectangle about the box."""
        if self.angle_deg == 0.0:
            across, down = self.width / 2.0, self.height / 2.0
        else:
            a = math.radians(self.angle_deg)
            c, s = abs(math.cos(a)), abs(math.sin(a))
            across, down = (self.width * c + self.height * s) / 2.0, (self.width * s + self.height * c) / 2.0
        return Rect(self.x - across, self.y - down, self.x + across, self.y + down)

    def grown(self, px: float) -> Box:
        """The box with every side moved outward."""
        return Box(self.x, self.y, self.width + 2.0 * px, self.height + 2.0 * px, self.angle_deg)

    def meets(self, other: Box) -> bool:
        """Whether the two boxes overlap (separating axes)."""
        return self._apart(other) < 0.0 and (self.angle_deg == other.angle_deg or other._apart(self) < 0.0)

    def _apart(self, other: Box) -> float:
        """Distance between the two along the better of this box's own two axes; negative where both overlap."""
        a = math.radians(self.angle_deg)
        c, s = math.cos(a), math.sin(a)
        dx, dy = other.x - self.x, other.y - self.y
        turn = math.radians(other.angle_deg - self.angle_deg)
        ct, st = abs(math.cos(turn)), abs(math.sin(turn))
        across = abs(dx * c + dy * s) - (self.width + other.width * ct + other.height * st) / 2.0
        down = abs(dy * c - dx * s) - (self.height + other.width * st + other.height * ct) / 2.0
        return max(across, down)


def box_of(rect: Rect) -> Box:
    """An upright rectangle as a box."""
    return Box((rect.left + rect.right) / 2.0, (rect.top + rect.bottom) / 2.0, rect.width, rect.height)
