"""An arm fixed to something that turns, with a pin at its end."""

from collections.abc import Mapping
from typing import Annotated

from animator.geometry import Point, polar
from animator.parts._contract import PARTS, Part, Rides
from animator.parts._fields import TURNING_PART, Direction, FittedLength, PartOf, Ref


@PARTS.add("crank")
class Crank(Part):
    """An arm on a shaft or wheel; ``radius`` from the axis to the pin, ``angle`` where the pin stands at the start."""

    turns_freely = True
    also_called = ("crank arm", "throw")

    on: Annotated[Ref, PartOf(TURNING_PART)]
    radius: FittedLength
    angle: Direction = 0.0

    def held(self) -> Rides:
        return Rides(self.on)

    def points(self) -> Mapping[str, Point]:
        return {
            "centre": (0.0, 0.0),
            "pin": polar(0.0 if self.radius == "fitted" else self.radius, self.angle),
        }

    def dimensions(self) -> Mapping[str, float]:
        return {} if self.radius == "fitted" else {"radius": self.radius}
