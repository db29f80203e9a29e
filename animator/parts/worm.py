"""A thread on a shaft that pushes a wheel round across its own turning: cut on a cylinder, or a slit disc of sheet bent by hand."""

import math
from collections.abc import Iterable, Mapping
from dataclasses import replace
from typing import TYPE_CHECKING, Annotated, Any, ClassVar, Literal, Self

from pydantic import model_validator

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
from animator.parts._crude import ring
from animator.parts._fields import (
    Angle,
    Choice,
    FittedLength,
    Friction,
    Length,
    Material,
    Number,
    PartOf,
    Ref,
    Size,
)
from animator.parts._right_angles import Meeting, meeting, shared
from animator.parts._solid import disc
from animator.parts._spokes import clearest
from animator.parts._thread import (
    NORMAL,
    Follower,
    SheetThread,
    Thread,
    TurnedThread,
    set_between,
)
from animator.parts._views import VIEWS, Plane, Triple, along_of, dot, stand_of, view_of
from animator.trains import Coupling, turning_part
from animator.units import Wrong

if TYPE_CHECKING:
    from animator.motion.motion import Motion
    from animator.scene.model import Scene

SHORTEST, LONGEST = 0.55, 1.1  # of the step to either side: how much thread stands in the wheel
THINNEST = 0.3  # mm; half of a ridge that can still be cut
OFF = 0.2  # of the pins' thickness: how far middles may stand off before the thread misses them

Hand = Annotated[Literal["right", "left"], Choice(("right", "left"))]


