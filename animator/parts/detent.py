"""A notched plate and a sprung nose: it holds in each notch, and snaps over."""

import math
from collections.abc import Iterable, Mapping
from typing import TYPE_CHECKING, Annotated, ClassVar, cast

from pydantic import model_validator

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
    Amount,
    Direction,
    Friction,
    Number,
    PartOf,
    Ref,
    SignedAngle,
    Size,
    Spring,
)
from animator.parts._notches import Notches
from animator.parts._solid import disc
from animator.trains import turning_part
from animator.units import Wrong

if TYPE_CHECKING:
    from animator.motion.motion import Motion
    from animator.world.building import Bench

STEEL = 7.85e-3  # g/mm^3
PLUNGER = 3.0  # times its ball; a nose has a stem behind it
SEATED = 0.8  # of the way up to the rim; lifted less than that it is held back
Opening = Annotated[float, Amount(("angle",), above=0)]


@PARTS.add("detent")
class Detent(Part):
    """A round plate with V notches, fixed ``on`` what turns; a round nose in a bore of what carries the pivot is pressed into it by a spring.

    ``notches`` go evenly round and the first lies under the nose as drawn; or ``holds at`` names the angles, from how it is drawn, at which it is to be held.
    The bore is taken as free of friction; the nose rubs on the plate.
    """

    as_written = "click: {kind: detent, on: shaft, radius: 30, notches: 8, depth: 2, nose diameter: 6, spring: {preload: 2 N, rate: 0.5 N/mm}}"

    says: ClassVar[Mapping[str, str]] = {
        "on": "what its plate is fixed to and turns with",
        "radius": "of the plate's rim",
        "notches": "how many, evenly round",
        "holds_at": "angles at which it holds, anticlockwise from how it is drawn",
        "depth": "of a notch, to the point of its V",
        "opening": "angle between a notch's two flanks",
        "nose_diameter": "of the round nose",
        "nose": "where the nose stands, seen from the axis",
        "spring": "what presses the nose: its push at the start, and how much that grows",
        "friction": "of the nose on the plate; left out, that of steel and the plate's material",
    }
    examples: ClassVar[Mapping[str, str]] = {"holds_at": "[0, 40]"}

    turns_freely = True
    also_called = (
        "snap",
        "click stop",
        "ball catch",
        "index plate",
        "click wheel",
        "spring catch",
    )
    one_of: ClassVar[tuple[str, ...]] = ("notches", "holds_at")

    on: Annotated[Ref, PartOf(TURNING_PART)]
    radius: Size
    notches: Annotated[int, Number(1, 120)] | None = None
    holds_at: tuple[SignedAngle, ...] | None = None
    depth: Size = 2.0
    opening: Opening = math.radians(90)
    nose_diameter: Size = 6.0
    nose: Direction = math.pi / 2
    spring: Spring
    friction: Friction | None = None

    @model_validator(mode="after")
    def _can_be_cut(self) -> "Detent":
        if self.holds_at is not None and not 1 <= len(self.holds_at) <= 60:
            raise Wrong("1 to 60 angles belong here", "for example '[0, 40]'", key="holds at")
        if not math.radians(30) <= self.opening <= math.radians(170):
            raise Wrong(
                f"flanks {math.degrees(self.opening):g} degrees apart make no notch to click over",
                "30 to 170, for example 'opening: 90'",
                key="opening",
            )
        if self.depth > 0.6 * self.radius:
            raise Wrong(
                f"notches {self.depth:g} mm deep cut a plate of {self.radius:g} mm to pieces",
                f"'depth: {0.1 * self.radius:.2g}'",
                key="depth",
            )
        plate = self.plate()
        angles = sorted(plate.angles)
        gaps = [b - a for a, b in zip(angles, (*angles[1:], angles[0] + math.tau), strict=True)]
        if len(angles) > 1 and min(gaps) < 2 * plate.corner - 1e-9:
            key = "notches" if self.notches is not None else "holds at"
            widest = 2 * math.degrees(plate.corner)
            raise Wrong(
                f"the notches run into each other: each takes {widest:.1f} degrees of the rim, and they stand {math.degrees(min(gaps)):.1f} apart",
                f"'notches: {math.floor(360 / widest)}' or less, or a smaller depth"
                if self.notches is not None
                else f"angles at least {math.ceil(widest)} degrees apart, or a smaller depth",
                key=key,
            )
        return self

    @model_validator(mode="after")
    def _is_pressed(self) -> "Detent":
        if not self.spring.preload:
            raise Wrong(
                "nothing presses the nose into its notch",
                "a preload, for example 'spring: {preload: 2 N, rate: 0.5 N/mm}'",
                key="spring",
            )
        return self

    def plate(self) -> Notches:
        """Its notched plate, in its own frame."""
        held = (
            self.holds_at
            if self.holds_at is not None
            else tuple(math.tau * i / (self.notches or 1) for i in range(self.notches or 1))
        )
        return Notches(
            self.radius, self.depth, self.opening, [self.nose - angle for angle in held]
        )

    def held(self) -> Rides:
        return Rides(self.on)

    def points(self) -> Mapping[str, Point]:
        return {"centre": (0.0, 0.0)}

    def weigh(self, shop: Workshop) -> Weight:
        return disc(self.radius, shop.density(self) * shop.stuff_of(self)[1])

    def misfits(self, piece: Standing) -> Iterable[Wrong]:
        if any(part.is_drive and part.name == self.on.part for part in piece.parts.values()):
            return
        root = piece.parts[turning_part(piece.parts, self.name)]
        if not isinstance(root.held(), Turns):
            yield Wrong(
                f"'{root.name}' has no pivot of its own, so no nose can stand beside it",
                "a shaft or a lever",
                key="on",
            )

    def build(self, shop: Workshop) -> None:
        from animator.world.noses import SprungNose

        bench = cast("Bench", shop)
        root = bench.scene.parts[turning_part(bench.scene.parts, self.name)]
        held = root.held()
        support = bench.attached_to(held.at) if isinstance(held, Turns) else None
        radius = self.nose_diameter / 2
        mass = PLUNGER * STEEL * 4 / 3 * math.pi * radius**3
        link = bench.link(self.name)
        nose = SprungNose(
            bench, self.name, self.name, support, self.plate(), self.nose, radius, mass, self.spring.preload, self.spring.rate or 0.0,
            bench.friction(self.friction, "steel", bench.stuff_of(self)[0]), link.view if link else "front",
        )  # fmt: skip
        shop.channel(f"{self.name}.torque", "torque", nose.torque)
        shop.channel(f"{self.name}.nose", "length", nose.along)
        rim = SEATED * (self.radius + radius - nose.seat)
        shop.channel(
            f"{self.name}.locked", "state", lambda: float(nose.along() - nose.seat < rim)
        )

    def draw(self, pen: Pen) -> None:
        stuff, thickness = pen.stuff("brass")
        pen.plate(self.plate().outline(), stuff, thickness, 8, sort="notched plate")
        pen.hub((0.0, 0.0), min(6.0, 0.3 * self.radius))
        pen.sprung_nose(self.nose, self.radius, self.plate().seat(self.nose_diameter / 2), self.nose_diameter, self.depth)  # fmt: skip

    def statics(self, friction: float) -> float:
        """Largest torque with which it holds, infinite where friction locks it: the spring's push times how much it is lifted for each radian. [g mm^2/s^2]

        With friction the flank's slope, as seen from the bore, grows by the angle of friction.
        """
        plate, radius = self.plate(), self.nose_diameter / 2
        seat = plate.seat(radius)
        sine, cosine = math.sin(plate.half), math.cos(plate.half)
        # while a flank holds it the nose's middle keeps to a line at this distance from the axis; it is steepest where the flank ends
        line, along = plate.floor * sine + radius, plate.flank + plate.floor * cosine
        if radius / math.tan(plate.half) <= plate.flank:
            here = math.hypot(line, along)
            steep = along / line
        else:  # too large for the flanks: it rolls over a corner, steepest where it rests
            here = seat
            aside = plate.radius * math.sin(plate.corner)
            steep = aside / math.sqrt(radius**2 - aside**2)
        lean = math.atan(steep) + math.atan(friction)
        if lean >= math.pi / 2:
            return math.inf
        push = self.spring.preload + (self.spring.rate or 0.0) * (here - seat)
        return push * here * math.tan(lean)

    def predict(self, motion: "Motion") -> Iterable[Prediction]:
        """Largest torque with which it holds, where it has been turned out of a notch."""
        if float(motion.channels[f"{self.name}.locked"].values[motion.begins :].min()) > 0.5:
            return
        contact = motion.contacts[f"{self.name}.one flank"]
        holds = self.statics(contact.coefficient)
        if not math.isfinite(holds):
            return
        yield Prediction(
            f"{self.name}.torque",
            holds,
            "a wedge pressed by a spring: push times lift for each radian, the flank steeper by the angle of friction (statics)",
        )
