"""Teeth round a corner in the engine: crown wheels and bevel gears, with play, push and rubbing at the true arms."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

from animator.parts._involute import PRESSURE
from animator.world.crossing import Arms, CrossContact
from animator.world.meshing import fold

if TYPE_CHECKING:
    from animator.parts._corner_teeth import Corner


class CornerTouch:
    """Flanks of two wheels in different planes, those that are nearer of either side.

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
    slide, other_slide
        How far the flanks rub along each other for a turn of the first and of the second. [mm/rad]
    """

    is_idle = False

    def __init__(
        self,
        corner: Corner,
        base: float,
        pitch: float,
        play: float,
        slide: float,
        other_slide: float,
    ) -> None:
        self.reach = base
        self.way = -math.sin(corner.other_line), math.cos(corner.other_line)
        self._arms = base, base / corner.ratio
        self._pitch, self._half = pitch, play / 2
        self._slides = slide, other_slide
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
        # the rub opposes whatever turning there is, with the arms at which the flanks pass each other
        rub = math.copysign(1.0, w1 * one + w2 * two)
        return Arms(
            self._half - abs(ahead),
            side * one,
            rub * self._slides[0],
            side * two,
            -rub * self._slides[1],
        )

    def nearest(
        self, x: float, y: float, face: float
    ) -> tuple[float, float, float, float, float]:
        """Refuse: there is no one plane here."""
        raise NotImplementedError


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
    """Let two wheels of different views mesh; ``play`` along their pitch circles. [mm]"""
    here, there = shop.pose(first), shop.pose(second)
    cos = math.cos(PRESSURE)
    touch = CornerTouch(corner, base, math.pi * module * cos, play * cos, *slides)
    unit: CrossContact = shop.exact_contact(
        f"{name}.teeth", first, second, f"teeth of {name}", "teeth", shop.body(first), shop.body(second), here[:2], there[:2],
        touch, friction, False, origin_angle=here.angle, face=there.angle, sort=CrossContact,
    )  # fmt: skip
    dt = shop.dt
    shop.channel(
        f"{name}.tooth force",
        "force",
        lambda: unit.normal_impulse / dt if unit.is_active else 0.0,
    )
    return unit
