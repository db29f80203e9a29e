"""Teeth in mesh: an exact contact along whichever line of action the flanks are nearer on, the play between the two, and the rubbing of the flanks.

Flanks of involutes touch along a straight line, whatever tooth it is and wherever the middles stand; so the gap between two wheels' flanks is a sum of
angles times base radii, exact, and the push along the line turns each wheel by the push times its base radius and bears on its bearings by itself.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

import pymunk

from animator.parts._involute import PRESSURE, Toothing, contact_path
from animator.world.contacts import CurveContact
from animator.world.engine import Ceiling, beneath, spin

if TYPE_CHECKING:
    from animator.geometry import Pose

SLOTS = 240  # places along a pitch at which the rubbing is reckoned
COS, SIN = math.cos(PRESSURE), math.sin(PRESSURE)


def fold(value: float, pitch: float) -> float:
    """Bring a length to the nearest tooth: between minus and plus half a pitch."""
    return value - pitch * math.floor(value / pitch + 0.5)


class PairTouch:
    """Flanks of two wheels, those that are nearest to each other of either side. Both frames' x axes pass through the middle of a tooth."""

    def __init__(self, first: Toothing, second: Toothing) -> None:
        self.first, self.second = first, second
        self.reach = first.tip
        self._pitch = math.tau * first.base / first.teeth
        self.at = 0.0
        """Where along the line of action the pair touches, from the pitch point. [mm]"""

    def nearest(
        self, x: float, y: float, face: float
    ) -> tuple[float, float, float, float, float]:
        """Gap, normal and point of the pair of flanks nearest to the pitch point, in the first wheel's frame."""
        first, second, pitch = self.first, self.second, self._pitch
        apart, way = math.hypot(x, y), math.atan2(y, x)
        both = first.base + second.base
        ratio = both / apart
        angle = math.acos(ratio) if ratio < 1.0 else 0.0
        slope = math.tan(angle)
        # side +1: where the first, turning anticlockwise, pushes the second along; -1: the mirror of it
        free = both * slope - first.base * (first.base_half + angle)
        free -= second.base * (second.base_half + angle)
        turned = first.base * way - second.base * (face - way - math.pi)
        gap, other = fold(free + turned, pitch), fold(free - turned, pitch)
        side = 1 if gap <= other else -1
        at = side * way - angle
        c, s = math.cos(at), math.sin(at)
        own = first.base * (first.base_half - at)
        meets = first.base * slope
        self.at = fold(own - meets, pitch)
        own = meets + self.at
        return (
            gap if side > 0 else other,
            -s,
            side * c,
            first.base * c - own * s,
            side * (first.base * s + own * c),
        )


class RingTouch:
    """Flanks of a ring (the first) and a wheel inside it."""

    def __init__(self, ring: Toothing, wheel: Toothing) -> None:
        self.ring, self.wheel = ring, wheel
        self.reach = ring.foot
        self._pitch = math.tau * ring.base / ring.teeth
        self.at = 0.0
        """Where along the line of action the pair touches, from the pitch point. [mm]"""

    def nearest(
        self, x: float, y: float, face: float
    ) -> tuple[float, float, float, float, float]:
        """Gap, normal and point of the pair of flanks nearest to the pitch point, in the ring's frame."""
        ring, wheel, pitch = self.ring, self.wheel, self._pitch
        apart, way = math.hypot(x, y), math.atan2(y, x)
        ratio = (ring.base - wheel.base) / apart if apart else 1.0
        angle = math.acos(ratio) if ratio < 1.0 else 0.0
        # the ring's gap lies half a tooth beside its tooth; its clockwise flank is the tooth's anticlockwise one
        start = ring.share / 2 - ring.base_half
        free = (ring.base - wheel.base) * angle - apart * math.sin(angle)
        free -= ring.base * start + wheel.base * wheel.base_half
        turned = (ring.base - wheel.base) * way + wheel.base * face
        gap, other = fold(free + turned, pitch), fold(free - turned, pitch)
        side = 1 if gap <= other else -1
        at = side * way + angle
        c, s = math.cos(at), math.sin(at)
        own = -ring.base * (at - start)
        meets = -ring.base * math.tan(angle)
        self.at = fold(own - meets, pitch)
        own = meets + self.at
        return (
            gap if side > 0 else other,
            -s,
            side * c,
            ring.base * c - own * s,
            side * (ring.base * s + own * c),
        )


class RackTouch:
    """Flanks of a rack (the first; its teeth point along y, one about x = 0, its pitch line is y = 0) and a wheel on it."""

    def __init__(self, module: float, play: float, wheel: Toothing) -> None:
        self.wheel = wheel
        self._half = (math.pi * module - play) / 4
        self._pitch = math.pi * module * COS
        self.at = 0.0
        """Where along the line of action the pair touches, from the pitch point. [mm]"""
        self.reach = 1e3

    def nearest(
        self, x: float, y: float, face: float
    ) -> tuple[float, float, float, float, float]:
        """Gap, normal and point of the pair of flanks nearest to the pitch point, in the rack's frame."""
        wheel, pitch = self.wheel, self._pitch
        own = self._half * COS
        free = y * SIN - wheel.base * (PRESSURE - math.pi / 2 + wheel.base_half) - own
        turned = x * COS + wheel.base * face
        # a wheel above stands with its x axis a quarter turn from where its lowest tooth is
        gap, other = (
            fold(free + turned, pitch),
            fold(free - turned - math.pi * wheel.base, pitch),
        )
        side = 1 if gap <= other else -1
        here = self.at = fold(own - side * x * COS, pitch)
        return (
            gap if side > 0 else other,
            side * COS,
            SIN,
            x + side * here * COS,
            here * SIN,
        )


