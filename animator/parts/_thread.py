"""The thread of a worm against the pins or teeth of a wheel, unrolled: along the worm's axis and round it. Plain geometry.

The worm's surface is laid flat: x along its axis, y the way its surface moves when it turns anticlockwise, as its viewer sees it. A pin of the wheel stands at y = 0
and travels along x, up and down about the middle of the worm. The thread is a ridge in this plane, slanted by the lead angle; it slides past the
pin along y. Their touch is then that of a round pin and a ridge in a plane, and all that a worm does (its efficiency, that it locks or runs back)
follows from Coulomb's friction at that touch.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace

from animator.parts._spokes import clearest

NORMAL = math.radians(20)  # flank of a turned thread, as of the basic rack (ISO 53)
BEND = 0.5  # share of the flat that it takes a bent sheet to come to its full slope


@dataclass(frozen=True)
class Follower:
    """What the thread pushes: ``count`` pins (or teeth) on a circle, each ``thick`` along the worm at the pitch line. [mm]

    ``is_round``: pins, which stand a little askew to the thread as they swing past its middle; teeth are shaped so that they don't.
    ``phase``: angle of the first one in the wheel's own frame. [rad]
    """

    count: int
    radius: float
    thick: float
    is_round: bool
    phase: float = 0.0

    @property
    def pitch(self) -> float:
        """Way along the pitch circle from one to the next. [mm]"""
        return math.tau * self.radius / self.count

    def near(self, turned: float, reach: float) -> Iterator[tuple[int, float, float]]:
        """Give those within ``reach`` [mm] of the middle of the worm: number, place along the worm, lever arm. ``turned``: the wheel's angle from the line of the middles [rad]."""
        step = math.tau / self.count
        most = (
            reach / self.radius
            if not self.is_round
            else math.asin(min(1.0, reach / self.radius))
        )
        first = math.ceil((-most - turned - self.phase) / step)
        last = math.floor((most - turned - self.phase) / step)
        for k in range(first, last + 1):
            angle = turned + self.phase + k * step
            if self.is_round:
                yield (
                    k % self.count,
                    self.radius * math.sin(angle),
                    self.radius * math.cos(angle),
                )
            else:
                yield k % self.count, self.radius * angle, self.radius


@dataclass(frozen=True)
class Touching:
    """A place where pin and thread are near: which pin and which side of the thread, gap [mm], normal from thread to pin (along, round), the wheel's arm [mm]."""

    key: tuple[int, int]
    gap: float
    along: float
    around: float
    arm: float


@dataclass(frozen=True)
class TurnedThread:
    """A thread cut on a cylinder.

    ``radius``: where the pins ride; ``step``: along the axis from one turn of thread to the next; ``starts``: how many threads run side by side;
    ``hand``: +1 right, -1 left; ``half``: of the ridge, square to it; ``reach``: half the threaded length. [mm]

    For round pins, which swing past its middle on a circle, it is eased towards its ends by what they swing (hundredths of a millimetre), so that the next
    one comes in smoothly.
    """

    radius: float
    step: float
    starts: int
    hand: int
    half: float
    reach: float
    shift: float = 0.0
    """Where along its axis it is set, so that teeth that stand where they stand start amid its grooves. [mm]"""

    @property
    def slope(self) -> float:
        """Tangent of the lead angle, z p / (pi d) (DIN 3975)."""
        return self.starts * self.step / (math.tau * self.radius)

    @property
    def lead_angle(self) -> float:
        """[rad]"""
        return math.atan(self.slope)

    def place(self, turned: float) -> float:
        """Where a ridge stands at y = 0 when the worm has turned [rad]; others stand whole steps beside it. [mm]"""
        return self.shift - self.hand * self.slope * self.radius * turned

    def touching(self, turned: float, wheel: Follower, wheel_turned: float) -> list[Touching]:
        """Find the flanks next to each pin, the nearest first."""
        lead = math.atan(self.slope)
        c, s = math.cos(lead), math.sin(lead)
        here, step = self.place(turned), self.step
        thick = self.half + wheel.thick / 2
        found = []
        for k, x, arm in wheel.near(wheel_turned, self.reach):
            eased = 0.0
            if wheel.is_round:
                eased = wheel.radius * math.asin(abs(x) / wheel.radius) - abs(x)
            beyond = (x - here) % step
            for side, off in ((1, beyond), (-1, step - beyond)):
                found.append(
                    Touching(
                        (k, side),
                        (off + eased) * c - thick,
                        side * c,
                        -side * self.hand * s,
                        arm,
                    )
                )
        found.sort(key=lambda each: each.gap)
        return found


