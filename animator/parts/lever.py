"""A body on a pivot with named arms: levers of every class, bell cranks, rockers, swinging figures."""

from collections.abc import Mapping
from typing import ClassVar

from pydantic import model_validator

from animator.geometry import Point, polar
from animator.parts._contract import PARTS, Pen, Weight, Workshop
from animator.parts._fields import Arm
from animator.parts._solid import artwork, bar, drawn_points, together
from animator.parts._turning import Pivoted
from animator.units import Wrong

FOLLOWING = (
    "a lever that follows a cam; let a follower ride on the cam and push the lever with a rod"
)


PIVOT_RADIUS = 1.5  # mm; a 3 mm pin


@PARTS.add("lever")
class Lever(Pivoted):
    """A body that swings about its pivot. Each arm is a named point: ``arms: {hand: 40 up, wire: 20 at 300}``."""

    as_written = "beam: {kind: lever, at: [90, 70], arms: {hand: 40 left, load: 60 right}}"

    says: ClassVar[Mapping[str, str]] = {
        "arms": "named points: how long the arm is and which way it points at the start",
    }
    examples: ClassVar[Mapping[str, str]] = {
        "arms": "{hand: 40 up, wire: 20 at 300}",
    }

    moves_alone = True
    takes_artwork = True
    also_called = ("bell crank", "rocker", "beam", "see-saw", "pendulum")
    later: ClassVar[Mapping[str, str]] = dict.fromkeys(
        ("follows", "by", "tip", "spring"), FOLLOWING
    )

    arms: Mapping[str, Arm]

    @model_validator(mode="after")
    def _names_its_points(self) -> "Lever":
        if "pivot" in self.arms:
            raise Wrong(
                "an arm can't be called 'pivot'",
                "another name; the pivot is there already",
                key="arms",
            )
        return self

    def points(self) -> Mapping[str, Point]:
        own = {"pivot": (0.0, 0.0)} | {name: polar(*arm) for name, arm in self.arms.items()}
        return own | drawn_points(self, own)

    def dimensions(self) -> Mapping[str, float]:
        return {f"arms.{name}": length for name, (length, _) in self.arms.items()}

    def weigh(self, shop: Workshop) -> Weight:
        thick = shop.stuff_of(self)[1]
        if self.artwork is not None:
            return artwork(self.artwork, shop.density(self) * thick)
        width = 2.5 * thick
        arms = [polar(*arm) for arm in self.arms.values()]
        return together(
            bar((0.0, 0.0), end, shop.density(self) * thick * width, width) for end in arms
        )

    def build(self, shop: Workshop) -> None:
        shop.bearing(self, self.at, PIVOT_RADIUS, self.bearing)
        self.limit(shop)

    def draw(self, pen: Pen) -> None:
        stuff, thickness = pen.stuff()
        if self.artwork is not None:
            pen.artwork(self.artwork, stuff, thickness)
        else:
            width = min(13.0, max(7.0, 2.2 * thickness))
            for name, end in self.points().items():
                if name != "pivot":
                    pen.strap(
                        (0.0, 0.0), end, width, 0.72 * width, stuff, thickness, 7, sort="arm"
                    )
            for name, end in self.points().items():
                if name != "pivot":
                    pen.turned(end, 2.0, "brass", 1.5, sort="rivet")
        pen.turned((0.0, 0.0), 2.8, "brass", 1.5, 1.0, sort="pivot")
