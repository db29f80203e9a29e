"""A round pin, fast in the frame or in a moving part."""

from collections.abc import Mapping
from typing import ClassVar

from animator.geometry import Point
from animator.parts._contract import PARTS, Part, Pen, Rides, Still, Weight, Workshop
from animator.parts._fields import At, Friction, PointRef, Size, Yes
from animator.parts._solid import disc

PIN_LENGTH = 15.0  # mm


@PARTS.add("pin")
class Pin(Part):
    """A pin ``at`` a place of the frame or ``on`` a point of a part; with ``turns: yes`` a loose sleeve turns on it."""

    as_written = "nail: {kind: pin, at: [40, 120], diameter: 3}"

    says: ClassVar[Mapping[str, str]] = {
        "at": "a place of the frame it is fixed at",
        "on": "the point of a part it is fixed to",
        "diameter": "of the pin",
        "friction": "on the pin; left out, that of the two materials",
        "turns": "yes: a loose sleeve turns on it",
    }

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

    def weigh(self, shop: Workshop) -> Weight:
        return disc(self.diameter / 2, shop.density(self) * PIN_LENGTH)

    def draw(self, pen: Pen) -> None:
        if self.turns:
            pen.turned(
                (0.0, 0.0),
                self.diameter / 2 + 1.6,
                "brass",
                3,
                self.diameter / 2,
                sort="sleeve",
            )
        else:
            pen.turned(
                (0.0, 0.0),
                max(self.diameter / 2, 1.5),
                pen.stuff("brass")[0] if self.material else "brass",
                3,
                sort="pin",
            )
