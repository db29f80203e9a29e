"""A wheel with teeth on its face: a gear that stands across it turns it, so that the turning goes on at right angles."""

import math
from collections.abc import Callable, Iterable, Mapping
from typing import TYPE_CHECKING, Annotated, ClassVar, Literal, Self

from animator.geometry import Point
from animator.parts._contract import (
    PARTS,
    Part,
    Pen,
    Prediction,
    Rides,
    Standing,
    Weight,
    Workshop,
)
from animator.parts._corner_teeth import (
    AWAY,
    Corner,
    crown_corner,
    mean_slide,
    phase_at,
    stands,
)
from animator.parts._fields import Choice, Friction, Length, Number, PartOf, Ref
from animator.parts._involute import DEDENDUM, phases_of
from animator.parts._solid import disc
from animator.parts._views import VIEWS, Triple, along_of, dot, stand_of, view_of
from animator.parts.gear import Gear
from animator.trains import Coupling, Spacing, turning_part
from animator.units import Wrong

if TYPE_CHECKING:
    from animator.motion.motion import Motion

SIDES: Mapping[str, Triple] = {
    "above": (0.0, 1.0, 0.0),
    "below": (0.0, -1.0, 0.0),
    "right": (1.0, 0.0, 0.0),
    "left": (-1.0, 0.0, 0.0),
    "behind": (0.0, 0.0, 1.0),
    "before": (0.0, 0.0, -1.0),
}
Lies = Annotated[
    Literal["above", "below", "right", "left", "behind", "before"], Choice(tuple(SIDES))
]
FEWEST = 2.0  # times its gear's teeth that a crown wheel should have, or the inner ends of its teeth get thin (common practice, no source)


