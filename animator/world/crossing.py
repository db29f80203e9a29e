"""Contacts of wheels whose axes stand at right angles: a worm and its wheel, pins that pass each other across.

Each body turns in its own plane, so a touch has no place that is the same in both. What a force at the touch does to either is told by its lever
arms: how far each moves along the normal, and along the way it rubs, for a turn of its own. The engine is given a contact point on each body
that has just these arms; friction is its own, solved together with everything else, so a worm locks or runs back by itself.
"""

from __future__ import annotations

import math
from dataclasses import replace
from typing import TYPE_CHECKING, NamedTuple, Protocol

import pymunk

from animator.geometry import Point
from animator.parts._right_angles import (
    Corner,
    Meeting,
    Passing,
    arms,
    corner,
    meeting,
    passing,
)
from animator.parts._thread import Follower, Thread, Touching
from animator.world.contacts import CurveContact
from animator.world.engine import state
from animator.world.spokes import FAR, SLOTS, Dealer, stuff_at

if TYPE_CHECKING:
    from animator.parts._contract import Workshop
    from animator.parts._crude import CrudeWheel
    from animator.parts._spokes import Spokes
    from animator.parts.screw import Screw

THREAD_SLOTS = 3  # contacts of a worm: one pushes, one holds back, one comes or goes
ONE_PLACE = 1e-3  # mm; axes nearer than this in the plane stand at one place
CREEPING = 1e-6  # mm/s; slower than this the way it rubs is that of the turning


class Arms(NamedTuple):
    """A touch across planes: gap [mm]; how far the first and the second body's side of it move along the normal and along the rub for a turn of each [mm/rad]."""

    gap: float
    first: float
    first_rub: float
    second: float
    second_rub: float


class Across(Protocol):
    """What a contact across planes asks for its arms."""

    reach: float
    way: Point
    """The way the second body moves where they touch when it turns anticlockwise, in its own plane. The force on it lies as near to that line as can be."""

    @property
    def is_idle(self) -> bool:
        """Whether nothing was near when it was last looked at."""
        ...

    def arms(self, first: float, second: float, w1: float, w2: float) -> Arms:
        """Give the touch for the angles [rad] and speeds [rad/s] of both."""
        ...


class CrossContact(CurveContact):
    """A contact between bodies that turn in different planes; ``touch`` is an ``Across``.

    The solver wants one plane, one normal and a place on each body whose distance along the normal is the gap. With the arms given, the normal's direction is the
    one thing left to choose, and it is chosen so that this distance is the gap. So the load on both bearings has the right size; its
    direction is as near as this leaves it.
    """

    def _before(self, arbiter: pymunk.Arbiter, space: pymunk.Space, data: object) -> None:
        """Put the true contact in the proxies' place, and book the work of the step before."""
        touch: Across = self.touch  # type: ignore[assignment]
        if not self._is_open and touch.is_idle:
            self._pass_over(arbiter, FAR)
            return
        first, second = state(self._one), state(self._other)
        ax, ay, a_angle, ux, uy, w1 = first
        bx, by, b_angle, vx, vy, w2 = second
        if self._is_open:
            self._book(ux, uy, w1, vx, vy, w2)
        ox, oy, a_turned = self.origin
        tx, ty, b_turned = self.tip
        ca, sa, cb, sb = (
            math.cos(a_angle),
            math.sin(a_angle),
            math.cos(b_angle),
            math.sin(b_angle),
        )
        cx, cy = ax + ca * ox - sa * oy, ay + sa * ox + ca * oy
        dx, dy = bx + cb * tx - sb * ty, by + sb * tx + cb * ty
        self.point = dx, dy
        gap, a_n, a_t, b_n, b_t = touch.arms(a_angle + a_turned, b_angle + b_turned, w1, w2)
        # the places are (arm along the rub) n - (arm along the normal) t from each axis, t a quarter turn on from n
        sx, sy = dx - cx, dy - cy
        span = math.hypot(sx, sy)
        if span < ONE_PLACE:  # both axes at one place of the plane: across the way it pushes
            sx, sy, span = touch.way[1], -touch.way[0], 1.0
        c = min(max((gap - b_t + a_t) / span, -1.0), 1.0)
        s = math.sqrt(1.0 - c * c)
        wx, wy = touch.way
        if (sx * wy - sy * wx < 0) != (b_n < 0):
            s = -s
        nx, ny = (c * sx - s * sy) / span, (s * sx + c * sy) / span
        fx, fy = cx + a_t * nx + a_n * ny, cy + a_t * ny - a_n * nx
        gx, gy = dx + b_t * nx + b_n * ny, dy + b_t * ny - b_n * nx
        self._press(
            arbiter, space, gap, (nx, ny), (fx, fy), (fx - ax, fy - ay), (gx - bx, gy - by), first, second,
        )  # fmt: skip


