"""A winch drum: a cylinder that winds a string up."""

from collections.abc import Mapping
from typing import Annotated, ClassVar

from animator.geometry import Point
from animator.parts._contract import PARTS, Part, Pen, Rides, Weight, Workshop
from animator.parts._fields import TURNING_PART, PartOf, Ref, Sense, Size, Turned
from animator.parts._solid import disc

LENGTH = 20.0  # mm; of the barrel, for its mass if the material gives a rod or nothing
FLANGE = 3.0  # mm; how far its flanges stand over the barrel


@PARTS.add("drum")
class Drum(Part):
    """Takes string up while it turns the way it ``winds``, and pays it out the other way; once paid out to its nail it winds it up the other way round.

    Turns lie beside each other in one layer, their middle half a string's thickness over the barrel.
    """

    as_written = "drum: {kind: drum, on: shaft, diameter: 20, winds: clockwise}"

    says: ClassVar[Mapping[str, str]] = {
        "on": "what it is fixed to and turns with",
        "diameter": "of its barrel; the string's middle lies half its thickness farther out",
        "winds": "which way it turns when it takes string up",
        "wound_angle": "how much string lies on it at the start",
    }

    also_called = ("winch", "windlass", "spool", "reel", "capstan", "bobbin")

    on: Annotated[Ref, PartOf(TURNING_PART)]
    diameter: Size
    winds: Sense
    wound_angle: Turned = 0.0

    def held(self) -> Rides:
        return Rides(self.on)

    def points(self) -> Mapping[str, Point]:
        return {"centre": (0.0, 0.0)}

    def weigh(self, shop: Workshop) -> Weight:
        return disc(self.diameter / 2, shop.density(self) * LENGTH)

    def draw(self, pen: Pen) -> None:
        stuff, thickness = pen.stuff("beech")
        radius = self.diameter / 2
        pen.disc((0.0, 0.0), radius + FLANGE, stuff, max(thickness, 3.0), 5, sort="flange")
        pen.disc((0.0, 0.0), radius, stuff, 3.0, 4, sort="barrel")
        pen.hub((0.0, 0.0), min(5.0, 0.36 * radius))
