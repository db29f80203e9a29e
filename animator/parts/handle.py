"""A crank handle and the hand that turns it: a steady speed, as long as the hand is strong enough."""

from collections.abc import Mapping
from typing import ClassVar

from animator.geometry import Point, polar
from animator.parts._contract import PARTS, Pen, Weight, Workshop
from animator.parts._drive import Driver
from animator.parts._fields import (
    WAYS,
    Direction,
    HandStrength,
    Size,
    Strength,
    TurningSpeedRange,
)

ARM = 0.4  # g/mm; a brass strip
KNOB = 8.0  # g; a turned wooden knob on its screw


@PARTS.add("handle")
class Handle(Driver):
    """A hand turns the shaft at ``speed``; it gives at most ``strength``, a force at the knob or a torque."""

    as_written = "handle: {kind: handle, on: camshaft, radius: 45, speed: 40 rpm}"

    says: ClassVar[Mapping[str, str]] = {
        "speed": "how fast the hand turns it, one speed or a range",
        "radius": "from the axis to the knob",
        "strength": "the most the hand gives: a force at the knob or a torque",
        "angle": "where the knob stands at the start",
    }

    also_called = ("crank handle", "hand crank", "winder", "knob")

    speed: TurningSpeedRange
    radius: Size = 40.0
    strength: HandStrength = Strength(10e6, False, "10 N")
    angle: Direction = WAYS["up"]

    def points(self) -> Mapping[str, Point]:
        return {"knob": polar(self.radius, self.angle)}

    def weigh(self, shop: Workshop) -> Weight:
        # the hand that turns it carries its weight, so it has inertia but no overhang
        inertia = ARM * self.radius**3 / 3 + KNOB * self.radius**2
        return Weight(ARM * self.radius + KNOB, (0.0, 0.0), inertia)

    def build(self, shop: Workshop) -> None:
        shop.drive(
            self, self.speed.at(shop.pace), self.strength.torque(self.radius), self.radius
        )

    def draw(self, pen: Pen) -> None:
        knob = self.points()["knob"]
        front = pen.in_front()
        front.strap((0.0, 0.0), knob, 12.0, 8.0, "brass", sort="handle")
        front.turned((0.0, 0.0), 3.2, "steel", 1.5, sort="nut")
        front.ball(knob, 6.8, sort="knob")

    def draw_across(self, pen: Pen) -> None:
        knob, end = self.points()["knob"], pen.drive_end()
        pen.edge_pin(knob, end, end + 26.0, 9.0, pen.hue("rose"), 4.0, sort="knob")
        pen.edge_arm(knob, 10.0, 4.0, "brass", end, sort="handle")
        pen.edge_disc(3.4, 3.0, "steel", end + 3.5, 2, sort="nut")