class ThreadMesh:
    """A worm and its wheel, and where they are near now."""

    def __init__(self, thread: Thread, wheel: Follower, meets: Meeting) -> None:
        self.thread, self.wheel, self.meets = thread, wheel, meets
        self._asked = (math.nan, 0.0)
        self._dealer: Dealer[tuple[int, int]] = Dealer(THREAD_SLOTS)
        self.held = self._dealer.held
        self.found: dict[tuple[int, int], Touching] = {}

    def near(self, slot: int, worm: float, wheel: float) -> Touching | None:
        """Give what a contact minds."""
        if (worm, wheel) != self._asked:
            self._asked = worm, wheel
            turned = self.meets.other_way * (wheel - self.meets.other_line)
            found = self.thread.touching(worm, self.wheel, turned)
            self._dealer.deal([each.key for each in found])
            self.found = {each.key: each for each in found}
        held = self.held[slot]
        return None if held is None else self.found[held]


class ThreadTouch:
    """One contact of a worm (first) and its wheel (second)."""

    def __init__(self, mesh: ThreadMesh, slot: int) -> None:
        self._mesh, self._slot = mesh, slot
        self.reach = mesh.thread.radius
        line = mesh.meets.other_line
        self.way = -math.sin(line), math.cos(line)
        self.now: Touching | None = None

    @property
    def is_idle(self) -> bool:
        """Whether nothing was near when it was last looked at; the first contact always looks."""
        return self._slot > 0 and self._mesh.held[self._slot] is None

    def arms(self, first: float, second: float, w1: float, w2: float) -> Arms:
        """Give the touch for the angles of both. [rad]"""
        near = self.now = self._mesh.near(self._slot, first, second)
        if near is None:
            return Arms(FAR, 0.0, 0.0, 0.0, 0.0)
        radius, arm = self._mesh.thread.radius, self._mesh.meets.other_way * near.arm
        return Arms(
            near.gap,
            radius * near.around,
            radius * near.along,
            arm * near.along,
            -arm * near.around,
        )

    def nearest(
        self, x: float, y: float, face: float
    ) -> tuple[float, float, float, float, float]:
        """Refuse: there is no one plane here."""
        raise NotImplementedError


def mesh_thread(
    shop: Workshop, worm: str, wheel: str, thread: Thread, follower: Follower, friction: float
) -> None:
    """Let a worm's thread push the pins or teeth of a wheel in another view.

    ``friction``: at the flank, over the cosine of its slope where it has one.
    """
    here, there = shop.pose(worm), shop.pose(wheel)
    meets = meeting(worm, wheel, shop.scene.parts, here, there)
    # counted the way it moves along the worm
    follower = replace(follower, phase=meets.other_way * follower.phase)
    mesh = ThreadMesh(thread, follower, meets)
    units = [
        shop.exact_contact(
            f"{wheel}.thread {slot + 1}", worm, wheel, f"{wheel} on {worm}", "thread", shop.body(worm), shop.body(wheel), here[:2], there[:2],
            ThreadTouch(mesh, slot), friction, False, origin_angle=here.angle, face=there.angle, sort=CrossContact,
        )
        for slot in range(THREAD_SLOTS)
    ]  # fmt: skip
    dt = shop.dt

    def thrust() -> float:
        total = 0.0
        for unit in units:
            now: Touching | None = unit.touch.now
            if now is not None:
                total += unit.normal_impulse / dt * now.along
        return total

    state = [1.0 if thread.lead_angle <= math.atan(friction) else 0.0]

    def locked() -> float:
        """Whether the wheel can't turn the worm: the slope at what bears now is under the friction angle; while nothing bears, as it last was."""
        for unit in units:
            now: Touching | None = unit.touch.now
            if now is not None and unit.is_active:
                state[0] = 1.0 if abs(now.around) <= friction * abs(now.along) else 0.0
        return state[0]

    shop.channel(f"{worm}.thrust", "force", thrust)
    for name in (worm, wheel):
        shop.channel(f"{name}.locked", "state", locked)


