"""A flat piece pinned to several others: couplers, triangles, legs."""

import math
from collections.abc import Iterable, Mapping
from typing import Annotated, ClassVar, Literal, Self

from pydantic import Field, model_validator

from animator.geometry import Point
from animator.parts._contract import PARTS, Floats, Part, Pen, Pinned, Weight, Workshop
from animator.parts._fields import Choice, Length, Place2, PointRef
from animator.parts._hull import rounded
from animator.parts._pins import pin_up
from animator.parts._solid import artwork, drawn_points
from animator.parts._solid import plate as sheet
from animator.registry import nearest
from animator.units import Wrong

RIM = 1.4  # thicknesses of stuff left round the middle of a hole; common practice, no source
LEAST_RIM = 4.0  # mm
BORE = 1.6  # mm; radius of the hole for a 3 mm pin


@PARTS.add("plate")
class Plate(Part):
    """A stiff flat piece. ``holes`` are named points of it, ``pinned`` says which of them sit on points of other parts.

    Rods may end at the other holes. Where it would close two ways, ``knee`` is the side on which its second pinned hole lies.
    """

    as_written = "shin: {kind: plate, holes: {knee: [0, 0], hip: [-44, 10], hoof: [-52, -46]}, pinned: {knee: crank.pin, hip: rocker.end}}"

    says: ClassVar[Mapping[str, str]] = {
        "holes": "named points of it, [right, up] as the plate is drawn by itself",
        "held_at": "which of its holes is pinned to which point",
        "play": "each hole less its pin; a pin without play is taken as turning freely",
        "knee": "the side on which its second pinned hole lies, where both would close",
    }
    examples: ClassVar[Mapping[str, str]] = {
        "holes": "{knee: [0, 0], hip: [-44, 10]}",
        "held_at": "{knee: crank.pin, hip: rocker.end}",
    }

    takes_artwork = True
    also_called = ("triangle", "ternary link", "gusset", "coupler plate")

    holes: Mapping[str, Place2]
    held_at: Mapping[str, PointRef] = Field(alias="pinned")
    play: Length = 0.0
    knee: (
        Annotated[
            Literal["up", "down", "left", "right"], Choice(("up", "down", "left", "right"))
        ]
        | None
    ) = None

    @model_validator(mode="after")
    def _hangs_on_its_holes(self) -> Self:
        if len(self.holes) < 2:
            raise Wrong(
                "a plate has two holes or more",
                "'holes: {near: [0, 0], far: [40, 0]}'",
                key="holes",
            )
        named = list(self.holes.items())
        for i, (name, place) in enumerate(named):
            for other, there in named[:i]:
                if math.dist(place, there) < 1e-6:
                    raise Wrong(
                        f"the holes '{other}' and '{name}' lie in one place",
                        "another place for one of them",
                        key="holes",
                    )
        if not self.held_at:
            raise Wrong(
                "nothing holds this plate",
                f"the point a hole is pinned to: 'pinned: {{{named[0][0]}: crank.pin}}'",
                key="pinned",
            )
        for name in self.held_at:
            if name not in self.holes:
                mend = nearest(name, self.holes)
                raise Wrong(
                    f"no hole is called '{name}'",
                    f"'{mend}'" if mend else f"one of: {', '.join(self.holes)}",
                    key="pinned",
                )
        return self

    def held(self) -> Floats:
        return Floats()

    def points(self) -> Mapping[str, Point]:
        own = dict(self.holes)
        return own | drawn_points(self, own)

    def pinned(self) -> Iterable[Pinned]:
        return tuple(Pinned(name, ref) for name, ref in self.held_at.items())

    def dimensions(self) -> Mapping[str, float]:
        """The distance of its first two pins, written as the place of the second."""
        pair = list(self.held_at)[:2]
        if len(pair) < 2:
            return {}
        return {f"holes.{pair[1]}": math.dist(self.holes[pair[0]], self.holes[pair[1]])}

    def with_dimension(self, path: str, value: float) -> Self:
        name = path.partition(".")[2]
        (x, y), (fx, fy) = self.holes[name], self.holes[next(iter(self.held_at))]
        share = value / math.dist((x, y), (fx, fy))
        moved = (round(fx + share * (x - fx), 2), round(fy + share * (y - fy), 2))
        return self.model_copy(update={"holes": {**self.holes, name: moved}})

    def outline(self, thickness: float) -> list[Point]:
        """Give the sawn shape: a rim round the hull of all holes. [mm]"""
        return rounded(self.holes.values(), max(LEAST_RIM, RIM * thickness))

    def weigh(self, shop: Workshop) -> Weight:
        thick = shop.stuff_of(self)[1]
        if self.artwork is not None:
            return artwork(self.artwork, shop.density(self) * thick)
        return sheet(self.outline(thick), shop.density(self) * thick)

    def build(self, shop: Workshop) -> None:
        for pinned in self.pinned():
            pin_up(shop, self, pinned, self.play)

    def draw(self, pen: Pen) -> None:
        stuff, thickness = pen.stuff()
        if self.artwork is not None:
            pen.artwork(self.artwork, stuff, thickness)
        else:
            free = [(at, BORE) for name, at in self.holes.items() if name not in self.held_at]
            pen.plate(self.outline(thickness), stuff, thickness, 7, holes=free)
        for name in self.held_at:
            pen.turned(self.holes[name], 2.0, "brass", 1.5, sort="rivet")
