"""True shapes of contacts with a cam: a roller or knife edge, a flat face; on curves and on circles with their tangents."""

from __future__ import annotations

import math
from collections.abc import Sequence

from animator.outlines import Circle, Curve, Outline, Tip
from animator.world.contacts import Touch

RECHECK = 64  # calls between looks round the whole curve, where hollows could hold a second nearest place
JUMP = 4.0  # curve parameter; a nearest place farther off than this is another one


class RollerTouch:
    """A roller (or a knife edge, radius 0) on a smooth curve."""

    def __init__(self, curve: Curve, radius: float) -> None:
        self.curve, self.radius, self.reach = curve, radius, curve.largest_radius
        self._s: float | None = None
        self._wait = 0
        points = curve.points
        self._has_hollows = _has_hollows(points.tolist())

    def nearest(
        self, x: float, y: float, face: float
    ) -> tuple[float, float, float, float, float]:
        """Gap, outward normal, point on the curve; all in the curve's frame."""
        curve = self.curve
        if self._s is None or (self._has_hollows and self._wait <= 0):
            found = curve.near_all(x, y)
            if found:
                s = found[0][0]
                if (
                    self._s is None
                    or abs((s - self._s + curve.count / 2) % curve.count - curve.count / 2)
                    > JUMP
                ):
                    self._s = s
            elif self._s is None:
                self._s = 0.0
            self._wait = RECHECK
        self._wait -= 1
        self._s, distance, nx, ny, px, py, _ = curve.closest(x, y, self._s)
        return distance - self.radius, nx, ny, px, py


class HullRollerTouch:
    """A roller on an eccentric (one circle) or an egg (two circles and their tangents)."""

    def __init__(self, circles: Sequence[Circle], radius: float) -> None:
        self.circles, self.radius = tuple(circles), radius
        self.reach = max(math.hypot(c.x, c.y) + c.radius for c in circles)
        self._sides: list[tuple[float, float, float, float, float]] = []
        if len(self.circles) == 2:
            (ax, ay, ar), (bx, by, br) = self.circles
            span = math.hypot(bx - ax, by - ay)
            if span > abs(ar - br):
                to, lean = math.atan2(by - ay, bx - ax), math.acos((ar - br) / span)
                for angle in (to + lean, to - lean):
                    nx, ny = math.cos(angle), math.sin(angle)
                    along = math.sqrt(span * span - (ar - br) ** 2)
                    self._sides.append((nx, ny, ax + ar * nx, ay + ar * ny, along))

    def nearest(
        self, x: float, y: float, face: float
    ) -> tuple[float, float, float, float, float]:
        """Gap, outward normal, point on the hull."""
        for i, (nx, ny, px, py, along) in enumerate(self._sides):
            tx, ty = (ny, -nx) if i == 0 else (-ny, nx)
            t = (x - px) * tx + (y - py) * ty
            out = (x - px) * nx + (y - py) * ny
            if 0 <= t <= along and out > -self.reach / 2:
                return out - self.radius, nx, ny, px + t * tx, py + t * ty
        best = (math.inf, 0.0, 1.0, 0.0, 0.0)
        for cx, cy, radius in self.circles:
            dx, dy = x - cx, y - cy
            d = math.hypot(dx, dy) or 1e-12
            if d - radius < best[0]:
                best = d - radius, dx / d, dy / d, cx + dx / d * radius, cy + dy / d * radius
        return best[0] - self.radius, *best[1:]


class FlatTouch:
    """A flat face on a cam. The tip's own x axis is the way it slides, so the face lies across it; beyond ``half_width`` its edge touches."""

    def __init__(self, outline: Outline, half_width: float) -> None:
        self.circles = outline.circles
        self.half_width = half_width
        self.reach = max((math.hypot(c.x, c.y) + c.radius for c in self.circles), default=0.0)
        if not self.circles:
            self._curve = outline.curve
            self.reach = self._curve.largest_radius
            self._edge = RollerTouch(self._curve, 0.0)
            self._s = -1.0
            self._wait = 0
        else:
            self._hull = HullRollerTouch(self.circles, 0.0)

    def nearest(
        self, x: float, y: float, face: float
    ) -> tuple[float, float, float, float, float]:
        """Gap, normal (the way the face looks), point on the cam."""
        mx, my = math.cos(face), math.sin(face)
        if self.circles:
            best = -math.inf
            px = py = 0.0
            for cx, cy, radius in self.circles:
                high = cx * mx + cy * my + radius
                if high > best:
                    best, px, py = high, cx + radius * mx, cy + radius * my
        else:
            curve = self._curve
            if self._wait <= 0:
                s = curve.support_global(mx, my)
                if (
                    self._s < 0
                    or abs((s - self._s + curve.count / 2) % curve.count - curve.count / 2)
                    > JUMP
                ):
                    self._s = s
                self._wait = RECHECK
            self._wait -= 1
            self._s, px, py = curve.support(mx, my, self._s)
        gap = (x - px) * mx + (y - py) * my
        aside = (px - x) * -my + (py - y) * mx
        if abs(aside) <= self.half_width:
            return gap, mx, my, px, py
        edge = math.copysign(self.half_width, aside)
        ex, ey = x - my * edge, y + mx * edge
        return (
            self._hull.nearest(ex, ey, face)
            if self.circles
            else self._edge.nearest(ex, ey, face)
        )


def touch_of(outline: Outline, tip: Tip) -> Touch:
    """Choose the shape of contact between a cam's outline and a follower's tip."""
    if tip.half_width is not None:
        return FlatTouch(outline, tip.half_width)
    if outline.circles:
        return HullRollerTouch(outline.circles, tip.radius)
    return RollerTouch(outline.curve, tip.radius)


def _has_hollows(points: list[list[float]]) -> bool:
    count = len(points)
    for i in range(count):
        (ax, ay), (bx, by), (cx, cy) = points[i - 1], points[i], points[(i + 1) % count]
        if (bx - ax) * (cy - by) - (by - ay) * (cx - bx) < -1e-9:
            return True
    return False