class PinsAcross:
    """Two wheels of pins at right angles, and which pins are near now. Pins of either stand along its own axis, so where they meet they lie across each other."""

    def __init__(self, first: Spokes, second: Spokes, meets: Corner) -> None:
        self.first, self.second, self.meets = first, second, meets
        self._dealer: Dealer[tuple[int, int]] = Dealer()
        self.held = self._dealer.held
        self._asked = (math.nan, 0.0)
        self._found: dict[tuple[int, int], Passing] = {}

    def near(self, slot: int, first: float, second: float) -> Passing | None:
        """Give what a contact minds."""
        if (first, second) != self._asked:
            self._asked = first, second
            found = passing(self.first, self.second, self.meets, first, second)
            self._dealer.deal([each.key for each in found])
            self._found = {each.key: each for each in found}
        held = self.held[slot]
        return None if held is None else self._found[held]


class PinsTouch:
    """One contact of two wheels of pins at right angles."""

    def __init__(self, mesh: PinsAcross, slot: int) -> None:
        self._mesh, self._slot = mesh, slot
        self.reach = mesh.first.tip
        line = mesh.meets.other_line
        self.way = -math.sin(line), math.cos(line)

    @property
    def is_idle(self) -> bool:
        """Whether nothing was near when it was last looked at; the first contact always looks."""
        return self._slot > 0 and self._mesh.held[self._slot] is None

    def arms(self, first: float, second: float, w1: float, w2: float) -> Arms:
        """Give the touch for the angles [rad] and speeds [rad/s] of both. They rub along both pins at once; the way of it is that of their speeds now."""
        near = self._mesh.near(self._slot, first, second)
        if near is None:
            return Arms(FAR, 0.0, 0.0, 0.0, 0.0)
        mesh, n = self._mesh, near.normal
        one, other, meets = mesh.first, mesh.second, mesh.meets
        x1, z1 = arms(one, meets.way, near.first, one.half * n[0], one.half * n[1])
        x2, z2 = arms(
            other, meets.other_way, near.second, -other.half * n[0], -other.half * n[2]
        )
        a_n, b_n = x1 * n[0] + z1 * n[1], x2 * n[0] + z2 * n[2]
        # the way it rubs: the speed of the second on the first, less what of it goes along the normal
        along = b_n * w2 - a_n * w1
        u = (
            x2 * w2 - x1 * w1 - along * n[0],
            -z1 * w1 - along * n[1],
            z2 * w2 - along * n[2],
        )
        speed = math.hypot(*u)
        if speed < CREEPING:
            u = (-a_n * n[0] + x1, -a_n * n[1] + z1, -a_n * n[2])
            speed = math.hypot(*u) or 1.0
        tx, t1, t2 = u[0] / speed, u[1] / speed, u[2] / speed
        return Arms(near.gap, a_n, x1 * tx + z1 * t1, b_n, x2 * tx + z2 * t2)

    def nearest(
        self, x: float, y: float, face: float
    ) -> tuple[float, float, float, float, float]:
        """Refuse: there is no one plane here."""
        raise NotImplementedError


def mesh_pins_across(shop: Workshop, first: CrudeWheel, second: CrudeWheel) -> None:
    """Let the pins of two wheels at right angles push each other."""
    here, there = shop.pose(first.name), shop.pose(second.name)
    meets = corner(first.name, second.name, shop.scene.parts, here, there)
    mesh = PinsAcross(first.spokes, second.spokes, meets)
    friction = shop.friction(
        second.friction or first.friction, stuff_at(shop, first), stuff_at(shop, second)
    )
    for slot in range(SLOTS):
        shop.exact_contact(
            f"{second.name}.mesh {slot + 1}", first.name, second.name, f"{second.name} on {first.name}", "pins across",
            shop.body(first.name), shop.body(second.name), here[:2], there[:2], PinsTouch(mesh, slot), friction, False,
            origin_angle=here.angle, face=there.angle, sort=CrossContact,
        )  # fmt: skip


