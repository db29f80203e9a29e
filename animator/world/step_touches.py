"""True shapes of contacts of what goes step by step: a pawl's nose on ratchet teeth, and what presses and lifts a pawl."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import TYPE_CHECKING

from animator.parts._escape import Escapement
from animator.parts._maltese import LOCK_EASE, Maltese
from animator.parts._sector import Sector
from animator.parts._teeth import NOTHING, Near, Teeth

if TYPE_CHECKING:
    import pymunk

    from animator.parts._contract import Weight, Workshop

Nearest = tuple[float, float, float, float, float]
JUMPED_WITHIN = 0.5  # of a tooth's depth; a nose that passes a tooth nearer than this was pressed over it, one farther off was held away
LANDED = 0.3  # of a tooth's depth under the tips, from which on a nose lies in a valley,
SEATED = 0.05  # mm; where it touches
LIFT_TIME = 0.15  # s in which a finger lifts a pawl, or lets it down
FINGER = 5e6  # g mm/s^2; a finger gives so much at the nose, 5 N, when the pawl lags behind it
FINGER_LAG = 0.1  # rad; by so much


class Nose:
    """Where the round nose of a pawl is on its wheel: reckoned once for both of its touches, and in which valley, counted on past a turn."""

    def __init__(self, teeth: Teeth, radius: float) -> None:
        self.teeth, self.radius = teeth, radius
        self.steps = 0
        self.skipped = 0
        self.is_held_off = False
        self._is_seated = False  # whether it has come to lie in the valley where it is
        self._valley: int | None = None
        self._at = (math.nan, math.nan)
        self._found: tuple[Near, Near] | None = None

    def touch(self, x: float, y: float) -> tuple[Near, Near]:
        """Nearest places on the face and on the back (or a tip), of a nose at a place in the wheel's frame."""
        if self._found is None or (x, y) != self._at:
            valley, face, back = self.teeth.near(x, y, self.radius)
            gap = min(face.gap, back.gap)
            self._count(valley, gap)
            deep = self.teeth.radius - LANDED * self.teeth.depth
            if gap < SEATED and x * x + y * y < deep * deep:
                self._is_seated = True
            self._at, self._found = (x, y), (face, back)
        return self._found

    def _count(self, valley: int, gap: float) -> None:
        if self._valley is not None and valley != self._valley:
            half = self.teeth.count // 2
            gone = (self._valley - valley + half) % self.teeth.count - half
            self.steps += gone
            is_pressed = self._is_seated and not self.is_held_off
            if gone < 0 and is_pressed and gap < JUMPED_WITHIN * self.teeth.depth:
                self.skipped -= gone
            self._is_seated = False
        self._valley = valley


class NoseTouch:
    """One of the two touches of a nose: with the face it stands against, or with the back it rides over."""

    def __init__(self, nose: Nose, is_face: bool) -> None:
        self.nose, self.is_face, self.reach = nose, is_face, nose.teeth.radius

    def nearest(self, x: float, y: float, face: float) -> Nearest:
        """Gap, outward normal and place on the wheel, in the wheel's frame."""
        return self.nose.touch(x, y)[0 if self.is_face else 1]


class Press:
    """A little spring that turns a pawl towards its wheel; its other leg stands against what carries the pawl's pivot.

    Parameters
    ----------
    part, host
        Name of the pawl, and the body that carries its pivot.
    torque, rate
        At the start [g mm^2/s^2], and how much it grows as the pawl is lifted [g mm^2/s^2 for each radian].
    sense
        Which way it turns the pawl, +1 anticlockwise.
    """

    def __init__(
        self,
        shop: Workshop,
        part: str,
        host: pymunk.Body,
        torque: float,
        rate: float,
        sense: int,
    ) -> None:
        self._body, self._host = shop.body(part), host
        self._is_static = host is shop.space.static_body
        self._dt, self._torque, self._rate, self._sense = shop.dt, torque, rate, sense
        self._start = self._body.angle - host.angle
        if rate:
            shop.stiff(rate, shop.turning_inertia(part))
        shop.before_step(self.press)
        shop.store(f"spring of {part}", self.energy)

    def _lift(self, ahead: float) -> float:
        """How far the pawl is lifted from where it started, so many seconds ahead. [rad]"""
        turned = self._body.angle + ahead * self._body.angular_velocity - self._start
        if not self._is_static:
            turned -= self._host.angle + ahead * self._host.angular_velocity
        return float(-self._sense * turned)

    def press(self, t: float) -> None:
        """Press with what the spring gives where the pawl will be after this step."""
        torque = self._torque + self._rate * self._lift(self._dt)
        if torque > 0:
            self._body.torque += self._sense * torque
            if not self._is_static:
                self._host.torque -= self._sense * torque

    def energy(self) -> float:
        """Energy stored since the start. [g mm^2/s^2]"""
        lift = self._lift(self._dt / 2)
        if self._rate and self._torque + self._rate * lift < 0:
            lift = -self._torque / self._rate
        return self._torque * lift + self._rate * lift * lift / 2


