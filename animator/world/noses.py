"""A nose that a spring presses against a plate: a small body in a straight bore towards the plate's axis."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import pymunk

from animator.geometry import Point
from animator.parts._contract import Weight
from animator.parts._notches import FlankTouch, Notches
from animator.world import engine
from animator.world.building import Link, _carry

if TYPE_CHECKING:
    from animator.world.building import Bench
    from animator.world.contacts import CurveContact

FAR = 1e4  # mm; how far its groove reaches either way


class SprungNose:
    """A round nose in its bore, its spring, and its two touches with a notched plate.

    Parameters
    ----------
    bench
        Where it is built in.
    name, plate
        Names of the detent and of the part whose body the plate is fast to.
    support
        Name of what carries the bore, None for the frame.
    notches
        The plate.
    way
        Where the nose stands, seen from the axis at the start. [rad]
    radius, mass
        Of the nose. [mm], [g]
    preload, rate
        Of its spring: push where it starts [g mm/s^2], and how that grows as it is lifted [g/s^2].
    friction
        Between nose and plate.
    """

    def __init__(
        self,
        bench: Bench,
        name: str,
        plate: str,
        support: str | None,
        notches: Notches,
        way: float,
        radius: float,
        mass: float,
        preload: float,
        rate: float,
        friction: float,
        view: str,
    ) -> None:
        space = bench.space
        self._support = space.static_body if support is None else bench.body(support)
        self._is_static = support is None
        self._dt, self.preload, self.rate = bench.dt, preload, rate
        self._notches = notches
        pose = bench.pose(name)
        self._axis: Point = self._support.world_to_local((pose.x, pose.y))
        self._way = way - self._support.angle
        self._start = notches.reach(notches.floor, way - pose.angle, radius)
        self.seat = notches.seat(radius)
        c, s = math.cos(way), math.sin(way)
        middle = pose.x + self._start * c, pose.y + self._start * s
        nose = engine.Body(mass, math.inf)
        nose.position = middle
        space.add(nose)
        weight = Weight(mass, (0.0, 0.0), 0.0)
        bench.world.links.append(Link(f"{name} nose", nose, (0.0, 0.0), weight, {}, view=view))
        if view == "top" and space.gravity[1]:
            bench.before_step(_carry(nose, mass))
        self.body = nose
        groove = pymunk.GrooveJoint(
            self._support,
            nose,
            self._support.world_to_local((middle[0] - c * FAR, middle[1] - s * FAR)),
            self._support.world_to_local((middle[0] + c * FAR, middle[1] + s * FAR)),
            (0.0, 0.0),
        )
        bench.firm(groove)
        self._touches: list[CurveContact] = [
            bench.exact_contact(
                f"{name}.{word}", plate, name, f"notches of {name}", "stop", bench.body(plate), nose, (pose.x, pose.y), middle,
                FlankTouch(notches, radius, side), friction, is_meant=False, origin_angle=pose.angle, axis=bench.fixed_axis(name),
            )
            for word, side in (("one flank", 1), ("other flank", -1))
        ]  # fmt: skip
        bench.stiff(max(rate, 1.0), mass)
        bench.before_step(self.act)
        bench.store(name, self.energy)

    def _line(self, ahead: float) -> tuple[float, float, float]:
        """How far the nose stands from the axis, so many seconds ahead [mm], and the way of its bore."""
        nose, support = self.body, self._support
        (x, y), (u, v) = nose.position, nose.velocity
        angle = support.angle + ahead * support.angular_velocity
        (px, py), (pu, pv) = support.position, support.velocity
        c, s = math.cos(angle), math.sin(angle)
        ax, ay = self._axis
        ox, oy = px + ahead * pu + c * ax - s * ay, py + ahead * pv + s * ax + c * ay
        wx, wy = math.cos(angle + self._way), math.sin(angle + self._way)
        return (x + ahead * u - ox) * wx + (y + ahead * v - oy) * wy, wx, wy

    def _push(self, lift: float) -> float:
        return max(0.0, self.preload + self.rate * lift)

    def act(self, t: float) -> None:
        """Press the nose towards the axis, and what carries its bore the other way."""
        along, wx, wy = self._line(self._dt)
        push = self._push(along - self._start)
        nose = self.body
        nose.apply_force_at_world_point((-push * wx, -push * wy), nose.position)
        if not self._is_static:
            x, y = nose.position
            (nu, nv), (su, sv) = nose.velocity, self._support.velocity
            at = x + self._dt * (nu - su), y + self._dt * (nv - sv)
            self._support.apply_force_at_world_point((push * wx, push * wy), at)

    def energy(self) -> float:
        """Energy of the spring, from where it starts. [g mm^2/s^2]"""
        lift = self._line(self._dt / 2)[0] - self._start
        if self.rate and lift < -self.preload / self.rate:
            lift = -self.preload / self.rate
        return self.preload * lift + self.rate * lift**2 / 2

    def along(self) -> float:
        """How far its middle stands from the axis. [mm]"""
        return self._line(0.0)[0]

    def torque(self) -> float:
        """Torque that it puts on the plate, anticlockwise positive, in the last step. [g mm^2/s^2]"""
        support = self._support
        ox, oy = support.local_to_world(self._axis)
        total = 0.0
        for unit in self._touches:
            if unit.is_active:
                (nx, ny), (px, py) = unit.direction, unit.point
                jn, jt = unit.normal_impulse, unit.impulse_tangent
                jx, jy = jn * nx - jt * ny, jn * ny + jt * nx
                total -= (px - ox) * jy - (py - oy) * jx
        return total / self._dt
