"""A lump whose weight is the point of it."""

from collections.abc import Mapping

from pydantic import model_validator

from animator.geometry import Point
from animator.parts._contract import PARTS, Floats, Part, Rides, Still
from animator.parts._fields import At, Mass, PointRef
from animator.units import Wrong


@PARTS.add("weight")
class Weight(Part):
    """``on`` a point it moves with it; ``at`` a place it stands; with neither it hangs from whatever is pinned to its hook."""

    also_called = ("counterweight", "lead", "bob", "load")

    mass: Mass
    on: PointRef | None = None
    at: At | None = None

    @model_validator(mode="after")
    def _hangs_or_stands(self) -> "Weight":
        if self.on is not None and self.at is not None:
            raise Wrong("says both 'on' and 'at'", "one of them", key="at")
        return self

    def held(self) -> Rides | Still | Floats:
        if self.on is not None:
            return Rides(self.on)
        return Floats() if self.at is None else Still(self.at)

    def points(self) -> Mapping[str, Point]:
        return {"hook": (0.0, 0.0), "centre": (0.0, 0.0)}
