"""True shapes of contacts of what goes step by step: a pawl's nose on ratchet teeth, and what presses and lifts a pawl."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from animator.parts._teeth import Near, Teeth

if TYPE_CHECKING:
    import pymunk

    from animator.parts._contract import Workshop
    from animator.world.contacts import CurveContact

Nearest = tuple[float, float, float, float, float]
JUMPED_WITHIN = 0.5  # of a tooth's depth; a nose that passes a tooth nearer than this was pressed over it, one farther off was held away
LIFT_TIME = 0.15  # s in which a finger lifts a pawl, or lets it down
FINGER_PACE = 150.0  # 1/s; how firmly a finger leads what it holds


class Nose:
    """Where the round nose of a pawl is on its wheel: reckoned once for both of its touches, and in which valley, counted on past a turn."""

    def __init__(self, teeth: Teeth, radius: float) -> None:
        self.teeth, self.radius = teeth, radius
        self.steps = 0
        self.skipped = 0
        self.is_held_off = False
        self._valley: int | None = None
        self._at = (math.nan, math.nan)
        self._found: tuple[Near, Near] | None = None

    def touch(self, x: float, y: float) -> tuple[Near, Near]:
        """Nearest places on the face and on the back (or a tip), of a nose at a place in the wheel's frame."""
        if self._found is None or (x, y) != self._at:
            valley, face, back = self.teeth.near(x, y, self.radius)
            self._count(valley, min(face.gap, back.gap))
            self._at, self._found = (x, y), (face, back)
        return self._found

    def _count(self, valley: int, gap: float) -> None:
        if self._valley is not None and valley != self._valley:
            half = self.teeth.count // 2
            gone = (self._valley - valley + half) % self.teeth.count - half
            self.steps += gone
            if gone < 0 and gap < JUMPED_WITHIN * self.teeth.depth and not self.is_held_off:
                self.skipped -= gone
        self._valley = valley


class NoseTouch:
    """One of the two touches of a nose: with the face it stands against, or with the back it rides over."""

    def __init__(self, nose: Nose, is_face: bool) -> None:
        self.nose, self.is_face, self.reach = nose, is_face, nose.teeth.radius

    def nearest(self, x: float, y: float, face: float) -> Nearest:
        """Gap, outward normal and place on the wheel, in the wheel's frame."""
        return self.nose.touch(x, y)[0 if self.is_face else 1]


class Press:
    """A little spring that turns a pawl towards its wheel; its other leg stands against what carries the pawl's pivot.

    Parameters
    ----------
    part, host
        Name of the pawl, and the body that carries its pivot.
    torque, rate
        At the start [g mm^2/s^2], and how much it grows as the pawl is lifted [g mm^2/s^2 for each radian].
    sense
        Which way it turns the pawl, +1 anticlockwise.
    """

    def __init__(
        self,
        shop: Workshop,
        part: str,
        host: pymunk.Body,
        torque: float,
        rate: float,
        sense: int,
    ) -> None:
        self._body, self._host = shop.body(part), host
        self._is_static = host is shop.space.static_body
        self._dt, self._torque, self._rate, self._sense = shop.dt, torque, rate, sense
        self._start = self._body.angle - host.angle
        if rate:
            shop.stiff(rate, shop.turning_inertia(part))
        shop.before_step(self.press)
        shop.store(f"spring of {part}", self.energy)

    def _lift(self, ahead: float) -> float:
        """How far the pawl is lifted from where it started, so many seconds ahead. [rad]"""
        turned = self._body.angle + ahead * self._body.angular_velocity - self._start
        if not self._is_static:
            turned -= self._host.angle + ahead * self._host.angular_velocity
        return float(-self._sense * turned)

    def press(self, t: float) -> None:
        """Press with what the spring gives where the pawl will be after this step."""
        torque = self._torque + self._rate * self._lift(self._dt)
        if torque > 0:
            self._body.torque += self._sense * torque
            if not self._is_static:
                self._host.torque -= self._sense * torque

    def energy(self) -> float:
        """Energy stored since the start. [g mm^2/s^2]"""
        lift = self._lift(self._dt / 2)
        if self._rate and self._torque + self._rate * lift < 0:
            lift = -self._torque / self._rate
        return self._torque * lift + self._rate * lift * lift / 2


class Finger:
    """A finger that lifts a pawl out of its teeth for a while and lets it down again; what it gives is booked as work put in."""

    def __init__(
        self,
        shop: Workshop,
        part: str,
        host: pymunk.Body,
        nose: Nose,
        sense: int,
        lift: float,
    ) -> None:
        self._body, self._host, self._nose = shop.body(part), host, nose
        self._dt, self._sense, self._lift = shop.dt, sense, lift
        self._inertia = shop.turning_inertia(part)
        self._start = self._body.angle - host.angle
        self._work = shop.work(f"finger on {part}")
        self._since: float | None = None
        self._from = 0.0
        self._torque = 0.0
        self._speed = 0.0
        self._is_static = host is shop.space.static_body
        shop.after_step(self.book)

    def _turned(self) -> float:
        return float(self._sense * (self._body.angle - self._host.angle - self._start))

    def _turning(self) -> float:
        return float(self._body.angular_velocity - self._host.angular_velocity)

    def lead(self, t: float, is_holding: bool) -> None:
        """Lead the pawl up and hold it there, or let it go."""
        self._torque, self._speed = 0.0, self._turning()
        self._nose.is_held_off = is_holding
        if not is_holding:
            self._since = None
            return
        if self._since is None:
            self._since, self._from = t, self._turned()
        share = min(1.0, (t - self._since) / LIFT_TIME)
        share = share * share * (3 - 2 * share)
        due = self._from + share * (-self._lift - self._from)
        pull = FINGER_PACE * FINGER_PACE * (due - self._turned())
        self._torque = self._inertia * (
            self._sense * pull - 1.4 * FINGER_PACE * self._turning()
        )
        self._body.torque += self._torque
        if not self._is_static:
            self._host.torque -= self._torque

    def book(self) -> None:
        """Book the work of the step, from the mean of the speeds before and after it."""
        if self._torque:
            self._work.total += self._torque * 0.5 * (self._speed + self._turning()) * self._dt


def carried(contact: CurveContact, dt: float) -> float:
    """Force that a contact carries now. [g mm/s^2]"""
    return contact.normal_impulse / dt
