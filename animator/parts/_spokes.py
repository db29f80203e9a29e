"""What crude wheels have round them: pins, paddles, card teeth, all alike and evenly set. Plain geometry of one wheel and of two that mesh."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace

from animator.geometry import Point

CLEARANCES_TRIED = 48  # turnings of a wheel within one gap, to find where it clears best


@dataclass(frozen=True)
class Spokes:
    """``count`` bars with round ends, each from ``inner`` to ``outer`` (middles of its ends) from the wheel's middle and ``half`` as thick as twice that. [mm]

    A round pin is a bar of no length. ``phase``: where the first one stands in the wheel's own frame. [rad]
    """

    count: int
    inner: float
    outer: float
    half: float
    phase: float = 0.0

    @property
    def pitch(self) -> float:
        """Angle from one to the next. [rad]"""
        return math.tau / self.count

    @property
    def tip(self) -> float:
        """Farthest that anything reaches from the middle. [mm]"""
        return self.outer + self.half

    @property
    def gap(self) -> float:
        """Clear way between two neighbours at their outer ends. [mm]

        Examples
        --------
        >>> round(Spokes(6, 20, 20, 2).gap, 6)
        16.0
        """
        return 2 * self.outer * math.sin(self.pitch / 2) - 2 * self.half

    def turned(self, by: float) -> Spokes:
        """Give the same, set round by so much. [rad]"""
        return replace(self, phase=self.phase + by)

    def near(self, way: float, reach: float) -> Iterator[tuple[int, float]]:
        """Give number and angle of those within ``reach`` of a direction, in the wheel's own frame. [rad]"""
        first = math.ceil((way - reach - self.phase) / self.pitch)
        last = math.floor((way + reach - self.phase) / self.pitch)
        for i in range(first, last + 1):
            yield i % self.count, self.phase + i * self.pitch

    def engaged(self, other_tip: float, distance: float) -> float:
        """How far from the line of the middles one of these can still touch a wheel with such a tip circle; below 0: never. [rad]"""
        tip = self.tip
        if distance >= tip + other_tip:
            return -1.0
        if distance <= abs(tip - other_tip):
            return math.pi
        # an end is as wide as it is thick, so it reaches in a little before its middle does
        wide = 2 * self.half / tip
        return wide + math.acos(
            (distance * distance + tip * tip - other_tip * other_tip) / (2 * distance * tip)
        )


Near = tuple[tuple[int, int], float, float, float, float, float]
"""Numbers of the two, gap, normal away from the first one's x, y, point on it x, y: in the first wheel's frame. [mm]"""


def pairs(first: Spokes, second: Spokes, x: float, y: float, face: float) -> list[Near]:
    """Find what of two wheels is near each other, the nearest first.

    Parameters
    ----------
    x, y
        The second wheel's middle in the first one's frame. [mm]
    face
        How far its frame is turned against the first one's. [rad]

    Examples
    --------
    Two pins of 4 mm face each other, their circles 1 mm apart, so they overlap by 3 mm:

    >>> pins = Spokes(8, 20, 20, 2)
    >>> pairs(pins, pins, 41, 0, math.pi)[0][:2]
    ((0, 0), -3.0)
    """
    distance = math.hypot(x, y)
    reach1, reach2 = first.engaged(second.tip, distance), second.engaged(first.tip, distance)
    if reach1 < 0:
        return []
    way = math.atan2(y, x)
    there = []
    for j, b in second.near(way + math.pi - face, reach2):
        c, s = math.cos(b + face), math.sin(b + face)
        there.append((j, x + second.outer * c, y + second.outer * s, c, s))
    long1, long2 = first.outer - first.inner, second.outer - second.inner
    thick = first.half + second.half
    found: list[Near] = []
    for i, a in first.near(way, reach1):
        ca, sa = math.cos(a), math.sin(a)
        tx, ty = first.outer * ca, first.outer * sa
        for j, ux, uy, cb, sb in there:
            # the second one's end against the first
            back = min(max((tx - ux) * ca + (ty - uy) * sa, 0.0), long1)
            px, py = tx - back * ca, ty - back * sa
            dx, dy = ux - px, uy - py
            d = math.hypot(dx, dy)
            if long2:  # and the first one's end against the second
                back = min(max((ux - tx) * cb + (uy - ty) * sb, 0.0), long2)
                ex, ey = ux - back * cb - tx, uy - back * sb - ty
                e = math.hypot(ex, ey)
                if e < d:
                    px, py, dx, dy, d = tx, ty, ex, ey, e
            nx, ny = (dx / d, dy / d) if d > 1e-9 else (x / distance, y / distance)
            found.append(
                ((i, j), d - thick, nx, ny, px + nx * first.half, py + ny * first.half)
            )
    found.sort(key=lambda each: each[1])
    return found


def set_clear(first: Spokes, second: Spokes, apart: Point, face: float) -> Spokes:
    """Set the second wheel's spokes round until they stand as clear of the first one's as they can.

    ``apart``: its middle in the first wheel's frame [mm]; ``face``: how its frame is turned against the first one's [rad].
    """

    def clear(by: float) -> float:
        near = pairs(first, second.turned(by), *apart, face)
        return near[0][1] if near else math.inf

    return second.turned(clearest(clear, second.pitch))


def clearest(clear: Callable[[float], float], pitch: float) -> float:
    """Find the turning within one pitch at which ``clear`` is largest: first roughly, then finely. [rad]

    Examples
    --------
    >>> round(clearest(lambda by: -abs(by - 0.1234), 0.5), 2)
    0.12
    """
    step = pitch / CLEARANCES_TRIED
    best = max((step * i for i in range(CLEARANCES_TRIED)), key=clear)
    return max((best + step * i / 8 for i in range(-8, 9)), key=clear)
