"""A belt round three pulleys or more: the wheels may stand outside the loop and press on its back, and one may ride on a sprung arm."""

from __future__ import annotations

import math
from collections.abc import Container, Mapping, Sequence
from typing import TYPE_CHECKING, Any, NamedTuple

from animator.geometry import Point, polar
from animator.parts._contract import Part, Rides, Still, Turns, Workshop

if TYPE_CHECKING:
    from animator.parts.belt import Belt

ROUNDS = 12  # sweeps over all pulleys that let belt through; each slips a little less than the one before


class Span(NamedTuple):
    """A straight stretch between two wheels: its length [mm] and the direction in which the belt runs along it [rad]."""

    length: float
    way: float


def middles(parts: Mapping[str, Part], names: Sequence[str]) -> list[Point]:
    """Where wheels stand as drawn: from the places of what carries them, before anything is solved. [mm]"""
    return [_middle(parts, name, "", len(parts)) for name in names]


def _middle(parts: Mapping[str, Part], name: str, point: str, depth: int) -> Point:
    if name not in parts or depth < 0:
        return 0.0, 0.0
    part = parts[name]
    held = part.held()
    x, y = part.points()[point] if point else next(iter(part.points().values()))
    if isinstance(held, Rides):
        ox, oy = _middle(parts, held.on.part, held.on.point, depth - 1)
        return ox + held.offset[0] + x, oy + held.offset[1] + y
    if isinstance(held, (Turns, Still)):
        at = held.at
        foot = (
            (0.0, 0.0)
            if at.ref is None
            else _middle(parts, at.ref.part, at.ref.point, depth - 1)
        )
        turned = polar(math.hypot(x, y), math.atan2(y, x) + getattr(held, "drawn", 0.0))
        return foot[0] + at.offset[0] + turned[0], foot[1] + at.offset[1] + turned[1]
    return x, y


def senses(centres: Sequence[Point], outside: Container[int] = ()) -> list[int]:
    """Which way the belt runs round each wheel of a loop listed in order, told anticlockwise (+1) about the first.

    A wheel that presses on the belt's back (``outside``, by its place in the list) turns against the others, and so does one whose middle lies within the others'.

    Examples
    --------
    >>> senses([(0, 0), (100, 0), (50, 20), (50, 80)])
    [1, 1, -1, 1]
    >>> senses([(0, 0), (100, 0), (50, 80), (20, 45)], outside=[3])
    [1, 1, 1, -1]
    """
    count = len(centres)
    around = sum(
        a[0] * b[1] - b[0] * a[1]
        for a, b in zip(centres, [*centres[1:], centres[0]], strict=True)
    )
    whole = 1 if around >= 0 else -1
    found = []
    for i, (x, y) in enumerate(centres):
        (px, py), (qx, qy) = centres[i - 1], centres[(i + 1) % count]
        turn = (x - px) * (qy - y) - (y - py) * (qx - x)
        found.append(1 if turn * whole >= 0 and i not in outside else -1)
    return found if found[0] > 0 else [-each for each in found]


def tangent(a: Point, first: float, b: Point, second: float) -> Span | None:
    """Find the straight stretch from one wheel to the next.

    Parameters
    ----------
    a, b
        Middles. [mm]
    first, second
        Radii of the belt's line, above 0 where it runs anticlockwise round the wheel, below 0 where clockwise. [mm]

    Returns
    -------
    Span or None
        None where the wheels overlap so that there is no such line.
    """
    dx, dy = b[0] - a[0], b[1] - a[1]
    apart = math.hypot(dx, dy)
    if apart <= abs(first - second):
        return None
    lean = math.asin((first - second) / apart)
    return Span(apart * math.cos(lean), math.atan2(dy, dx) + lean)


