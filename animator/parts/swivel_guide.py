"""A short tube on a pin: a rod slides through it and turns it along. A rowlock, an inverted slider-crank's block."""

from collections.abc import Mapping
from typing import ClassVar, Self

from pydantic import model_validator

from animator.geometry import Point
from animator.parts._contract import PARTS, Part, Pen, Turns, Weight, Workshop
from animator.parts._fields import At, Friction, Length, Size, Yes
from animator.parts._slot import ideal_alone
from animator.parts._solid import bar

WALL = 1.6  # mm of stuff round the rod
BORE = 3.0  # mm; the rod that is reckoned with for the guide's own weight
PIVOT_RADIUS = 1.5  # mm; a 3 mm pin


@PARTS.add("swivel guide")
class SwivelGuide(Part):
    """A guide that turns where it stands, so that a rod can slide ``through`` it at any slant; ``ideal: yes`` has neither play nor friction."""

    as_written = "rowlock: {kind: swivel guide, at: 60 right of shaft, length: 14}"

    says: ClassVar[Mapping[str, str]] = {
        "at": "where it turns",
        "length": "of its hole, along the rod",
        "clearance": "hole less rod",
        "friction": "of the rod in the hole; left out, that of the two materials",
        "ideal": "yes: neither play nor friction",
    }

    also_called = ("rowlock", "oarlock", "gimbal", "swivel", "swivel block", "pivoting guide")

    at: At
    length: Size = 12.0
    clearance: Length = 0.2
    friction: Friction | None = None
    ideal: Yes = False

    @model_validator(mode="after")
    def _ideal_has_no_play(self) -> Self:
        return ideal_alone(self, {"clearance", "friction"}, "an ideal guide has no")

    def held(self) -> Turns:
        return Turns(self.at)

    def points(self) -> Mapping[str, Point]:
        return {"centre": (0.0, 0.0)}

    def weigh(self, shop: Workshop) -> Weight:
        # four sides of a square tube round a rod of 3 mm
        half, wide = self.length / 2, BORE + WALL
        return bar((-half, 0.0), (half, 0.0), shop.density(self) * 4 * wide * WALL, wide + WALL)

    def build(self, shop: Workshop) -> None:
        shop.bearing(self, self.at, PIVOT_RADIUS, None)

    def draw(self, pen: Pen) -> None:
        through = [
            part
            for part in pen.scene.parts.values()
            if any(pin.slides and pin.to.part == self.name for pin in part.pinned())
        ]
        bore = max((pen.width_of(part.name) for part in through), default=BORE)
        if self.at.ref is None or any(self.at.offset):  # it stands on the board
            pen.frame.behind_all().block(
                pen.spot(self.at), 16.0, 16.0, "walnut", 0.0, 5, 2.7, sort="bearing"
            )
        pen.over([part.name for part in through]).tube(self.length, bore, pen.stuff("brass")[0])
