"""Geometry of an escapement with two pallets: where they stand about a wheel, and their faces for the lift, lock and drop that are wanted."""

import math
from dataclasses import dataclass
from functools import cached_property
from typing import NamedTuple

from animator.geometry import Point
from animator.parts._teeth import NOTHING, Near

TIP = 0.2  # mm; how round a tooth's point is
NEAR_BY = 0.48  # of a pitch to either side of a pallet's middle, within which a tooth may touch it; the pallet itself takes under a quarter
LOCKING = math.radians(24)  # how far a locking face goes on beyond its corner


class Pallet(NamedTuple):
    """One pallet in the frame of an anchor that hangs above a clockwise wheel, its pivot the origin. [mm]

    ``corner`` between locking face and impulse face, ``end`` where the impulse face lets go; ``out``: +1 where the free side of the locking face lies away from
    the pivot, -1 towards it; ``on``: the way along the locking face, away from its corner, +1 anticlockwise about the pivot. ``recoil``: how far the locking face
    leans off a circle about the pivot, everywhere alike, so that a tooth on it is pushed back as the pallet comes farther in [rad].
    """

    corner: Point
    end: Point
    out: int
    on: int
    recoil: float

    def near(self, x: float, y: float) -> Near:
        """Nearest place of the pallet, seen from a tooth's point in the anchor's frame; the normal points out of the pallet."""
        faces = self._impulse(x, y), self._locking(x, y), self._back(x, y)
        deepest = max(near.gap for near, _ in faces)
        if deepest < 0 and (faces[0][1] or faces[1][1] or faces[2][1]):
            return next(near for near, _ in faces if near.gap == deepest)
        found = [near for near, is_beside in faces if is_beside and near.gap >= 0]
        for cx, cy in (self.corner, self.end):
            far = math.hypot(x - cx, y - cy) or 1e-9
            found.append(Near(far, (x - cx) / far, (y - cy) / far, cx, cy))
        return min(found)

    def _impulse(self, x: float, y: float) -> tuple[Near, bool]:
        """Touch the impulse face as if it went on for ever, and tell whether the place lies beside it."""
        (lx, ly), (dx, dy) = self.corner, self.end
        length = math.hypot(dx - lx, dy - ly)
        tx, ty = (dx - lx) / length, (dy - ly) / length
        nx, ny = ty, -tx
        if (nx * -ly + ny * lx) * self.on > 0:  # the pallet's body lies ``on`` from here
            nx, ny = -nx, -ny
        along, off = (x - lx) * tx + (y - ly) * ty, (x - lx) * nx + (y - ly) * ny
        return Near(off, nx, ny, lx + along * tx, ly + along * ty), 0 <= along <= length

    def _round(
        self, x: float, y: float, start: Point, out: int, lean: float = 0.0
    ) -> tuple[Near, bool]:
        """Touch a face that begins at a corner and goes on about the pivot, everywhere leaning so much off a circle; exact where it touches."""
        far = math.hypot(x, y) or 1e-9
        turn = math.atan2(y, x) - math.atan2(start[1], start[0])
        turn = self.on * ((turn + math.pi) % math.tau - math.pi)
        radius = math.hypot(*start)
        if lean:
            radius *= math.exp(out * turn * math.tan(lean))
        c, s = math.cos(lean), math.sin(lean)
        ux, uy = x / far, y / far
        nx = out * c * ux + self.on * s * uy
        ny = out * c * uy - self.on * s * ux
        off = out * (far - radius) * c
        return Near(off, nx, ny, x - off * nx, y - off * ny), 0 <= turn <= LOCKING

    def _back(self, x: float, y: float) -> tuple[Near, bool]:
        return self._round(x, y, self.end, -self.out)

    def _locking(self, x: float, y: float) -> tuple[Near, bool]:
        return self._round(x, y, self.corner, self.out, self.recoil)

    def outline(self, count: int = 14) -> list[Point]:
        """Give the pallet as an open line from far up its locking face round its impulse face and up its other side. [mm]"""
        far, near = (0.95, 0.5) if self.out > 0 else (0.5, 0.95)
        grows = self.out * self.on * math.tan(self.recoil)
        points = _arc(self.corner, self.on * LOCKING * far, count, grows)[::-1]
        points.append(self.corner)
        points.append(self.end)
        points += _arc(self.end, self.on * LOCKING * near, count)
        return points


def _arc(start: Point, turn: float, count: int, grows: float = 0.0) -> list[Point]:
    """Points on from a place about the origin; ``grows``: of the radius for each radian, as its logarithm."""
    radius, angle = math.hypot(*start), math.atan2(start[1], start[0])
    found = []
    for i in range(1, count + 1):
        part = turn * i / count
        far = radius * math.exp(grows * part)
        found.append((far * math.cos(angle + part), far * math.sin(angle + part)))
    return found


