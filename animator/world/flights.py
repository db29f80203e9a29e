"""A ball that is thrown: in a cup that only pushes, or on a catch that lets go; then through the air, and down."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import pymunk

from animator.parts.projectile import HALF, CupTouch
from animator.trains import turning_part

if TYPE_CHECKING:
    from animator.parts.projectile import Projectile
    from animator.world.building import Bench
    from animator.world.contacts import CurveContact

GONE = 0.3  # of the ball's radius; a ball that has left its cup by so much is thrown


class Flight:
    """What becomes of a ball: held, free, down.

    ``range`` is how far it has come sidewise since it was let go, and stays when it lands [mm]; ``launch_speed`` [mm/s] and ``launch_angle`` [rad, above the level,
    anticlockwise from the right] are those at which it left, 0 until then.
    """

    def __init__(self, bench: Bench, ball: Projectile) -> None:
        self._ball, self._dt = ball, bench.dt
        self._radius = ball.diameter / 2
        self._body = bench.body(ball.name)
        self._holder = bench.body(ball.rests_in.part)
        self._space = bench.space
        link = bench.link(ball.name)
        self._pull = (
            -float(bench.space.gravity[1]) if link is None or link.view != "top" else 0.0
        )
        self.range = self.launch_speed = self.launch_angle = 0.0
        self.is_free = self.is_down = False
        self._left = (0.0, 0.0, 0.0, 0.0)
        self._landing = bench.heat(f"landing of {ball.name}")
        self._contact: CurveContact | None = None
        self._catch: list[pymunk.Constraint] = []
        x, y = self._body.position
        if ball.released_at is None:
            room = ball.shell() - self._radius
            middle = x + room * math.cos(ball.opens), y + room * math.sin(ball.opens)
            other = bench.scene.parts[ball.rests_in.part]
            friction = bench.friction(
                ball.friction, bench.stuff_of(ball)[0], bench.stuff_of(other)[0]
            )
            self._contact = bench.exact_contact(
                f"{ball.name}.cup", other.name, ball.name, f"cup of {ball.name}", "stop", self._holder, self._body, middle, (x, y),
                CupTouch(self._radius, ball.shell(), HALF), friction, is_meant=False, origin_angle=ball.opens,
            )  # fmt: skip
        else:
            root = turning_part(bench.scene.parts, ball.rests_in.part)
            self._turning = bench.body(root)
            self._start = self._turning.angle
            pin = pymunk.PivotJoint(self._holder, self._body, (x, y))
            grip = pymunk.GearJoint(
                self._holder, self._body, self._body.angle - self._holder.angle, 1.0
            )
            for joint in (pin, grip):
                bench.firm(joint)
            bench.world.pivots.remove(pin)  # it comes apart by itself, and that is no fault
            self._catch = [pin, grip]
        bench.before_step(self.mind)

    def mind(self, t: float) -> None:
        """See before every step whether it has left, and whether it lands within the step."""
        body = self._body
        x, y = body.position
        u, v = body.velocity
        if self.is_down:
            body.apply_force_at_world_point((0.0, body.mass * self._pull), (x, y))
            return
        if not self.is_free:
            self._let_go(x, y, u, v)
            return
        self.range = x - self._left[0]
        ground = self._ball.lands_at + self._radius
        if v < 0 and y + self._dt * v <= ground:
            self._land(x, y, u, v, ground)

    def _let_go(self, x: float, y: float, u: float, v: float) -> None:
        if self._contact is not None:
            if self._contact.is_active or self._left == (0.0, 0.0, 0.0, 0.0):
                self._left = (x, y, u, v)
            if self._contact.gap < GONE * self._radius:
                return
        else:
            most = self._ball.released_at or 0.0
            if abs(self._turning.angle - self._start) < most:
                return
            self._space.remove(*self._catch)
            self._catch = []
            self._left = (x, y, u, v)
        self.is_free = True
        _, _, u, v = self._left
        self.launch_speed, self.launch_angle = math.hypot(u, v), math.atan2(v, u)
        self.range = x - self._left[0]

    def _land(self, x: float, y: float, u: float, v: float, ground: float) -> None:
        """Lay it down where its way meets the ground; all it brings there becomes heat."""
        body = self._body
        after = min(max((ground - y) / v, 0.0), self._dt)
        self.range = x + after * u - self._left[0]
        self.is_down = True
        self._landing.total += (
            0.5 * body.mass * (u**2 + v**2) + 0.5 * body.moment * body.angular_velocity**2
        )
        # the books take heights half a step ahead
        self._landing.total += body.mass * self._pull * (y + 0.5 * self._dt * v - ground)
        body.position = (x + after * u, ground)
        body.velocity = (0.0, 0.0)
        body.angular_velocity = 0.0
        body.apply_force_at_world_point((0.0, body.mass * self._pull), (x, ground))
