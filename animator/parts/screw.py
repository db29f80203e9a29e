"""A threaded rod that moves a slide along its own axis: a lead screw and its nut, a jack, a vice."""

import math
from collections.abc import Iterable, Mapping
from typing import TYPE_CHECKING, Annotated, ClassVar, Self

from pydantic import model_validator

from animator.geometry import Point
from animator.parts._contract import (
    PARTS,
    Part,
    Pen,
    Prediction,
    Rides,
    Slides,
    Standing,
    Weight,
    Workshop,
)
from animator.parts._fields import Angle, Friction, Length, Number, PartOf, Ref, Size
from animator.parts._solid import disc
from animator.parts._thread import TurnedThread
from animator.parts._views import VIEWS, along_of, dot, view_of
from animator.parts.worm import Hand, driven_parts, plane
from animator.trains import Coupling, turning_part
from animator.units import Wrong

if TYPE_CHECKING:
    from animator.motion.motion import Motion

ALIGNED = 0.999  # cosine; how nearly a slide must lie along the screw


@PARTS.add("screw")
class Screw(Part):
    """A thread of one ``diameter`` (its mean) and ``pitch`` that moves the slider it ``drives`` along its axis; the slider carries the nut."""

    as_written = "lead screw: {kind: screw, on: screw shaft, drives: table, diameter: 8, pitch: 2, friction: 0.15}"

    says: ClassVar[Mapping[str, str]] = {
        "on": "the shaft it turns with",
        "drives": "the slider that carries its nut and slides along its axis",
        "diameter": "mean diameter of its thread",
        "pitch": "along its axis from one thread to the next",
        "starts": "how many threads run side by side",
        "hand": "which way its thread winds",
        "friction": "of thread and nut; left out, that of the two materials",
        "flank": "how far the sides of its thread lean: 0 square, 30 a metric thread",
        "play": "of the nut along the axis",
        "length": "of its threaded part",
    }

    crosses_views = True
    also_called = ("lead screw", "leadscrew", "threaded rod", "jack screw", "screw spindle")

    on: Annotated[Ref, PartOf("shaft")]
    drives: Annotated[Ref, PartOf("slider")]
    diameter: Size
    pitch: Size
    starts: Annotated[int, Number(1, 12)] = 1
    hand: Hand = "right"
    friction: Friction | None = None
    flank: Angle = 0.0
    play: Length = 0.05
    length: Size = 60.0

    @model_validator(mode="after")
    def _can_be_cut(self) -> "Screw":
        if not 0 <= self.flank <= math.radians(45):
            raise Wrong("a thread's sides lean by 0 to 45 degrees", "'flank: 30'", key="flank")
        if self.pitch > self.diameter * 2:
            raise Wrong(
                f"a pitch of {self.pitch:g} can't be cut on a diameter of {self.diameter:g}",
                f"'pitch: {0.2 * self.diameter:.2g}', and more 'starts' for a steep thread",
                key="pitch",
            )
        return self

    @property
    def sense(self) -> int:
        """+1 for a right-hand thread."""
        return 1 if self.hand == "right" else -1

    @property
    def lead_angle(self) -> float:
        """Tangent: lead over the mean circumference. [rad]"""
        return math.atan(self.starts * self.pitch / (math.pi * self.diameter))

    def held(self) -> Rides:
        return Rides(self.on)

    def points(self) -> Mapping[str, Point]:
        return {"centre": (0.0, 0.0)}

    def way(self, parts: Mapping[str, Part]) -> float:
        """How the slider's direction lies along the screw's axis, towards its viewer: a cosine."""
        held = parts[self.drives.part].held()
        assert isinstance(held, Slides)
        side = VIEWS[view_of(self.drives.part, parts)]
        room = [
            math.cos(held.direction) * a + math.sin(held.direction) * b
            for a, b in zip(side.x, side.y, strict=True)
        ]
        return dot(room, VIEWS[view_of(self.name, parts)].near)

    def couples(self, parts: Mapping[str, Part]) -> Iterable[Coupling]:
        way = self.way(parts)
        if abs(way) > ALIGNED:
            lead = self.starts * self.pitch / math.tau
            yield Coupling(self.name, self.drives.part, -self.sense * math.copysign(lead, way))

    def misfits(self, piece: Standing) -> Iterable[Wrong]:
        parts = piece.parts
        nut = parts[self.drives.part]
        if abs(self.way(parts)) <= ALIGNED:
            view = view_of(self.name, parts)
            word = {"side": "right", "top": "up"}.get(view)
            shaft = turning_part(parts, self.name)
            mend = (
                f"'{nut.name}.slides: {word}'"
                if word and view_of(nut.name, parts) == "front"
                else f"'{shaft}.view: side' with a slide that goes right, or 'view: top' with one that goes up"
            )
            yield Wrong(
                f"'{nut.name}' doesn't slide along '{self.name}', whose axis is seen end-on from the {view}",
                mend,
                key="drives",
            )
            return
        if not nut.guide.ideal:  # type: ignore[attr-defined]
            yield Wrong(
                f"the nut holds '{nut.name}' level on the screw, so its guide can't tilt it",
                f"'{nut.name}.guide.ideal: yes'",
                key="drives",
            )
        driven = driven_parts(parts, self.name)
        mine = turning_part(parts, self.name)
        if nut.name in driven and mine not in driven and self.friction is not None:
            rho = math.atan(self.flanked(self.friction.low))
            if self.lead_angle <= rho:
                yield Wrong(
                    f"'{nut.name}' would turn the screw '{self.name}' backwards, and it locks: its lead angle of {math.degrees(self.lead_angle):.1f} degrees is under its friction angle of {math.degrees(rho):.1f}",
                    f"'starts: {math.ceil(1.5 * self.starts * math.tan(rho) / math.tan(self.lead_angle))}' for a steeper thread",
                    key="drives",
                )

    def suited(self, piece: Standing) -> tuple[Self, Iterable[str]]:
        if along_of(self.name, piece.parts, math.inf) != math.inf:
            return self, ()
        nut = piece.parts[self.drives.part]
        points = nut.points()
        middle = piece.pose(nut.name).place(((points["pin"][0] + points["tip"][0]) / 2, 0.0))
        room = plane(nut.name, piece).room(middle)
        return self.model_copy(update={"along": dot(room, plane(self.name, piece).near)}), ()

    def flanked(self, friction: float) -> float:
        """Coefficient that counts along the thread, mu over the cosine of its flank."""
        return friction / math.cos(self.flank)

    def weigh(self, shop: Workshop) -> Weight:
        return disc(self.diameter / 2, shop.density(self) * self.length)

    def build(self, shop: Workshop) -> None:
        from animator.world.crossing import mesh_nut

        nut = shop.scene.parts[self.drives.part]
        friction = self.flanked(
            shop.friction(self.friction, shop.stuff_of(self)[0], shop.stuff_of(nut)[0])
        )
        mesh_nut(shop, self, friction, math.copysign(1.0, self.way(shop.scene.parts)))

    def predict(self, motion: "Motion") -> Iterable[Prediction]:
        drive = motion.drive
        if drive is not None and turning_part(motion.scene.parts, self.name) == drive.shaft:
            yield Prediction(
                f"{self.drives.part}.travel",
                self.starts * self.pitch,
                "a screw moves its nut by its lead for each turn",
            )

    def draw(self, pen: Pen) -> None:
        stuff = pen.stuff("steel")[0]
        pen.disc((0.0, 0.0), self.diameter / 2, stuff, 2.0, 6, 0, (0.8,), sort="screw")

    def draw_across(self, pen: Pen) -> None:
        thread = TurnedThread(
            self.diameter / 2,
            self.pitch,
            self.starts,
            self.sense,
            0.25 * self.pitch,
            self.length / 2,
        )
        pen.screw(thread, pen.stuff("steel")[0], self.drives.part)
