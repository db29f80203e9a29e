"""The visitor's hand: where it wants the handle, from a drag, a wheel or a key. Angles are of the drive in its running direction."""

from __future__ import annotations

import math
from dataclasses import dataclass

from animator.geometry import Point

NOTCH = math.radians(15)  # what one notch of a wheel asks for
REACH = math.radians(
    150
)  # farther ahead of the handle no hand can lead it; what it does beyond is in vain
LINGER = 0.8  # s a hand stays on the handle after the last notch of a wheel
HOLD_ON = math.radians(
    4
)  # nearer than this to where it wanted to be, a wheel's hand is content
GAIN = 30.0  # 1/s; how eagerly a hand goes after its aim: a knob that is led lags by a thirtieth of a second
GENTLY = 0.05  # s to full speed; wrists are not hammers
QUICKEST = (
    2.2 * math.tau
)  # rad/s; a hand on a crank of a stall piece doesn't turn faster (by trial, no source)


@dataclass
class Hand:
    """What a hand wants of the handle it holds.

    ``is_on``: it holds the handle. ``target``: where it wants it [rad], unless it leads it at a steady ``speed`` [rad/s].
    """

    most: float
    sense: int = 1
    is_on: bool = False
    target: float = 0.0
    speed: float | None = None
    touched: float = -math.inf
    _is_dragging: bool = False
    _pointer: float = 0.0

    @property
    def is_leading(self) -> bool:
        """Whether a drag is going on."""
        return self._is_dragging

    # ------------------------------------------------------------ drag and touch
    def take(self, middle: Point, at: Point, angle: float, now: float) -> None:
        """Take hold at a place of the picture (y down), the shaft at ``middle``, the drive at ``angle``."""
        self._is_dragging, self.is_on, self.speed = True, True, None
        self._pointer, self.target, self.touched = _bearing(middle, at), angle, now

    def lead(self, middle: Point, at: Point, angle: float, now: float) -> None:
        """Lead it round to another place of the picture."""
        if not self._is_dragging:
            return
        bearing = _bearing(middle, at)
        self.target += self.sense * math.remainder(bearing - self._pointer, math.tau)
        self._pointer, self.touched = bearing, now
        self._within(angle)

    def leave(self, now: float) -> None:
        """Let go after a drag."""
        if self._is_dragging:
            self._is_dragging = self.is_on = False
            self.touched = now

    # ------------------------------------------------------------ wheel
    def nudge(self, notches: float, angle: float, now: float) -> None:
        """Turn on by some notches of a wheel, or back where there are fewer than none."""
        if self._is_dragging:
            return
        if not self.is_on or self.speed is not None:
            self.target = angle
        self.is_on, self.speed, self.touched = True, None, now
        self.target += notches * NOTCH
        self._within(angle)

    # ------------------------------------------------------------ keys
    def press(self, speed: float, now: float) -> None:
        """Lead it steadily on, or back where the speed is negative. [rad/s]"""
        self.is_on, self._is_dragging = True, False
        self.speed, self.touched = max(-self.most, min(self.most, speed)), now

    def release(self, now: float) -> None:
        """Let go of a key."""
        if self.speed is not None:
            self.speed, self.is_on, self.touched = None, False, now

    # ------------------------------------------------------------ all
    def tick(self, angle: float, now: float) -> None:
        """See whether the hand of a wheel has done what it wanted, or gives up."""
        if self.is_on and self.speed is None and not self._is_dragging:
            is_there = abs(self.target - angle) < HOLD_ON
            if now - self.touched > (0.25 if is_there else LINGER):
                self.is_on = False
        elif self.is_on:
            self.touched = now

    def _within(self, angle: float) -> None:
        self.target = max(angle - REACH, min(angle + REACH, self.target))


def wanted(target: float, angle: float, most: float) -> float:
    """Speed at which a hand goes after its aim, so that it can still come to rest there. [rad/s]

    Examples
    --------
    >>> wanted(1.0, 1.0, 5.0), wanted(9.0, 1.0, 5.0), wanted(0.0, 9.0, 5.0)
    (0.0, 5.0, -5.0)
    >>> round(wanted(1.1, 1.0, 5.0), 2)
    3.0
    """
    left = abs(target - angle)
    speed = min(most, GAIN * left, 0.9 * math.sqrt(2 * left * most / GENTLY))
    return math.copysign(speed, target - angle)


def _bearing(middle: Point, at: Point) -> float:
    """Angle of a place seen from the shaft, anticlockwise as one looks at the picture, whose y points down. [rad]"""
    return math.atan2(middle[1] - at[1], at[0] - middle[0])