class NutContact(CurveContact):
    """One side of a nut on its screw. The nut slides, so the normal lies as the thread does; the screw's arms are those of its thread.

    The nut is held level, so the place of the force on it doesn't matter; it is chosen so that the two places are the gap apart.
    """

    touch: NutTouch

    def _before(self, arbiter: pymunk.Arbiter, space: pymunk.Space, data: object) -> None:
        """Put the true contact in the proxies' place, and book the work of the step before."""
        touch, first, second = self.touch, state(self._one), state(self._other)
        ax, ay, a_angle, ux, uy, w1 = first
        bx, by, _, vx, vy, w2 = second
        if self._is_open:
            self._book(ux, uy, w1, vx, vy, w2)
        ox, oy, turned = self.origin
        ca, sa = math.cos(a_angle), math.sin(a_angle)
        cx, cy = ax + ca * ox - sa * oy, ay + sa * ox + ca * oy
        self.point = bx, by
        gap = touch.gap(a_angle + turned, bx, by)
        nx, ny, arm, rub = touch.nx, touch.ny, touch.arm, touch.rub
        fx, fy = cx + rub * nx + arm * ny, cy + rub * ny - arm * nx
        off = gap - ((bx - fx) * nx + (by - fy) * ny)
        self._press(
            arbiter, space, gap, (nx, ny), (fx, fy), (fx - ax, fy - ay), (off * nx, off * ny), first, second,
        )  # fmt: skip


class NutTouch:
    """One side of a nut: ``side`` +1 where the thread pushes it the way it slides."""

    def __init__(self, shop: Workshop, screw: Screw, side: int, way: float) -> None:
        nut = shop.body(screw.drives.part)
        direction = shop.scene.parts[screw.drives.part].held().direction
        radius = screw.diameter / 2
        lead = screw.lead_angle
        c, s = math.cos(lead), math.sin(lead)
        self.reach = radius
        # how far the thread goes along the slide for a turn of the screw
        self._rise = -screw.sense * way * radius * math.tan(lead)
        self._dx, self._dy = math.cos(direction), math.sin(direction)
        self._from = float(nut.position.x * self._dx + nut.position.y * self._dy)
        self._turned = shop.pose(screw.name).angle
        self._side, self._lean, self._play = side, c, screw.play / 2
        # unrolled, the thread leans by the lead angle: the normal has a share along the slide and one round the screw
        around = math.copysign(s, self._rise)
        self.nx = side * (c * self._dx - around * self._dy)
        self.ny = side * (c * self._dy + around * self._dx)
        self.arm, self.rub = side * radius * around, side * radius * c

    def gap(self, turned: float, x: float, y: float) -> float:
        """Clear way between thread and nut on this side. [mm]"""
        nut: float = x * self._dx + y * self._dy - self._from
        off: float = nut - self._rise * (turned - self._turned)
        clear: float = (self._play + self._side * off) * self._lean
        return clear

    def nearest(
        self, x: float, y: float, face: float
    ) -> tuple[float, float, float, float, float]:
        """Refuse: there is no one plane here."""
        raise NotImplementedError


def mesh_nut(shop: Workshop, screw: Screw, friction: float, way: float) -> None:
    """Let a screw move the slider that carries its nut. ``way``: +1 where that slides towards the viewer of the screw's turning, -1 away."""
    nut = screw.drives.part
    here, there = shop.pose(screw.name), shop.body(nut).position
    units = [
        shop.exact_contact(
            f"{nut}.thread {number}", screw.name, nut, f"{nut} on {screw.name}", "thread", shop.body(screw.name), shop.body(nut), here[:2],
            (there.x, there.y), NutTouch(shop, screw, side, way), friction, False, origin_angle=here.angle, sort=NutContact,
        )
        for number, side in ((1, 1), (2, -1))
    ]  # fmt: skip
    locked = 1.0 if math.tan(screw.lead_angle) <= friction else 0.0
    cos = math.cos(screw.lead_angle)
    dt = shop.dt
    shop.channel(
        f"{screw.name}.thrust",
        "force",
        lambda: (units[0].normal_impulse - units[1].normal_impulse) * cos / dt,
    )
    for name in (screw.name, nut):
        shop.channel(f"{name}.locked", "state", lambda: locked)