class Finger:
    """A finger that lifts a pawl out of its teeth for a while and lets it down again; what it gives is booked as work put in."""

    def __init__(
        self,
        shop: Workshop,
        part: str,
        host: pymunk.Body,
        nose: Nose,
        sense: int,
        lift: float,
        reach: float,
    ) -> None:
        self._body, self._host, self._nose = shop.body(part), host, nose
        self._dt, self._sense, self._lift = shop.dt, sense, lift
        self._inertia = shop.turning_inertia(part)
        self._start = self._body.angle - host.angle
        self._rate = FINGER * reach / FINGER_LAG
        self._damping = 1.4 * math.sqrt(self._rate * self._inertia)
        shop.stiff(self._rate, self._inertia)
        self._work = shop.work(f"finger on {part}")
        self._since: float | None = None
        self._from = 0.0
        self._torque = 0.0
        self._speed = 0.0
        self._is_static = host is shop.space.static_body
        shop.after_step(self.book)

    def _turned(self) -> float:
        return float(self._sense * (self._body.angle - self._host.angle - self._start))

    def _turning(self) -> float:
        return float(self._body.angular_velocity - self._host.angular_velocity)

    def lead(self, t: float, is_holding: bool) -> None:
        """Lead the pawl up and hold it there, or let it go."""
        self._torque, self._speed = 0.0, self._turning()
        self._nose.is_held_off = is_holding
        if not is_holding:
            self._since = None
            return
        if self._since is None:
            self._since, self._from = t, self._turned()
        share = min(1.0, (t - self._since) / LIFT_TIME)
        share = share * share * (3 - 2 * share)
        due = self._from + share * (-self._lift - self._from)
        ahead = self._turned() + self._sense * self._dt * self._speed
        torque = self._sense * self._rate * (due - ahead) - self._damping * self._speed
        most = self._rate * FINGER_LAG
        self._torque = max(-most, min(most, torque))
        self._body.torque += self._torque
        if not self._is_static:
            self._host.torque -= self._torque

    def book(self) -> None:
        """Book the work of the step, from the mean of the speeds before and after it."""
        if self._torque:
            self._work.total += self._torque * 0.5 * (self._speed + self._turning()) * self._dt


class SlotWalls:
    """The walls of whichever slot of a Geneva wheel a crank's pin is at, with the lips at its mouth and the rim beside it; the nearer of the two counts.

    Both at once would squeeze the pin between them with any force.
    """

    def __init__(self, wheel: Maltese) -> None:
        self.wheel, self.reach = wheel, wheel.rim
        self._wide = wheel.half_slot

    def nearest(self, x: float, y: float, face: float) -> Nearest:
        """Gap, outward normal and place on the wheel, in the wheel's frame."""
        wheel = self.wheel
        if math.hypot(x, y) > wheel.rim + 2 * wheel.pin:
            return NOTHING
        angle = round(math.atan2(y, x) / wheel.step) * wheel.step
        c, s = math.cos(angle), math.sin(angle)
        u, v = c * x + s * y, c * y - s * x
        side = 1.0 if v >= 0 else -1.0
        v *= side
        if u <= wheel.mouth:
            gap, nu, nv, pu, pv = self._wide - v - wheel.pin, 0.0, -1.0, u, self._wide
        else:
            du, dv = u - wheel.mouth, v - self._wide
            d = math.hypot(du, dv) or 1e-12
            if dv > 0 and du * self._wide < dv * wheel.mouth:  # past the lip, on the rim
                far = math.hypot(u, v)
                gap, nu, nv = far - wheel.rim - wheel.pin, u / far, v / far
                pu, pv = nu * wheel.rim, nv * wheel.rim
            else:
                gap, nu, nv, pu, pv = d - wheel.pin, du / d, dv / d, wheel.mouth, self._wide
        nv, pv = nv * side, pv * side
        return gap, c * nu - s * nv, s * nu + c * nv, c * pu - s * pv, s * pu + c * pv


