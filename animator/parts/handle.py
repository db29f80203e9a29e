"""A crank handle and the hand that turns it: a steady speed, as long as the hand is strong enough."""

from collections.abc import Mapping

from animator.geometry import Point, polar
from animator.parts._contract import PARTS
from animator.parts._drive import Driver
from animator.parts._fields import (
    WAYS,
    Direction,
    HandStrength,
    Size,
    Strength,
    TurningSpeedRange,
)


@PARTS.add("handle")
class Handle(Driver):
    """A hand turns the shaft at ``speed``; it gives at most ``strength``, a force at the knob or a torque."""

    also_called = ("crank handle", "hand crank", "winder", "knob")

    speed: TurningSpeedRange
    radius: Size = 40.0
    strength: HandStrength = Strength(10e6, False, "10 N")
    angle: Direction = WAYS["up"]

    def points(self) -> Mapping[str, Point]:
        return {"knob": polar(self.radius, self.angle)}
