"""A round pin, fast in the frame or in a moving part."""

from collections.abc import Mapping
from typing import ClassVar

from animator.geometry import Point
from animator.parts._contract import PARTS, Part, Rides, Still
from animator.parts._fields import At, Friction, PointRef, Size, Yes


@PARTS.add("pin")
class Pin(Part):
    """A pin ``at`` a place of the frame or ``on`` a point of a part; with ``turns: yes`` a loose sleeve turns on it."""

    also_called = ("peg", "nail", "screw", "dowel")
    one_of: ClassVar[tuple[str, ...]] = ("at", "on")

    at: At | None = None
    on: PointRef | None = None
    diameter: Size = 3.0
    friction: Friction | None = None
    turns: Yes = False

    def held(self) -> Still | Rides:
        if self.on is not None:
            return Rides(self.on)
        assert self.at is not None
        return Still(self.at)

    def points(self) -> Mapping[str, Point]:
        return {"centre": (0.0, 0.0)}
