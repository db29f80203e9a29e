"""Hands and motors: they push towards a speed, and never harder than they can."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Protocol

import pymunk

from animator.world import engine

STILL_SHARE = 0.01  # of the full speed; slower than that a shaft stands
STATOR_INERTIA = 1e15  # g mm^2; a free body so heavy that its change of speed weighs the drive's torque, with its sign

if TYPE_CHECKING:
    from animator.world.building import Bench
    from animator.world.contacts import Cell


def ramp(share: float) -> float:
    """Share of the full speed after a share of the start-up time: the 3-4-5 law, without a jerk at either end.

    Examples
    --------
    >>> ramp(0.0), ramp(0.5), ramp(1.0), ramp(3.0)
    (0.0, 0.5, 1.0, 1.0)
    """
    u = min(max(share, 0.0), 1.0)
    return u * u * u * (10 + u * (-15 + 6 * u))


def ramped(share: float) -> float:
    """Share of the start-up time after which so much of the full speed is reached; the other way round from ``ramp``.

    Examples
    --------
    >>> ramped(0.0), round(ramped(0.5), 6), ramped(1.0)
    (0.0, 0.5, 1.0)
    """
    if share <= 0.0 or share >= 1.0:
        return min(max(share, 0.0), 1.0)
    low, high = 0.0, 1.0
    for _ in range(40):
        middle = (low + high) / 2
        low, high = (middle, high) if ramp(middle) < share else (low, middle)
    return (low + high) / 2


class Wire(Protocol):
    """What tells a motor whether it is given current."""

    @property
    def is_given(self) -> bool:
        """Whether the circuit is closed now."""
        ...


@dataclass(frozen=True)
class Turning:
    """What a drive is meant to do: turn ``shaft`` in ``sense`` (+1 anticlockwise) at ``speed`` [rad/s], reached over ``starts_over`` [rad]."""

    name: str
    shaft: str
    sense: int
    speed: float
    starts_over: float


class Drive:
    """Something that turns a shaft towards a due speed with a limited torque.

    Parameters
    ----------
    bench
        Where it is built in.
    turning
        What it is meant to do. The speed is reached with a 3-4-5 law; a motor's is its unloaded one.
    ceiling
        Most it can give: a hand's strength, a motor's stall torque. [g mm^2/s^2]
    radius
        Of the knob, 0 for a motor. [mm]
    has_line
        A motor: the torque falls straight to nothing at the unloaded speed. A hand gives all it can at any speed.
    holds
        Can't be turned back (a worm box).
    """

    def __init__(
        self,
        bench: Bench,
        turning: Turning,
        ceiling: float,
        radius: float = 0.0,
        has_line: bool = False,
        holds: bool = False,
    ) -> None:
        self.name, self.shaft = turning.name, turning.shaft
        self.sense, self.speed = turning.sense, turning.speed
        self.ceiling, self.radius, self.has_line = ceiling, radius, has_line
        self.start_time = (
            2 * turning.starts_over / turning.speed
        )  # the ramp's mean speed is half the full one
        self.body = bench.body(self.shaft)
        self.start_angle = self.body.angle
        space = bench.space
        self._stator = engine.Body(1e6, STATOR_INERTIA)
        self._motor = pymunk.SimpleMotor(self._stator, self.body, 0.0)
        self._motor.max_force = ceiling
        self._motor.collide_bodies = True
        space.add(self._stator, self._motor)
        self._per_step = STATOR_INERTIA / bench.dt
        self._dt = bench.dt
        self._work = bench.work(self.name)
        self._speed_before = self.body.angular_velocity
        self._stator_before = 0.0
        self.due_speed = 0.0
        self.torque = 0.0
        self.torque_sum = 0.0
        self.is_released = False
        self._at_full = False
        self._grip = 1.0
        self._space = space
        self._wire: Wire | None = None
        self._idle: Brake | None = None
        self._own_friction = 0.0
        self._since = 0.0
        self.is_on = True
        """Whether it is given current; a hand and an unswitched motor always are."""
        self._back_stop: pymunk.RotaryLimitJoint | None = None
        if holds:
            # it holds from the first: while hanging parts settle the shaft can't be turned either way
            stop = pymunk.RotaryLimitJoint(
                space.static_body, self.body, self.start_angle, self.start_angle
            )
            stop.error_bias = bench.settings.joint_bias
            stop.collide_bodies = True
            space.add(stop)
            self._back_stop = stop
        bench.due(self.speed)

    @property
    def turned(self) -> float:
        """How far the shaft has turned in the running direction. [rad]"""
        return self.sense * (self.body.angle - self.start_angle)

    @property
    def is_switched(self) -> bool:
        """Whether a signal decides when it runs."""
        return self._wire is not None

    @property
    def is_turning(self) -> bool:
        """Whether the shaft still turns, if only by running out: faster than a hundredth of the full speed."""
        return abs(self.body.angular_velocity) > STILL_SHARE * self.speed

    def switched_by(self, wire: Wire, own_friction: float, heat: Cell) -> None:
        """Run only while a signal is given; else it runs out against its own friction. [g mm^2/s^2]"""
        self._wire, self._own_friction = wire, own_friction
        self._idle = Brake(
            self._space, self._space.static_body, self.body, Load(own_friction, heat), None
        )
        self._switch(False, 0.0)

    def _switch(self, is_on: bool, t: float) -> None:
        """Give current or take it away. One that is switched on while it still turns comes up from the speed it has."""
        assert self._idle is not None
        self.is_on = is_on
        self._idle.limit(0.0 if is_on else self._own_friction)
        if is_on:
            share = self.sense * self.body.angular_velocity / self.speed
            self._since = t - ramped(share) * self.start_time
            self._at_full = False
            return
        self._at_full = True
        self.due_speed = 0.0
        self._motor.max_force = 0.0

    def aim(self, speed: float) -> None:
        """Push towards another speed from now on, as strongly as it can: a hand that follows its owner. Negative turns back. [rad/s]"""
        self._grip = 1.0
        if self._wire is not None:
            self.is_released = True  # its circuit goes on deciding when it runs
            return
        self._at_full = self.is_released = True  # the gentle start is the hand's own affair now
        self.due_speed = speed
        self._motor.rate = -self.sense * speed
        self._motor.max_force = self.ceiling

    def let_go(self) -> None:
        """Take the hand off, or the current: nothing is given until the next ``aim``."""
        self.aim(0.0)
        self._grip = 0.0
        if self._wire is None:
            self._motor.max_force = 0.0

    def before(self, t: float) -> None:
        """Set the speed to push towards and how hard."""
        if self._wire is not None and self.is_released:
            is_given = self._wire.is_given and self._grip > 0.0
            if is_given != self.is_on:
                self._switch(is_given, t)
        if not self._at_full:
            if not self.is_released:
                return
            share = (t - self._since) / self.start_time if self.start_time > 0 else 1.0
            self.due_speed = self.speed * ramp(share)
            self._motor.rate = -self.sense * self.due_speed
            self._at_full = share >= 1
        if self.has_line and self.is_on:
            short = abs(self.due_speed - self.sense * self._speed_before) / self.speed
            self._motor.max_force = self.ceiling * self._grip * short if short >= 0.0 else 0.0
        if self._back_stop is not None:
            angle = self.body.angle
            if self.sense > 0:
                self._back_stop.max = math.inf
                self._back_stop.min = max(self._back_stop.min, angle)
            else:
                self._back_stop.min = -math.inf
                self._back_stop.max = min(self._back_stop.max, angle)

    def after(self) -> None:
        """Weigh the torque that was given and book its work."""
        if self._idle is not None:
            self._idle.book()
        stator = self._stator.angular_velocity
        speed = self.body.angular_velocity
        torque = (
            self._stator_before - stator
        ) * self._per_step  # on the shaft, anticlockwise positive
        self._work.total += torque * 0.5 * (speed + self._speed_before) * self._dt
        self._stator_before = stator
        self._speed_before = speed
        self.torque = self.sense * torque
        self.torque_sum += self.torque


@dataclass(frozen=True)
class Load:
    """A braking torque and the ledger's total for its heat: ``amount`` [g mm^2/s^2] steadily, or for each impulse of the ``joint`` it rubs in."""

    amount: float
    heat: Cell
    joint: pymunk.Constraint | None = None


