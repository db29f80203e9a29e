"""What pin wheels and paddle gears share: spokes that push the spokes of another wheel, which is set so that it starts clear."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from typing import TYPE_CHECKING, Annotated, ClassVar, Self

from animator.geometry import Point, Pose
from animator.parts._contract import Part, Prediction, Rides, Standing, Workshop
from animator.parts._fields import TURNING_PART, Friction, Hidden, PartOf, Ref
from animator.parts._right_angles import PIN_LENGTH, corner, passing, sheet_of
from animator.parts._spokes import Spokes, clearest, pairs, set_clear
from animator.parts._views import VIEWS, Triple, along_of, dot, stand_of, view_of
from animator.trains import Coupling, Spacing, turning_part
from animator.units import Wrong

if TYPE_CHECKING:
    from animator.motion.motion import Motion

ASIDE = 0.1  # of a wheel's radius: how far its axis may pass beside that of the wheel it turns a corner with
DIP = 2.0  # mm; how deep pins that turn a corner should dip past each other's ends; a deep one catches the next pin
DEEPEST = 5.0  # mm; and may
MEETING = PIN_LENGTH / 2 + 3.0  # mm; from the middle of a disc to the middle of its pins
OVERLAP = (
    1 / 3
)  # of the finer wheel's tooth pitch: how deep the tip circles of paddles dip into one another; common practice, no source


class CrudeWheel(Part):
    """A wheel with pins or paddles that turns with what it is ``on`` and may push, or be pushed by, another such wheel."""

    says: ClassVar[Mapping[str, str]] = {
        "on": "what it is fixed to and turns with",
        "meshes_with": "the wheel it pushes or is pushed by; one of the two says so",
        "friction": "where they rub; left out, that of the two materials",
    }

    turns_freely = True

    on: Annotated[Ref, PartOf(TURNING_PART)]
    meshes_with: Annotated[Ref, PartOf("paddle gear", "pin wheel")] | None = None
    friction: Friction | None = None
    phase: Annotated[float, Hidden] = 0.0
    """Where its first spoke stands in its own frame, set so that it starts clear; filled in by assembly. [rad]"""

    @property
    def spokes(self) -> Spokes:
        """What it has round it."""
        raise NotImplementedError

    @property
    def rubs(self) -> str:
        """Stuff of its spokes, '' for the part's own."""
        return ""

    def held(self) -> Rides:
        return Rides(self.on)

    def points(self) -> Mapping[str, Point]:
        return {"centre": (0.0, 0.0)}

    # ------------------------------------------------------------ how it meshes
    def partner(self, parts: Mapping[str, Part]) -> CrudeWheel | None:
        """Give the crude wheel it meshes with in its own plane, if it names one."""
        if self.meshes_with is None:
            return None
        other = parts.get(self.meshes_with.part)
        return other if isinstance(other, CrudeWheel) else None

    def couples(self, parts: Mapping[str, Part]) -> Iterable[Coupling]:
        other = self.partner(parts)
        if other is None:
            return
        ratio = other.spokes.count / self.spokes.count
        if not self.is_across(other, parts):
            yield Coupling(other.name, self.name, -ratio)
            return
        places = stand_of(other.name, parts), stand_of(self.name, parts)
        if places[0] is not None and places[1] is not None:
            meets = corner(other.name, self.name, parts, Pose(*places[0]), Pose(*places[1]))
            yield Coupling(other.name, self.name, meets.way * meets.other_way * ratio)

    def is_across(self, other: Part, parts: Mapping[str, Part]) -> bool:
        """Whether the other turns in another view."""
        return view_of(self.name, parts) != view_of(other.name, parts)

    def depth(self, other: CrudeWheel) -> float:
        """How deep the tip circles of both should dip into one another. [mm]"""
        mine, theirs = self.spokes, other.spokes
        if not (mine.outer - mine.inner or theirs.outer - theirs.inner):
            return mine.half + theirs.half  # pin circles that touch
        return OVERLAP * min(each.pitch * each.tip for each in (mine, theirs))

    def spaces(self, parts: Mapping[str, Part]) -> Iterable[Spacing]:
        other = self.partner(parts)
        if other is not None and not self.is_across(other, parts):
            apart = other.spokes.tip + self.spokes.tip - self.depth(other)
            why = f"{other.counted} and {self.counted}"
            yield Spacing(other.name, self.name, round(apart, 2), why, math.inf)

    @property
    def counted(self) -> str:
        """Its spokes in words: ``12 pins``."""
        raise NotImplementedError

    def suited(self, piece: Standing) -> tuple[Self, Iterable[str]]:
        return self.model_copy(update={"phase": settled(self, piece).phase}), ()

    def misfits(self, piece: Standing) -> Iterable[Wrong]:
        other = self.partner(piece.parts)
        if other is None or self.meshes_with is None:
            return
        yield from ring(self, other, piece.parts)
        here, there = piece.pose(self.name), piece.pose(other.name)
        yield from too_thick(self, other)
        if self.is_across(other, piece.parts):
            yield from self._round_the_corner(other, piece)
            return
        apart = math.hypot(here.x - there.x, here.y - there.y)
        short = apart - self.spokes.tip - other.spokes.tip
        if short >= 0:
            yield Wrong(
                f"{self.described} and {other.described} don't reach each other: {max(short, 0.01):.3g} mm are missing",
                f"{max((self, other), key=lambda each: each.spokes.outer - each.spokes.inner).longer(short + self.depth(other))}, or their middles {apart - short - self.depth(other):.4g} mm apart (now {apart:.4g})",
                key="meshes with",
            )
        if min(self.spokes.tip, other.spokes.tip) > apart:
            yield Wrong(
                f"{self.described} and {other.described} reach past each other's middle",
                f"their middles {other.spokes.tip + self.spokes.tip - self.depth(other):.4g} mm apart (now {apart:.4g})",
                key="meshes with",
            )

        if short < 0 and not piece.turned:
            made = settled(self, piece)
            deep = -start_gap(settled(other, piece), made, piece)
            if deep > 0:
                yield Wrong(
                    f"{self.described} and {other.described} stand {deep:.2g} mm in each other however they are set",
                    f"thinner ones, or their middles {apart + max(deep, 0.1) + self.depth(other) / 2:.4g} mm apart (now {apart:.4g})",
                    key="meshes with",
                )

    def _round_the_corner(self, other: CrudeWheel, piece: Standing) -> Iterable[Wrong]:
        """Refuse wheels at right angles that pass beside each other."""
        here, there = piece.pose(other.name), piece.pose(self.name)
        meets = corner(other.name, self.name, piece.parts, here, there)
        if abs(meets.aside) > ASIDE * self.spokes.outer:
            yield Wrong(
                f"the axes of '{self.name}' and '{other.name}' pass {abs(meets.aside):.4g} mm beside each other; wheels of pins turn a corner only where their axes meet",
                "one of their shafts straight before, above or beside the other",
                key="meshes with",
            )
            return
        for wheel, far, mate in ((other, meets.short, self), (self, meets.other_short, other)):
            dip = sheet_of(mate) / 2 + PIN_LENGTH - far
            if 0.5 <= dip <= DEEPEST:
                continue
            told = (
                f"miss those of '{mate.name}' by {0.5 - dip:.3g} mm"
                if dip < 0.5
                else f"dip {dip:.3g} mm past the ends of those of '{mate.name}' and catch"
            )
            along = along_of(mate.name, piece.parts)
            due = round(along + inwards(mate, wheel, piece) * (DIP - dip), 2)
            yield Wrong(
                f"{wheel.described}, {PIN_LENGTH:g} mm long, {told}",
                f"'{mate.name}.along: {due:g}' (now {along:g})",
                key="meshes with",
            )
            return

    @property
    def described(self) -> str:
        """Its spokes by its name: ``the 12 pins of 'trundle'``."""
        return f"the {self.counted} of '{self.name}'"

    def longer(self, by: float) -> str:
        """Write what would let it reach so much farther. [mm]"""
        raise NotImplementedError

    def thinner(self, room: float) -> str:
        """Write what would let it pass a gap of so much. [mm]"""
        raise NotImplementedError

    # ------------------------------------------------------------ the run
    def build(self, shop: Workshop) -> None:
        other = self.partner(shop.scene.parts)
        if other is None:
            return
        if self.is_across(other, shop.scene.parts):
            from animator.world.crossing import mesh_pins_across

            mesh_pins_across(shop, other, self)
            return
        from animator.world.spokes import mesh_spokes

        mesh_spokes(shop, other, self)

    def predict(self, motion: Motion) -> Iterable[Prediction]:
        other = self.partner(motion.scene.parts)
        if other is None or motion.drive is None:
            return
        driven, driver = self, other
        if turning_part(motion.scene.parts, other.name) != motion.drive.shaft:
            driven, driver = other, self
        if turning_part(motion.scene.parts, driver.name) == motion.drive.shaft:
            yield Prediction(
                f"{driven.name}.turns",
                math.tau * driver.spokes.count / driven.spokes.count,
                "mean turning for each turn of the driver, by counting: every spoke that comes round moves one on",
            )


