"""A straight bar with teeth: a gear on it makes turning of sliding, and sliding of turning."""

import math
from collections.abc import Iterable, Mapping
from typing import TYPE_CHECKING, Annotated, ClassVar, Self

from pydantic import model_validator

from animator.geometry import Point, Pose
from animator.parts._contract import (
    PARTS,
    Part,
    Pen,
    Prediction,
    Slides,
    Standing,
    Weight,
    Workshop,
)
from animator.parts._fields import (
    Direction,
    Friction,
    Guide,
    Length,
    Number,
    PartOf,
    Ref,
    Signed,
    Size,
)
from animator.parts._involute import (
    ADDENDUM,
    DEDENDUM,
    contact_path,
    phases_of,
    rack_outline,
)
from animator.parts._slot import Beyond
from animator.parts._solid import bar
from animator.parts._views import view_of
from animator.parts.gear import LEAST_PLAY, Gear
from animator.trains import Coupling, Spacing, turning_part
from animator.units import Wrong, show

if TYPE_CHECKING:
    from animator.motion.motion import Motion

CLOSE = 0.1  # modules; how far its pitch line may lie off the gear's pitch circle
PLAIN = 8.0  # mm; of the bar beyond its teeth at either end, for a pin


@PARTS.add("rack")
class Rack(Part):
    """``teeth`` along a bar that slides in its guide; they lie to the left of the way it ``slides``, so with ``slides: right`` they look up.

    Its guide's place is on its pitch line: ``guide: {at: below pinion}`` stands where the teeth say.
    """

    as_written = "rack: {kind: rack, slides: right, guide: {at: below pinion, length: 60}, teeth: 20, meshes with: pinion}"

    says: ClassVar[Mapping[str, str]] = {
        "slides": "the way it slides; its teeth lie to the left of that",
        "guide": "the channel it slides in, its place on the pitch line",
        "teeth": "how many; the gear's module makes them as long as they are",
        "meshes_with": "the gear that works on it",
        "height": "of the bar below its teeth",
        "play": "what its teeth leave in the gaps of a like rack, along the pitch line",
        "friction": "of its teeth on the gear's; left out, that of the two materials",
        "starts_at": "how far along its way its middle stands from the guide's middle at the start",
    }

    also_called = ("toothed bar", "toothed rack", "rack and pinion")

    slides: Direction
    guide: Guide
    teeth: Annotated[int, Number(3, 200)]
    meshes_with: Annotated[Ref, PartOf("gear")]
    height: Size = 6.0
    play: Length = 0.1
    friction: Friction | None = None
    starts_at: Signed = 0.0

    @model_validator(mode="after")
    def _has_play(self) -> "Rack":
        if self.play < LEAST_PLAY:
            raise Wrong(
                f"teeth with {show(self.play, 'length')} of play bind",
                f"'play: {LEAST_PLAY:g}' or more",
                key="play",
            )
        return self

    def mirrored(self) -> Self:
        """Turned left to right its teeth lie on the right of the way it slid, so it is told by the way that has them on the left."""
        turned = super().mirrored()
        return turned.model_copy(update={"slides": -self.slides, "starts_at": -self.starts_at})

    def held(self) -> Slides:
        return Slides(self.guide.at, self.slides, self.starts_at)

    def points(self) -> Mapping[str, Point]:
        # its module is its gear's, so its ends are told once the pieces are together; a pin goes through its middle
        return {"middle": (0.0, 0.0)}

    def gear(self, parts: Mapping[str, Part]) -> Gear:
        """Give the gear that works on it."""
        found = parts[self.meshes_with.part]
        assert isinstance(found, Gear)
        return found

    def half_length(self, parts: Mapping[str, Part]) -> float:
        """Half of how long its teeth are together. [mm]"""
        return self.teeth * math.pi * self.gear(parts).module / 2

    def couples(self, parts: Mapping[str, Part]) -> Iterable[Coupling]:
        yield Coupling(self.name, self.meshes_with.part, 1 / self.gear(parts).toothing.radius)

    def spaces(self, parts: Mapping[str, Part]) -> Iterable[Spacing]:
        gear = self.gear(parts)
        yield Spacing(
            gear.name,
            self.name,
            gear.toothing.radius,
            f"{gear.teeth} teeth of module {gear.module:g}",
            math.inf,
        )

    def _from_gear(self, piece: Standing) -> Point:
        """Where its gear's middle is in its own frame. [mm]"""
        x, y, _ = piece.pose(self.meshes_with.part)
        return piece.pose(self.name).local((x, y))

    def misfits(self, piece: Standing) -> Iterable[Wrong]:
        parts, gear = piece.parts, self.gear(piece.parts)
        here, there = view_of(self.name, parts), view_of(gear.name, parts)
        if here != there:
            yield Wrong(
                f"'{self.name}' slides in the view from the {here}, '{gear.name}' turns in that from the {there}",
                f"'view: {there}'",
                key="meshes with",
            )
            return
        x, y = self._from_gear(piece)
        radius = gear.toothing.radius
        if abs(y - radius) > CLOSE * gear.module:
            yield Wrong(
                f"the pitch line of '{self.name}' passes {abs(y):.4g} mm {'under' if y > 0 else 'over'} the middle of '{gear.name}', but {gear.teeth} teeth of module {gear.module:g} roll at {radius:g} mm"
                + ("" if y > 0 else ", with the rack's teeth towards it"),
                f"'at: {self._side(gear)} {gear.name}', and the teeth decide",
                key="guide.at",
            )
            return
        before, after = contact_path(gear.toothing, None, 0.0)
        room = self.half_length(parts) - max(before, after)
        if abs(x) > room:
            yield Beyond(
                abs(x) - room,
                f"'{self.name}' leaves its gear: the teeth end {abs(x) - room:.3g} mm too early",
                f"'teeth: {self.teeth + math.ceil(2 * (abs(x) - room) / (math.pi * gear.module))}', or less travel",
                key="teeth",
            )

        at = self.guide.at
        gx, gy = (
            piece.point(at.ref.part, at.ref.point)
            if at.ref is not None and at.ref.part in parts
            else (0.0, 0.0)
        )
        beside, _ = piece.pose(self.name).local((gx + at.offset[0], gy + at.offset[1]))
        left = self.half_length(parts) + PLAIN - abs(beside) - self.guide.length / 2
        if left < 0:
            yield Beyond(
                -left,
                f"'{self.name}' comes out of its guide by {-left:.3g} mm",
                f"'length: {max(self.guide.length + 2 * left, 10.0):.0f}' for the guide, or more teeth",
                key="guide.length",
            )

    def _side(self, gear: Gear) -> str:
        c, s = math.cos(self.slides), math.sin(self.slides)
        if abs(c) > abs(s):
            return "below" if c > 0 else "above"
        return "right of" if s > 0 else "left of"

    def weigh(self, shop: Workshop) -> Weight:
        gear = self.gear(shop.scene.parts)
        half = self.half_length(shop.scene.parts) + PLAIN
        high = self.height + 0.5 * (ADDENDUM + DEDENDUM) * gear.module
        density = shop.density(self) * shop.stuff_of(self)[1] * high
        return bar((-half, 0.0), (half, 0.0), density, high)

    def tooth_offset(self, parts: Mapping[str, Part], poses: Mapping[str, Pose]) -> float:
        """How far along it the middle of a tooth lies from its own middle, so that it meshes. [mm]"""
        gear = self.gear(parts)
        mine, other = poses[self.name], poses[gear.name]
        x, _ = mine.local((other.x, other.y))
        phase = phases_of(parts, poses)[0][gear.name]
        pitch = math.pi * gear.module
        lowest = other.angle + phase - mine.angle + math.pi / 2
        at = x + gear.toothing.radius * lowest + pitch / 2
        return at - pitch * round(at / pitch)

    def build(self, shop: Workshop) -> None:
        parts = shop.scene.parts
        gear = self.gear(parts)
        half = self.half_length(parts) + PLAIN
        shop.guide(self, self.guide, self.slides, ((-half, 0.0), (half, 0.0)), self.height)
        from animator.world.meshing import mesh_rack

        mu = shop.friction(self.friction, shop.stuff_of(self)[0], shop.stuff_of(gear)[0])
        phase = phases_of(parts, shop.scene.starts)[0][gear.name]
        mesh_rack(shop, self, gear, self.tooth_offset(parts, shop.scene.starts), phase, mu)

    def draw(self, pen: Pen) -> None:
        stuff, thickness = pen.stuff()
        parts = pen.scene.parts
        gear = self.gear(parts)
        shift = self.tooth_offset(parts, pen.scene.starts)
        pitch, half = math.pi * gear.module, self.half_length(parts)
        # an odd count has a tooth in the middle, an even one a gap
        shift += 0.0 if self.teeth % 2 else (pitch / 2 if shift < 0 else -pitch / 2)
        edge = [(x + shift, y) for x, y in rack_outline(gear.module, self.play, self.teeth)]
        low = edge[0][1]
        ends = [(-half - PLAIN, low), *edge[1:-1], (half + PLAIN, low)]
        pen.rail(
            self.guide, self.slides, -DEDENDUM * gear.module - self.height, 0.55 * self.height
        )
        pen.rack(ends, self.height, stuff, thickness)

    def predict(self, motion: "Motion") -> Iterable[Prediction]:
        parts, drive = motion.scene.parts, motion.drive
        gear = self.gear(parts)
        if drive is not None and turning_part(parts, gear.name) == drive.shaft:
            turned = drive.angle[motion.begins :]
            yield Prediction(
                f"{self.name}.travel",
                float(turned.max() - turned.min()) * gear.toothing.radius,
                "pitch radius times the turning",
            )
