"""A toothed cone: two of them carry a turning round a corner, at the ratio of their teeth."""

import math
from collections.abc import Callable, Iterable, Mapping
from typing import TYPE_CHECKING, Annotated, ClassVar, Self

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
    bevel_corner,
    mean_slide,
    phase_at,
    side_of,
    stands,
)
from animator.parts._fields import Friction, Length, Number, PartOf, Ref, Size
from animator.parts._involute import ADDENDUM, DEDENDUM, Toothing
from animator.parts._right_angles import shared
from animator.parts._solid import disc
from animator.parts._views import VIEWS, along_of, dot, stand_of, view_of
from animator.trains import Coupling, turning_part
from animator.units import Wrong

if TYPE_CHECKING:
    from animator.motion.motion import Motion
    from animator.scene.model import Scene

FACE = 0.3  # of the cone's slant length that the teeth are long, at most a third (common practice, no source)


@PARTS.add("bevel gear")
class BevelGear(Part):
    """Teeth on a cone, of one ``module`` at the cone's wide end; it ``meshes with`` another whose shaft meets its own at right angles, in another view.

    Where they stand along their shafts follows from their teeth; a written ``along`` says on which side of the other's shaft.
    """

    as_written = (
        "small bevel: {kind: bevel gear, on: upright, teeth: 20, module: 2, meshes with: bevel}"
    )

    says: ClassVar[Mapping[str, str]] = {
        "on": "the shaft it turns with, in another view than the other's",
        "teeth": "how many",
        "module": "its pitch diameter at the wide end over its teeth",
        "meshes_with": "the other one; only one of the two says so",
        "play": "what its teeth leave in the gaps of a like wheel, along the pitch circle",
        "friction": "of its teeth on the other's; left out, that of the two materials",
    }

    turns_freely = True
    crosses_views = True
    ends_its_shaft: ClassVar[bool] = True
    """Its shaft goes no farther: the other's would be in the way."""
    also_called = (
        "bevel",
        "mitre gear",
        "miter gear",
        "conical gear",
        "bevel pair",
        "bevel wheel",
    )

    on: Annotated[Ref, PartOf("shaft")]
    teeth: Annotated[int, Number(8, 400)]
    module: Size
    meshes_with: Annotated[Ref, PartOf("bevel gear")] | None = None
    play: Length = 0.1
    friction: Friction | None = None

    def held(self) -> Rides:
        return Rides(self.on)

    def points(self) -> Mapping[str, Point]:
        return {"centre": (0.0, 0.0)}

    @property
    def toothing(self) -> Toothing:
        """Its teeth at the wide end."""
        return Toothing(self.teeth, self.module, self.play)

    @property
    def mates(self) -> tuple[Ref, ...]:
        """What it meshes with in its own plane: nothing."""
        return ()

    def mate(self, parts: Mapping[str, Part]) -> "BevelGear | None":
        """Give the other one, whichever of the two says so."""
        if self.meshes_with is not None:
            found = parts.get(self.meshes_with.part)
            return found if isinstance(found, BevelGear) else None
        for part in parts.values():
            if (
                isinstance(part, BevelGear)
                and part.meshes_with is not None
                and part.meshes_with.part == self.name
            ):
                return part
        return None

    def corner(
        self, parts: Mapping[str, Part], where: Callable[[str], Point | None]
    ) -> Corner | None:
        """Tell how it meets what it says it meshes with, that one first."""
        if self.meshes_with is None or view_of(self.name, parts) == view_of(
            self.meshes_with.part, parts
        ):
            return None
        return bevel_corner(self.meshes_with.part, self.name, parts, where)

    def couples(self, parts: Mapping[str, Part]) -> Iterable[Coupling]:
        corner = self.corner(parts, lambda name: stand_of(name, parts))
        if corner is not None and self.meshes_with is not None:
            yield Coupling(self.meshes_with.part, self.name, corner.ratio)

    def stands_along(self, piece: Standing, mate: "BevelGear") -> float:
        """Where along its own shaft it must stand to mesh. [mm]"""
        parts = piece.parts
        pose = piece.pose(mate.name)
        apex = dot(
            VIEWS[view_of(mate.name, parts)].room((pose.x, pose.y)),
            VIEWS[view_of(self.name, parts)].near,
        )
        return apex + side_of(self.name, parts, apex) * mate.toothing.radius

    def suited(self, piece: Standing) -> tuple[Self, Iterable[str]]:
        mate = self.mate(piece.parts)
        if mate is None or view_of(mate.name, piece.parts) == view_of(self.name, piece.parts):
            return self, ()
        return self.model_copy(update={"along": self.stands_along(piece, mate)}), ()

    def misfits(self, piece: Standing) -> Iterable[Wrong]:
        mate = self.mate(piece.parts)
        if piece.turned or mate is None or self.meshes_with is None:
            return
        parts = piece.parts
        here, there = view_of(self.name, parts), view_of(mate.name, parts)
        shaft = turning_part(parts, self.name)
        if mate.module != self.module:
            yield Wrong(
                f"teeth of module {self.module:g} don't mesh with those of '{mate.name}', module {mate.module:g}",
                f"'module: {mate.module:g}'",
                key="module",
            )
            return
        if here == there:
            other = "top" if there != "top" else "front"
            yield Wrong(
                f"'{self.name}' turns in the same plane as '{mate.name}'; bevel gears carry a turning round a corner",
                f"'{shaft}.view: {other}', or two gears",
                key="on",
            )
            return
        corner = self.corner(parts, stands(piece))
        if corner is not None and abs(corner.aside) > AWAY:
            yield Wrong(
                f"the shafts of '{self.name}' and '{mate.name}' pass {abs(corner.aside):.4g} mm from each other; they must meet",
                self._moved(piece, shaft, corner.aside),
                key="on",
            )
        due = self.stands_along(piece, mate)
        if self.along is not None and abs(self.along - due) > AWAY + self.module:
            yield Wrong(
                f"'{self.name}' stands {self.along:.4g} along its shaft, but its teeth meet those of '{mate.name}' at {due:.4g}",
                f"'along: {due:.4g}', or left out",
                key="along",
            )

    def ends_low(self, scene: "Scene") -> bool:
        """Whether its shaft ends at it on the side away from its viewer, with the other one's shaft beyond."""
        mate = self.mate(scene.parts)
        if mate is None:
            return False
        apex = dot(
            VIEWS[view_of(mate.name, scene.parts)].room(scene.starts[mate.name][:2]),
            VIEWS[view_of(self.name, scene.parts)].near,
        )
        return along_of(self.name, scene.parts) >= apex

    def _moved(self, piece: Standing, shaft: str, aside: float) -> str:
        """Say where its shaft must stand so that it meets the other one."""
        assert self.meshes_with is not None
        here, there = (
            view_of(self.name, piece.parts),
            view_of(self.meshes_with.part, piece.parts),
        )
        x, y, _ = VIEWS[here].turned(shared(there, here))
        pose = piece.pose(self.name)
        return f"'{shaft}.at: [{pose.x - aside * x:g}, {pose.y - aside * y:g}]'"

    def half_angle(self, mate: "BevelGear") -> float:
        """Half the angle of its pitch cone. [rad]"""
        return math.atan2(self.teeth, mate.teeth)

    def face(self, mate: "BevelGear") -> float:
        """How long its teeth are along the cone. [mm]"""
        return FACE * math.hypot(self.toothing.radius, mate.toothing.radius)

    def weigh(self, shop: Workshop) -> Weight:
        mate = self.mate(shop.scene.parts)
        thick = self.face(mate) * math.cos(self.half_angle(mate)) if mate is not None else 6.0
        return disc(0.9 * self.toothing.radius, shop.density(self) * thick)

    def build(self, shop: Workshop) -> None:
        parts = shop.scene.parts
        corner = self.corner(parts, lambda name: shop.pose(name)[:2])
        mate = self.mate(parts)
        if corner is None or mate is None:
            return
        from animator.world.corner_teeth import mesh_corner

        mu = shop.friction(self.friction, shop.stuff_of(self)[0], shop.stuff_of(mate)[0])
        # the teeth of a cone work as those of the spur gears that its back cone unrolls to (Tredgold; Niemann, volume 2)
        cones = [
            math.cos(each.half_angle(other)) for each, other in ((mate, self), (self, mate))
        ]
        unrolled = [
            Toothing(max(round(each.teeth / cone), 8), self.module, each.play)
            for each, cone in zip((mate, self), cones, strict=True)
        ]
        slide = mean_slide(*unrolled)
        mesh_corner(
            shop,
            self.name,
            mate.name,
            self.name,
            corner,
            mate.toothing.base,
            self.module,
            (self.play + mate.play) / 2,
            (slide * cones[0], slide * cones[1]),
            mu,
        )

    def tooth_phase(self, pen: Pen) -> float:
        """Angle of the middle of one of its teeth in its own frame. [rad]"""
        parts, starts = pen.scene.parts, pen.scene.starts
        corner = self.corner(parts, lambda name: starts[name][:2])
        if corner is None or self.meshes_with is None:
            return 0.0
        mate = self.meshes_with.part
        other: BevelGear = parts[mate]
        return phase_at(
            corner,
            (starts[mate].angle, other.tooth_phase(pen), other.teeth),
            (starts[self.name].angle, self.teeth),
        )

    def draw(self, pen: Pen) -> None:
        stuff, thickness = pen.stuff("brass")
        mate = self.mate(pen.scene.parts)
        pen.gear(
            self.toothing, self.tooth_phase(pen), stuff, thickness, True, sort="bevel gear"
        )
        if mate is not None:
            inner = self.toothing.radius - self.face(mate) * math.sin(self.half_angle(mate))
            if inner > 4.0:
                pen.disc((0.0, 0.0), inner, stuff, 0.0, 2, sort="face of a bevel gear")
        pen.hub((0.0, 0.0), min(6.0, 0.36 * self.toothing.radius))

    def draw_across(self, pen: Pen) -> None:
        stuff, _ = pen.stuff("brass")
        parts = pen.scene.parts
        mate = self.mate(parts)
        if mate is None:
            pen.edge_plain()
            return
        angle, radius = self.half_angle(mate), self.toothing.radius
        long = self.face(mate) * math.cos(angle)
        starts = pen.scene.starts
        apex = dot(
            VIEWS[view_of(mate.name, parts)].room(starts[mate.name][:2]),
            VIEWS[view_of(self.name, parts)].near,
        )
        side = 1.0 if along_of(self.name, parts) >= apex else -1.0
        cos, module = math.cos(angle), self.module
        pen.edge_disc(0.55 * radius, 7.0, stuff, side * 3.0, 4, sort="boss of a bevel gear")
        pen.edge_teeth(
            self.teeth,
            radius - DEDENDUM * module * cos,
            radius + ADDENDUM * module * cos,
            long,
            stuff,
            -side * long / 2,
            phase=self.tooth_phase(pen),
            lean=-side * FACE,
            sort="bevel gear",
        )

    def predict(self, motion: "Motion") -> Iterable[Prediction]:
        parts, drive = motion.scene.parts, motion.drive
        mate = self.mate(parts)
        if (
            mate is not None
            and drive is not None
            and turning_part(parts, mate.name) == drive.shaft
        ):
            turned = float(drive.angle[-1] - drive.angle[motion.begins])
            yield Prediction(
                f"{self.name}.turns", abs(turned) * mate.teeth / self.teeth, "teeth over teeth"
            )