class RoundLoop:
    """An elastic belt round three wheels or more.

    As with two: the state is the unstretched length in each span; a turning wheel carries belt on with the stretch of the side it comes from;
    where the tensions on both sides of a wheel differ by more than the capstan's exp(mu phi), belt is let through. What a moving wheel (a tensioner on
    its arm) adds to a span is the length of a string wound on both wheels, L + (r1 - r2) beta, whose change is exactly what the pull does work on.

    ``due`` and ``got`` count the travel of the driving rim and of the first other wheel that isn't free, ``rubbed`` what was let through. [mm]
    """

    LOSS_TIME = 0.02  # s; damping over stiffness of soft rubber, as for two pulleys (estimate, no source)

    def __init__(self, shop: Workshop, belt: Belt, wheels: Sequence[str]) -> None:
        parts: Mapping[str, Any] = shop.scene.parts
        self.wheels = tuple(wheels)
        self.driver = wheels[0]
        self.driven = next(
            (name for name in wheels[1:] if parts[name].on is not None), wheels[1]
        )
        count = len(wheels)
        centres = [shop.pose(name)[:2] for name in wheels]
        self.senses = senses(centres, belt.outside(wheels))
        radii = [parts[name].diameter / 2 for name in wheels]
        self.radii = radii[0], radii[self.wheels.index(self.driven)]
        self._signed = [s * r for s, r in zip(self.senses, radii, strict=True)]
        self._bodies = [shop.body(name) for name in wheels]
        self._axes = [shop.fixed_axis(name) for name in wheels]
        self._locals = [
            body.world_to_local(place)
            for body, place in zip(self._bodies, centres, strict=True)
        ]
        self._dt = shop.dt
        self._order = [(i, (i + 1) % count) for i in range(count)]
        found = [
            tangent(centres[i], self._signed[i], centres[k], self._signed[k])
            for i, k in self._order
        ]
        spans = [each for each in found if each is not None]
        assert len(spans) == count  # told by the belt before it is built
        self._ways = [each.way for each in spans]
        self._begun = list(self._ways)
        self._lengths = [each.length for each in spans]
        self._off: frozenset[int] = frozenset()
        self._is_still = all(axis is not None for axis in self._axes)
        self._mu = [
            shop.friction(belt.friction, belt.made_of.name, shop.stuff_of(parts[name])[0])
            for name in wheels
        ]
        self._grips = self._grip_all()
        stiff = self._stiffness = belt.axial_stiffness
        strain = belt.stretched if belt.stretched is not None else (belt.tension or 0.0) / stiff
        self._unstretched = [length / (1 + strain) for length in self._lengths]
        self._stretch = [
            length - own for length, own in zip(self._lengths, self._unstretched, strict=True)
        ]
        self.tensions = [stiff * strain] * count
        ease = 0.0
        for name, radius, axis, centre in zip(wheels, radii, self._axes, centres, strict=True):
            ease += radius**2 / shop.turning_inertia(name)
            if axis is None:
                held = parts[name].held()
                host = shop.attached_to(held.at) if isinstance(held, Turns) else name
                ease += 1 / (
                    shop.mass_felt(host or name, centre)
                    if host != name
                    else shop.body(name).mass
                )
        rate = 2 * stiff / min(self._unstretched)
        shop.stiff(rate, 1 / ease)
        self._damping = min(self.LOSS_TIME * rate / 2, 0.1 * 4 / (2 * 2 * self._dt * ease))
        self._angles = [body.angle + self._dt * body.angular_velocity for body in self._bodies]
        self.due = self.got = self.rubbed = 0.0
        self._rub = shop.heat(f"{belt.name} rubbing")
        self._creep = shop.heat(f"{belt.name} creeping")
        self._inner = shop.heat(f"inside {belt.name}")

    def _grip_all(self) -> list[float]:
        """Capstan ratio at each wheel from the angle the belt lies on it."""
        found = []
        for i, mu in enumerate(self._mu):
            turn = (self._ways[i] - self._ways[i - 1]) * (1 if self._signed[i] > 0 else -1)
            found.append(1.0 if i in self._off else math.exp(mu * (turn % math.tau)))
        return found

    def _middle(self, i: int) -> Point:
        """Where a wheel's middle will be after the step. [mm]"""
        axis = self._axes[i]
        if axis is not None:
            return float(axis[0]), float(axis[1])
        body = self._bodies[i]
        x, y = body.local_to_world(self._locals[i])
        vx, vy = body.velocity_at_world_point((x, y))
        return x + self._dt * vx, y + self._dt * vy

    def _measure(self) -> None:
        """Find the spans anew where a wheel has moved."""
        centres = [self._middle(i) for i in range(len(self.wheels))]
        for i, k in self._order:
            a, b = self._signed[i], self._signed[k]
            span = tangent(centres[i], a, centres[k], b)
            if span is None:
                continue  # the wheels touch; their contact isn't the belt's affair
            way = self._ways[i] + (span.way - self._ways[i] + math.pi) % math.tau - math.pi
            self._ways[i] = way
            self._lengths[i] = span.length + (a - b) * (way - self._begun[i])
        self._off = frozenset(
            i for i, axis in enumerate(self._axes) if axis is None and self._has_left(i)
        )
        for i in self._off:
            self._pass_by(i, centres)
        self._grips = self._grip_all()

    def _has_left(self, i: int) -> bool:
        """Whether a wheel stands clear of the belt: it would have to bend the other way to lie on it."""
        turn = (self._ways[i] - self._ways[i - 1] + math.pi) % math.tau - math.pi
        return bool(turn * self._signed[i] < 0)

    def _pass_by(self, i: int, centres: Sequence[Point]) -> None:
        """Let the belt run straight past a wheel that it doesn't touch: both its spans are one, strained alike."""
        count = len(self.wheels)
        before, after = (i - 1) % count, (i + 1) % count
        a, own, b = self._signed[before], self._signed[i], self._signed[after]
        span = tangent(centres[before], a, centres[after], b)
        if span is None:
            return
        way = self._ways[i] + (span.way - self._ways[i] + math.pi) % math.tau - math.pi
        begun_before, begun = self._begun[before], self._begun[i]
        total = (
            span.length
            + a * (way - begun_before)
            + own * (begun_before - begun)
            - b * (way - begun)
        )
        share = self._unstretched[before] / (self._unstretched[before] + self._unstretched[i])
        self._lengths[before], self._lengths[i] = total * share, total * (1 - share)
        self._ways[before] = self._ways[i] = way

    def act(self, t: float) -> None:
        """Move belt over the wheels and pull on all of them."""
        dt, stiff, count = self._dt, self._stiffness, len(self.wheels)
        if not self._is_still:
            self._measure()
        tensions, own = self.tensions, self._unstretched
        moved = []
        for i, body in enumerate(self._bodies):
            angle = body.angle + dt * body.angular_velocity
            moved.append(0.0 if i in self._off else (angle - self._angles[i]) * self._signed[i])
            self._angles[i] = angle
        self.due += moved[0]
        self.got += moved[self.wheels.index(self.driven)]
        # what each wheel carries from the span before it to the span after it
        over = [
            moved[i] / (1 + tensions[i - 1 if moved[i] > 0 else i] / stiff)
            for i in range(count)
        ]
        own = [own[i] + over[i] - over[(i + 1) % count] for i in range(count)]
        stretch = [self._lengths[i] - own[i] for i in range(count)]
        rates = [stiff / each for each in own]
        quick = self._damping / dt
        pulls = [
            rates[i] * stretch[i] + quick * (stretch[i] - self._stretch[i])
            for i in range(count)
        ]
        was = self._stretch
        self._let_through(own, stretch, rates, pulls, quick)
        for i in range(count):
            self._inner.total += quick * (stretch[i] - was[i]) ** 2
        pulls = [max(each, 0.0) for each in pulls]
        for i in range(count):
            step = pulls[i] - pulls[i - 1]
            self._creep.total += abs(over[i]) * step * step / (2 * stiff)
        self._unstretched, self._stretch, self.tensions = own, stretch, pulls
        ways = [(math.cos(way), math.sin(way)) for way in self._ways]
        for i, body in enumerate(self._bodies):
            after, before = pulls[i], pulls[i - 1]
            (ux, uy), (vx, vy) = ways[i], ways[i - 1]
            body.torque += (after - before) * self._signed[i]
            fx, fy = after * ux - before * vx, after * uy - before * vy
            axis = self._axes[i]
            if axis is None:
                # the engine moves the body first: the arm is that after the step
                body.apply_force_at_world_point((fx, fy), body.local_to_world(self._locals[i]))
            else:
                body.apply_force_at_world_point((fx, fy), axis)

    def _let_through(
        self,
        own: list[float],
        stretch: list[float],
        rates: list[float],
        pulls: list[float],
        quick: float,
    ) -> None:
        """Let belt through wherever the capstan can't hold the difference, wheel after wheel until none slips."""
        count = len(pulls)
        for _ in range(ROUNDS):
            slipped = False
            for i in range(count):
                before, most = i - 1, self._grips[i]
                t1, t2 = (
                    pulls[before],
                    pulls[i],
                )  # of the span that arrives, and of the one that leaves
                k1, k2 = rates[before] + quick, rates[i] + quick
                if t1 > most * max(t2, 0.0) * (1 + 1e-9):  # a slack span holds nothing back
                    let = min((t1 - most * t2) / (k1 + most * k2), t1 / k1)
                elif t2 > most * max(t1, 0.0) * (1 + 1e-9):
                    let = -min((t2 - most * t1) / (k2 + most * k1), t2 / k2)
                else:
                    continue
                slipped = True
                own[before] += let
                own[i] -= let
                stretch[before] -= let
                stretch[i] += let
                pulls[before] -= let * k1
                pulls[i] += let * k2
                strained = (
                    1 + 0.5 * (max(pulls[before], 0.0) + max(pulls[i], 0.0)) / self._stiffness
                )
                self.rubbed += abs(let) * strained
                self._rub.total += abs((pulls[before] - pulls[i]) * let) * strained
            if not slipped:
                return

    @property
    def slack(self) -> float:
        """How much too long the loosest span is for lying straight. [mm]"""
        return max(0.0, -min(self._stretch))

    def recount(self) -> None:
        """Count the travel of the rims from here."""
        self.due = self.got = self.rubbed = 0.0

    def energy(self) -> float:
        """Energy stored in all spans. [g mm^2/s^2]"""
        return (
            self._stiffness
            / 2
            * sum(
                (length / own - 1) ** 2 * own
                for length, own in zip(self._lengths, self._unstretched, strict=True)
                if length > own
            )
        )
