"""Points and poses in the plane of a view. Millimetres, radians, y up, anticlockwise positive; knows no physics and no pixels."""

from __future__ import annotations

import math
from typing import NamedTuple

Point = tuple[float, float]


class Pose(NamedTuple):
    """Where a frame of reference stands: origin [mm] and angle [rad]."""

    x: float = 0.0
    y: float = 0.0
    angle: float = 0.0

    def place(self, point: Point) -> Point:
        """Take a point of this frame to the plane."""
        c, s = math.cos(self.angle), math.sin(self.angle)
        return self.x + c * point[0] - s * point[1], self.y + s * point[0] + c * point[1]

    def local(self, point: Point) -> Point:
        """Take a point of the plane into this frame."""
        c, s = math.cos(self.angle), math.sin(self.angle)
        dx, dy = point[0] - self.x, point[1] - self.y
        return c * dx + s * dy, -s * dx + c * dy

    def compose(self, inner: Pose) -> Pose:
        """Take a pose given in this frame to the plane."""
        x, y = self.place((inner.x, inner.y))
        return Pose(x, y, self.angle + inner.angle)

    def relative(self, outer: Pose) -> Pose:
        """Take a pose of the plane into this frame."""
        x, y = self.local((outer.x, outer.y))
        return Pose(x, y, outer.angle - self.angle)


def unit(angle: float) -> Point:
    """Direction of an angle as a vector of length 1."""
    return math.cos(angle), math.sin(angle)


def polar(radius: float, angle: float) -> Point:
    """Point at a radius [mm] and an angle [rad] from the origin."""
    return radius * math.cos(angle), radius * math.sin(angle)


def distance(a: Point, b: Point) -> float:
    """Length between two points. [mm]"""
    return math.hypot(b[0] - a[0], b[1] - a[1])
