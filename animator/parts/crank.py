"""An arm fixed to something that turns, with a pin at its end."""

from collections.abc import Mapping
from typing import Annotated, ClassVar

from animator.geometry import Point, polar
from animator.parts._contract import PARTS, Part, Pen, Rides, Weight, Workshop
from animator.parts._fields import TURNING_PART, Direction, FittedLength, PartOf, Ref
from animator.parts._solid import bar, together


@PARTS.add("crank")
class Crank(Part):
    """An arm on a shaft or wheel; ``radius`` from the axis to the pin, ``angle`` where the pin stands at the start."""

    as_written = "crank: {kind: crank, on: shaft, radius: 20, angle: up}"

    says: ClassVar[Mapping[str, str]] = {
        "on": "what it is fixed to and turns with",
        "radius": "from the axis to its pin",
        "angle": "where the pin stands at the start",
    }

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

    def weigh(self, shop: Workshop) -> Weight:
        _, thickness = shop.stuff_of(self)
        width = 2.5 * thickness
        arm = bar(
            (0.0, 0.0), self.points()["pin"], shop.density(self) * thickness * width, width
        )
        # the locking disc of a Geneva wheel it drives turns with it
        discs = [
            part.disc_weight(shop)
            for part in shop.scene.parts.values()
            if hasattr(part, "disc_weight") and part.driver.part == self.name
        ]
        return together([arm, *discs])

    def draw(self, pen: Pen) -> None:
        pin, (stuff, thickness) = self.points()["pin"], pen.stuff("brass")
        pen.strap((0.0, 0.0), pin, 15.0, 10.0, stuff, thickness, 8, sort="crank")
        pen.hub((0.0, 0.0), 5.4)
        pen.turned(pin, 2.6, "steel", 3, sort="crank pin")

    def draw_across(self, pen: Pen) -> None:
        pin, (stuff, thickness) = self.points()["pin"], pen.stuff("brass")
        pen.edge_pin(pin, 0.0, thickness / 2 + 9.0, 5.2, "steel", sort="crank pin")
        pen.edge_arm(pin, 13.0, thickness, stuff, sort="crank")
        pen.edge_disc(5.4, thickness + 5.0, "brass", 0.0, 3, sort="hub")