class Locking:
    """Where a driver's locking disc bears on the locking arc that faces it.

    The tip is the disc's middle, its face the way to the pin. What bears is one end of what the disc and the arc have in common, whichever is nearer: a horn of
    the wheel, or the edge of the disc's cut-away.
    """

    HANDED_OVER = (
        0.008  # rad of the crank before its pin is in: lips and lock together would pinch it
    )
    LEAST_ARM = (
        0.05  # sine of the angle from the line of centres; nearer to it a push turns nothing
    )

    def __init__(self, wheel: Maltese | Sector) -> None:
        self.wheel = wheel
        self.reach = wheel.rim
        self.is_facing = False

    def nearest(self, x: float, y: float, face: float) -> Nearest:
        """Gap, outward normal and place on the wheel, in the wheel's frame."""
        one, other = self._end(x, y, face, 1), self._end(x, y, face, -1)
        return one if one[0] < other[0] else other

    def _end(self, x: float, y: float, face: float, side: int) -> Nearest:
        wheel = self.wheel
        to_disc = math.atan2(y, x)
        middle = (math.floor(to_disc / wheel.step) + 0.5) * wheel.step
        # the pin's angle at the disc's middle, from the way to the wheel, counted towards this end
        pin = side * ((face - to_disc) % math.tau - math.pi)
        self.is_facing = abs(pin) >= wheel.cut
        if abs(pin) < wheel.cut + self.HANDED_OVER:
            return NOTHING
        end = wheel.bearing
        if abs(end - pin) < wheel.cut:
            end = pin - wheel.cut  # up to the edge of the cut-away
        if end < self.LEAST_ARM:
            return NOTHING
        way = to_disc + math.pi + side * end
        ux, uy = math.cos(way), math.sin(way)
        px, py = x + wheel.lock * ux, y + wheel.lock * uy
        # distance of that place of the disc from the middle of the arc it bears on
        qx, qy = wheel.distance * math.cos(middle), wheel.distance * math.sin(middle)
        dx, dy = px - qx, py - qy
        far = math.hypot(dx, dy) or 1e-12
        radius = wheel.lock + wheel.play + LOCK_EASE
        nx, ny = -dx / far, -dy / far
        return radius - far, nx, ny, qx - radius * nx, qy - radius * ny


