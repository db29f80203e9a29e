"""What brakes in a bearing besides the rubbing that goes with its load."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pymunk

if TYPE_CHECKING:
    from animator.world.contacts import Cell


class OilFilm:
    """Oil between two tubes: it brakes the turning of one body on another in proportion to its speed, taken at the speed the step begins with.

    ``drag`` [g mm^2/s] is the torque for each turning speed; ``dt`` [s].
    """

    def __init__(
        self, support: pymunk.Body, body: pymunk.Body, drag: float, dt: float, heat: Cell
    ) -> None:
        self._support, self._body, self._heat = support, body, heat
        self._dt = dt
        self._drag = min(drag, 0.2 * body.moment / dt)  # stays stable on the lightest shaft
        self._torque = 0.0
        self._speed = self._turning()

    def _turning(self) -> float:
        return float(self._body.angular_velocity - self._support.angular_velocity)

    def act(self, t: float) -> None:
        """Book the step before, and brake the next."""
        speed = self._turning()
        self._heat.total -= self._torque * 0.5 * (speed + self._speed) * self._dt
        self._speed, self._torque = speed, -self._drag * speed
        self._body.torque += self._torque
        self._support.torque -= self._torque
