"""True shapes of contacts with a cam: a roller or knife edge, a flat face; on curves and on circles with their tangents."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from typing import NamedTuple

from animator.outlines import Circle, Curve, Groove, Outline, Tip
from animator.world.contacts import Touch

RECHECK = 64  # calls between looks round the whole curve, where hollows could hold a second nearest place
FAR = 1e3  # mm; a gap that no speed closes within a step
FOOT = 0.01  # mm; how exactly the foot of the perpendicular must be found
JUMP = 4.0  # curve parameter; a nearest place farther off than this is another one


class RollerTouch:
    """A roller (or a knife edge, radius 0) on a smooth curve."""

    def __init__(self, curve: Curve, radius: float) -> None:
        self.curve, self.radius, self.reach = curve, radius, curve.largest_radius
        self._s: float | None = None
        self._wait = 0
        points = curve.points
        self._has_hollows = _has_hollows(points.tolist())

    @property
    def parameter(self) -> float | None:
        """Where on the curve it touches now."""
        return self._s

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


class HollowTouch:
    """The second place where a roller touches when it bridges a hollow narrower than itself (the foot of a drop).

    ``first`` is the contact at the nearest place. Away from hollows there is no second place and the gap is ``FAR``.
    """

    SEARCH = 8  # calls between looks for a second place while the roller is near a hollow

    def __init__(self, first: RollerTouch, hollows: Sequence[float]) -> None:
        self.first, self.curve, self.radius, self.reach = (
            first,
            first.curve,
            first.radius,
            first.reach,
        )
        self._hollows = tuple(hollows)
        arc = math.tau * self.reach / self.curve.count
        self._near = (
            3 * self.radius / arc + JUMP
        )  # curve parameter; a roller farther off can't bridge it
        self._s: float | None = None
        self._wait = 0

    def _apart(self, a: float, b: float) -> float:
        count = self.curve.count
        return abs((a - b + count / 2) % count - count / 2)

    def nearest(
        self, x: float, y: float, face: float
    ) -> tuple[float, float, float, float, float]:
        """Gap, outward normal, point on the curve at the second place."""
        nothing = (FAR, 0.0, 1.0, 0.0, 0.0)
        here = self.first.parameter
        if here is None or all(
            self._apart(here, hollow) > self._near for hollow in self._hollows
        ):
            self._s = None
            return nothing
        if self._s is not None and self._apart(here, self._s) < JUMP:
            self._s, self._wait = None, 0  # the two have changed places: look at once
        if self._s is None:
            self._wait -= 1
            if self._wait > 0:
                return nothing
            self._wait = self.SEARCH
            others = [
                s
                for s, distance in self.curve.near_all(x, y)
                if self._apart(s, here) > JUMP and distance < self.radius + 1.0
            ]
            if not others:
                self._s = None
                return nothing
            self._s = others[0]
        self._s, distance, nx, ny, px, py, _ = self.curve.closest(x, y, self._s)
        is_foot = (
            abs((x - px) * ny - (y - py) * nx) < FOOT
        )  # else it is on its way to another place
        if not is_foot or self._apart(self._s, here) < JUMP or distance < self.radius / 2:
            self._s = None
            return nothing
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
            # over a hollow the face passes from one lip to the other at once
            self._recheck = 1 if _has_hollows(self._curve.points.tolist()) else RECHECK
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
                self._wait = self._recheck
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


class GrooveTouch:
    """A roller between the walls of a groove: one of them, the inner (``side`` +1) or the outer one (-1).

    ``curve`` is the way of the roller's middle, ``half`` half the groove's width: the walls lie so far on both sides of it.
    """

    def __init__(self, curve: Curve, half: float, radius: float, side: int) -> None:
        self._middle = RollerTouch(curve, 0.0)
        self._half, self._play, self._side = half, half - radius, side
        self.reach = curve.largest_radius + half

    def nearest(
        self, x: float, y: float, face: float
    ) -> tuple[float, float, float, float, float]:
        """Gap to the wall, its normal, the point on it; all in the cam's frame."""
        off, nx, ny, px, py = self._middle.nearest(x, y, face)
        side, half = self._side, self._half
        return (
            self._play + side * off,
            side * nx,
            side * ny,
            px - side * half * nx,
            py - side * half * ny,
        )


class Further(NamedTuple):
    """Another touch of the same follower: what it is called, its shape, how far its tip lies along the way from the first [mm], how far its face is turned [rad]."""

    word: str
    touch: Touch
    along: float = 0.0
    turned: float = 0.0


def further_touches(outline: Outline, tip: Tip, first: Touch) -> Iterator[Further]:
    """Give what else of a follower touches its cam: the outer wall of a groove, the counter flat of a yoke, the second place in a narrow hollow."""
    if isinstance(outline, Groove):
        yield Further("outer", GrooveTouch(outline.curve, outline.half, tip.radius, -1))
        return
    if tip.opening and tip.half_width is not None:
        yield Further("counter", FlatTouch(outline, tip.half_width), -tip.opening, math.pi)
        return
    second = second_touch(first)
    if second is not None:
        yield Further("second", second)


def touch_of(outline: Outline, tip: Tip) -> Touch:
    """Choose the shape of contact between a cam's outline and a follower's tip; in a groove with its inner wall."""
    if isinstance(outline, Groove):
        return GrooveTouch(outline.curve, outline.half, tip.radius, 1)
    if tip.half_width is not None:
        return FlatTouch(outline, tip.half_width)
    if outline.circles:
        return HullRollerTouch(outline.circles, tip.radius)
    return RollerTouch(outline.curve, tip.radius)


def second_touch(touch: Touch) -> HollowTouch | None:
    """Give the second place of a roller on a curve with hollows narrower than the roller, if there are any."""
    if not isinstance(touch, RollerTouch) or not touch.radius:
        return None
    hollows = narrow_hollows(touch.curve, touch.radius)
    return HollowTouch(touch, hollows) if hollows else None


def narrow_hollows(curve: Curve, radius: float) -> list[float]:
    """Parameters of the places where a curve is hollow with less than a radius [mm]; one for each hollow."""
    found: list[float] = []
    for i in range(curve.count):
        _, _, tx, ty, ax, ay = curve.evaluate(float(i))
        bend = (tx * ay - ty * ax) / math.hypot(tx, ty) ** 3
        if bend < -1 / radius and (not found or i - found[-1] > JUMP):
            found.append(float(i))
    return found


def _has_hollows(points: list[list[float]]) -> bool:
    count = len(points)
    for i in range(count):
        (ax, ay), (bx, by), (cx, cy) = points[i - 1], points[i], points[(i + 1) % count]
        if (bx - ax) * (cy - by) - (by - ay) * (cx - bx) < -1e-9:
            return True
    return False
