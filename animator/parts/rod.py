"""A stiff bar pinned at both ends, or pinned at one and sliding through a swivel guide."""

import math
from collections.abc import Iterable, Mapping
from typing import TYPE_CHECKING, Annotated, Any, ClassVar, Literal, cast

from pydantic import Field, model_validator

from animator.geometry import Point
from animator.parts._contract import (
    PARTS,
    Floats,
    Part,
    Pen,
    Pinned,
    Standing,
    Weight,
    Workshop,
)
from animator.parts._fields import Choice, FittedLength, Length, PartOf, PointRef, Ref
from animator.parts._pins import pin_up
from animator.parts._slot import Beyond
from animator.parts._solid import artwork, bar, drawn_points
from animator.units import Wrong

if TYPE_CHECKING:
    from animator.world.building import Bench

ENDS = ("near", "tip", "middle")
EYE = 3.0  # mm; how far a rod's eye reaches beyond its pin


@PARTS.add("rod")
class Rod(Part):
    """A bar ``from`` one point ``to`` another, or ``through`` a swivel guide. ``holes`` are points along it, ``knee`` the side on which its far joint lies.

    Artwork lies with its right along the rod; a drawing whose file names a point ``tip`` is turned so that this points to the far end.
    """

    as_written = "link: {kind: rod, from: crank.pin, to: ram.pin, length: 70}"

    says: ClassVar[Mapping[str, str]] = {
        "from_": "the point one end is pinned to",
        "to": "the point the other end is pinned to",
        "through": "a swivel guide it slides through; its tip is then free",
        "length": "from pin to pin; 'fitted' measures it at the start",
        "play": "each hole less its pin; a pin without play is taken as turning freely",
        "holes": "named points along it, so far from its first end",
        "knee": "the side on which its far joint lies, where both would close",
    }
    examples: ClassVar[Mapping[str, str]] = {
        "holes": "{middle: 30}",
    }

    takes_artwork = True
    also_called = ("bar", "conrod", "connecting rod", "link", "coupler", "pushrod", "strut")
    one_of: ClassVar[tuple[str, ...]] = ("to", "through")

    from_: PointRef
    to: PointRef | None = None
    through: Annotated[Ref, PartOf("swivel guide")] | None = None
    length: FittedLength
    play: Length = 0.0
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
    def _is_cut_before_it_slides(self) -> "Rod":
        if self.through is not None and self.length == "fitted":
            raise Wrong(
                "a rod that slides through a guide is fitted to nothing",
                "its length in mm, for example 'length: 120'",
                key="length",
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
        if self.through is not None:
            return (Pinned("near", self.from_), Pinned("tip", self.through, slides=True))
        assert self.to is not None
        return (Pinned("near", self.from_), Pinned("tip", self.to))

    def dimensions(self) -> Mapping[str, float]:
        return {} if self.length == "fitted" else {"length": self.length}

    def misfits(self, piece: Standing) -> Iterable[Wrong]:
        """Tell where a rod comes out of the guide it slides through, or its eye strikes it."""
        if self.through is None or self.length == "fitted":
            return
        guide: Any = piece.parts[self.through.part]
        x, y = piece.point(self.name, "near")
        away = math.dist((x, y), piece.pose(guide.name)[:2])
        half = guide.length / 2
        if away + half > self.length + 1e-6:
            yield Beyond(
                away,
                f"'{self.name}' comes out of '{guide.name}'",
                f"'{self.name}.length: {math.ceil((away + half + 2) * 2) / 2:g}' or more",
                key="length",
                more=f"its first end is then {away:.2f} mm from the middle of the guide, which is {guide.length:g} mm long",
            )
        if away - half < EYE:
            yield Beyond(
                -away,
                f"the eye of '{self.name}' strikes '{guide.name}'",
                f"a place for '{guide.name}' at least {math.ceil((EYE + half - away + 1) * 2) / 2:g} mm farther off, or a shorter hole than {guide.length:g} mm",
                key="through",
                more=f"its first end comes as near as {away:.2f} mm to the middle of the guide",
            )

    def weigh(self, shop: Workshop) -> Weight:
        if self.artwork is not None:
            return artwork(self.artwork, shop.density(self) * shop.stuff_of(self)[1])
        return bar(
            (0.0, 0.0), self.points()["tip"], shop.bar_density(self), shop.stuff_of(self)[1]
        )

    def build(self, shop: Workshop) -> None:
        if self.through is not None:
            from animator.world.sleeves import thread

            thread(cast("Bench", shop), self, shop.scene.parts[self.through.part])
        for pinned in self.pinned():
            if not pinned.slides:
                pin_up(shop, self, pinned, self.play)

    def draw(self, pen: Pen) -> None:
        stuff, size = pen.stuff("brass")
        near, tip = self.points()["near"], self.points()["tip"]
        width = max(size, 2.6)
        eye = width * 0.9 + 1.6
        ends = [self.points()[pin.point] for pin in self.pinned() if not pin.slides]
        if self.artwork is not None:
            pen.artwork(self.artwork, stuff, size)
        elif self.through is not None:
            pen.bar(near, tip, width, stuff, 9, is_round_ended=True, sort="rod")
            pen.turned(near, eye, "brass" if stuff != "steel" else "steel", 3, sort="eye")
        elif size > 5:
            pen.strap(near, tip, 1.5 * width, 1.5 * width, stuff, size, 9, sort="rod")
        else:
            pen.strap(near, tip, width, width, stuff, size, 9, sort="rod")
            for end in ends:
                pen.turned(end, eye, "brass" if stuff != "steel" else "steel", 3, sort="eye")
        for name, point in self.points().items():
            if name in self.holes or point in ends:
                pen.turned(point, 1.7, "steel", 1.5, sort="rivet")
