"""A stiff bar pinned at both ends."""

import math
from collections.abc import Iterable, Mapping
from typing import Annotated, ClassVar, Literal

from pydantic import Field, model_validator

from animator.geometry import Point
from animator.parts._contract import PARTS, Floats, Part, Pen, Pinned, Weight, Workshop
from animator.parts._fields import Choice, FittedLength, Length, PointRef
from animator.parts._solid import artwork, bar, drawn_points
from animator.units import Wrong

ENDS = ("near", "tip", "middle")


@PARTS.add("rod")
class Rod(Part):
    """A bar ``from`` one point ``to`` another. ``holes`` are points along it, ``knee`` the side on which its far joint lies.

    Artwork lies with its right along the rod; a drawing whose file names a point ``tip`` is turned so that this points to the far end.
    """

    as_written = "link: {kind: rod, from: crank.pin, to: ram.pin, length: 70}"

    says: ClassVar[Mapping[str, str]] = {
        "from_": "the point one end is pinned to",
        "to": "the point the other end is pinned to",
        "length": "from pin to pin; 'fitted' measures it at the start",
        "holes": "named points along it, so far from its first end",
        "knee": "the side on which its far joint lies, where both would close",
    }
    examples: ClassVar[Mapping[str, str]] = {
        "holes": "{middle: 30}",
    }

    takes_artwork = True
    also_called = ("bar", "conrod", "connecting rod", "link", "coupler", "pushrod", "strut")
    later: ClassVar[Mapping[str, str]] = {
        "through": "a rod that slides through a swivel guide; pin its far end with 'to'"
    }

    from_: PointRef
    to: PointRef
    length: FittedLength
    holes: Mapping[str, Length] = Field(default_factory=dict)
    knee: (
        Annotated[
            Literal["up", "down", "left", "right"], Choice(("up", "down", "left", "right"))
        ]
        | None
    ) = None

    @model_validator(mode="after")
    def _names_its_points(self) -> "Rod":
        for name in self.holes:
            if name in ENDS:
                raise Wrong(
                    f"a hole can't be called '{name}'",
                    "another name; that point is there already",
                    key="holes",
                )
        return self

    @model_validator(mode="after")
    def _lies_along_its_drawing(self) -> "Rod":
        """Turn a drawing that names its far end so that it points there."""
        if self.artwork is None or self.artwork.cut is None:
            return self
        end = self.artwork.points.get("tip", (0.0, 0.0))
        if math.hypot(*end) < 1e-6:
            return self
        # the end already stands turned as the scene says, which is to stay beside the alignment
        turned = 2 * self.artwork.turned - math.atan2(end[1], end[0])
        return self.model_copy(
            update={"artwork": self.artwork.model_copy(update={"turned": turned})}
        )

    def held(self) -> Floats:
        return Floats()

    def points(self) -> Mapping[str, Point]:
        length = 0.0 if self.length == "fitted" else self.length
        own = {"near": (0.0, 0.0), "tip": (length, 0.0), "middle": (length / 2, 0.0)} | {
            name: (x, 0.0) for name, x in self.holes.items()
        }
        return own | drawn_points(self, own)

    def pinned(self) -> Iterable[Pinned]:
        return (Pinned("near", self.from_), Pinned("tip", self.to))

    def dimensions(self) -> Mapping[str, float]:
        return {} if self.length == "fitted" else {"length": self.length}

    def weigh(self, shop: Workshop) -> Weight:
        if self.artwork is not None:
            return artwork(self.artwork, shop.density(self) * shop.stuff_of(self)[1])
        return bar(
            (0.0, 0.0), self.points()["tip"], shop.bar_density(self), shop.stuff_of(self)[1]
        )

    def build(self, shop: Workshop) -> None:
        for pinned in self.pinned():
            shop.pivot(
                shop.body(pinned.to.part),
                shop.body(self.name),
                shop.start_point(pinned.to.part, pinned.to.point),
            )

    def draw(self, pen: Pen) -> None:
        stuff, size = pen.stuff("brass")
        near, tip = self.points()["near"], self.points()["tip"]
        width = max(size, 2.6)
        eye = width * 0.9 + 1.6
        if self.artwork is not None:
            pen.artwork(self.artwork, stuff, size)
        elif size > 5:
            pen.strap(near, tip, 1.5 * width, 1.5 * width, stuff, size, 9, sort="rod")
        else:
            pen.strap(near, tip, width, width, stuff, size, 9, sort="rod")
            for end in (near, tip):
                pen.turned(end, eye, "brass" if stuff != "steel" else "steel", 3, sort="eye")
        for name, point in self.points().items():
            if name in ("near", "tip", *self.holes):
                pen.turned(point, 1.7, "steel", 1.5, sort="rivet")
