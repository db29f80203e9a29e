"""A stem in a guide that rides on a cam: knife edge, roller or flat."""

from collections.abc import Mapping
from typing import Annotated

from animator.geometry import Point
from animator.parts._contract import PARTS, Part, Slides
from animator.parts._fields import (
    WAYS,
    Direction,
    Guide,
    PartOf,
    Ref,
    Signed,
    Size,
    Spring,
    Tip,
)


@PARTS.add("follower")
class Follower(Part):
    """Lifted by the cam it ``follows``, kept on it by its weight and perhaps a ``spring``.

    ``length`` from the tip (the roller's centre) to the top; ``offset`` how far the stem stands beside the cam's axis.
    """

    also_called = ("lifter", "roller", "tappet", "cam follower", "pushrod follower")

    follows: Annotated[Ref, PartOf("cam")]
    guide: Guide
    tip: Tip = Tip(kind="knife")
    slides: Direction = WAYS["up"]
    length: Size = 60.0
    offset: Signed = 0.0
    spring: Spring | None = None

    def held(self) -> Slides:
        return Slides(self.guide.at, self.slides, -self.length / 2, self.offset, self.follows)

    def points(self) -> Mapping[str, Point]:
        return {"top": (self.length, 0.0), "tip": (0.0, 0.0)}
