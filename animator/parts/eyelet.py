"""A smooth ring that a string runs through."""

from collections.abc import Mapping
from typing import ClassVar

from animator.geometry import Point
from animator.parts._contract import PARTS, Part, Pen, Rides, Still, Weight, Workshop
from animator.parts._fields import At, Friction, PointRef, Size
from animator.parts._solid import disc
from animator.parts._way import Hold, capstan

METAL = "brass"  # what eyelets are of unless they say
RING = 1.0  # mm; how thick the ring is


@PARTS.add("eyelet")
class Eyelet(Part):
    """A ring ``at`` a place of the frame or ``on`` a point of a part. A string bends in its middle whichever way it pulls, and never leaves it."""

    as_written = "eye: {kind: eyelet, at: [60, 120], diameter: 3}"

    says: ClassVar[Mapping[str, str]] = {
        "at": "a place of the frame it is fixed at",
        "on": "the point of a part it is fixed to",
        "diameter": "of the hole",
        "friction": "of the string on its lip; left out, that of the two materials, brass if it says none",
    }

    also_called = ("eye", "ring", "screw eye", "fairlead", "grommet")
    one_of: ClassVar[tuple[str, ...]] = ("at", "on")

    at: At | None = None
    on: PointRef | None = None
    diameter: Size = 3.0
    friction: Friction | None = None

    def held(self) -> Still | Rides:
        if self.on is not None:
            return Rides(self.on)
        assert self.at is not None
        return Still(self.at)

    def points(self) -> Mapping[str, Point]:
        return {"centre": (0.0, 0.0)}

    def weigh(self, shop: Workshop) -> Weight:
        outer = disc(self.diameter / 2 + RING, shop.density(self) * RING)
        inner = disc(self.diameter / 2, shop.density(self) * RING)
        return Weight(outer.mass - inner.mass, (0.0, 0.0), outer.inertia - inner.inertia)

    def string_radius(self, half: float) -> float:
        """Radius on which a string so thick bends here; none: it bends over the lip. [mm]"""
        return 0.0

    def string_hold(self, shop: Workshop, stuff: str, radius: float) -> Hold:
        """How well it holds a string of some stuff."""
        own = self.material.name if self.material and self.material.name else METAL
        return capstan(shop.friction(self.friction, stuff, own))

    def draw(self, pen: Pen) -> None:
        stuff = self.material.name if self.material else METAL
        pen.ring((0.0, 0.0), self.diameter / 2, self.diameter / 2 + RING, stuff)