class SectorTouch:
    """Teeth of which some are left on a wheel, and those of the whole wheel they work in: flanks along their line of action, and beyond it a tip's corner on a flank.

    The first body's x axis lies along the middle of what is left, the second's along the middle of a tooth. A point's distance from an involute is the base radius
    times the angle between the involute through it and that one, exactly.
    """

    DEEPEST = 0.4  # modules; what looks deeper belongs to another pair of teeth

    def __init__(self, sector: Sector) -> None:
        self.sector, own, mate = sector, sector.own, sector.mate
        self.reach = own.tip
        self._own, self._mate = own, mate
        self._phase = sector.phase()
        self._pitch = math.tau * own.base / own.teeth
        self._mate_longest = math.sqrt(mate.tip**2 - mate.base**2)

    def nearest(self, x: float, y: float, face: float) -> Nearest:
        """Gap, outward normal and place on the wheel, in the wheel's frame."""
        way = math.atan2(y, x)
        if abs(way) > self.sector.cut + self._own.share:
            return NOTHING
        best: Nearest = NOTHING
        for side in (1, -1):
            found = self._pushed(x, side * y, side * face, side)
            if found[0] < best[0]:
                gap, nx, ny, px, py = found
                best = gap, nx, side * ny, px, side * py
        return best

    def _pushed(self, x: float, y: float, face: float, side: int) -> Nearest:
        """Nearest pair of flanks where the wheel, turning anticlockwise, pushes; the other way round everything is mirrored."""
        own, mate, pitch = self._own, self._mate, self._pitch
        apart, way = math.hypot(x, y), math.atan2(y, x)
        angle = math.acos(min(1.0, (own.base + mate.base) / apart))
        line = (own.base + mate.base) * math.tan(angle)
        at = way - angle
        phase = side * self._phase
        # length along the line of action from where it leaves the base circle, of tooth 0's flank
        zero = own.base * (phase + own.base_half - at)
        first = math.ceil(-0.3 - zero / pitch)
        mates = mate.base * (face + mate.base_half - (way + math.pi - angle))
        best: Nearest = NOTHING
        for tooth in range(first, first + 4):
            if not self.sector.has(side * tooth):
                continue
            length = zero + tooth * pitch
            open_by = line - length - mates
            other = round(open_by / pitch)
            found = self._pair(
                (x, y), face + other * mate.share, phase + tooth * own.share, self.sector.tip_of(side * tooth),
                (length, mates + other * pitch, open_by - other * pitch, at),
            )  # fmt: skip
            if -self.DEEPEST * own.module < found[0] < best[0]:
                best = found
        return best

    def _pair(
        self,
        centre: tuple[float, float],
        other: float,
        tooth: float,
        tip: float,
        line: tuple[float, float, float, float],
    ) -> Nearest:
        """Touch one tooth with one of the mate's; their middles at the angles ``tooth`` and ``other``, the own one's ``tip`` at a radius."""
        own, mate = self._own, self._mate
        length, mates, gap, at = line
        if mates > self._mate_longest:  # before the mate's flank begins: its corner
            turn = other + mate.half_angle(mate.tip)
            x = centre[0] + mate.tip * math.cos(turn)
            y = centre[1] + mate.tip * math.sin(turn)
            far = math.hypot(x, y)
            if not own.base < far < tip:
                return NOTHING
            lean = math.acos(own.base / far)
            seen = math.atan2(y, x)
            ahead = (seen - tooth - own.base_half + math.pi) % math.tau - math.pi
            gap = own.base * (ahead + math.tan(lean) - lean)
            nx, ny = -math.sin(seen - lean), math.cos(seen - lean)
            return gap, nx, ny, x - gap * nx, y - gap * ny
        if (
            length * length + own.base**2 > tip * tip
        ):  # beyond the own flank: its corner on the mate's
            turn = tooth + own.half_angle(tip)
            x, y = tip * math.cos(turn), tip * math.sin(turn)
            dx, dy = x - centre[0], y - centre[1]
            far = math.hypot(dx, dy)
            if not mate.base < far < mate.tip:
                return NOTHING
            lean = math.acos(mate.base / far)
            seen = math.atan2(dy, dx)
            ahead = (seen - other - mate.base_half + math.pi) % math.tau - math.pi
            gap = mate.base * (ahead + math.tan(lean) - lean)
            return gap, math.sin(seen - lean), -math.cos(seen - lean), x, y
        if length < 0 or mates < 0:
            return NOTHING
        c, s = math.cos(at), math.sin(at)
        return gap, -s, c, own.base * c - length * s, own.base * s + length * c


def burden(shop: Workshop, name: str, extra: Weight) -> None:
    """Let a plate fixed about the axis of a turning part weigh in its inertia; its weight is borne by the bearing."""
    link = shop.link(name)
    if link is not None:
        inertia = link.weight.inertia + extra.inertia
        link.weight = replace(link.weight, inertia=inertia)
        link.body.moment = inertia


class PalletTouch:
    """The points of an escape wheel on the pallets of an anchor. The tip is the anchor's pivot, its face the way from the wheel to it as the anchor stands in the middle."""

    def __init__(self, layout: Escapement, sense: int) -> None:
        self.layout, self.mirror, self.reach = layout, -sense, layout.radius

    def nearest(self, x: float, y: float, face: float) -> Nearest:
        """Gap, outward normal and place on the wheel, in the wheel's frame."""
        mirror = self.mirror
        gap, nx, ny, px, py = self.layout.near(x, mirror * y, mirror * face)
        return gap, nx, mirror * ny, px, mirror * py
