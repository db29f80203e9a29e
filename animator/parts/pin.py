"""A round pin, fast in the frame or in a moving part."""

from collections.abc import Mapping
from typing import ClassVar

from animator.geometry import Point
from animator.parts._contract import PARTS, Part, Pen, Rides, Still, Weight, Workshop
from animator.parts._fields import At, Friction, PointRef, Size, Yes
from animator.parts._solid import disc
from animator.parts._way import Hold, capstan, sleeve

PIN_LENGTH = 15.0  # mm
METAL = "brass"  # what pins rub as unless they say
SLEEVE = 1.6  # mm; how thick a loose sleeve is


@PARTS.add("pin")
class Pin(Part):
    """A pin ``at`` a place of the frame or ``on`` a point of a part; with ``turns: yes`` a loose sleeve turns on it."""

    as_written = "nail: {kind: pin, at: [40, 120], diameter: 3}"

    says: ClassVar[Mapping[str, str]] = {
        "at": "a place of the frame it is fixed at",
        "on": "the point of a part it is fixed to",
        "diameter": "of the pin",
        "friction": "on the pin, of the string or of its sleeve; left out, that of the two materials, brass if it says none",
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

    def string_radius(self, half: float) -> float:
        """Radius on which the middle of a string so thick bends round it. [mm]"""
        return self.diameter / 2 + half + (SLEEVE if self.turns else 0.0)

    def string_hold(self, shop: Workshop, stuff: str, radius: float) -> Hold:
        """How well it holds a string of some stuff that bends round it on a radius [mm]; a sleeve turns with the string and rubs on the pin."""
        own = self.material.name if self.material and self.material.name else METAL
        if self.turns:
            friction = shop.friction(self.friction, METAL, own)
            return sleeve(friction * self.diameter / 2 / radius)
        return capstan(shop.friction(self.friction, stuff, own))

    def draw(self, pen: Pen) -> None:
        if self.turns:
            pen.turned(
                (0.0, 0.0),
                self.diameter / 2 + SLEEVE,
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
