"""Places where parts touch: exact contact with a curve, a stem between the lips of its guide, a pin in a bigger hole.

Two big proxy circles overlap all the time; before the solver runs, the true gap, normal and points are put in their place. A
faceted outline would shake the follower ten times harder than the cam does, and cost more.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable
from dataclasses import dataclass
from math import cos, sin
from typing import Protocol

import pymunk

from animator.geometry import Point
from animator.world.engine import Presented, State, beneath, leave_out, push, speeds, state

MARGIN = 0.02  # mm; the solver minds the contact from here on, so that it closes without a blow
CLOSING = 0.3  # share of the gap a step may close inside the margin; 1.0 would chatter
PROXY_RADIUS = 1.0e4  # mm; larger than any piece, so that proxies never part
LIP_RADIUS = 0.5  # mm; a guide's broken edge. Small against any stem, so the bearing length is the guide's own
FIRST_TYPE = 1000
BLOW = 10.0  # mm/s; a landing faster than this is carried through the whole linkage in one step, which wants many iterations
BLOW_ITERATIONS = 1000
BLOW_STEPS = 10
SLOWEST = 1e-6  # mm/s; below this a ratio to the speed would only be rounding
PARTED = 0.05  # mm; a gap beyond this counts as having left
BITS = 31  # the engine tells shapes apart by 32 bits; ordinary shapes take the last
MOST_CONTACTS = BITS * (BITS - 1) // 2  # each contact and each guide takes a pair of bits


def filters(number: int) -> tuple[pymunk.ShapeFilter, pymunk.ShapeFilter]:
    """Give the filters of both sides of a contact, below ``MOST_CONTACTS``: they meet each other and nothing else.

    One side is of kind i and meets kind j, the other the reverse; another pair of bits never answers both questions.
    """
    first, second = next(itertools.islice(itertools.combinations(range(BITS), 2), number, None))
    return (
        pymunk.ShapeFilter(categories=1 << first, mask=1 << second),
        pymunk.ShapeFilter(categories=1 << second, mask=1 << first),
    )


class Touch(Protocol):
    """The true shape of a contact: nearest points of the two bodies, in the first body's own frame."""

    reach: float
    """Farthest the curve goes from its origin. [mm]"""

    def nearest(
        self, x: float, y: float, face: float
    ) -> tuple[float, float, float, float, float]:
        """Touch a tip at (x, y) whose own x axis points along ``face`` [rad]: gap, normal x, y (outward of the first body), point on it x, y."""
        ...


Faults = list[BaseException]
Callback = Callable[[pymunk.Arbiter, pymunk.Space, object], None]


def watched(call: Callback, faults: Faults) -> Callback:
    """Keep what goes wrong inside an engine callback, which would only print it, so that the loop can raise it."""

    def guarded(arbiter: pymunk.Arbiter, space: pymunk.Space, data: object) -> None:
        try:
            call(arbiter, space, data)
        except BaseException as fault:
            faults.append(fault)

    return guarded


class Cell:
    """A running total of the energy ledger."""

    __slots__ = ("total",)

    def __init__(self) -> None:
        self.total = 0.0


@dataclass
class Sample:
    """Sums of a contact since the last sample was taken."""

    normal: float = 0.0
    friction: float = 0.0
    sliding: float = 0.0
    steps: int = 0


