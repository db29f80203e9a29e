"""A bar that slides to and fro in a guide: rams, pistons, trays."""

from collections.abc import Mapping

from animator.geometry import Point
from animator.parts._contract import PARTS, Part, Pen, Slides, Weight, Workshop
from animator.parts._fields import Direction, Guide, Signed, Size, Span
from animator.parts._solid import bar


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

    def weigh(self, shop: Workshop) -> Weight:
        return bar((0.0, 0.0), (self.length, 0.0), shop.bar_density(self), shop.stuff_of(self)[1])

    def build(self, shop: Workshop) -> None:
        shop.guide(self, self.guide, self.slides, ((0.0, 0.0), (self.length, 0.0)), shop.stuff_of(self)[1])

    def draw(self, pen: Pen) -> None:
        stuff, size = pen.stuff()
        pen.bar((0.0, 0.0), (self.length, 0.0), size, stuff, 8, sort="slider")
        if self.artwork is not None:
            pen.artwork(self.artwork, stuff, size)
        pen.turned((0.0, 0.0), max(2.4, 0.38 * size), "brass", 2, 1.2, sort="pin of the slider")
        pen.frame.bush(self.guide, self.slides, size)
