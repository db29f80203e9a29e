"""A lump whose weight is the point of it."""

import math
from collections.abc import Mapping
from typing import ClassVar

from pydantic import model_validator

from animator.geometry import Point
from animator.parts._contract import PARTS, Floats, Part, Pen, Rides, Still, Workshop
from animator.parts._contract import Weight as Load
from animator.parts._fields import At, Mass, PointRef, Size
from animator.parts._solid import artwork, drawn_points
from animator.units import Wrong

LEAD = 11.3e-3  # g/mm^3; what a weight is of if the scene doesn't say


@PARTS.add("weight")
class Weight(Part):
    """``on`` a point it moves with it; ``at`` a place it stands; with neither it hangs from whatever is pinned to its hook."""

    as_written = "bob: {kind: weight, on: beam.load, mass: 40 g}"

    says: ClassVar[Mapping[str, str]] = {
        "mass": "what it weighs",
        "on": "the point it moves with",
        "at": "where it stands",
        "hangs": "how far below what carries it its hook is at the start, on a string that is cut to suit",
    }

    moves_alone = True
    takes_artwork = True
    also_called = ("counterweight", "lead", "bob", "load")

    mass: Mass
    on: PointRef | None = None
    at: At | None = None
    hangs: Size | None = None

    @model_validator(mode="after")
    def _hangs_or_stands(self) -> "Weight":
        if self.on is not None and self.at is not None:
            raise Wrong("says both 'on' and 'at'", "one of them", key="at")
        if self.hangs is not None and (self.on is not None or self.at is not None):
            raise Wrong(
                "'hangs' belongs to a weight on a string; this one is held already",
                "'hangs' alone, and a string that ends at it",
                key="hangs",
            )
        return self

    def held(self) -> Rides | Still | Floats:
        if self.on is not None:
            return Rides(self.on)
        return Floats() if self.at is None else Still(self.at)

    def points(self) -> Mapping[str, Point]:
        own = {"hook": (0.0, 0.0), "centre": (0.0, 0.0)}
        return own | drawn_points(self, own)

    def weigh(self, shop: Workshop) -> Load:
        density = LEAD if self.material is None else shop.density(self)
        if self.artwork is not None:
            flat = artwork(self.artwork, density)
            return Load(self.mass, flat.centre, flat.inertia * self.mass / flat.mass)
        radius = (3 * self.mass / (4 * math.pi * density)) ** (1 / 3)
        return Load(self.mass, (0.0, 0.0), 0.4 * self.mass * radius**2)

    def draw(self, pen: Pen) -> None:
        stuff = pen.stuff("lead")[0]
        density = LEAD if self.material is None else float(self.material.stuff.density.at(0.5))
        radius = max(3.0, (3 * self.mass / (4 * math.pi * density)) ** (1 / 3))
        if self.artwork is not None:
            pen.artwork(self.artwork, stuff)
        elif self.on is None and self.at is None:
            pen.bar((0.0, 0.0), (0.0, -2.0), 1.6, "steel", 2, sort="hook")
            pen.turned((0.0, -2.0 - radius), radius, "lead", 6, sort="weight")
        else:
            pen.turned((0.0, 0.0), radius, "lead", 6, sort="weight")