class CurveContact:
    """Exact contact between a curve fast to one body and a tip fast to another.

    Parameters
    ----------
    space, dt
        Where and how fast it runs. dt [s]
    first, second
        Bodies of the curve and of the tip.
    origin
        The curve's origin and attitude in the first body: x [mm], y [mm], angle [rad].
    tip
        The tip's place in the second body: x [mm], y [mm], angle of its face [rad].
    touch
        The shapes.
    friction
        Coefficient at the touching faces (a roller's is that of its pin times pin radius over roller radius).
    number
        Which contact of the piece it is, below ``MOST_CONTACTS``.
    rub, land
        Ledger totals for heat of rubbing and of landing.
    faults
        Where to keep what goes wrong inside a callback.
    axis
        Where the curve's origin stands, if it is the fixed axis its body turns about; saves asking for it at every step. [mm]
    """

    def __init__(
        self,
        space: pymunk.Space,
        dt: float,
        first: pymunk.Body,
        second: pymunk.Body,
        origin: tuple[float, float, float],
        tip: tuple[float, float, float],
        touch: Touch,
        friction: float,
        number: int,
        rub: Cell,
        land: Cell,
        faults: Faults,
        axis: Point | None = None,
    ) -> None:
        self.first, self.second, self.touch, self.friction = first, second, touch, friction
        self._axis = axis
        self.origin, self.tip, self.dt = origin, tip, dt
        self.slop = space.collision_slop
        self.rub, self.land = rub, land
        self.gap = 0.0
        self.is_active = False
        self.normal_impulse = 0.0
        self.impulse_tangent = 0.0
        self.point = (0.0, 0.0)
        self.direction = (0.0, 1.0)
        self.offset = 0.0  # across the second body's slide; wanted by the friction disc
        self.hits: list[tuple[float, float]] = []
        self.time = 0.0
        self._sum = Sample()
        self._largest_gap = 0.0
        self._was_apart = False
        self._is_open = False
        self._space, self._iterations, self._blow = space, space.iterations, 0
        self._speed_before = 0.0
        self._rub_before = 0.0
        self._arms = (0.0, 0.0, 0.0, 0.0)
        self._presented = Presented()
        self._one, self._other = beneath(first), beneath(second)
        kinds = FIRST_TYPE + 2 * number, FIRST_TYPE + 2 * number + 1
        for body, kind, side in zip((first, second), kinds, filters(number), strict=True):
            proxy = pymunk.Circle(body, PROXY_RADIUS)
            proxy.collision_type = kind
            proxy.friction = 1.0
            proxy.filter = side
            space.add(proxy)
        space.on_collision(
            *kinds,
            pre_solve=watched(self._before, faults),
            post_solve=watched(self._after, faults),
        )

    def _before(self, arbiter: pymunk.Arbiter, space: pymunk.Space, data: object) -> None:
        """Put the true contact in the proxies' place, and book the work of the step before."""
        # the speeds must be the engine's own to the last digit: its restitution is a ratio to them
        first, second = state(self._one), state(self._other)
        ax, ay, a_angle, ux, uy, w1 = first
        bx, by, b_angle, vx, vy, w2 = second
        ca, sa, cb, sb = cos(a_angle), sin(a_angle), cos(b_angle), sin(b_angle)
        if self._axis is None:
            ox, oy, turned = self.origin
            cx, cy = ax + ca * ox - sa * oy, ay + sa * ox + ca * oy  # the curve's origin
        else:
            cx, cy = self._axis
            turned = self.origin[2]
        if self._is_open:  # speeds now are those the step before ended with
            self._book(ux, uy, w1, vx, vy, w2)
        tx, ty, face = self.tip
        dx, dy = bx + cb * tx - sb * ty - cx, by + sb * tx + cb * ty - cy
        if turned:
            ca, sa = cos(a_angle + turned), sin(a_angle + turned)
        gap, nx, ny, px, py = self.touch.nearest(
            ca * dx + sa * dy, -sa * dx + ca * dy, b_angle + face - a_angle - turned
        )
        nx, ny = ca * nx - sa * ny, sa * nx + ca * ny
        px, py = cx + ca * px - sa * py, cy + sa * px + ca * py
        self.point = foot = px, py
        r2 = px + nx * gap - bx, py + ny * gap - by
        self._press(arbiter, space, gap, (nx, ny), foot, (px - ax, py - ay), r2, first, second)

    def _press(
        self,
        arbiter: pymunk.Arbiter,
        space: pymunk.Space,
        gap: float,
        normal: Point,
        foot: Point,
        r1: Point,
        r2: Point,
        first: State,
        second: State,
    ) -> None:
        """Hand the solver a contact: its gap, its normal, its foot on the first body, the arms from both centres of mass, and where and how fast both bodies are."""
        nx, ny = normal
        r1x, r1y = r1
        r2x, r2y = r2
        _, _, _, ux, uy, w1 = first
        bx, by, _, vx, vy, w2 = second
        sx, sy = vx - w2 * r2y - ux + w1 * r1y, vy + w2 * r2x - uy - w1 * r1x
        speed = sx * nx + sy * ny
        self.gap = gap
        self.direction = normal  # also in the air: where the gap is least
        if gap > self._largest_gap:
            self._largest_gap = gap
        margin = -1.5 * speed * self.dt
        if margin < MARGIN:
            margin = MARGIN
        if gap > margin:
            self._leave(arbiter)
            if gap > PARTED:
                self._was_apart = True
            return
        if self._was_apart and gap <= MARGIN:
            self._was_apart = False
            self.hits.append((self.time, -speed))
        if speed < -BLOW:
            space.iterations = BLOW_ITERATIONS
            self._blow = BLOW_STEPS
        self.is_active = True
        restitution = 0.0
        if gap > 0 and (speed > SLOWEST or speed < -SLOWEST):
            share = CLOSING if gap <= MARGIN else 1.0
            restitution = share * gap / (self.dt * speed)
        slop = self.slop
        self._presented.put(
            arbiter,
            normal,
            foot,
            (bx + r2x - nx * slop, by + r2y - ny * slop),
            self.friction,
            restitution,
        )
        self._arms = (r1x, r1y, r2x, r2y)
        self._speed_before, self._rub_before = speed, sy * nx - sx * ny

    def _leave(self, arbiter: pymunk.Arbiter) -> None:
        """Let this step go by without the contact."""
        leave_out(arbiter)
        self.is_active = False
        self.normal_impulse = 0.0

    def _pass_over(self, arbiter: pymunk.Arbiter, gap: float) -> None:
        """Leave a contact alone that nothing is near: it need not be reckoned, and counts as so far apart."""
        self._leave(arbiter)
        self.gap = self._largest_gap = gap
        self._was_apart = True

    def _book(self, ux: float, uy: float, w1: float, vx: float, vy: float, w2: float) -> None:
        """Book the work of the step before, from the mean of the speeds before and after it."""
        self._is_open = False
        jn, jt = self.normal_impulse, self.impulse_tangent
        nx, ny = self.direction
        r1x, r1y, r2x, r2y = self._arms
        sx, sy = vx - w2 * r2y - ux + w1 * r1y, vy + w2 * r2x - uy - w1 * r1x
        rub = 0.5 * (sy * nx - sx * ny + self._rub_before)
        self.land.total -= jn * 0.5 * (sx * nx + sy * ny + self._speed_before)
        self.rub.total -= jt * rub
        total = self._sum
        total.normal += jn
        total.friction += abs(jt)
        total.sliding += abs(rub)
        total.steps += 1

    def _after(self, arbiter: pymunk.Arbiter, space: pymunk.Space, data: object) -> None:
        """Read what the solver gave; its work is booked when the speeds after the step are read anyway."""
        jx, jy = push(arbiter)
        nx, ny = self.direction
        across, along = jx * nx + jy * ny, jy * nx - jx * ny
        if across < 0:
            across, along = -across, -along
        self.normal_impulse, self.impulse_tangent = across, along
        self._is_open = True

    def forget(self) -> None:
        """Forget the landings so far."""
        self.hits.clear()

    def start_step(self, t: float) -> None:
        """Note the time, so that a landing can be dated to the step."""
        self.time = t
        if self._blow:
            self._blow -= 1
            if not self._blow:
                self._space.iterations = self._iterations

    def sample(
        self, elapsed: float
    ) -> tuple[float, float, float, float, float, float, float, float]:
        """Give gap, normal force, friction force, sliding speed, point and direction since the last sample."""
        if self._is_open:
            self._book(*speeds(self._one), *speeds(self._other))
        total, self._sum = self._sum, Sample()
        gap = self.gap if self.gap <= PARTED else max(self.gap, self._largest_gap)
        self._largest_gap = self.gap
        steps = max(total.steps, 1)
        return (
            gap,
            total.normal / elapsed,
            total.friction / elapsed,
            total.sliding / steps,
            *self.point,
            *self.direction,
        )


