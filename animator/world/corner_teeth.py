"""Teeth round a corner in the engine: crown wheels and bevel gears, with play, push and rubbing at the true arms."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

from animator.parts._involute import PRESSURE
from animator.world.crossing import Arms, CrossContact
from animator.world.engine import Ceiling
from animator.world.meshing import fold

if TYPE_CHECKING:
    from animator.parts._corner_teeth import Corner


class CornerTouch:
    """Flanks of two wheels in different planes, those that are nearer of either side; their rubbing is reckoned apart.

    Parameters
    ----------
    corner
        How they meet.
    base
        Radius of the first one's base circle. [mm]
    pitch
        Distance of teeth along the line of action. [mm]
    play
        Between the flanks of both sides, along the line of action. [mm]
    apart
        Of their axes in the engine's one plane; where they stand closer than the play, the gap is told by an arm instead. [mm]
    """

    is_idle = False

    def __init__(
        self, corner: Corner, base: float, pitch: float, play: float, apart: float
    ) -> None:
        self.reach = base
        self.way = -math.sin(corner.other_line), math.cos(corner.other_line)
        self._arms = base, base / corner.ratio
        self._pitch, self._half = pitch, play / 2
        self._is_close = apart <= play
        self._started: tuple[float, float] | None = None

    def arms(self, first: float, second: float, w1: float, w2: float) -> Arms:
        """Give the touch for the angles of both, counted from where the teeth stood amid the gaps. [rad]"""
        if self._started is None:
            self._started = first, second
        one, two = self._arms
        ahead = fold(
            one * (first - self._started[0]) - two * (second - self._started[1]), self._pitch
        )
        side = 1.0 if ahead >= 0 else -1.0
        gap = self._half - abs(ahead)
        return Arms(gap, side * one, 0.0, side * two, gap if self._is_close else 0.0)

    def nearest(
        self, x: float, y: float, face: float
    ) -> tuple[float, float, float, float, float]:
        """Refuse: there is no one plane here."""
        raise NotImplementedError


class Rubbing:
    """The flanks' rubbing, which brakes either wheel by the push times how far the flanks slide for a turn of it."""

    def __init__(
        self, shop: Any, where: str, unit: CrossContact, wheel: str, lever: float
    ) -> None:
        self._unit, self._per_impulse = unit, lever / shop.dt
        self._body = shop.body(wheel)
        self._brake = Ceiling(shop.motor(self._body))
        self._heat = shop.heat(where)
        self._before = 0.0
        shop.before_step(self.hold)
        shop.after_step(self.book)

    def hold(self, t: float) -> None:
        """Set how strong it is, from the push of the last step."""
        unit = self._unit
        self._brake.set(self._per_impulse * unit.normal_impulse if unit.is_active else 0.0)
        self._before = self._body.angular_velocity

    def book(self) -> None:
        """Book it."""
        speed = 0.5 * (self._body.angular_velocity + self._before)
        self._heat.total += self._brake.impulse() * abs(speed)


def mesh_corner(
    shop: Any,
    name: str,
    first: str,
    second: str,
    corner: Corner,
    base: float,
    module: float,
    play: float,
    slides: tuple[float, float],
    friction: float,
) -> CrossContact:
    """Let two wheels of different views mesh.

    Parameters
    ----------
    base
        Radius of the first one's base circle. [mm]
    play
        Along the pitch circles. [mm]
    slides
        How far the flanks rub along each other for a turn of the first and of the second. [mm/rad]
    """
    here, there = shop.pose(first), shop.pose(second)
    cos = math.cos(PRESSURE)
    apart = math.hypot(there.x - here.x, there.y - here.y)
    touch = CornerTouch(corner, base, math.pi * module * cos, play * cos, apart)
    where = f"teeth of {name}"
    unit: CrossContact = shop.exact_contact(
        f"{name}.teeth", first, second, where, "teeth", shop.body(first), shop.body(second), here[:2], there[:2],
        touch, 0.0, False, origin_angle=here.angle, face=there.angle, sort=CrossContact,
    )  # fmt: skip
    for wheel, slide in zip((first, second), slides, strict=True):
        if slide and friction:
            Rubbing(shop, where, unit, wheel, friction * slide)
    dt = shop.dt
    shop.channel(
        f"{name}.tooth force",
        "force",
        lambda: unit.normal_impulse / dt if unit.is_active else 0.0,
    )
    return unit
