"""A wheel with pointed teeth that an anchor lets go one at a time."""

import math
from collections.abc import Mapping
from typing import Annotated, ClassVar

from pydantic import model_validator

from animator.geometry import Point
from animator.parts._contract import PARTS, Part, Pen, Rides, Weight, Workshop
from animator.parts._fields import TURNING_PART, Number, PartOf, Ref, Sense, Size
from animator.parts._solid import plate
from animator.units import Wrong

DEPTH_SHARE = 0.2  # of the radius; common practice, no source
FINEST = 3.0  # mm along the rim between points
LEAN = math.radians(
    12
)  # by which a tooth's front leans back from its point, so that only the point touches


@PARTS.add("escape wheel")
class EscapeWheel(Part):
    """Something drives it (a weight, a spring) and an ``anchor`` holds it back: a tooth goes with each whole swing. ``radius`` is to the points."""

    as_written = "escape wheel: {kind: escape wheel, on: escape shaft, teeth: 30, radius: 40, turns: clockwise}"

    says: ClassVar[Mapping[str, str]] = {
        "on": "what it is fixed to and turns with",
        "teeth": "how many",
        "radius": "to the points of its teeth",
        "turns": "the way it is driven",
    }

    turns_freely = True
    also_called = ("scape wheel", "'scape wheel")

    on: Annotated[Ref, PartOf(TURNING_PART)]
    teeth: Annotated[int, Number(8, 200)]
    radius: Size
    turns: Sense

    @model_validator(mode="after")
    def _can_be_filed(self) -> "EscapeWheel":
        along = math.tau * self.radius / self.teeth
        if along < FINEST:
            raise Wrong(
                f"{self.teeth} teeth round a radius of {self.radius:g} mm stand {along:.2g} mm apart; a pallet needs room between them",
                f"at most '{int(math.tau * self.radius / FINEST)}'",
                key="teeth",
            )
        return self

    @property
    def sense(self) -> int:
        """The way it is driven, +1 anticlockwise."""
        return 1 if self.turns == "anticlockwise" else -1

    @property
    def step_angle(self) -> float:
        """Angle of one step. [rad]"""
        return math.tau / self.teeth

    @property
    def depth(self) -> float:
        """Of its teeth. [mm]"""
        return DEPTH_SHARE * self.radius

    def held(self) -> Rides:
        return Rides(self.on)

    def points(self) -> Mapping[str, Point]:
        return {"centre": (0.0, 0.0)}

    def outline(self) -> list[Point]:
        """Give the wheel as a closed line; the point of one tooth lies on its x axis. [mm]"""
        found: list[Point] = []
        pitch, foot = self.step_angle, self.radius - self.depth
        lean = self.depth * math.tan(LEAN) / foot
        wide = 0.35 / self.radius
        for k in range(self.teeth):
            # as of a clockwise wheel: fronts on the clockwise side
            rows = [(foot, lean), (self.radius, 0.0), (self.radius, wide)]
            rows += [
                (foot + 0.35 * self.depth, lean + 0.20 * pitch),
                (foot, lean + 0.42 * pitch),
            ]
            rows += [(foot, lean + share * pitch) for share in (0.62, 0.82)]
            for radius, angle in rows:
                at = k * pitch + angle
                found.append((radius * math.cos(at), -self.sense * radius * math.sin(at)))
        return found

    def weigh(self, shop: Workshop) -> Weight:
        return plate(self.outline(), shop.density(self) * shop.stuff_of(self)[1])

    def draw(self, pen: Pen) -> None:
        stuff, thickness = pen.stuff("brass")
        foot = self.radius - self.depth
        holes = []
        if foot > 16:
            ring, hole = 0.58 * foot, 0.2 * foot
            holes = [
                ((ring * math.cos(a), ring * math.sin(a)), hole)
                for a in (math.tau * i / 5 for i in range(5))
            ]
        pen.plate(self.outline(), stuff, thickness, 8, holes=holes, sort="escape wheel")
        pen.hub((0.0, 0.0), min(6.5, 0.25 * foot))