class Mesh:
    """Two toothed parts in mesh.

    Parameters
    ----------
    shop
        The bench.
    name
        What the mesh is recorded under.
    first, second
        Names of the parts; the first is the rack or the ring, if there is one.
    poses
        Of both, each turned so that a tooth lies on its x axis (a rack's along y).
    touch
        The flanks' true shapes.
    path
        How far the teeth touch before and after the pitch point. [mm]
    base_pitch
        Distance of teeth along the line of action. [mm]
    friction
        Of the flanks.
    """

    def __init__(
        self,
        shop: Any,
        name: str,
        first: str,
        second: str,
        bodies: tuple[pymunk.Body, pymunk.Body],
        poses: tuple[Pose, Pose],
        touch: Any,
        path: tuple[float, float],
        base_pitch: float,
        friction: float,
    ) -> None:
        where = f"teeth of {name}"
        self._dt, self._friction, self._path, self._pitch = shop.dt, friction, path, base_pitch
        a, b = bodies
        self._bodies = beneath(a), beneath(b)
        self._touch = touch
        (ox, oy, turned), (tx, ty, face) = poses
        self.contact: CurveContact = shop.exact_contact(
            f"{name}.teeth", first, second, where, "teeth", a, b, (ox, oy), (tx, ty), touch, 0.0,
            is_meant=False, origin_angle=turned, face=face,
        )  # fmt: skip
        # the arm repeats with every tooth: looked up, it costs a step next to nothing
        self._arms = [
            self.sliding_arm(((i + 0.5) / SLOTS - 0.5) * base_pitch) for i in range(SLOTS)
        ]
        self._is_loose = True
        self._rub = shop.heat(where)
        self._before = 0.0
        self._brake = pymunk.SimpleMotor(a, b, 0.0)
        self._brake.max_force = 0.0
        self._brake.collide_bodies = True
        shop.space.add(self._brake)
        self._ceiling = Ceiling(self._brake)
        shop.before_step(self.hold)
        shop.after_step(self.book)
        shop.channel(f"{name}.tooth force", "force", lambda: self.push)

    @property
    def push(self) -> float:
        """Push along the line of action. [g mm/s^2]"""
        contact = self.contact
        return float(contact.normal_impulse / self._dt) if contact.is_active else 0.0

    def sliding_arm(self, at: float) -> float:
        """Mean distance from the pitch point of the teeth that touch while one pair does so at a place, by which turning past each other becomes sliding. [mm]"""
        (before, after), pitch = self._path, self._pitch
        first, last = math.ceil((-before - at) / pitch), math.floor((after - at) / pitch)
        if last < first:
            return min(before, after)
        return sum(abs(at + i * pitch) for i in range(first, last + 1)) / (last - first + 1)

    def hold(self, t: float) -> None:
        """Set how strongly the flanks' rubbing brakes the turning of one wheel past the other, from the push of the last step."""
        contact = self.contact
        impulse = contact.normal_impulse if contact.is_active else 0.0
        if impulse > 0:
            slot = int((self._touch.at / self._pitch + 0.5) * SLOTS)
            arm = self._arms[min(max(slot, 0), SLOTS - 1)]
            self._ceiling.set(self._friction * impulse / self._dt * arm)
            self._is_loose = False
        elif not self._is_loose:
            self._ceiling.set(0.0)
            self._is_loose = True
        a, b = self._bodies
        self._before = spin(b) - spin(a)

    def book(self) -> None:
        """Book the rubbing."""
        if self._is_loose:
            return
        a, b = self._bodies
        passing = 0.5 * (spin(b) - spin(a) + self._before)
        self._rub.total += self._ceiling.impulse() * abs(passing)


def mesh_pair(
    shop: Any, name: str, first: str, second: str, phases: tuple[float, float], friction: float
) -> Mesh:
    """Let two wheels mesh; the second may run inside the first, a ring.

    Parameters
    ----------
    name
        What the mesh is recorded under.
    phases
        Angle of a tooth's middle in each part's own frame. [rad]
    """
    one, two = shop.scene.parts[first].toothing, shop.scene.parts[second].toothing
    kind = RingTouch if one.is_inside else PairTouch
    a, b = shop.pose(first), shop.pose(second)
    apart = math.hypot(b.x - a.x, b.y - a.y)
    path = (
        contact_path(two, one, apart)[::-1] if one.is_inside else contact_path(one, two, apart)
    )
    return Mesh(
        shop, name, first, second, (shop.body(first), shop.body(second)),
        (a._replace(angle=a.angle + phases[0]), b._replace(angle=b.angle + phases[1])),
        kind(one, two), path, math.tau * one.base / one.teeth, friction,
    )  # fmt: skip


def mesh_rack(
    shop: Any, rack: Any, gear: Any, offset: float, phase: float, friction: float
) -> Mesh:
    """Let a gear work on a rack. ``offset``: of a tooth's middle along the rack [mm]; ``phase``: of the gear's, in its own frame [rad]."""
    a, b = shop.pose(rack.name), shop.pose(gear.name)
    x, y = a.place((offset, 0.0))
    toothing = gear.toothing
    touch = RackTouch(gear.module, rack.play, toothing)
    return Mesh(
        shop, rack.name, rack.name, gear.name, (shop.body(rack.name), shop.body(gear.name)),
        (a._replace(x=x, y=y), b._replace(angle=b.angle + phase)), touch,
        contact_path(toothing, None, 0.0)[::-1], math.pi * gear.module * COS, friction,
    )  # fmt: skip
