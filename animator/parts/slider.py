"""A bar that slides to and fro in a guide: rams, pistons, trays."""

import math
from collections.abc import Iterable, Mapping
from typing import TYPE_CHECKING, ClassVar

from animator.geometry import Point
from animator.parts._contract import PARTS, Part, Pen, Prediction, Slides, Weight, Workshop
from animator.parts._fields import Direction, Guide, Signed, Size, Span
from animator.parts._solid import artwork, bar, drawn_points, together

if TYPE_CHECKING:
    from animator.motion.motion import Motion


@PARTS.add("slider")
class Slider(Part):
    """A bar ``length`` from its pin to its tip that slides in a guide; ``slides`` is the direction from pin to tip.

    ``starts at``: how far along its way its middle stands from the guide's middle at the start, if nothing else decides it.
    """

    as_written = "ram: {kind: slider, slides: right, guide: {at: 110 right of shaft, length: 30}, length: 100}"

    says: ClassVar[Mapping[str, str]] = {
        "slides": "the direction from its pin to its tip",
        "guide": "the hole it slides in",
        "length": "from its pin to its tip",
        "travel": "the stretch of its way that stops leave it",
        "starts_at": "how far along its way its middle stands from the guide's middle, if nothing else decides it",
    }

    takes_artwork = True
    also_called = ("piston", "ram", "plunger", "drawer")

    slides: Direction
    guide: Guide
    length: Size = 40.0
    travel: Span | None = None
    starts_at: Signed = 0.0

    def held(self) -> Slides:
        return Slides(self.guide.at, self.slides, self.starts_at - self.length / 2)

    def points(self) -> Mapping[str, Point]:
        own = {"pin": (0.0, 0.0), "tip": (self.length, 0.0)}
        return own | drawn_points(self, own)

    def dimensions(self) -> Mapping[str, float]:
        return {"length": self.length}

    def weigh(self, shop: Workshop) -> Weight:
        size = shop.stuff_of(self)[1]
        own = bar((0.0, 0.0), (self.length, 0.0), shop.bar_density(self), size)
        if self.artwork is None:
            return own
        return together((own, artwork(self.artwork, shop.density(self) * size)))

    def build(self, shop: Workshop) -> None:
        shop.guide(
            self,
            self.guide,
            self.slides,
            ((0.0, 0.0), (self.length, 0.0)),
            shop.stuff_of(self)[1],
        )

    def draw(self, pen: Pen) -> None:
        stuff, size = pen.stuff()
        pen.bar((0.0, 0.0), (self.length, 0.0), size, stuff, 8, sort="slider")
        if self.artwork is not None:
            pen.artwork(self.artwork, stuff, size)
        pen.turned((0.0, 0.0), max(2.4, 0.38 * size), "brass", 2, 1.2, sort="pin of the slider")
        pen.frame.bush(self.guide, self.slides, size)

    def predict(self, motion: "Motion") -> Iterable[Prediction]:
        """Stroke of a slider-crank, from the rod that is pinned to it and the crank at the rod's other end."""
        parts, starts = motion.scene.parts, motion.scene.starts
        for name, part in parts.items():
            ends = [pinned.to for pinned in part.pinned()]
            if self.name not in [end.part for end in ends] or len(ends) != 2:
                continue
            if any(pinned.slides for pinned in part.pinned()):
                continue
            crank = next(end for end in ends if end.part != self.name)
            hub = starts[crank.part]
            r = math.hypot(*parts[crank.part].points()[crank.point])
            length = math.dist(
                *(parts[name].points()[pinned.point] for pinned in part.pinned())
            )
            if motion.drive is None or parts[crank.part].kind not in ("crank", "wheel"):
                continue
            mine = starts[self.name]
            offset = abs(
                (mine.y - hub.y) * math.cos(self.slides)
                - (mine.x - hub.x) * math.sin(self.slides)
            )
            if (
                length > r + offset
                and next(end for end in ends if end.part == self.name).point == "pin"
            ):
                stroke = math.sqrt((length + r) ** 2 - offset**2) - math.sqrt(
                    (length - r) ** 2 - offset**2
                )
                yield Prediction(
                    f"{self.name}.travel",
                    stroke,
                    "stroke of an offset slider-crank (Norton, Design of Machinery; Shigley)",
                )
