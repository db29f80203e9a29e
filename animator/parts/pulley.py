"""A grooved wheel that a belt runs round."""

from collections.abc import Mapping
from typing import Annotated, ClassVar

from animator.geometry import Point
from animator.parts._contract import PARTS, Part, Rides, Turns
from animator.parts._fields import TURNING_PART, At, PartOf, Ref, Size


class BeltWheel(Part):
    """A wheel fixed ``on`` something that turns, or running free ``at`` a place."""

    turns_freely = True
    one_of: ClassVar[tuple[str, ...]] = ("on", "at")

    on: Annotated[Ref, PartOf(TURNING_PART)] | None = None
    at: At | None = None

    def held(self) -> Rides | Turns:
        if self.on is not None:
            return Rides(self.on)
        assert self.at is not None
        return Turns(self.at)

    def points(self) -> Mapping[str, Point]:
        return {"centre": (0.0, 0.0)}


@PARTS.add("pulley")
class Pulley(BeltWheel):
    """``diameter`` is that of the belt's centre line as it lies in the groove."""

    also_called = ("idler", "sheave", "belt wheel")

    diameter: Size
