"""A disc on an upright spindle that rests on a cam's rim: the cam lifts it and, rubbing beside the spindle, turns it."""

import math
from collections.abc import Mapping
from typing import Annotated

from animator.geometry import Point
from animator.parts._contract import PARTS, Part, Slides
from animator.parts._fields import Friction, Guide, Hidden, Length, PartOf, Ref, Signed, Size


@PARTS.add("friction disc")
class FrictionDisc(Part):
    """``offset``: from the cam's plane to the spindle; ``friction``: of cam on disc; ``rests``: a collar that catches the disc this far above its lowest place."""

    turns_freely = True
    also_called = ("friction wheel", "turning disc")

    follows: Annotated[Ref, PartOf("cam")]
    offset: Signed
    diameter: Size
    guide: Guide
    friction: Friction | None = None
    rests: Length | None = None
    top_height: Annotated[float, Hidden] = 0.0
    """From the disc's underside to the top of its spindle, filled in by assembly. [mm]"""

    def held(self) -> Slides:
        return Slides(self.guide.at, math.pi / 2, 0.0, 0.0, self.follows)

    def points(self) -> Mapping[str, Point]:
        # the x axis points up the spindle, so the rim to the right lies at negative y
        return {"top": (self.top_height, 0.0), "rim": (0.0, -self.diameter / 2)}
