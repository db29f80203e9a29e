"""The cross of a universal joint in the engine: a coupling whose ratio and phase are set anew before every step, and the rubbing of its four pins."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

import pymunk

from animator.parts._views import plane_of, view_of
from animator.world.engine import Ceiling

if TYPE_CHECKING:
    from animator.parts.universal_joint import UniversalJoint

GRAVITY = 9806.65  # mm/s^2, standard


class Cross:
    """Two bodies that turn about lines leaning to each other.

    Parameters
    ----------
    shop
        The bench.
    joint
        The joint; its own body is the second.
    friction
        Of the cross's pins in the forks.
    sizes
        From the middle to where the pins bear, and the pins' radius. [mm]
    """

    def __init__(
        self, shop: Any, joint: UniversalJoint, friction: float, sizes: tuple[float, float]
    ) -> None:
        self.joint = joint
        self._bodies = a, b = shop.body(joint.on.part), shop.body(joint.name)
        start, own = shop.pose(joint.on.part).angle, shop.pose(joint.name).angle
        # bodies may be turned against the frames of their parts
        self._offsets = start - a.angle + joint.phase, own - b.angle + joint.out(joint.phase)
        self._dt = shop.dt
        self._gear: pymunk.GearJoint = shop.gear(a, b, 1.0)
        self._brake = Ceiling(shop.motor(b))
        self._lever = friction * sizes[1] / sizes[0]
        self._rub = shop.heat(f"cross of {joint.name}")
        self._before = 0.0
        self._bend = math.sin(joint.bend), math.cos(joint.bend)
        self.now = 1.0
        self._place(0.0)
        shop.before_step(self.act)
        shop.after_step(self.book)
        shop.channel(f"{joint.name}.ratio", "count", lambda: self.now)
        self._weigh_down(shop, b)

    def _place(self, share: float) -> tuple[float, float]:
        """Set the coupling to where both will stand after this share of a step; gives sine and cosine of the first fork's angle then."""
        a, b = self._bodies
        ahead = share * self._dt
        here, there = a.angle, b.angle
        if ahead:
            here += ahead * a.angular_velocity
            there += ahead * b.angular_velocity
        turned = here + self._offsets[0]
        s, c = math.sin(turned), math.cos(turned)
        sin, cos = self._bend
        self.now = ratio = cos / (cos * cos + s * s * sin * sin)
        out = turned + math.remainder(math.atan2(s, c * cos) - turned, math.tau)
        off = there + self._offsets[1] - out
        self._gear.ratio = 1 / ratio
        # the joint wants angle_b * ratio - angle_a = phase; told so that just the joint's own error is left to mend
        self._gear.phase = (there - off) / ratio - here
        return s, c

    def act(self, t: float) -> None:
        """Set the coupling and the rubbing before a step."""
        s, c = self._place(1.0)
        sin, cos = self._bend
        torque = abs(self._gear.impulse) / self._dt
        # how fast the cross swings in either fork, for a turn of that fork; at one power the first one's torque is to the second's as their speeds the other way
        first = abs(c) * sin / math.sqrt(1 - s * s * sin * sin)
        square = s * s + c * c * cos * cos
        second = abs(s) * sin / math.sqrt(square - c * c * cos * cos * sin * sin)
        self._brake.set(torque * self._lever * (first + second))
        self._before = self._bodies[1].angular_velocity

    def book(self) -> None:
        """Book the rubbing."""
        speed = 0.5 * (self._bodies[1].angular_velocity + self._before)
        self._rub.total += self._brake.impulse() * abs(speed)

    def _weigh_down(self, shop: Any, body: pymunk.Body) -> None:
        """Let what is on the leaning shaft weigh as its own plane leans."""
        parts = shop.scene.parts
        plane = plane_of(self.joint.name, parts, shop.scene.starts)
        given = (
            0.0
            if view_of(self.joint.name, parts) == "top" or not shop.space.gravity[1]
            else 1.0
        )
        right, up = -plane.x[1], given - plane.y[1]
        mass = body.mass
        if abs(right) < 1e-9 and abs(up) < 1e-9:
            return

        def carry(t: float) -> None:
            body.apply_force_at_world_point(
                (mass * GRAVITY * right, mass * GRAVITY * up), body.position
            )

        shop.before_step(carry)
        fx, fy = mass * GRAVITY * right, mass * GRAVITY * up
        shop.store(
            f"lean of {self.joint.name}",
            lambda: -fx * float(body.position.x) - fy * float(body.position.y),
        )
