"""Ratchet teeth as straight faces and gentle backs, and where a rounded nose touches them: plain floats, exact to rounding."""

import math
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from typing import NamedTuple

from animator.geometry import Point

FAR = 1e3  # mm; a gap that no speed closes within a step
FINEST = 1.0  # mm along the rim; teeth finer than this can't be filed


class Near(NamedTuple):
    """A nearest place: gap [mm], the way the surface looks there (a unit vector) and the place on it [mm]."""

    gap: float
    nx: float
    ny: float
    px: float
    py: float


NOTHING = Near(FAR, 0.0, 1.0, 0.0, 0.0)


@dataclass(frozen=True)
class Teeth:
    r"""The rim of a ratchet wheel that may turn one way only.

    Drawn for a wheel that is free to turn anticlockwise (``sense`` +1); for -1 everything lies in the mirror of the wheel's own x axis. Tooth ``k``
    has its tip at the angle ``k`` times the pitch, its steep face on the clockwise side, where a pawl stands against it, and its gentle
    back on the other::

           face   back of the next tooth
             |  __--
             |--        valley: face, root, back

    Parameters
    ----------
    count
        Number of teeth.
    radius, depth
        To the tips, and from the tips to the roots. [mm]
    undercut
        How far the face leans under its tip, from the radius. [rad]
    sense
        Which way the wheel is free to turn, +1 anticlockwise.
    """

    count: int
    radius: float
    depth: float
    undercut: float
    sense: int

    @property
    def pitch(self) -> float:
        """Angle from tooth to tooth. [rad]"""
        return math.tau / self.count

    @property
    def root_radius(self) -> float:
        """From the middle to the roots. [mm]"""
        return self.radius - self.depth

    @cached_property
    def root(self) -> Point:
        """The root under tip 0, where its face ends. [mm]"""
        # the face leans by ``undercut`` from the radius through the tip, so it runs into the wheel along -(cos u, -sin u)
        c, s = math.cos(self.undercut), math.sin(self.undercut)
        along = self.radius * c - math.sqrt(self.root_radius**2 - (self.radius * s) ** 2)
        return self.radius - along * c, along * s

    @cached_property
    def tip_before(self) -> Point:
        """Tip on the clockwise side of tip 0. [mm]"""
        return self.radius * math.cos(self.pitch), -self.radius * math.sin(self.pitch)

    @cached_property
    def hump(self) -> tuple[float, float, float] | None:
        """Centre x, y and radius of a back that is an arc [mm]; None where a straight back climbs all the way.

        A straight back of few teeth would be lowest in its middle, and the pawl would rest there instead of at the face.
        """
        x, y = self.root
        r = math.hypot(x, y)
        angle = math.atan2(y, x) + self.pitch
        ahead = self.radius * math.cos(angle) - r
        if ahead >= 0:
            return None
        off = (self.radius**2 - r * r) / (2 * ahead)  # < 0: the centre lies beyond the middle
        return x / r * off, y / r * off, r - off

    def outline(self, arc_points: int = 12) -> list[Point]:
        """Give the rim as a closed line of points, in the wheel's own frame. [mm]"""
        found: list[Point] = []
        for k in range(self.count):
            c, s = math.cos(-k * self.pitch), math.sin(-k * self.pitch)
            for x, y in self._one_tooth(arc_points):
                px, py = c * x - s * y, s * x + c * y
                found.append((px, py * self.sense))
        return found

    def _one_tooth(self, arc_points: int) -> Iterator[Point]:
        """From tip 0 down its face to the root and up the back, short of the tip before."""
        yield self.radius, 0.0
        yield self.root
        if self.hump is not None:
            cx, cy, r = self.hump
            first = math.atan2(self.root[1] - cy, self.root[0] - cx)
            last = math.atan2(self.tip_before[1] - cy, self.tip_before[0] - cx)
            for i in range(1, arc_points):
                angle = first + (last - first) * i / arc_points
                yield cx + r * math.cos(angle), cy + r * math.sin(angle)

    def near(self, x: float, y: float, nose: float) -> tuple[int, Near, Near]:
        """Touch the teeth with a round nose at a place in the wheel's own frame.

        Parameters
        ----------
        x, y
            Middle of the nose. [mm]
        nose
            Its radius. [mm]

        Returns
        -------
        tuple
            In which valley it is (0 to ``count`` less one; a step in the free sense makes it one less), the place on the face of that valley's tooth, and the
            place on the back that leads out of the valley, or on the tip on either side of it.
        """
        y *= self.sense
        pitch = self.pitch
        k = math.ceil(math.atan2(y, x) / pitch)
        far = math.hypot(x, y) > self.radius
        for valley in (k - 1, k) if not far else (k,):
            c, s = math.cos(valley * pitch), math.sin(valley * pitch)
            u, v = c * x + s * y, c * y - s * x
            if valley == k or self._ahead(u, v) > 0:
                break
        face, back = self._face(u, v, nose), self._back(u, v, nose)
        return (
            valley % self.count,
            self._turned(face, c, s),
            self._turned(back, c, s),
        )

    def _turned(self, near: Near, c: float, s: float) -> Near:
        gap, nx, ny, px, py = near
        sense = self.sense
        return Near(
            gap,
            c * nx - s * ny,
            (s * nx + c * ny) * sense,
            c * px - s * py,
            (s * px + c * py) * sense,
        )

    def _ahead(self, u: float, v: float) -> float:
        """How far in front of the face of tip 0 a place lies. [mm]"""
        return -(v * math.cos(self.undercut) + (u - self.radius) * math.sin(self.undercut))

    def _face(self, u: float, v: float, nose: float) -> Near:
        """Nearest place of the face of tip 0, whose tip belongs to the backs."""
        c, s = math.cos(self.undercut), math.sin(self.undercut)
        below = (self.radius - u) * c + v * s  # along the face, from the tip inwards
        if not 0 < below <= math.hypot(self.radius - self.root[0], self.root[1]):
            return NOTHING
        ahead = self._ahead(u, v)
        return Near(ahead - nose, -s, -c, self.radius - below * c, below * s)

    def _back(self, u: float, v: float, nose: float) -> Near:
        """Nearest place of the back from the root under tip 0 to the tip before, or of a tip."""
        best = self._slope(u, v, nose)
        for tx, ty in ((self.radius, 0.0), self.tip_before):
            d = math.hypot(u - tx, v - ty)
            if d - nose < best.gap and d > 0:
                is_outside = (
                    (self.radius - u) * math.cos(self.undercut) + v * math.sin(self.undercut)
                    <= 0
                    if ty == 0.0
                    else self._past(u, v)
                )
                if is_outside:
                    best = Near(d - nose, (u - tx) / d, (v - ty) / d, tx, ty)
        return best

    def _past(self, u: float, v: float) -> bool:
        """Whether a place lies beyond the tip end of the back."""
        (rx, ry), (tx, ty) = self.root, self.tip_before
        if self.hump is not None:
            cx, cy, _ = self.hump
            return (tx - cx) * (v - cy) - (ty - cy) * (u - cx) <= 0
        return (u - tx) * (tx - rx) + (v - ty) * (ty - ry) >= 0

    def _slope(self, u: float, v: float, nose: float) -> Near:
        (rx, ry), (tx, ty) = self.root, self.tip_before
        if self._past(u, v):
            return NOTHING
        if self.hump is not None:
            cx, cy, r = self.hump
            if (rx - cx) * (v - cy) - (ry - cy) * (u - cx) > 0:
                return NOTHING  # short of the root
            d = math.hypot(u - cx, v - cy) or 1e-12
            nx, ny = (u - cx) / d, (v - cy) / d
            return Near(d - r - nose, nx, ny, cx + r * nx, cy + r * ny)
        length = math.hypot(tx - rx, ty - ry)
        dx, dy = (tx - rx) / length, (ty - ry) / length
        along = (u - rx) * dx + (v - ry) * dy
        if along < 0:
            return NOTHING
        nx, ny = -dy, dx  # outward: the back runs clockwise, so out is to its left
        out = (u - rx) * nx + (v - ry) * ny
        return Near(out - nose, nx, ny, rx + along * dx, ry + along * dy)