class Brake:
    """Holds back the turning of one body on another: a steady drag, and the rubbing of a bearing under the load of the step before.

    Journal friction is mu W r (any text on bearings); the engine's joint gives the load.
    """

    def __init__(
        self,
        space: pymunk.Space,
        support: pymunk.Body,
        body: pymunk.Body,
        drag: Load | None,
        rub: Load | None,
    ) -> None:
        self._motor = pymunk.SimpleMotor(support, body, 0.0)
        self._motor.max_force = 0.0
        self._motor.collide_bodies = True
        space.add(self._motor)
        self._ceiling = engine.Ceiling(self._motor)
        self._bearing = None if rub is None or rub.joint is None else engine.Ceiling(rub.joint)
        self._turns = engine.beneath(body)
        self._stands = None if support is space.static_body else engine.beneath(support)
        self._drag, self._rub = drag, rub
        self._steady = drag.amount if drag is not None else 0.0
        self._share = 1.0 if rub is None else 0.0
        self._speed = self._turning()
        if rub is None:
            self._motor.max_force = self._steady

    def _turning(self) -> float:
        if self._stands is None:
            return engine.spin(self._turns)
        return engine.spin(self._turns) - engine.spin(self._stands)

    def hold(self, t: float) -> None:
        """Set the torque it can hold with."""
        rub = self._rub
        if rub is not None and self._bearing is not None:
            force = self._steady + rub.amount * self._bearing.impulse()
            if (
                force >= 0.0
            ):  # not a number would end the process; the monitor sees it elsewhere
                self._ceiling.set(force)
                if self._drag is not None:
                    self._share = self._steady / force if force > 0 else 0.0

    def limit(self, drag: float) -> None:
        """Set the steady drag anew. [g mm^2/s^2]"""
        self._steady = drag
        self._motor.max_force = drag

    def book(self) -> None:
        """Book the heat of the step, shared between drag and bearing as their torques are."""
        speed = self._turning()
        heat = self._ceiling.impulse() * 0.5 * abs(speed + self._speed)
        self._speed = speed
        if self._drag is not None:
            self._drag.heat.total += heat * self._share
        if self._rub is not None:
            self._rub.heat.total += heat * (1 - self._share)
