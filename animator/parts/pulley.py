"""A grooved wheel that a belt runs round."""

from collections.abc import Mapping
from typing import Annotated, ClassVar

from animator.geometry import Point
from animator.parts._contract import PARTS, Part, Pen, Rides, Still, Turns, Weight, Workshop
from animator.parts._fields import TURNING_PART, At, PartOf, Ref, Size
from animator.parts._solid import disc

FREE_JOURNAL = 2.0  # mm; radius of the pin a free pulley turns on


class BeltWheel(Part):
    """A wheel fixed ``on`` something that turns, or running free ``at`` a place."""

    says: ClassVar[Mapping[str, str]] = {
        "on": "what it is fixed to and turns with",
        "at": "where it runs free, if it is on nothing",
    }

    turns_freely = True
    one_of: ClassVar[tuple[str, ...]] = ("on", "at")

    on: Annotated[Ref, PartOf(TURNING_PART)] | None = None
    at: At | None = None

    def held(self) -> Rides | Turns | Still:
        if self.on is not None:
            return Rides(self.on)
        assert self.at is not None
        return Turns(self.at)

    def points(self) -> Mapping[str, Point]:
        return {"centre": (0.0, 0.0)}

    def build(self, shop: Workshop) -> None:
        if self.at is not None:
            shop.bearing(self, self.at, FREE_JOURNAL, None)


@PARTS.add("pulley")
class Pulley(BeltWheel):
    """``diameter`` is that of the belt's centre line as it lies in the groove."""

    as_written = "big pulley: {kind: pulley, on: shaft, diameter: 60}"

    says: ClassVar[Mapping[str, str]] = {
        "diameter": "that of the belt's centre line as it lies in the groove",
    }

    also_called = ("idler", "sheave", "belt wheel")

    diameter: Size

    def weigh(self, shop: Workshop) -> Weight:
        return disc(self.diameter / 2, shop.density(self) * shop.stuff_of(self)[1])

    def draw(self, pen: Pen) -> None:
        stuff, thickness = pen.stuff()
        radius = self.diameter / 2
        pen.disc(
            (0.0, 0.0),
            radius + 0.6,
            stuff,
            thickness,
            7,
            5 if radius > 18 else 0,
            (0.9,),
            sort="pulley",
        )
        pen.hub((0.0, 0.0), min(6.5, 0.36 * radius))

    def draw_across(self, pen: Pen) -> None:
        stuff, thickness = pen.stuff()
        radius, cheek = self.diameter / 2, max(1.2, 0.22 * thickness)
        pen.edge_disc(radius - 1.0, thickness - cheek, stuff, 0.0, 5, sort="groove")
        for side in (-1, 1):
            pen.edge_disc(
                radius + 1.6, cheek, stuff, side * (thickness - cheek) / 2, 5, sort="pulley"
            )
