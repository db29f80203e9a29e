"""The engine's own C calls, for what is asked and told at every step.

pymunk wraps each answer in an object of its own: a place costs 1.2 us where the call beneath takes 0.3, and a contact asks for eight such answers at every
step. This is the only file that reaches beneath pymunk's public face, into the binding it brings along; the numbers are the same to the last bit, which
``tests/stages/test_engine.py`` holds it to.
"""

from __future__ import annotations

from typing import Any

import pymunk
from pymunk._chipmunk_cffi import ffi, lib
from pymunk.vec2d import Vec2d

from animator.geometry import Point

State = tuple[float, float, float, float, float, float]
"""Place x, y [mm], angle [rad], velocity x, y [mm/s], turning speed [rad/s] of a body's centre of mass."""

_place, _angle = lib.cpBodyGetPosition, lib.cpBodyGetAngle
_velocity, _spin = lib.cpBodyGetVelocity, lib.cpBodyGetAngularVelocity
_new = tuple.__new__


class Body(pymunk.Body):
    """A body that answers for its place and its velocity sooner."""

    def _get_position(self) -> Vec2d:
        at = _place(self._body)
        return _new(Vec2d, (at.x, at.y))

    def _get_velocity(self) -> Vec2d:
        at = _velocity(self._body)
        return _new(Vec2d, (at.x, at.y))

    def _get_angle(self) -> float:
        return float(_angle(self._body))

    def _get_spin(self) -> float:
        return float(_spin(self._body))

    def local_to_world(self, v: Point) -> Vec2d:
        """Give where a place of the body's own frame is."""
        at = lib.cpBodyLocalToWorld(self._body, v)
        return _new(Vec2d, (at.x, at.y))

    __setattr__ = object.__setattr__  # type: ignore[assignment]  # pymunk's own does the same, in Python
    position = property(_get_position, pymunk.Body.position.fset)  # type: ignore[attr-defined]
    velocity = property(_get_velocity, pymunk.Body.velocity.fset)  # type: ignore[attr-defined]
    angle = property(_get_angle, pymunk.Body.angle.fset)  # type: ignore[attr-defined]
    angular_velocity = property(_get_spin, pymunk.Body.angular_velocity.fset)  # type: ignore[attr-defined]


def beneath(body: pymunk.Body) -> Any:
    """Give what the functions of this file want of a body."""
    return body._body


def state(body: Any) -> State:
    """Read where a body is and how fast."""
    at, going = _place(body), _velocity(body)
    return at.x, at.y, _angle(body), going.x, going.y, _spin(body)


def speeds(body: Any) -> tuple[float, float, float]:
    """Read how fast a body is: along x and y [mm/s], and turning [rad/s]."""
    going = _velocity(body)
    return going.x, going.y, _spin(body)


def spin(body: Any) -> float:
    """Read how fast a body turns. [rad/s]"""
    return _spin(body)  # type: ignore[no-any-return]


class Ceiling:
    """The most a joint may give, set anew at every step, and what it gave in the last one."""

    __slots__ = ("_joint", "_kept")

    def __init__(self, joint: pymunk.Constraint) -> None:
        self._kept = joint
        self._joint = joint._constraint

    def set(self, most: float) -> None:
        """Set it. [g mm/s^2, or g mm^2/s^2 of a joint that turns]"""
        lib.cpConstraintSetMaxForce(self._joint, most)

    def impulse(self) -> float:
        """Size of what it gave in the last step. [g mm/s, or g mm^2/s]"""
        return float(lib.cpConstraintGetImpulse(self._joint))


class Presented:
    """The one touch that is put in place of what the engine found."""

    __slots__ = ("_first", "_normal", "_second", "_set")

    def __init__(self) -> None:
        self._set = ffi.new("cpContactPointSet *")
        self._set.count = 1
        self._normal = self._set.normal
        self._first, self._second = self._set.points[0].pointA, self._set.points[0].pointB

    def put(
        self,
        arbiter: pymunk.Arbiter,
        normal: Point,
        first: Point,
        second: Point,
        friction: float,
        restitution: float,
    ) -> None:
        """Hand the solver a touch: its normal, the points on both bodies [mm], its coefficients of friction and of restitution."""
        raw = arbiter._arbiter
        self._normal.x, self._normal.y = normal
        self._first.x, self._first.y = first
        self._second.x, self._second.y = second
        lib.cpArbiterSetProcessCollision(raw, True)
        lib.cpArbiterSetContactPointSet(raw, self._set)
        lib.cpArbiterSetFriction(raw, friction)
        lib.cpArbiterSetRestitution(raw, restitution)


def leave_out(arbiter: pymunk.Arbiter) -> None:
    """Let the engine pass over a touch in this step."""
    lib.cpArbiterSetProcessCollision(arbiter._arbiter, False)


def push(arbiter: pymunk.Arbiter) -> Point:
    """Read what the solver gave at a touch. [g mm/s]"""
    given = lib.cpArbiterTotalImpulse(arbiter._arbiter)
    return given.x, given.y
