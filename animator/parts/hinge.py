"""A strip of card, tape or leather on which something turns and that brings it back."""

import math
from collections.abc import Iterable, Mapping
from typing import ClassVar

from pydantic import Field, model_validator

from animator.geometry import Point, polar
from animator.parts._contract import PARTS, Part, Pen, Rides, Standing, Turns, Weight, Workshop
from animator.parts._fields import Arm, At, SignedAngle, Size, Stops, Stuff
from animator.parts._springs import MEGAPASCAL, Twist, bending_of
from animator.units import Wrong

CARD = Stuff("card", 0.4)
LOSS = 0.2  # of the work put in, a cycle: card and tape creak (estimate, no source)
CREASE = (
    0.12  # strain at the face; a scored strip bent so far folds for good (estimate, no source)
)


@PARTS.add("hinge")
class Hinge(Part):
    """Stands ``at`` a place or at a point of a part; what is ``on`` it flaps: wings, jaws, lids. It bends to and fro about how it is drawn, and springs back.

    Its stiffness is that of a strip, E b h^3 / 12 l for each radian, with the thickness h of its material, its ``width`` b along the fold and the ``length`` l that is
    left free to bend. Right while the free length is short beside what hangs on it, and up to a right angle either way. ``arms`` are points for rods and strings.
    """

    as_written = "wing hinge: {kind: hinge, at: bird.shoulder, width: 16, length: 3, material: card 0.4, arms: {pull: 12 right}}"

    says: ClassVar[Mapping[str, str]] = {
        "at": "where it bends; on a moving part's point it moves with that",
        "width": "of the strip, along its fold",
        "length": "of the strip that is left free to bend",
        "arms": "named points of what flaps: how far from the fold and which way at the start",
        "unbent": "how far it is turned where it feels nothing, from how it is drawn",
        "stops": "how far it may turn each way",
        "starts_at": "how far it is turned at the start, anticlockwise",
    }
    examples: ClassVar[Mapping[str, str]] = {"arms": "{pull: 12 right}"}

    turns_freely = True
    moves_alone = True
    also_called = (
        "card hinge",
        "tape hinge",
        "leather hinge",
        "living hinge",
        "strap hinge",
        "flap",
    )

    at: At
    width: Size
    length: Size
    arms: Mapping[str, Arm] = Field(default_factory=dict)
    unbent: SignedAngle = 0.0
    stops: Stops | None = None
    starts_at: SignedAngle = 0.0

    @model_validator(mode="after")
    def _bends(self) -> "Hinge":
        if "centre" in self.arms:
            raise Wrong(
                "an arm can't be called 'centre'",
                "another name; the fold is there already",
                key="arms",
            )
        stuff = self.material or CARD
        bending_of(stuff.name)
        if not stuff.size:
            raise Wrong(
                f"'{stuff.name}' doesn't say how thick the strip is",
                f"'{stuff.name} 0.4'",
                key="material",
            )
        if stuff.size > self.length:
            raise Wrong(
                f"a strip {stuff.size:g} mm thick doesn't bend over {self.length:g} mm",
                f"'{stuff.name} {max(0.1, round(self.length / 8, 1)):g}', or a length over {8 * stuff.size:g}",
                key="material",
            )
        return self

    def stiffness(self) -> float:
        """Torque for each radian, E b h^3 / 12 l. [g mm^2/s^2]"""
        stuff = self.material or CARD
        young = MEGAPASCAL * bending_of(stuff.name).young
        return young * self.width * stuff.size**3 / (12 * self.length)

    def held(self) -> Turns:
        return Turns(self.at, self.stops.limits() if self.stops else None, self.starts_at)

    def points(self) -> Mapping[str, Point]:
        return {"centre": (0.0, 0.0)} | {name: polar(*arm) for name, arm in self.arms.items()}

    def dimensions(self) -> Mapping[str, float]:
        return {f"arms.{name}": length for name, (length, _) in self.arms.items()}

    def weigh(self, shop: Workshop) -> Weight:
        stuff = self.material or CARD
        density = float(stuff.stuff.density.at(0.5))
        mass = density * stuff.size * self.width * (self.length + 6.0)
        return Weight(mass, (0.0, 0.0), mass * self.length**2 / 12)

    def misfits(self, piece: Standing) -> Iterable[Wrong]:
        riders = (part.held() for part in piece.parts.values())
        if not any(isinstance(held, Rides) and held.on.part == self.name for held in riders):
            yield Wrong(
                f"nothing hangs on '{self.name}'",
                f"a figure on it: 'wing: {{kind: figure, on: {self.name}, artwork: wing.svg}}'",
            )

    def build(self, shop: Workshop) -> None:
        host = shop.attached_to(self.at)
        body, pose = shop.body(self.name), shop.pose(self.name)
        support = shop.space.static_body if host is None else shop.body(host)
        shop.pivot(support, body, (pose.x, pose.y))
        if self.stops is not None:
            low, high = self.stops.limits()
            shop.limit(self.name, low - pose.angle, high - pose.angle)
        rest = self.unbent - pose.angle
        twist = Twist(shop, self.name, host or "frame", self.name, self.stiffness(), rest=rest, loss=LOSS)  # fmt: skip
        thick = (self.material or CARD).size
        shop.channel(f"{self.name}.torque", "torque", lambda: abs(twist.torque))
        shop.channel(
            f"{self.name}.strain",
            "share",
            lambda: thick * abs(twist.turned - rest) / (2 * self.length) / CREASE,
        )

    def way(self) -> float:
        """The way the strip leaves its fold towards what flaps, in its own frame. [rad]"""
        if not self.arms:
            return 0.0
        x = sum(math.cos(angle) for _, angle in self.arms.values())
        y = sum(math.sin(angle) for _, angle in self.arms.values())
        return math.atan2(y, x) if math.hypot(x, y) > 1e-9 else 0.0

    def draw(self, pen: Pen) -> None:
        stuff = self.material or CARD
        pen.strip_hinge(self.at, self.way(), self.unbent, self.length, stuff.size, stuff.name)
        for name, point in self.points().items():
            if name in self.arms:
                pen.turned(point, 1.5, "brass", 1.5, sort="rivet")