def inwards(mate: CrudeWheel, wheel: CrudeWheel, piece: Standing) -> float:
    """Tell which way along its axis a wheel comes nearer to the axis of another that it turns a corner with: +1 or -1."""
    axis = VIEWS[view_of(mate.name, piece.parts)].near
    return math.copysign(
        1.0, dot(room(wheel.name, piece), axis) - along_of(mate.name, piece.parts)
    )


def room(name: str, piece: Standing) -> Triple:
    """Give where a part's middle stands in the room. [mm]"""
    pose = piece.pose(name)
    return VIEWS[view_of(name, piece.parts)].room((pose.x, pose.y), along_of(name, piece.parts))


def ring(wheel: Part, other: Part, parts: Mapping[str, Part]) -> Iterable[Wrong]:
    """Refuse wheels that mesh in a ring, each saying that it meshes with the next."""
    seen, name = [wheel.name], other.name
    while name in parts and name not in seen:
        seen.append(name)
        meshes = getattr(parts[name], "meshes_with", None)
        if not isinstance(meshes, Ref):
            return  # none, or a gear's, which tells its own
        name = meshes.part
    if name == wheel.name:
        what = (
            f"'{wheel.name}' and '{other.name}' each say that they mesh with the other"
            if len(seen) == 2
            else f"these mesh in a ring and can't turn: {', '.join([*seen, wheel.name])}"
        )
        yield Wrong(what, "it at one of them only", key="meshes with")


