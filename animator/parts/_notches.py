"""A round plate with V notches in its rim, as exact geometry: what a sprung nose feels, and what is drawn."""

import math
from collections.abc import Sequence

from animator.geometry import Point, polar

FAR = 1e3  # mm; a gap that nothing closes within a step


class Notches:
    """V notches of ``depth`` in a rim of ``radius``, flanks ``opening`` apart [rad], about some angles of the plate's own frame [rad].

    Examples
    --------
    >>> plate = Notches(30, 2, math.radians(90), (0.0,))
    >>> round(plate.seat(2), 4)  # a ball of 2 mm on both flanks: 28 + 2 / sin 45
    30.8284
    >>> round(plate.reach(30, 0.5, 3), 6)  # on the rim
    33.0
    """

    def __init__(
        self, radius: float, depth: float, opening: float, angles: Sequence[float]
    ) -> None:
        self.radius, self.depth, self.half = radius, depth, opening / 2
        self.angles = tuple(angle % math.tau for angle in angles)
        self.floor = radius - depth
        s, c = math.sin(self.half), math.cos(self.half)
        self._s, self._c = s, c
        self.flank = math.sqrt(radius**2 - (self.floor * s) ** 2) - self.floor * c
        """Length of a flank, from the floor to the rim. [mm]"""
        self.corner = math.atan2(self.flank * s, self.floor + self.flank * c)
        """Half the angle that a notch takes of the rim. [rad]"""

    def seat(self, nose: float) -> float:
        """How far from the axis the middle of a round nose rests in a notch. [mm]"""
        along = nose / math.tan(self.half)
        if along <= self.flank:
            return self.floor + nose / self._s
        # too large to reach the flanks: it lies on both corners
        x, y = self.radius * math.sin(self.corner), self.radius * math.cos(self.corner)
        return y + math.sqrt(max(nose**2 - x**2, 0.0))

    def nearest_notch(self, angle: float) -> float:
        """Angle of the notch nearest to a polar angle, both in the plate's frame. [rad]"""
        return min(self.angles, key=lambda each: abs(_wrap(each - angle)))

    def near(self, x: float, y: float, side: int) -> tuple[float, float, float, float, float]:
        """Tell how far a point is from one flank (side +1: the one reached anticlockwise; the rim beyond it belongs to it).

        Distance, unit normal outwards, place on the plate. [mm]
        """
        angle = math.atan2(y, x)
        notch = self.nearest_notch(angle)
        c, s = math.cos(notch), math.sin(notch)
        v, u = c * x + s * y, (c * y - s * x) * side  # v outwards, u towards this side
        off = math.atan2(u, v)
        if off > self.corner:  # beyond the corner: the rim
            d = math.hypot(x, y)
            return d - self.radius, x / d, y / d, x / d * self.radius, y / d * self.radius
        t = u * self._s + (v - self.floor) * self._c
        t = min(max(t, 0.0), self.flank)
        pu, pv = t * self._s, self.floor + t * self._c
        du, dv = u - pu, v - pv
        d = math.hypot(du, dv)
        # inside the wood the flank pushes out square to itself
        out = -du * self._c + dv * self._s
        if d < 1e-12 or (out < 0 and 0.0 < t < self.flank):
            du, dv, d = -self._c, self._s, math.copysign(1.0, out) * d
            nu, nv = du, dv
        else:
            nu, nv = du / d, dv / d
        nu, pu = nu * side, pu * side
        return d, c * nv - s * nu, s * nv + c * nu, c * pv - s * pu, s * pv + c * pu

    def reach(self, low: float, angle: float, nose: float) -> float:
        """How far from the axis a round nose rests at a polar angle of the plate's frame. [mm]"""
        c, s = math.cos(angle), math.sin(angle)
        inner, outer = low, self.radius + nose + 1.0
        for _ in range(60):
            middle = (inner + outer) / 2
            gap = min(self.near(middle * c, middle * s, side)[0] for side in (1, -1)) - nose
            inner, outer = (middle, outer) if gap < 0 else (inner, middle)
        return outer

    def outline(self, steps: int = 96) -> list[Point]:
        """Corners of the plate, closely set round its rim. [mm]"""
        found: list[tuple[float, Point]] = []
        for angle in self.angles:
            for turn, radius in (
                (-self.corner, self.radius),
                (0.0, self.floor),
                (self.corner, self.radius),
            ):
                found.append((angle + turn, polar(radius, angle + turn)))
        for i in range(steps):
            angle = math.tau * i / steps
            if abs(_wrap(self.nearest_notch(angle) - angle)) > self.corner:
                found.append((angle, polar(self.radius, angle)))
        return [
            point for _, point in sorted((angle % math.tau, point) for angle, point in found)
        ]


class FlankTouch:
    """A round nose on one side of the notches of a plate and the rim beyond it."""

    def __init__(self, notches: Notches, nose: float, side: int) -> None:
        self._notches, self._nose, self._side = notches, nose, side
        self.reach = notches.radius

    def nearest(
        self, x: float, y: float, face: float
    ) -> tuple[float, float, float, float, float]:
        """Gap, outward normal, place on the plate, in the plate's frame."""
        d, nx, ny, px, py = self._notches.near(x, y, self._side)
        return d - self._nose, nx, ny, px, py


def _wrap(angle: float) -> float:
    return (angle + math.pi) % math.tau - math.pi