@PARTS.add("worm")
class Worm(Part):
    """A thread of one ``diameter`` (where pins or teeth ride) that turns a wheel across its own view.

    Cut on a cylinder with so many ``starts``; or home-made: ``bent from: brass 0.5`` is a disc of sheet, slit and bent to one turn, which pushes unevenly.
    """

    as_written = (
        "worm: {kind: worm, on: worm shaft, diameter: 16, friction: waxed beech on brass}"
    )

    says: ClassVar[Mapping[str, str]] = {
        "on": "the shaft it turns with",
        "diameter": "where the pins or teeth ride on it, its mean diameter",
        "starts": "how many threads run side by side",
        "pitch": "along its axis from one thread to the next; fitted: as the wheel's pins or teeth",
        "hand": "which way its thread winds",
        "meshes_with": "the wheel it turns; a pin wheel may say so itself",
        "friction": "of its thread on the pins or teeth; left out, that of the two materials",
        "play": "what its thread leaves to a pin or tooth along its axis",
        "length": "how much of it is threaded; left out, as much as the pins can stand",
        "bent_from": "the sheet a home-made worm is bent from, with its thickness",
        "flats": "round the axis at each end of a bent sheet where it still lies square to its shaft",
    }
    examples: ClassVar[Mapping[str, str]] = {"bent_from": "brass 0.5"}

    crosses_views = True
    also_called = ("worm gear", "worm screw", "endless screw")

    on: Annotated[Ref, PartOf("shaft")]
    diameter: Size
    starts: Annotated[int, Number(1, 12)] = 1
    pitch: FittedLength = "fitted"
    hand: Hand = "right"
    meshes_with: Annotated[Ref, PartOf("pin wheel", "gear")] | None = None
    friction: Friction | None = None
    play: Length = 0.1
    length: Size | None = None
    bent_from: Material | None = None
    flats: Angle = math.radians(20)

    @model_validator(mode="after")
    def _can_be_made(self) -> "Worm":
        if self.bent_from is None:
            if "flats" in self.model_fields_set:
                raise Wrong(
                    "'flats' are those of a bent sheet; this worm is cut",
                    "'bent from: brass 0.5' as well",
                    key="flats",
                )
            return self
        if self.starts > 1:
            raise Wrong(
                "a bent sheet makes one thread",
                "'starts: 1', or a worm that is cut",
                key="starts",
            )
        if self.length is not None:
            raise Wrong("a bent sheet is one turn long", "'length' left out", key="length")
        if not 0 <= self.flats <= math.radians(120):
            raise Wrong(
                "flats that leave nothing to bend", "'flats: 20', at most 120", key="flats"
            )
        return self

    @property
    def sense(self) -> int:
        """+1 for a right-hand thread."""
        return 1 if self.hand == "right" else -1

    @property
    def step(self) -> float:
        """Along the axis from one thread to the next. [mm]"""
        assert self.pitch != "fitted"
        return self.pitch

    def held(self) -> Rides:
        return Rides(self.on)

    def points(self) -> Mapping[str, Point]:
        return {"centre": (0.0, 0.0)}

    # ------------------------------------------------------------ its wheel
    def wheel(self, parts: Mapping[str, Part]) -> Part | None:
        """Give the wheel it turns, whichever of the two says so."""
        if self.meshes_with is not None:
            return parts.get(self.meshes_with.part)
        for part in parts.values():
            meshes = getattr(part, "meshes_with", None)
            if isinstance(meshes, Ref) and meshes.part == self.name:
                return part
        return None

    def couples(self, parts: Mapping[str, Part]) -> Iterable[Coupling]:
        wheel = self.wheel(parts)
        if wheel is None or view_of(wheel.name, parts) == view_of(self.name, parts):
            return
        places = stand_of(self.name, parts), stand_of(wheel.name, parts)
        if places[0] is None or places[1] is None:
            return
        from animator.geometry import Pose

        meets = meeting(self.name, wheel.name, parts, Pose(*places[0]), Pose(*places[1]))
        yield Coupling(
            self.name,
            wheel.name,
            -self.sense * meets.other_way * self.starts / follower(wheel).count,
        )

    def suited(self, piece: Standing) -> tuple[Self, Iterable[str]]:
        wheel = self.wheel(piece.parts)
        if wheel is None:
            return self, ()
        changes: dict[str, float] = {}
        if along_of(self.name, piece.parts, math.inf) == math.inf:
            # it stands on its shaft where its wheel is
            changes["along"] = dot(room_of(wheel.name, piece), plane(self.name, piece).near)
        if self.pitch != "fitted":
            return self.model_copy(update=changes), ()
        pitch = follower(wheel).pitch
        return self.model_copy(update={**changes, "pitch": pitch}), [
            f"{self.name} is {'bent apart by' if self.bent_from is not None else 'cut with a pitch of'} {pitch:.2f} mm, as {wheel.name} asks"
        ]

    def misfits(self, piece: Standing) -> Iterable[Wrong]:
        wheel = self.wheel(piece.parts)
        if wheel is None:
            if self.pitch == "fitted":
                yield Wrong(
                    f"nothing says what pitch '{self.name}' has: no wheel meshes with it",
                    "'meshes with:' a pin wheel or gear, or 'pitch: 6'",
                    key="pitch",
                )
            return
        if self.meshes_with is not None:
            yield from ring(self, wheel, piece.parts)
        parts = piece.parts
        view = view_of(self.name, parts)
        if view == view_of(wheel.name, parts):
            others = [other for other in VIEWS if other != view]
            shaft = turning_part(parts, self.name)
            yield Wrong(
                f"'{self.name}' and '{wheel.name}' turn in one plane, seen from the {view}; a worm's shaft lies across its wheel",
                f"'{shaft}.view: {others[0]}' or '{shaft}.view: {others[1]}'",
                key="meshes with" if self.meshes_with is not None else "on",
            )
            return
        yield from self._stands_off(piece, wheel)
        yield from self._is_cut(piece, wheel)
        yield from self._runs_back(piece, wheel)

    def _stands_off(self, piece: Standing, wheel: Part) -> Iterable[Wrong]:
        pins = follower(wheel)
        meets = self.meets(piece, wheel)
        due = pins.radius + self.diameter / 2
        if abs(meets.apart - due) <= OFF * pins.thick + 0.05:
            return
        across = shared(view_of(self.name, piece.parts), view_of(wheel.name, piece.parts))
        x, y, _ = VIEWS[view_of(wheel.name, piece.parts)].turned(across)
        word = {(1, 0): "right", (-1, 0): "right", (0, 1): "up", (0, -1): "up"}[
            round(x), round(y)
        ]
        yield Wrong(
            f"the axes of '{self.name}' and '{wheel.name}' pass {meets.apart:.4g} mm from each other; a thread of radius {self.diameter / 2:g} on a circle of radius {pins.radius:g} wants {due:.4g}",
            f"'{self.name}.diameter: {2 * (meets.apart - pins.radius):.4g}', or one of the shafts {abs(meets.apart - due):.4g} mm farther {'away' if meets.apart < due else 'towards the other'}, {word} or down"
            if meets.apart > pins.radius
            else f"their shafts {due:.4g} mm apart",
            key="diameter",
        )

    def _is_cut(self, piece: Standing, wheel: Part) -> Iterable[Wrong]:
        pins = follower(wheel)
        step = pins.pitch if self.pitch == "fitted" else self.pitch
        made = self.model_copy(update={"pitch": step})
        if self.bent_from is not None:
            sheet = self.bent_from.size or 0.5
            if step <= pins.thick + sheet:
                yield Wrong(
                    f"pins of {pins.thick:.3g} mm and a sheet of {sheet:g} mm don't pass between ends bent {step:.3g} mm apart",
                    f"pins under {max(step - sheet, 0.1):.3g} mm",
                    key="pitch",
                )
            return
        cut = made.thread(wheel)
        assert isinstance(cut, TurnedThread)
        if cut.half < THINNEST:
            yield Wrong(
                f"'{self.name}' has {step:.3g} mm from thread to thread, and what it pushes is {pins.thick:.3g} mm thick: that leaves no thread",
                f"thinner pins, under {max(step * math.cos(cut.lead_angle) - 2 * THINNEST - self.play, 0.1):.2g} mm",
                key="pitch",
            )

    def _runs_back(self, piece: Standing, wheel: Part) -> Iterable[Wrong]:
        """Refuse a drive on the wheel's side of a worm that locks however little it rubs."""
        parts = piece.parts
        driven = driven_parts(parts, self.name)
        mine, other = turning_part(parts, self.name), turning_part(parts, wheel.name)
        if other not in driven or mine in driven:
            return
        made = self.model_copy(
            update={"pitch": follower(wheel).pitch if self.pitch == "fitted" else self.pitch}
        )
        lead = made.thread(wheel).lead_angle
        rho = math.atan(self.flank(self.least_friction(parts, wheel)))
        if lead > rho:
            return
        drive = next(name for name, part in parts.items() if part.is_drive)
        starts = math.ceil(1.5 * self.starts * math.tan(rho) / math.tan(lead))
        mend = f"'{drive}.on: {mine}'"
        if self.bent_from is None and starts <= 12:
            mend += f", or '{self.name}.starts: {starts}' for a steeper thread"
        yield Wrong(
            f"'{drive}' would turn the worm '{self.name}' backwards, from its wheel, and it locks: its lead angle of {math.degrees(lead):.1f} degrees is under its friction angle of {math.degrees(rho):.1f}",
            mend,
            key="on",
        )

    def least_friction(self, parts: Mapping[str, Part], wheel: Part) -> float:
        """Least coefficient its flank may have."""
        if self.friction is not None:
            return self.friction.low
        from animator import materials

        stuffs = [
            (part.material.name if part.material is not None else "") or otherwise
            for part, otherwise in (
                (self, self.bent_from.name if self.bent_from else ""),
                (wheel, ""),
            )
        ]
        stuffs[1] = getattr(wheel, "rubs", "") or stuffs[1]
        return materials.pair(*stuffs).range.low if all(stuffs) else 0.0

    def meets(self, piece: Any, wheel: Part) -> Meeting:
        """Tell where it meets its wheel."""
        return meeting(
            self.name, wheel.name, piece.parts, piece.pose(self.name), piece.pose(wheel.name)
        )

    # ------------------------------------------------------------ its thread
    def flank(self, friction: float) -> float:
        """Coefficient that counts along the thread: its flank slopes by 20 degrees if it is cut, so that the push on it is larger (mu / cos phi, DIN 3975)."""
        return friction if self.bent_from is not None else friction / math.cos(NORMAL)

    def mating(self, wheel: Part, scene: "Scene") -> tuple[Thread, Follower]:
        """Give the thread and what it pushes as they start: a pin wheel is set to the thread, but the thread to a gear, whose teeth other wheels decide."""
        thread, pushed = self.thread(wheel), follower(wheel)
        if pushed.is_round or not isinstance(thread, TurnedThread):
            return thread, pushed
        from animator.parts._involute import phases_of

        parts, starts = scene.parts, scene.starts
        pushed = replace(pushed, phase=phases_of(parts, starts)[0][wheel.name])
        here, there = starts[self.name], starts[wheel.name]
        meets = meeting(self.name, wheel.name, parts, here, there)
        turned = meets.other_way * (there.angle - meets.other_line)
        counted = replace(pushed, phase=meets.other_way * pushed.phase)

        def clear(shift: float) -> float:
            near = replace(thread, shift=shift).touching(here.angle, counted, turned)
            return near[0].gap if near else math.inf

        return replace(thread, shift=clearest(clear, thread.step)), pushed

    def thread(self, wheel: Part) -> Thread:
        """Give the thread for a wheel."""
        pins, radius = follower(wheel), self.diameter / 2
        if self.bent_from is not None:
            return SheetThread(
                radius, self.step, self.flats, (self.bent_from.size or 0.5) / 2, self.sense
            )
        lead = math.atan(self.starts * self.step / (math.tau * radius))
        thick = pins.thick + self.play * math.cos(lead)
        half = (self.step * math.cos(lead) - thick) / 2
        reach = LONGEST * self.step
        if pins.is_round:
            # pins swing past a straight thread on a circle: off by x^3 / (6 R^2), which the play must take
            reach = min(reach, (3 * self.play * pins.radius**2) ** (1 / 3))
        reach = max(reach, SHORTEST * self.step) if self.length is None else self.length / 2
        return TurnedThread(radius, self.step, self.starts, self.sense, half, reach)

    # ------------------------------------------------------------ the run
    def weigh(self, shop: Workshop) -> Weight:
        if self.bent_from is not None:
            sheet = self.bent_from
            return disc(
                self.diameter / 2, float(sheet.stuff.density.at(0.5)) * (sheet.size or 0.5)
            )
        length = self.length or 2 * LONGEST * self.step
        return disc(self.diameter / 2, shop.density(self) * length)

    def build(self, shop: Workshop) -> None:
        wheel = self.wheel(shop.scene.parts)
        if wheel is None:
            return
        from animator.world.crossing import mesh_thread

        mine = self.bent_from.name if self.bent_from is not None else shop.stuff_of(self)[0]
        theirs = getattr(wheel, "rubs", "") or shop.stuff_of(wheel)[0]
        friction = self.flank(shop.friction(self.friction, mine, theirs))
        thread, pushed = self.mating(wheel, shop.scene)
        mesh_thread(shop, self.name, wheel.name, thread, pushed, friction)

    def predict(self, motion: "Motion") -> Iterable[Prediction]:
        wheel = self.wheel(motion.scene.parts)
        drive = motion.drive
        if (
            wheel is not None
            and drive is not None
            and turning_part(motion.scene.parts, self.name) == drive.shaft
        ):
            yield Prediction(
                f"{wheel.name}.turns",
                math.tau * self.starts / follower(wheel).count,
                "for each turn of the worm its wheel goes on by as many pins or teeth as the worm has starts, by counting",
            )

    def holds_against(self, motion: "Motion", shaft: str) -> str:
        """Say why it won't be turned backwards by a drive on a shaft, '' if that isn't so; as the end of a sentence that begins with It."""
        parts = motion.scene.parts
        wheel = self.wheel(parts)
        locked = motion.channels.get(f"{self.name}.locked")
        if wheel is None or locked is None or not locked.values[-1]:
            return ""
        others = [
            name
            for name, part in parts.items()
            if part.is_drive and turning_part(parts, name) != shaft
        ]
        driven = driven_parts(
            {name: part for name, part in parts.items() if name not in others}, self.name
        )
        if (
            turning_part(parts, wheel.name) not in driven
            or turning_part(parts, self.name) in driven
        ):
            return ""
        contact = next(
            each
            for each in motion.contacts.values()
            if each.kind == "thread" and each.first == self.name
        )
        lead = math.degrees(self.thread(wheel).lead_angle)
        rho = math.degrees(math.atan(contact.coefficient))
        if self.bent_from is not None:
            return f"would have to turn {self.name} backwards, and that locks: where the sheet bears now it is flatter than the friction angle of {rho:.1f} degrees"
        return f"would have to turn {self.name} backwards, and that locks: lead angle {lead:.1f} degrees under friction angle {rho:.1f} degrees"

    # ------------------------------------------------------------ its look
    def draw(self, pen: Pen) -> None:
        stuff = self.bent_from.name if self.bent_from is not None else pen.stuff("brass")[0]
        pen.disc((0.0, 0.0), self.diameter / 2, stuff, 2.0, 6, 0, (0.72,), sort="worm")
        pen.hub((0.0, 0.0), min(5.0, 0.3 * self.diameter))

    def draw_across(self, pen: Pen) -> None:
        wheel = self.wheel(pen.scene.parts)
        if wheel is None:
            pen.edge_plain()
            return
        here, there = pen.start(), pen.start(wheel.name)
        stuff = self.bent_from.name if self.bent_from is not None else pen.stuff("brass")[0]
        pen.worm(
            self.mating(wheel, pen.scene)[0],
            meeting(self.name, wheel.name, pen.scene.parts, here, there),
            follower(wheel).thick,
            stuff,
            pen.bore_of(self.on.part),
        )