def too_thick(first: CrudeWheel, second: CrudeWheel) -> Iterable[Wrong]:
    """Refuse spokes that are thicker than the other wheel's gaps."""
    for one, other in ((first, second), (second, first)):
        room = other.spokes.gap
        if 2 * one.spokes.half >= room:
            yield Wrong(
                f"{one.described} are {2 * one.spokes.half:.3g} mm thick; the gaps of '{other.name}' are {room:.3g} mm wide",
                f"{one.thinner(room)}, or fewer of one or the other",
                key="meshes with",
            )
            return


def settled(wheel: CrudeWheel, piece: Standing, depth: int = 0) -> CrudeWheel:
    """Give a wheel set round so that it starts clear of what it meshes with, which is set first."""
    other = wheel.partner(piece.parts)
    if other is None or depth > len(piece.parts):
        return wheel
    other = settled(other, piece, depth + 1)
    here, there = piece.pose(other.name), piece.pose(wheel.name)
    plain = wheel.model_copy(update={"phase": 0.0}).spokes
    if wheel.is_across(other, piece.parts):
        meets = corner(other.name, wheel.name, piece.parts, here, there)

        def clear(by: float) -> float:
            near = passing(other.spokes, plain.turned(by), meets, here.angle, there.angle)
            return near[0].gap if near else math.inf

        return wheel.model_copy(update={"phase": clearest(clear, plain.pitch)})
    spokes = set_clear(
        other.spokes, plain, here.local((there.x, there.y)), there.angle - here.angle
    )
    return wheel.model_copy(update={"phase": spokes.phase})


def start_gap(first: CrudeWheel, second: CrudeWheel, piece: Standing) -> float:
    """Least clear way between two wheels where they stand; infinite where nothing is near. [mm]"""
    here, there = piece.pose(first.name), piece.pose(second.name)
    near = pairs(
        first.spokes, second.spokes, *here.local((there.x, there.y)), there.angle - here.angle
    )
    return near[0][1] if near else math.inf