class GuideContact:
    """A straight stem between the lips of its guide: two lips at each end, one on either side, with play and friction.

    Lips are small circles and the stem's sides are straight, so every touch has one known point: the handbook's bearing
    at the two ends of the guide. Nothing here knows a jam formula.

    Parameters
    ----------
    middle, direction
        Middle of the guide [mm] and the way the stem slides [rad], in the plane.
    length, half_width, play
        Bearing length, half the stem's width, play on each side. [mm]
    friction
        Coefficient between stem and guide.
    stem
        Ends of the stem in the body's own frame, along its own ``axis`` [rad]: from, to [mm].
    """

    def __init__(
        self,
        space: pymunk.Space,
        body: pymunk.Body,
        support: pymunk.Body,
        middle: Point,
        direction: float,
        length: float,
        half_width: float,
        play: float,
        friction: float,
        stem: tuple[Point, Point],
        number: int,
        rub: Cell,
        knock: Cell,
        faults: Faults,
    ) -> None:
        self.body, self.friction, self.rub, self.knock = body, friction, rub, knock
        self._body = beneath(body)
        self.direction = direction
        self.given_way = 0.0
        c, s = math.cos(direction), math.sin(direction)
        inner, outer = filters(number)
        kind = FIRST_TYPE + 2 * MOST_CONTACTS + 5 * number
        (x0, y0), (x1, y1) = stem
        across = math.hypot(x1 - x0, y1 - y0) or 1.0
        sx, sy = -(y1 - y0) / across * half_width, (x1 - x0) / across * half_width
        box = pymunk.Poly(
            body,
            [(x0 - sx, y0 - sy), (x1 - sx, y1 - sy), (x1 + sx, y1 + sy), (x0 + sx, y0 + sy)],
        )
        box.friction, box.collision_type, box.filter = 1.0, kind, inner
        space.add(box)
        self._foot, self._stem_length, self._half_width = stem[0], across, half_width
        self._lean = math.atan2(y1 - y0, x1 - x0) - direction
        self.lips: list[Point] = []
        self._normals: list[Point] = []
        self._impulses = [0.0] * 4
        self._pending: list[tuple[int, float, float]] = []
        off = half_width + play + LIP_RADIUS
        for i, (end, side) in enumerate(((-1, -1), (-1, 1), (1, -1), (1, 1))):
            place = (
                middle[0] + c * end * length / 2 - s * side * off,
                middle[1] + s * end * length / 2 + c * side * off,
            )
            lip = pymunk.Circle(support, LIP_RADIUS, support.world_to_local(place))
            lip.friction, lip.collision_type, lip.filter = friction, kind + 1 + i, outer
            space.add(lip)
            self.lips.append(
                (place[0] + s * side * LIP_RADIUS, place[1] - c * side * LIP_RADIUS)
            )
            self._normals.append((s * side, -c * side))
            space.on_collision(kind, kind + 1 + i, post_solve=watched(self._reader(i), faults))
        self._sum = Sample()
        self._lip_sum = [0.0] * 4
        self._before = speeds(self._body)
        self._cos, self._sin = c, s

    def _reader(self, lip: int) -> Callback:
        pending = self._pending

        def read(arbiter: pymunk.Arbiter, space: pymunk.Space, data: object) -> None:
            pending.append((lip, *push(arbiter)))

        return read

    def end_step(self) -> None:
        """Book the work of the touches of this step, each from its own force and the mean of the speeds before and after."""
        px, py, angle, vx, vy, spin = state(self._body)
        if self._pending:
            bx, by, b_spin = self._before
            mx, my, m_spin = 0.5 * (vx + bx), 0.5 * (vy + by), 0.5 * (spin + b_spin)
            lean = (
                angle + self._lean
            )  # the push is square to the stem as it leans, not to the guide
            cl, sl = cos(lean), sin(lean)
            total = self._sum
            for lip, jx, jy in self._pending:
                x, y = self.lips[lip]
                ux, uy = mx - m_spin * (y - py), my + m_spin * (x - px)
                nx, ny = self._normals[lip]
                nx, ny = cl * nx - sl * ny, sl * nx + cl * ny
                closing = (vx - spin * (y - py)) * nx + (vy + spin * (x - px)) * ny
                if closing < 0:
                    self.given_way -= closing
                across = jx * nx + jy * ny
                if across < 0:
                    across, jx, jy = -across, -jx, -jy
                work_across = across * (ux * nx + uy * ny)
                self.knock.total -= work_across
                self.rub.total -= jx * ux + jy * uy - work_across
                total.normal += across
                total.friction += abs(jy * nx - jx * ny)
                self._lip_sum[lip] += across
            self._pending.clear()
        self._sum.sliding += abs(vx * self._cos + vy * self._sin)
        self._sum.steps += 1
        self._before = vx, vy, spin

    def forget(self) -> None:
        """Forget how far the stem has been forced so far."""
        self.given_way = 0.0

    def strayed(self) -> float:
        """How deep a lip stands inside the stem now, and no number once the stem is out of its guide altogether. [mm]"""
        angle = self.body.angle + self._lean + self.direction
        c, s = math.cos(angle), math.sin(angle)
        foot_x, foot_y = self.body.local_to_world(self._foot)
        worst = math.nan
        for i, (x, y) in enumerate(self.lips):
            along = (x - foot_x) * c + (y - foot_y) * s
            across = (y - foot_y) * c - (x - foot_x) * s
            if 0 <= along <= self._stem_length:
                side = 1 if i % 2 else -1
                deep = self._half_width - side * across
                worst = deep if math.isnan(worst) else max(worst, deep)
        return worst

    def sample(self, elapsed: float) -> tuple[float, ...]:
        """Give normal force, friction force, sliding speed since the last sample, then the force at each of the four lips."""
        total, self._sum = self._sum, Sample()
        lips, self._lip_sum = self._lip_sum, [0.0] * 4
        steps = max(total.steps, 1)
        return (
            total.normal / elapsed,
            total.friction / elapsed,
            total.sliding / steps,
            *(force / elapsed for force in lips),
        )


