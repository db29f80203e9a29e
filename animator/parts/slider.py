"""A bar that slides to and fro in a guide: rams, pistons, trays."""

from collections.abc import Mapping

from animator.geometry import Point
from animator.parts._contract import PARTS, Part, Slides
from animator.parts._fields import Direction, Guide, Signed, Size, Span


@PARTS.add("slider")
class Slider(Part):
    """A bar ``length`` from its pin to its tip that slides in a guide; ``slides`` is the direction from pin to tip.

    ``starts at``: how far along its way its middle stands from the guide's middle at the start, if nothing else decides it.
    """

    also_called = ("piston", "ram", "plunger", "drawer")

    slides: Direction
    guide: Guide
    length: Size = 40.0
    travel: Span | None = None
    starts_at: Signed = 0.0

    def held(self) -> Slides:
        return Slides(self.guide.at, self.slides, self.starts_at - self.length / 2)

    def points(self) -> Mapping[str, Point]:
        return {"pin": (0.0, 0.0), "tip": (self.length, 0.0)}

    def dimensions(self) -> Mapping[str, float]:
        return {"length": self.length}