@dataclass(frozen=True)
class SheetThread:
    """A disc of sheet, slit to its middle and bent to one turn of a thread by hand.

    ``radius``: where the pins ride; ``spread``: how far its ends are bent apart along the axis; ``flat``: round the axis at either end where the
    sheet still lies square to the axis, because it is fixed there [rad]; ``half``: of the sheet's thickness; ``hand``: +1 right, -1 left. [mm]

    Bent to a thread, a disc comes to a little more than one turn, 1 / cos of its lead angle (the strip along its edge keeps its bend), so its ends
    overlap.
    """

    radius: float
    spread: float
    flat: float
    half: float
    hand: int

    @property
    def lead_angle(self) -> float:
        """On the whole, as if the bend were even. [rad]"""
        return math.atan(self.spread / (math.tau * self.radius))

    @property
    def sweep(self) -> float:
        """Angle the sheet covers round the axis, over a whole turn by its overlap. [rad]"""
        return math.tau / math.cos(self.lead_angle)

    @property
    def steepest(self) -> float:
        """Tangent of the lead angle between its flats."""
        even = self.sweep - 2 * self.flat - BEND * self.flat
        return self.spread / (even * self.radius)

    def bend(self, y: float) -> tuple[float, float]:
        """Where the sheet stands along the axis and how steep it is, at ``y`` round the axis from its first end. [mm]

        Flat, a bend as long as half the flat (its slope grows evenly), even, and the same backwards.
        """
        flat, soft = self.flat * self.radius, BEND * self.flat * self.radius
        whole = self.sweep * self.radius
        if y > whole / 2:
            x, slope = self.bend(whole - y)
            return self.spread - x, slope
        beyond = y - flat
        if beyond <= 0:
            return 0.0, 0.0
        steep = self.steepest
        if beyond < soft:
            return steep * beyond * beyond / (2 * soft), steep * beyond / soft
        return steep * (beyond - soft / 2), steep

    def place(self, turned: float) -> float:
        """Where the sheet stands at y = 0 when it has turned [rad], from its middle. [mm]"""
        along, _ = self.bend((-turned % math.tau) * self.radius)
        return self.hand * (along - self.spread / 2)

    def touching(self, turned: float, wheel: Follower, wheel_turned: float) -> list[Touching]:
        """Find where the sheet is near a pin, the nearest first; at its ends a pin may meet the edge."""
        r, whole, turn = self.radius, self.sweep * self.radius, math.tau * self.radius
        thick = self.half + wheel.thick / 2
        start = (-turned * r) % turn
        found = []
        for k, x, arm in wheel.near(wheel_turned, self.spread):
            off = self.hand * x + self.spread / 2
            for y0 in (start - turn, start, start + turn):
                if not -2 * thick < y0 < whole + 2 * thick:
                    continue
                y = min(max(y0, 0.0), whole)
                for _ in range(3):
                    along, slope = self.bend(y)
                    y = min(
                        max(y - ((along - off) * slope + y - y0) / (1 + slope * slope), 0.0),
                        whole,
                    )
                along, _ = self.bend(y)
                dx, dy = off - along, y0 - y
                d = math.hypot(dx, dy)
                if d < 1e-9:
                    dx, dy, d = 1.0, 0.0, 1.0
                side = 1 if dx >= 0 else -1
                copy = round((y0 + turned * r) / turn)  # the same sheet comes by once a turn
                found.append(
                    Touching((k, 2 * copy + side), d - thick, self.hand * dx / d, dy / d, arm)
                )
        found.sort(key=lambda each: each.gap)
        return found


Thread = TurnedThread | SheetThread


def set_between(thread: Thread, wheel: Follower, turned: float, wheel_turned: float) -> float:
    """Find how far a wheel's pins must be set round so that they stand as clear of the thread as they can. [rad]"""
    step = math.tau / wheel.count

    def clear(by: float) -> float:
        near = thread.touching(turned, replace(wheel, phase=by), wheel_turned)
        return near[0].gap if near else math.inf

    return clearest(clear, step)
