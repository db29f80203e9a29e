"""A wheel with slanting teeth that turns one way only, as long as a pawl stands in them."""

import math
from collections.abc import Mapping
from typing import Annotated, ClassVar

from pydantic import model_validator

from animator.geometry import Point
from animator.parts._contract import PARTS, Part, Pen, Rides, Weight, Workshop
from animator.parts._fields import TURNING_PART, Angle, Number, PartOf, Ref, Sense, Size
from animator.parts._solid import plate
from animator.parts._teeth import FINEST, Teeth
from animator.units import Wrong, show

DEPTH_SHARE = 0.5  # of the pitch along the rim; common practice, no source
DEEPEST = 0.3  # of the radius
STEEPEST = math.radians(45)


@PARTS.add("ratchet wheel")
class RatchetWheel(Part):
    """A wheel of so many slanting ``teeth``; ``turns`` is the way it is free to turn while a pawl ``holds`` it, or the way a pawl ``drives`` it.

    Its faces lean under their tips by ``undercut``, so that a pawl that is pushed is drawn in; ``depth`` is left to the wheel unless it is said.
    """

    as_written = (
        "ratchet: {kind: ratchet wheel, on: shaft, teeth: 24, radius: 20, turns: anticlockwise}"
    )

    says: ClassVar[Mapping[str, str]] = {
        "on": "what it is fixed to and turns with",
        "teeth": "how many",
        "radius": "to the tips of its teeth",
        "turns": "the way it is free to turn",
        "depth": "of a tooth; left out, half as deep as teeth stand apart",
        "undercut": "how far the steep faces lean under their tips",
    }
    examples: ClassVar[Mapping[str, str]] = {"undercut": "10"}

    turns_freely = True
    also_called = ("ratchet", "click wheel", "saw-tooth wheel")

    on: Annotated[Ref, PartOf(TURNING_PART)]
    teeth: Annotated[int, Number(4, 400)]
    radius: Size
    turns: Sense
    depth: Size | None = None
    undercut: Angle = math.radians(10)

    @model_validator(mode="after")
    def _can_be_filed(self) -> "RatchetWheel":
        along = math.tau * self.radius / self.teeth
        if along < FINEST:
            raise Wrong(
                f"{self.teeth} teeth round a radius of {self.radius:g} mm stand {along:.2g} mm apart, too fine to file",
                f"at most '{int(math.tau * self.radius / FINEST)}'",
                key="teeth",
            )
        if self.depth is not None and self.depth > 0.6 * self.radius:
            raise Wrong(
                f"teeth {self.depth:g} mm deep leave nothing of a wheel of radius {self.radius:g}",
                f"'{self._depth():.2g}', or nothing and the wheel decides",
                key="depth",
            )
        if abs(self.undercut) > STEEPEST:
            raise Wrong(
                "faces that lean so far have no teeth behind them",
                "at most '45', usually '10'",
                key="undercut",
            )
        teeth = self.rim()
        lean = self.radius * abs(math.sin(self.undercut))
        if lean >= teeth.root_radius or not (
            -0.8 * teeth.pitch < math.atan2(teeth.root[1], teeth.root[0]) < 0.6 * teeth.pitch
        ):
            raise Wrong(
                f"an undercut of {show(self.undercut, 'angle')} runs through the next tooth at this depth",
                "a smaller undercut, or a smaller depth",
                key="undercut",
            )
        return self

    def _depth(self) -> float:
        return min(DEPTH_SHARE * math.tau / self.teeth, DEEPEST) * self.radius

    @property
    def sense(self) -> int:
        """The way it is free to turn, +1 anticlockwise."""
        return 1 if self.turns == "anticlockwise" else -1

    @property
    def step_angle(self) -> float:
        """Angle of one step. [rad]"""
        return math.tau / self.teeth

    def rim(self) -> Teeth:
        """Give its teeth."""
        depth = self.depth if self.depth is not None else self._depth()
        return Teeth(self.teeth, self.radius, depth, self.undercut, self.sense)

    def held(self) -> Rides:
        return Rides(self.on)

    def points(self) -> Mapping[str, Point]:
        return {"centre": (0.0, 0.0)}

    def weigh(self, shop: Workshop) -> Weight:
        return plate(self.rim().outline(), shop.density(self) * shop.stuff_of(self)[1])

    def build(self, shop: Workshop) -> None:
        contacts = shop.world.contacts
        faces = [
            f"{part.name}.face"
            for part in shop.scene.parts.values()
            if self.name in (ref.part for ref in getattr(part, "works_on", ()))
        ]
        shop.channel(
            f"{self.name}.locked",
            "state",
            lambda: float(any(contacts[key].unit.normal_impulse > 0 for key in faces)),
        )

    def draw(self, pen: Pen) -> None:
        stuff, thickness = pen.stuff("brass")
        rim = self.rim()
        hub = min(7.0, 0.3 * rim.root_radius)
        pen.plate(
            rim.outline(),
            stuff,
            thickness,
            8,
            circles=[((0.0, 0.0), 0.93 * rim.root_radius)],
            sort="ratchet wheel",
        )
        pen.hub((0.0, 0.0), hub)