@PARTS.add("crown wheel")
class CrownWheel(Part):
    """``teeth`` of its gear's module stand on its face; it ``lies`` above, below or beside the gear it ``meshes with``."""

    as_written = "crown: {kind: crown wheel, on: upright, teeth: 30, meshes with: small gear}"

    says: ClassVar[Mapping[str, str]] = {
        "on": "the shaft it turns with, in another view than its gear's",
        "teeth": "how many; its size follows from its gear's module",
        "meshes_with": "the gear that works in it",
        "lies": "on which side of the gear: above or below with an upright shaft, right or left with a level one",
        "play": "what its teeth leave in the gaps of a like wheel, along the pitch circle",
        "friction": "of its teeth on the gear's; left out, that of the two materials",
    }

    turns_freely = True
    crosses_views = True
    also_called = ("contrate wheel", "face gear", "crown gear", "contrate")

    on: Annotated[Ref, PartOf("shaft")]
    teeth: Annotated[int, Number(8, 400)]
    meshes_with: Annotated[Ref, PartOf("gear")]
    lies: Lies = "above"
    play: Length = 0.1
    friction: Friction | None = None

    def held(self) -> Rides:
        return Rides(self.on)

    def points(self) -> Mapping[str, Point]:
        return {"centre": (0.0, 0.0)}

    def gear(self, parts: Mapping[str, Part]) -> Gear:
        """Give the gear that works in it."""
        found = parts[self.meshes_with.part]
        assert isinstance(found, Gear)
        return found

    def radius_with(self, parts: Mapping[str, Part]) -> float:
        """Radius on which the middles of its teeth stand. [mm]"""
        return self.gear(parts).module * self.teeth / 2

    def corner(
        self, parts: Mapping[str, Part], where: Callable[[str], Point | None]
    ) -> Corner | None:
        """Tell how it meets its gear."""
        return crown_corner(self.meshes_with.part, self.name, SIDES[self.lies], parts, where)

    def _is_across(self, parts: Mapping[str, Part]) -> bool:
        return view_of(self.name, parts) != view_of(self.meshes_with.part, parts)

    def couples(self, parts: Mapping[str, Part]) -> Iterable[Coupling]:
        corner = (
            self.corner(parts, lambda name: stand_of(name, parts))
            if self._is_across(parts)
            else None
        )
        if corner is not None:
            yield Coupling(self.meshes_with.part, self.name, corner.ratio)

    def spaces(self, parts: Mapping[str, Part]) -> Iterable[Spacing]:
        if self._is_across(parts):
            gear = self.gear(parts)
            yield Spacing(
                gear.name,
                self.name,
                self.radius_with(parts),
                f"{self.teeth} teeth of module {gear.module:g}",
                math.inf,
            )

    def suited(self, piece: Standing) -> tuple[Self, Iterable[str]]:
        corner = self.corner(piece.parts, stands(piece))
        if corner is None or along_of(self.name, piece.parts, math.inf) != math.inf:
            return self, ()
        near = VIEWS[view_of(self.name, piece.parts)].near
        return self.model_copy(update={"along": dot(corner.place, near)}), ()

    def misfits(self, piece: Standing) -> Iterable[Wrong]:
        if piece.turned:
            return
        parts, gear = piece.parts, self.gear(piece.parts)
        here, there = view_of(self.name, parts), view_of(gear.name, parts)
        shaft = turning_part(parts, self.name)
        if here == there:
            other = "top" if there != "top" else "front"
            stands_ = "behind" if other == "top" else "above"
            yield Wrong(
                f"'{self.name}' turns in the same plane as its gear '{gear.name}'; a crown wheel stands at right angles to it",
                f"'{shaft}.view: {other}' and '{shaft}.at: {stands_} {gear.name}'",
                key="on",
            )
            return
        near = VIEWS[here].near
        if abs(dot(SIDES[self.lies], near)) < 0.5:
            fit = [word for word, way in SIDES.items() if abs(dot(way, near)) > 0.5]
            yield Wrong(
                f"'{self.name}' can't lie {self.lies} '{gear.name}': its shaft doesn't run that way",
                f"'lies: {fit[0]}' or 'lies: {fit[1]}'",
                key="lies",
            )
            return
        corner = self.corner(parts, stands(piece))
        assert corner is not None
        pose, radius = piece.pose(self.name), self.radius_with(parts)
        x, y, along = VIEWS[here].seen(corner.place)
        away = math.hypot(x - pose.x, y - pose.y)
        if abs(corner.aside) > AWAY:
            yield Wrong(
                f"the shafts of '{self.name}' and '{gear.name}' pass {abs(corner.aside):.4g} mm from each other; they must meet",
                f"'{shaft}.at: behind {gear.name}'"
                if here == "top"
                else "a place for it in line with the gear's shaft",
                key="on",
            )
        elif abs(away - radius) > AWAY:
            yield Wrong(
                f"'{self.name}' meets '{gear.name}' {away:.4g} mm from its middle, but {self.teeth} teeth of module {gear.module:g} stand on a circle of radius {radius:g}",
                f"'{shaft}.at: {radius:g} behind {gear.name}'"
                if here == "top"
                else f"its shaft {radius:g} mm from where the gear stands along its own",
                key="on",
            )
        written = along_of(self.name, parts, math.inf)
        if written != math.inf and abs(written - along) > AWAY + 0.2 * gear.module:
            yield Wrong(
                f"'{self.name}' stands {written:.4g} along its shaft, but the teeth of '{gear.name}' reach it at {along:.4g}",
                f"'along: {along:.4g}', or left out",
                key="along",
            )

    def weigh(self, shop: Workshop) -> Weight:
        rim = self.radius_with(shop.scene.parts) + self.gear(shop.scene.parts).module
        return disc(rim, shop.density(self) * shop.stuff_of(self)[1])

    def build(self, shop: Workshop) -> None:
        parts = shop.scene.parts
        gear = self.gear(parts)
        corner = self.corner(parts, lambda name: shop.pose(name)[:2])
        assert corner is not None
        from animator.world.corner_teeth import mesh_corner

        mu = shop.friction(self.friction, shop.stuff_of(self)[0], shop.stuff_of(gear)[0])
        toothing = gear.toothing
        # along a crown wheel's face a gear rolls as on a rack
        mesh_corner(
            shop,
            self.name,
            gear.name,
            self.name,
            corner,
            toothing.base,
            gear.module,
            (self.play + gear.play) / 2,
            (mean_slide(toothing, None), 0.0),
            mu,
        )
        if self.teeth < FEWEST * gear.teeth:
            shop.remark(
                f"{self.name} has fewer than {FEWEST:g} times the teeth of {gear.name}: the inner ends of its teeth get thin"
            )

    def tooth_phase(self, pen: Pen) -> float:
        """Angle of the middle of one of its teeth in its own frame. [rad]"""
        parts, starts = pen.scene.parts, pen.scene.starts
        corner = self.corner(parts, lambda name: starts[name][:2])
        assert corner is not None
        gear = self.gear(parts)
        phase = phases_of(parts, starts)[0][gear.name]
        return phase_at(
            corner,
            (starts[gear.name].angle, phase, gear.teeth),
            (starts[self.name].angle, self.teeth),
        )

    def draw(self, pen: Pen) -> None:
        stuff, thickness = pen.stuff()
        gear = self.gear(pen.scene.parts)
        radius, broad = self.radius_with(pen.scene.parts), pen.thickness_of(gear.name)
        pen.disc((0.0, 0.0), radius + 0.6 * broad, stuff, thickness, 7, sort="crown wheel")
        pen.crown_teeth(self.teeth, radius, broad, gear.module, stuff, self.tooth_phase(pen))
        pen.hub((0.0, 0.0), min(6.5, 0.36 * radius))

    def draw_across(self, pen: Pen) -> None:
        stuff, thickness = pen.stuff()
        parts = pen.scene.parts
        gear = self.gear(parts)
        module, radius = gear.module, self.radius_with(parts)
        way = -1 if dot(SIDES[self.lies], VIEWS[view_of(self.name, parts)].near) > 0 else 1
        face = -way * DEDENDUM * module
        pen.edge_disc(
            min(7.0, 0.3 * radius),
            thickness + 8.0,
            "brass",
            face - way * thickness,
            3,
            sort="hub",
        )
        pen.edge_crown(
            self.teeth,
            radius,
            0.5 * math.pi * module,
            (1.0 + DEDENDUM) * module,
            stuff,
            face,
            way,
            self.tooth_phase(pen),
        )
        pen.edge_disc(
            radius + 0.6 * pen.thickness_of(gear.name),
            thickness,
            stuff,
            face - way * thickness / 2,
            7,
            sort="crown wheel",
        )

    def predict(self, motion: "Motion") -> Iterable[Prediction]:
        parts = motion.scene.parts
        gear = self.gear(parts)
        drive = motion.drive
        if drive is not None and turning_part(parts, gear.name) == drive.shaft:
            turned = float(drive.angle[-1] - drive.angle[motion.begins])
            yield Prediction(
                f"{self.name}.turns", abs(turned) * gear.teeth / self.teeth, "teeth over teeth"
            )