@dataclass(frozen=True)
class Escapement:
    r"""A wheel of ``teeth`` points at a ``radius``, and an anchor above it whose two pallets span ``spans`` teeth (a half more than a whole number).

    Everything is set out for a wheel that runs clockwise below an anchor; the other way round it lies in the mirror. ``lift``: how far the anchor swings while one
    pallet is pushed; ``lock``: how deep a tooth then falls on the other, as an angle of the anchor; ``drop``: how far the wheel falls free in between;
    ``recoil``: of the locking faces. [rad]
    """

    teeth: int
    radius: float
    spans: float
    lift: float
    lock: float
    drop: float
    recoil: float

    @property
    def pitch(self) -> float:
        """Angle from tooth to tooth. [rad]"""
        return math.tau / self.teeth

    @property
    def half(self) -> float:
        """Angle at the wheel's middle from the line to the pivot to either pallet. [rad]"""
        return self.spans * self.pitch / 2

    @property
    def distance(self) -> float:
        """From the wheel's middle to the pivot: the pallets' arms touch the circle of the points. [mm]"""
        return self.radius / math.cos(self.half)

    @property
    def swing(self) -> float:
        """How far either way the anchor must swing to let a tooth go. [rad]"""
        return (self.lift + self.lock) / 2

    @property
    def width(self) -> float:
        """Angle of the wheel over which a pallet is pushed. [rad]"""
        return self.pitch / 2 - self.drop

    def _on_circle(self, angle: float) -> Point:
        """Middle of a tooth's rounded point at an angle to the left of the pivot, seen from the pivot. [mm]"""
        radius = self.radius - TIP
        return -radius * math.sin(angle), radius * math.cos(angle) - self.distance

    @cached_property
    def pallets(self) -> tuple[Pallet, Pallet]:
        """The pallet the teeth come to first, and the other; the anchor stands in the middle."""
        swing, locked = self.swing, self.swing - self.lock
        half, width = self.half, self.width
        entry = self._pallet(
            _turned(self._on_circle(half + width / 2), -locked),
            _turned(self._on_circle(half - width / 2), swing),
            1,
            -1,
        )
        leaving = self._pallet(
            _turned(self._on_circle(-(half - width / 2)), locked),
            _turned(self._on_circle(-(half + width / 2)), -swing),
            -1,
            1,
        )
        return entry, leaving

    def _pallet(self, corner: Point, end: Point, out: int, on: int) -> Pallet:
        """Take the roundness of the points off faces that are laid out for their middles."""
        length = math.dist(corner, end)
        tx, ty = (end[0] - corner[0]) / length, (end[1] - corner[1]) / length
        nx, ny = ty, -tx
        if (nx * -corner[1] + ny * corner[0]) * on > 0:
            nx, ny = -nx, -ny
        base = corner[0] - nx * TIP, corner[1] - ny * TIP
        first = math.hypot(*corner) - out * TIP
        last = math.hypot(*end) + out * TIP
        return Pallet(
            _meet(base, (tx, ty), first, corner),
            _meet(base, (tx, ty), last, end),
            out,
            on,
            self.recoil,
        )

    def near(self, x: float, y: float, face: float) -> Near:
        """Touch the points of the wheel with the pallets of an anchor.

        Parameters
        ----------
        x, y
            The anchor's pivot in the wheel's frame; a tooth's point lies on its x axis. [mm]
        face
            How far the anchor is turned from standing straight over the wheel at its start, in the wheel's frame: its own upward direction. [rad]

        Returns
        -------
        Near
            Gap, normal out of the wheel, and the place on the tooth, in the wheel's frame.
        """
        best = NOTHING
        c, s = math.cos(face - math.pi / 2), math.sin(face - math.pi / 2)
        up = math.atan2(y, x)
        radius, pitch = self.radius - TIP, math.tau / self.teeth
        half, near_by = self.spans * pitch / 2, NEAR_BY * pitch
        for pallet, side in zip(self.pallets, (1, -1), strict=True):
            middle = up + side * half
            for k in range(
                math.ceil((middle - near_by) / pitch),
                math.floor((middle + near_by) / pitch) + 1,
            ):
                tx, ty = radius * math.cos(k * pitch), radius * math.sin(k * pitch)
                dx, dy = tx - x, ty - y
                near = pallet.near(c * dx + s * dy, c * dy - s * dx)
                gap = near.gap - TIP
                if gap < best.gap:
                    nx, ny = -(c * near.nx - s * near.ny), -(s * near.nx + c * near.ny)
                    best = Near(gap, nx, ny, tx + TIP * nx, ty + TIP * ny)
        return best


def _turned(point: Point, angle: float) -> Point:
    c, s = math.cos(angle), math.sin(angle)
    return c * point[0] - s * point[1], s * point[0] + c * point[1]


def _meet(base: Point, way: Point, radius: float, near: Point) -> Point:
    """Where a line meets a circle about the origin, the place nearer to a given one."""
    along = -(base[0] * way[0] + base[1] * way[1])
    foot = base[0] + along * way[0], base[1] + along * way[1]
    half = math.sqrt(max(radius**2 - foot[0] ** 2 - foot[1] ** 2, 0.0))
    ways = [
        (foot[0] + sign * half * way[0], foot[1] + sign * half * way[1]) for sign in (1, -1)
    ]
    return min(ways, key=lambda place: math.dist(place, near))
