"""A disc fixed to something that turns: a flywheel, a turntable, a crank disc with pins in it."""

from collections.abc import Mapping
from typing import Annotated, ClassVar

from pydantic import Field, model_validator

from animator.geometry import Point, polar
from animator.parts._contract import PARTS, Part, Pen, Rides, Weight, Workshop
from animator.parts._fields import TURNING_PART, Arm, PartOf, Ref, Size
from animator.parts._solid import artwork, disc, drawn_points
from animator.units import Wrong


@PARTS.add("wheel")
class Wheel(Part):
    """A round disc of ``radius``; ``pins: {hare: 50 up}`` are named points of it."""

    as_written = "disc: {kind: wheel, on: shaft, radius: 40, pins: {pin: 30 right}}"

    says: ClassVar[Mapping[str, str]] = {
        "on": "what it is fixed to and turns with",
        "radius": "of the disc",
        "pins": "named points of it: how far from its middle and which way at the start",
    }
    examples: ClassVar[Mapping[str, str]] = {
        "pins": "{hare: 50 up}",
    }

    turns_freely = True
    takes_artwork = True
    also_called = ("flywheel", "disc", "disk", "turntable", "platform")

    on: Annotated[Ref, PartOf(TURNING_PART)]
    radius: Size
    pins: Mapping[str, Arm] = Field(default_factory=dict)

    @model_validator(mode="after")
    def _names_its_points(self) -> "Wheel":
        if "centre" in self.pins:
            raise Wrong(
                "a pin can't be called 'centre'",
                "another name; the centre is there already",
                key="pins",
            )
        return self

    def held(self) -> Rides:
        return Rides(self.on)

    def points(self) -> Mapping[str, Point]:
        own = {"centre": (0.0, 0.0)} | {name: polar(*arm) for name, arm in self.pins.items()}
        return own | drawn_points(self, own)

    def dimensions(self) -> Mapping[str, float]:
        return {f"pins.{name}": length for name, (length, _) in self.pins.items()}

    def weigh(self, shop: Workshop) -> Weight:
        if self.artwork is not None:
            return artwork(self.artwork, shop.density(self) * shop.stuff_of(self)[1])
        return disc(self.radius, shop.density(self) * shop.stuff_of(self)[1])

    def draw(self, pen: Pen) -> None:
        stuff, thickness = pen.stuff()
        if self.artwork is not None:
            pen.artwork(self.artwork, stuff, thickness)
        else:
            pen.disc(
                (0.0, 0.0),
                self.radius,
                stuff,
                thickness,
                9,
                5 if self.radius > 18 and not self.pins else 0,
                (0.93,),
                sort="wheel",
            )
        for name, point in self.points().items():
            if name in self.pins:
                pen.turned(point, 2.2, "brass", 1.5, sort="pin of the wheel")
        pen.hub((0.0, 0.0), min(7.0, 0.3 * self.radius))

    def draw_across(self, pen: Pen) -> None:
        stuff, thickness = pen.stuff()
        hub = min(7.0, 0.3 * self.radius)
        pen.edge_disc(hub, thickness + 8.0, "brass", 0.0, 3, sort="hub")
        pen.edge_disc(self.radius, thickness, stuff, 0.0, 7, sort="wheel")
        for name, point in self.points().items():
            if name in self.pins:
                pen.edge_pin(
                    point,
                    thickness / 2,
                    thickness / 2 + 5.0,
                    4.4,
                    "brass",
                    sort="pin of the wheel",
                )
