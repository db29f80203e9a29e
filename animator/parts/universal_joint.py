"""A joint with a cross between two forks: it carries a turning on to a shaft that leans off the first one's line."""

import math
from collections.abc import Iterable, Mapping
from typing import TYPE_CHECKING, Annotated, ClassVar, Literal

from pydantic import Field, model_validator

from animator.geometry import Point
from animator.parts._contract import (
    PARTS,
    Part,
    Pen,
    Prediction,
    Rides,
    Standing,
    Turns,
    Weight,
    Workshop,
)
from animator.parts._fields import (
    TURNING_PART,
    Angle,
    Bearing,
    Choice,
    Friction,
    PartOf,
    Ref,
    Size,
    Where,
)
from animator.parts._solid import disc
from animator.parts._views import WAYS, dot, plane_of
from animator.units import Wrong

if TYPE_CHECKING:
    from animator.motion.motion import Motion
    from animator.scene.model import Scene

STEEPEST = math.radians(75)  # beyond this it hardly turns; at 90 degrees it locks
REACH = 9.0  # mm; from its middle to where the cross's pins bear in the forks
PIN_RADIUS = 1.5  # mm; of the cross's pins

Way = Annotated[Literal["up", "down", "left", "right", "back", "forward"], Choice(tuple(WAYS))]