class BoreTouch:
    """A pin in a bigger hole: the hole is fast to the first body, the pin to the second. ``radius`` is the pin's. [mm]"""

    def __init__(self, radius: float, play: float) -> None:
        self.radius = radius
        self.play = play + 0.0005  # half a micrometre keeps a resting pin from chattering
        self.reach = radius + play

    def nearest(
        self, x: float, y: float, face: float
    ) -> tuple[float, float, float, float, float]:
        """Touch where the pin leans; the normal points from the hole's wall inwards."""
        d = math.hypot(x, y)
        ux, uy = (x / d, y / d) if d > 1e-12 else (0.0, -1.0)
        wall = self.radius + self.play
        return self.play - d, -ux, -uy, ux * wall, uy * wall


class Collar:
    """A collar on which a level part comes to rest, and what it drags when the part turns on it."""

    RADIUS = 6.0  # mm; where a spindle's collar bears

    def __init__(
        self,
        space: pymunk.Space,
        body: pymunk.Body,
        foot_at: Point,
        seat_at: Point,
        friction: float,
        dt: float,
        number: int,
        knock: Cell,
        faults: Faults,
    ) -> None:
        kind = FIRST_TYPE + 2 * MOST_CONTACTS + 5 * number
        x, y = seat_at[0], seat_at[1] - 2.0  # foot and seat are rounded by 1 mm each
        foot = pymunk.Circle(body, 1.0, body.world_to_local(foot_at))
        seat = pymunk.Segment(space.static_body, (x - 2, y), (x + 2, y), 1.0)
        for shape, sort, side in zip(
            (foot, seat), (kind, kind + 1), filters(number), strict=True
        ):
            shape.friction, shape.collision_type, shape.filter = 0.0, sort, side
            space.add(shape)
        space.on_collision(kind, kind + 1, post_solve=watched(self._after, faults))
        self._body, self._friction, self._dt, self._knock = body, friction, dt, knock
        self._load = 0.0
        self._speed = 0.0

    def _after(self, arbiter: pymunk.Arbiter, space: pymunk.Space, data: object) -> None:
        impulse = abs(arbiter.total_impulse.y)
        self._load += impulse
        self._knock.total -= impulse * 0.5 * (self._body.velocity.y + self._speed)

    def grip(self) -> float:
        """Torque with which it drags now; clears the load for the next step. [g mm^2/s^2]"""
        load, self._load = self._load, 0.0
        self._speed = self._body.velocity.y
        return self._friction * self.RADIUS * load / self._dt
