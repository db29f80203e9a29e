"""What the piece is made for: a drawn figure that moves with a point, or stands still."""

from collections.abc import Mapping
from typing import Annotated, ClassVar

from pydantic import Field, model_validator

from animator.geometry import Point
from animator.parts._contract import PARTS, Part, Pen, Rides, Still, Weight, Workshop
from animator.parts._fields import Artwork, At, PartOf, Place2, Ref
from animator.parts._solid import artwork
from animator.units import Wrong


@PARTS.add("figure")
class Figure(Part):
    """Moves as one with the point it is ``on``; ``on: frame`` with ``at`` it stands. ``points`` are places of the figure, from its foot; those that its artwork's file names are there too."""

    as_written = "heron: {kind: figure, on: lifter.top, artwork: heron.svg, mass: 18 g}"

    says: ClassVar[Mapping[str, str]] = {
        "on": "the point it moves with, or 'frame' to stand",
        "at": "where it stands, with 'on: frame'",
        "artwork": "what it looks like",
        "own_points": "named places of it, [right, up] from its foot",
    }
    examples: ClassVar[Mapping[str, str]] = {
        "own_points": "{beak: [20, 60]}",
    }

    moves_alone = True
    takes_artwork = True
    also_called = ("puppet", "character", "animal", "picture", "doll")

    on: Annotated[Ref, PartOf(is_point=True, may_be_frame=True)]
    at: At | None = None
    artwork: Artwork
    own_points: Mapping[str, Place2] = Field(default_factory=dict, alias="points")

    @model_validator(mode="after")
    def _stands_somewhere(self) -> "Figure":
        if self.on.text == "frame" and self.at is None:
            raise Wrong(
                "a figure on the frame says where", "'on: frame, at: [100, 60]'", key="on"
            )
        if self.on.text != "frame" and self.at is not None:
            raise Wrong(
                "'at' belongs to 'on: frame'; this figure moves with its part",
                f"'on: {self.on.text}' alone",
                key="at",
            )
        for points, key in ((self.own_points, "points"), (self.artwork.points, "artwork")):
            if "foot" in points:
                raise Wrong(
                    "a point can't be called 'foot'",
                    "another name; the foot is there already",
                    key=key,
                )
        return self

    def held(self) -> Rides | Still:
        return Rides(self.on) if self.at is None else Still(self.at)

    def points(self) -> Mapping[str, Point]:
        return {"foot": (0.0, 0.0), **self.artwork.points, **self.own_points}

    def weigh(self, shop: Workshop) -> Weight:
        return artwork(self.artwork, shop.density(self) * shop.stuff_of(self)[1])

    def draw(self, pen: Pen) -> None:
        stuff, thickness = pen.stuff()
        spin = f"{self.on.part}.spin"
        pen.artwork(
            self.artwork, stuff, thickness, spin if spin in pen.motion.channels else None
        )

    def draw_across(self, pen: Pen) -> None:
        pen.standing()