@PARTS.add("universal joint")
class UniversalJoint(Part):
    """Sits on the end of a shaft; what is ``on`` the joint turns about the leaning line. It runs unevenly: tan(out) = tan(in) / cos(bend).

    ``phase`` is how far its first fork is turned at the start from standing square to the plane of both shafts. Two joints with equal bends run evenly again if
    the forks of the shaft between them lie in one plane (``phase: 90`` on the second).
    """

    as_written = "joint: {kind: universal joint, on: shaft, bend: 30, leans: up}"

    says: ClassVar[Mapping[str, str]] = {
        "on": "the shaft (or the joint before it) on whose end it sits",
        "bend": "how far the line that goes on leans off the first",
        "leans_to": "which way it leans, in the room",
        "phase": "how far its first fork is turned at the start from standing square to the plane of both lines",
        "length": "of the shaft that goes on",
        "friction": "of the cross's pins in the forks; left out, steel on brass",
        "bearing": "of the shaft that goes on: play, friction, or a ball bearing",
    }

    turns_freely = True
    crosses_views = True
    ends_its_shaft: ClassVar[bool] = True
    """The shaft it sits on goes no farther."""
    also_called = (
        *("cardan joint", "cardan", "hooke joint", "hooke's joint", "universal coupling"),
        "knuckle",
    )

    on: Annotated[Ref, PartOf(TURNING_PART)]
    bend: Angle
    leans_to: Way = Field(default="up", alias="leans")
    phase: Angle = 0.0
    length: Size = 60.0
    friction: Friction | None = None
    bearing: Bearing = Bearing()

    @model_validator(mode="after")
    def _can_turn(self) -> "UniversalJoint":
        if not 0 < self.bend <= STEEPEST:
            raise Wrong(
                "a bend of nought needs no joint"
                if not self.bend
                else f"bent by {abs(math.degrees(self.bend)):g} degrees it hardly turns; at 90 it locks",
                "'bend: 30', or two joints with half of it each",
                key="bend",
            )
        return self

    def held(self) -> Turns:
        return Turns(Where((0.0, 0.0), self.on))

    def points(self) -> Mapping[str, Point]:
        return {"centre": (0.0, 0.0)}

    # ------------------------------------------------------------ how it turns
    def out(self, turned: float) -> float:
        """How far the second fork has turned when the first stands at an angle; both nought where the first is square to the plane of both lines. [rad]"""
        return turned + math.remainder(
            math.atan2(math.sin(turned), math.cos(turned) * math.cos(self.bend)) - turned,
            math.tau,
        )

    def ratio(self, turned: float) -> float:
        """Speed of the second shaft over that of the first.

        Notes
        -----
        cos b / (1 - sin^2 b cos^2 a), with a counted from where the first fork stands in the plane of both lines (Norton, Design of Machinery); here a is counted
        from where it is square to it, so the cosine becomes a sine's.

        Examples
        --------
        >>> joint = UniversalJoint.model_validate({"kind": "universal joint", "on": "shaft", "bend": "30"})
        >>> round(joint.ratio(0.0), 5), round(joint.ratio(math.pi / 2), 5)
        (1.1547, 0.86603)
        """
        c, s = math.cos(self.bend), math.sin(turned)
        return c / (c * c + s * s * math.sin(self.bend) ** 2)

    def led_by(self) -> Iterable[Ref]:
        return (self.on,)

    def led(self, piece: Standing, now: float) -> float:
        turned = piece.pose(self.on.part).angle
        return self.out(turned + self.phase) - self.out(self.phase)

    def outward(self, parts: Mapping[str, Part]) -> int:
        """+1 if the line goes on towards the viewer of its view, -1 if away: away from whatever else is on the shaft before it."""
        host = parts[self.on.part]
        if isinstance(host, UniversalJoint):
            return host.outward(parts)
        own = self.along if self.along is not None else host.along or 0.0
        for name, part in parts.items():
            held = part.held()
            if name == self.name or not isinstance(held, Rides) or held.on.part != host.name:
                continue
            if part.along is None:
                if part.is_drive:
                    return -1
            elif part.along != own:
                return -1 if part.along > own else 1
        return 1

    def leans(self, parts: Mapping[str, Part]) -> tuple[float, str]:
        return self.outward(parts) * self.bend, self.leans_to

    def ends_low(self, scene: "Scene") -> bool:
        """Whether the shaft it sits on ends at it on the side away from its viewer."""
        return self.outward(scene.parts) < 0

    def misfits(self, piece: Standing) -> Iterable[Wrong]:
        if piece.turned:
            return
        host = plane_of(self.on.part, piece.parts)
        if abs(dot(host.near, WAYS[self.leans_to])) > 0.9:
            fit = [word for word, way in WAYS.items() if abs(dot(host.near, way)) < 0.5]
            yield Wrong(
                f"'{self.name}' can't lean {self.leans_to}: '{self.on.text}' runs that way itself",
                " or ".join(f"'leans: {word}'" for word in fit[:2]),
                key="leans",
            )

    # ------------------------------------------------------------ the run
    def weigh(self, shop: Workshop) -> Weight:
        size = shop.stuff_of(self)[1] if self.material is not None else 5.0
        bar = disc(size / 2, 7.85e-3 * self.length)
        fork = disc(REACH, 8.5e-3 * 4.0)
        return Weight(bar.mass + fork.mass, (0.0, 0.0), bar.inertia + fork.inertia)

    def build(self, shop: Workshop) -> None:
        at = Where((0.0, 0.0), self.on)
        size = shop.stuff_of(self)[1] if self.material is not None else 5.0
        shop.bearing(self, at, size / 2, self.bearing)
        from animator.world.cross import Cross

        Cross(shop, self, shop.friction(self.friction, "steel", "brass"), (REACH, PIN_RADIUS))

    # ------------------------------------------------------------ its look
    def draw(self, pen: Pen) -> None:
        pen.disc((0.0, 0.0), REACH + 2.5, "brass", 4.0, 6, sort="fork")
        for c, s in ((1, 0), (0, 1)):
            pen.bar(
                (-REACH * c, -REACH * s),
                (REACH * c, REACH * s),
                2 * PIN_RADIUS,
                "steel",
                2,
                sort="cross",
            )
        pen.hub((0.0, 0.0), 3.5)

    def draw_across(self, pen: Pen) -> None:
        parts = pen.scene.parts
        way = self.outward(parts)
        host = plane_of(self.on.part, parts, pen.scene.starts)
        own = plane_of(self.name, parts, pen.scene.starts)
        x, y, _ = host.turned(WAYS[self.leans_to])
        leaning = math.atan2(y, x)
        driving = pen.of(self.on.part)
        at = pen.along_on(self.name, self.on.part)
        size = pen.stuff("steel")[1] if self.material is not None else 5.0
        long = way * self.length
        pen.bar((way * 10.0, 0.0), (long, 0.0), size, "steel", 5, sort="shaft")
        pen.edge_bearing(long - way * 12.0, size)
        driving.edge_fork(REACH, at - way * 15.0, at, leaning + math.pi / 2 + self.phase)
        # in its own plane the way it leans lies across it as the first one's does
        x, y, _ = own.turned(WAYS[self.leans_to])
        pen.edge_fork(REACH, way * 15.0, 0.0, math.atan2(y, x) + self.out(self.phase))
        pen.edge_disc(4.2, 7.0, "steel", 0.0, 4, sort="cross")

    def predict(self, motion: "Motion") -> Iterable[Prediction]:
        yield Prediction(
            f"{self.name}.ripple",
            1 / math.cos(self.bend) - math.cos(self.bend),
            "speed between cos b and 1 / cos b of the first shaft's (Norton, Design of Machinery)",
        )