def follower(wheel: Part) -> Follower:
    """Tell what of a wheel a worm's thread pushes: round pins, or teeth shaped to it."""
    part: Any = wheel
    if hasattr(part, "pins") and hasattr(part, "pin_diameter"):
        return Follower(part.pins, part.radius, part.pin_diameter, True, part.phase)
    pitch = math.pi * part.module
    return Follower(part.teeth, part.module * part.teeth / 2, pitch / 2, False)


def plane(name: str, piece: Standing) -> Plane:
    """Give the plane of a part's view."""
    return VIEWS[view_of(name, piece.parts)]


def room_of(name: str, piece: Standing) -> Triple:
    """Give where a part's axis stands in the room, along it at nought. [mm]"""
    pose = piece.pose(name)
    return plane(name, piece).room((pose.x, pose.y))


def driven_parts(parts: Mapping[str, Part], without: str) -> set[str]:
    """Find what drives turn by fixed ratios, one part's own couplings left out."""
    found = {turning_part(parts, name) for name, part in parts.items() if part.is_drive}
    links = [
        (turning_part(parts, each.first), turning_part(parts, each.second))
        for name, part in parts.items()
        if name != without
        for each in part.couples(parts)
    ]
    for _ in links:
        for first, second in links:
            if first in found or second in found:
                found |= {first, second}
    return found


def settled_on_worm(wheel: Part, worm: Worm, piece: Standing) -> float:
    """Find where a wheel's first pin must stand so that the thread starts in the middle of a gap. [rad]"""
    made = worm.suited(piece)[0]
    meets = worm.meets(piece, wheel)
    thread = made.thread(wheel)
    turned = meets.other_way * (piece.pose(wheel.name).angle - meets.other_line)
    pins = follower(wheel.model_copy(update={"phase": 0.0}))
    return meets.other_way * set_between(thread, pins, piece.pose(worm.name).angle, turned)
