"""Strings and wires in the run: what they pull and push, taken where everything will be after the step.

A string is a chain of spans from mark to mark (``parts/_way.py``). Each holds so much unstretched string and pulls by what it is stretched; where the pull on
one side of a guide exceeds that on the other by more than the guide holds, string slides over until it doesn't.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from itertools import pairwise
from typing import TYPE_CHECKING, Any

from animator.parts._way import Station, Way, stations
from animator.world.engine import beneath, state

if TYPE_CHECKING:
    import pymunk

    from animator.world.building import Bench

NOMINAL_STEP = 1e-4  # s; the step that strings and wires are run at
STABLE_SHARE = 0.04  # of the largest rate that a step can bear, 4 m / dt^2: two spans may end at one light thing
LOSS = 0.15  # of critical; what quietens the ringing of a loaded thread (estimate, no source). It takes no part in what the thread holds
BENT_LOSS = 0.005  # of its push that a bowed wire takes more going out and gives less coming back (estimate, no source)
SHORTEST = 20.0  # mm; a shorter span is reckoned no stiffer than this one: it may grow
SOFT = 2e6  # g/s^2; a string that is held to less than 2 N/mm gives way by what can be seen, and the report says so
SWEEPS = 60
EXACT = 1e-7  # of the largest pull
"""How near sweeping must come to what guides hold."""


class End:
    """A body's place that a string is tied to, or the middle of what it bends over: where it will be after the step, and how it is pulled there."""

    def __init__(self, shop: Bench, part: str, point: str) -> None:
        self.body: pymunk.Body = (
            shop.body(part) if part in shop.scene.parts else shop.space.static_body
        )
        self.is_still = self.body is shop.space.static_body
        self.start = shop.start_point(part, point) if part in shop.scene.parts else (0.0, 0.0)
        self._local = tuple(self.body.world_to_local(self.start))
        self._dt, self._raw = shop.dt, beneath(self.body)
        self.place = self.start
        self.angle = 0.0 if self.is_still else self.body.angle
        self._before = self.start
        self._moved = (0.0, 0.0)

    def look(self) -> None:
        """Take its place and attitude after the step."""
        if self.is_still:
            return
        dt = self._dt
        x, y, angle, vx, vy, spin = state(self._raw)
        angle += dt * spin
        c, s = math.cos(angle), math.sin(angle)
        lx, ly = self._local
        self._moved = dt * vx, dt * vy
        self.place = x + dt * vx + c * lx - s * ly, y + dt * vy + s * lx + c * ly
        self.angle = angle

    def pull(self, force: tuple[float, float], at: tuple[float, float]) -> None:
        """Pull at a place of the body as it will be after the step: the engine moves it first, so that the arm is taken from there."""
        if not self.is_still:
            mx, my = self._moved
            self.body.apply_force_at_world_point(force, (at[0] - mx, at[1] - my))

    def ahead(self) -> tuple[float, float, float]:
        """Place and attitude a step after the one last looked at."""
        if self.is_still:
            return (*self.place, self.angle)
        dt = self._dt
        x, y, angle, vx, vy, spin = state(self._raw)
        angle += dt * spin
        c, s = math.cos(angle), math.sin(angle)
        lx, ly = self._local
        return x + dt * vx + c * lx - s * ly, y + dt * vy + s * lx + c * ly, angle


def stiffest(
    shop: Bench, ends: Sequence[tuple[str, tuple[float, float]]]
) -> tuple[float, float]:
    """Give the largest rate that may be reckoned with between places of parts, and the mass that feels it; chooses the step too. [g/s^2, g]

    A thread of 0.8 mm is a thousand times stiffer than what hangs on it asks for. Held to this it stretches by a few hundredths of a millimetre at most.
    """
    ease = sum(
        1 / shop.mass_felt(part, place) for part, place in ends if part in shop.scene.parts
    )
    if ease <= 0:
        return math.inf, math.inf
    mass = 1 / ease
    shop.stiff(2 * mass / NOMINAL_STEP**2, mass)
    step = max(shop.dt, NOMINAL_STEP)
    return STABLE_SHARE * 4 * mass / step**2, mass


class Rope:
    """A string at work.

    It pulls by what each span is stretched, and nothing where it hangs loose.
    """

    def __init__(
        self,
        shop: Bench,
        string: Any,
        held: Callable[[Station], Callable[[float], float]],
        length: float,
    ) -> None:
        parts = shop.scene.parts
        self.stations = stations(string, parts)
        self.ends = [End(shop, each.part, each.point) for each in self.stations]
        self.way = Way(
            self.stations, [end.place for end in self.ends], [end.angle for end in self.ends]
        )
        self._held = [held(each) if each.guides else None for each in self.stations]
        self._stiffness = string.axial_stiffness
        count = len(self.stations) - 1
        self._most, self._losses = [], []
        for first, second in pairwise(self.stations):
            most, mass = stiffest(
                shop, [(each.part, self._pulled_at(shop, each)) for each in (first, second)]
            )
            self._most.append(most)
            if most < SOFT:
                shop.remark(
                    f"{string.name} is reckoned to give way by {1e6 / most:.1f} mm for each newton between {first.part} and {second.part}: one of them turns or moves too easily for a stiffer one"
                )
            self._losses.append(mass)
        share = length / self.way.length
        # what is too long lies in the last span, where it hangs from the end that moves
        self.contents = [min(share, 1.0) * each for each in self.way.lengths]
        self.contents[-1] += max(0.0, length - self.way.length)
        self._stretch = [a - b for a, b in zip(self.way.lengths, self.contents, strict=True)]
        self._lengths = list(self.way.lengths)
        self._damped = [
            (0.0, 0.0)
        ] * count  # each span's damping, and half its last change less what came into it
        self._pulls = [0.0] * count
        self._dt = shop.dt
        self._was_on = list(self.way.on)
        self._rate()
        self._directions = [0] * len(self.stations)
        self._inside = shop.heat(f"inside {string.name}")
        self._rubbed = [
            shop.heat(f"{string.name} over {each.part}") if each.guides else None
            for each in self.stations
        ]
        self._moving = [end for end in self.ends if not end.is_still]

    @staticmethod
    def _pulled_at(shop: Bench, station: Station) -> tuple[float, float]:
        """Place where a string pulls at a station; at a rim, where its arm is as long as it gets."""
        if station.part not in shop.scene.parts:
            return 0.0, 0.0
        x, y = shop.start_point(station.part, station.point)
        return x + station.radius, y

    def _rate(self) -> None:
        """Reckon the rate of each span and its damping over the step, as long as it is now. [g/s^2]

        They are kept while the string slides: a rate that changed under a pull would make energy of nothing, and what a thread gives way is too little to matter.
        """
        rates, quick, on = [], [], self.way.on
        for k, span in enumerate(self.way.spans):
            first, after = on[k], on[k + 1]
            most = min(self._most[first:after])
            rate = min(self._stiffness / max(span.length, SHORTEST), most)
            mass = min(self._losses[first:after])
            rates.append(rate)
            quick.append(
                2 * LOSS * math.sqrt(rate * mass) / self._dt if math.isfinite(mass) else 0.0
            )
        self._rates, self._quick = rates, quick

    def act(self, t: float) -> None:
        """Slide over the guides and pull on everything."""
        for end in self._moving:
            end.look()
        way = self.way
        was_on = self._was_on
        way.follow([end.place for end in self.ends], [end.angle for end in self.ends])
        on = way.on
        if on != was_on:
            self._lay_over(was_on)
            self._was_on = list(on)
            self._lengths = list(way.lengths)
            self._damped = [(0.0, 0.0)] * len(way.lengths)
            self._rate()
        lengths, spans, contents, before = way.lengths, way.spans, self.contents, self._stretch
        rates, quick = self._rates, self._quick
        changes, pulls, gives = [], [], []
        heat = 0.0
        for k, length in enumerate(lengths):
            change = length - self._lengths[k]
            changes.append(change)
            damped, moved = self._damped[k]
            # the last step's damping worked at the mean of the speeds before and after it
            heat += damped * (moved + change / 2)
            stretch = length - contents[k]
            rate = rates[k]
            if stretch > 0.0:
                was = before[k]
                hold = quick[k]
                pulls.append(rate * stretch + hold * (stretch - was if was > 0.0 else stretch))
                gives.append(rate + hold)
            else:
                pulls.append(rate * stretch)
                gives.append(rate)
        self._inside.total += heat
        self._lengths = lengths
        if len(on) > 2:
            inner = on[1:-1]
            holds = [self._held[i](way.wraps[i]) for i in inner]  # type: ignore[misc]
            ways = [self._directions[i] for i in inner]
            slid = let_through(pulls, gives, holds, ways)
            for k, i in enumerate(inner):
                self._directions[i] = ways[k]
                moved = slid[k]
                if moved:
                    contents[k] += moved
                    contents[k + 1] -= moved
                    self._rubbed[i].total += moved * (  # type: ignore[union-attr]
                        max(pulls[k], 0.0) - max(pulls[k + 1], 0.0)
                    )
        ends = self.ends
        for k, pull in enumerate(pulls):
            stretch, change = lengths[k] - contents[k], changes[k]
            came = change - (stretch - before[k])
            if pull < 0.0:
                pulls[k] = pull = 0.0
            self._damped[k] = (
                pull - rates[k] * stretch if stretch > 0.0 else pull,
                change / 2 - came,
            )
            before[k] = stretch
            if pull > 0.0:
                span = spans[k]
                fx, fy = pull * span.x, pull * span.y
                ends[on[k]].pull((fx, fy), span.start)
                ends[on[k + 1]].pull((-fx, -fy), span.end)
        self._pulls = pulls

    @property
    def tensions(self) -> list[float]:
        """Pull of each span there is now. [g mm/s^2]"""
        return self._pulls

    @property
    def slacks(self) -> list[float]:
        """How much too long each span is for lying straight, by its place among all stations; one that runs past a guide counts as the first of its two. [mm]"""
        found = [0.0] * (len(self.stations) - 1)
        for k, stretch in enumerate(self._stretch):
            found[self.way.on[k]] = max(0.0, -stretch)
        return found

    def _lay_over(self, was_on: Sequence[int]) -> None:
        """Share out the string anew where it has left a guide or come onto one: all of it is still there."""
        edges = dict(zip(was_on, range(len(was_on)), strict=True))
        contents, stretch, on = [], [], self.way.on
        k = 0
        while k < len(on) - 1:
            last = k + 1
            while on[last] not in edges:
                last += 1
            old = range(edges[on[k]], edges[on[last]]) if on[k] in edges else range(0)
            lengths, spans = self.way.lengths[k:last], self.way.spans[k:last]
            stretched = sum(lengths) - sum(self.contents[each] for each in old)
            free = sum(span.length for span in spans)
            for length, span in zip(lengths, spans, strict=True):
                stretch.append(stretched * span.length / free)
                contents.append(length - stretch[-1])
            k = last
        self.contents, self._stretch = contents, stretch

    @property
    def slack(self) -> float:
        """How much too long it is for lying straight. [mm]"""
        return sum(self.slacks)

    def energy(self) -> float:
        """Energy stored in it. [g mm^2/s^2]"""
        way = self.way
        ahead = [end.ahead() for end in self.ends]
        total = 0.0
        for k, (span, rate) in enumerate(zip(way.spans, self._rates, strict=True)):
            now = self._stretch[k]
            damped, moved = self._damped[k]
            if now <= 0 and not damped:
                continue
            i, j = way.on[k], way.on[k + 1]
            # from the last reckoned places the touching points go on with their bodies
            ax, ay = _carried(self.ends[i], ahead[i], *span.start)
            bx, by = _carried(self.ends[j], ahead[j], *span.end)
            further = (bx - ax) * span.x + (by - ay) * span.y - span.length
            total += stored(rate, now, now + further)
            total += damped * (moved + further / 2)  # on its way to heat
        return total


def _carried(
    end: End, here: tuple[float, float, float], x: float, y: float
) -> tuple[float, float]:
    """Where a place of a body has come to, from where it was last reckoned to a pose now."""
    if end.is_still:
        return x, y
    turn = here[2] - end.angle
    c, s = math.cos(turn), math.sin(turn)
    dx, dy = x - end.place[0], y - end.place[1]
    return here[0] + c * dx - s * dy, here[1] + s * dx + c * dy


class Strut:
    """A wire at work: it pulls as it is stretched, pushes as it is pressed, and bows out where the push reaches its buckling load.

    ``pull``: above 0 it pulls, below 0 it pushes [g mm/s^2]; ``bow``: how far its middle stands out [mm].
    """

    def __init__(self, shop: Bench, wire: Any) -> None:
        refs = (wire.from_, wire.to)
        self._ends = [End(shop, ref.part, ref.point) for ref in refs]
        self._length = float(wire.length)
        self._bears = float(wire.bears)
        most, mass = stiffest(
            shop, [(ref.part, end.place) for ref, end in zip(refs, self._ends, strict=True)]
        )
        self._rate = min(float(wire.axial_stiffness) / self._length, most)
        self._quick = (
            2 * LOSS * math.sqrt(self._rate * mass) / shop.dt if math.isfinite(mass) else 0.0
        )
        self._pressed = self._bears / self._rate  # how much it is shortened when it buckles
        self._stretch = math.dist(*(end.place for end in self._ends)) - self._length
        self._damped = self._moved = 0.0
        self.pull = 0.0
        self.bow = 0.0
        self._inside = shop.heat(f"inside {wire.name}")

    def _springs(self, stretch: float) -> float:
        """Pull that it keeps as long as it stays so. The elastica: bowed out it pushes half its shortening's share harder."""
        if stretch >= -self._pressed:
            return self._rate * stretch
        return -self._bears * (1 - (stretch + self._pressed) / (2 * self._length))

    def act(self, t: float) -> None:
        """Pull or push on both ends."""
        first, second = self._ends
        first.look()
        second.look()
        (ax, ay), (bx, by) = first.place, second.place
        length = math.hypot(bx - ax, by - ay)
        ux, uy = (bx - ax) / length, (by - ay) / length
        stretch = length - self._length
        moved = stretch - self._stretch
        # the last step's damping worked at the mean of the speeds before and after it
        self._inside.total += self._damped * (self._moved + moved) / 2
        pull = springs = self._springs(stretch)
        damping = self._quick * moved
        if stretch > -self._pressed:
            pull = max(springs + damping, -self._bears)
        else:
            most = BENT_LOSS * self._bears
            pull = springs + min(max(damping, -most), most)
        self._damped, self._moved = pull - springs, moved
        self._stretch, self.pull = stretch, pull
        self.bow = bow_of(max(0.0, -stretch - self._pressed), self._length)
        fx, fy = pull * ux, pull * uy
        first.pull((fx, fy), (ax, ay))
        second.pull((-fx, -fy), (bx, by))

    def energy(self) -> float:
        """Energy stored in it. [g mm^2/s^2]"""
        (ax, ay), (bx, by) = (end.ahead()[:2] for end in self._ends)
        after = math.hypot(bx - ax, by - ay) - self._length
        pressed = -self._pressed
        lost = self._damped * (self._moved + after - self._stretch) / 2  # on its way to heat
        if self._stretch >= pressed and after >= pressed:
            return lost + stored(self._rate, self._stretch, after, may_push=True)
        stretch = (self._stretch + after) / 2
        more = max(pressed - stretch, 0.0)
        straight = max(stretch, pressed)
        bent = self._bears * (more + more**2 / (4 * self._length))
        return lost + self._rate * straight**2 / 2 + bent


def stored(rate: float, now: float, after: float, may_push: bool = False) -> float:
    """Energy of a spring between two steps, from its stretch at both. [g mm^2/s^2]

    Half rate times the product, not the square of the mean: what the engine's steps do to the speeds then adds up exactly.
    """
    if not may_push:
        now, after = max(now, 0.0), max(after, 0.0)
    return rate * now * after / 2


def bow_of(shortening: float, length: float) -> float:
    """How far the middle of a wire stands out whose ends have come nearer, as half a wave of a sine. [mm]

    Notes
    -----
    A sine of height a over L is pi^2 a^2 / (4 L) longer than its chord; within 2 % up to a shortening of a tenth of the length.

    Examples
    --------
    >>> round(bow_of(1.0, 100.0), 3)
    6.366
    """
    return 2 * math.sqrt(length * shortening) / math.pi


def let_through(
    pulls: list[float], gives: Sequence[float], holds: Sequence[float], ways: list[int]
) -> list[float]:
    """Let string slide over its guides until none is pulled harder than it holds.

    Parameters
    ----------
    pulls
        Pull of each span if nothing slid, below 0 where it hangs loose; becomes the pull after sliding. [g mm/s^2]
    gives
        What each span's pull loses for each length that comes into it. [g/s^2]
    holds
        For each guide, how many times the smaller pull the larger may be, at least 1.
    ways
        For each guide, which way it slid the last time (+1 towards the span before it); is kept up. Guessing it right saves all but one solution.

    Returns
    -------
    list of float
        What came over each guide from the span behind it into the span before it. [mm]

    Notes
    -----
    For the guides that slide, pull[i] = hold * pull[i + 1] (or the other way round) is a tridiagonal system; which of them do is found by trying, as
    in any complementarity problem. While a span hangs loose, string is swept along to where it is missing first.

    Examples
    --------
    >>> pulls = [8.0, 2.0]
    >>> over = let_through(pulls, [1.0, 1.0], [2.0], [0])
    >>> [round(each, 4) for each in (*over, *pulls)]
    [1.3333, 6.6667, 3.3333]
    """
    count = len(holds)
    if count == 1:
        a, b, hold = pulls[0], pulls[1], holds[0]
        if a > hold * b and a > 0.0:
            over = (a - hold * b) / (gives[0] + hold * gives[1])
            over = min(over, a / gives[0])
        elif b > hold * a and b > 0.0:
            over = -(b - hold * a) / (gives[1] + hold * gives[0])
            over = max(over, -b / gives[1])
        else:
            return [0.0]
        pulls[0], pulls[1] = a - over * gives[0], b + over * gives[1]
        return [over]
    near = EXACT * max(max(pulls), 1e-9)
    total = [0.0] * count
    for sweeps in range(SWEEPS):
        is_loose = sweeps and min(pulls) < 0.0
        moved = None if is_loose else _settle(pulls, gives, holds, ways)
        if moved is not None:
            return [before + more for before, more in zip(total, moved, strict=True)]
        if _sweep(pulls, gives, holds, total, near) <= near:
            break
    return total


def _settle(
    pulls: list[float], gives: Sequence[float], holds: Sequence[float], ways: list[int]
) -> list[float] | None:
    """Find which guides slide and let string over them; None, and nothing done, where a span would be pushed by that."""
    count = len(holds)
    for _ in range(2 * count + 4):
        moved = _slide(pulls, gives, holds, ways)
        after = [
            pull - give * ((moved[k] if k < count else 0.0) - (moved[k - 1] if k else 0.0))
            for k, (pull, give) in enumerate(zip(pulls, gives, strict=True))
        ]
        is_settled = True
        for k in range(count):
            a, b, hold = after[k], after[k + 1], holds[k] * (1 + 1e-12)
            if ways[k]:
                if moved[k] * ways[k] < 0:
                    ways[k], is_settled = 0, False
            elif a > hold * b:
                ways[k], is_settled = 1, False
            elif b > hold * a:
                ways[k], is_settled = -1, False
        if is_settled:
            if min(after) < -EXACT * max(max(after), 1.0):
                return None
            pulls[:] = after
            return moved
    return None


def _slide(
    pulls: Sequence[float], gives: Sequence[float], holds: Sequence[float], ways: Sequence[int]
) -> list[float]:
    """Solve for what comes over the guides that slide, each at the limit of what it holds."""
    count = len(holds)
    moved = [0.0] * count
    upper = right = 0.0
    ahead: list[tuple[float, float]] = []
    for k in range(count):
        if not ways[k]:
            ahead.append((0.0, 0.0))
            upper = right = 0.0
            continue
        p, q = (1.0, holds[k]) if ways[k] > 0 else (holds[k], 1.0)
        # p pull[k] = q pull[k + 1] after sliding
        below, middle = -p * gives[k], p * gives[k] + q * gives[k + 1]
        value = p * pulls[k] - q * pulls[k + 1]
        middle -= below * upper if k else 0.0
        value -= below * right if k else 0.0
        upper = -q * gives[k + 1] / middle
        right = value / middle
        ahead.append((upper, right))
    for k in reversed(range(count)):
        upper, right = ahead[k]
        moved[k] = right - upper * (moved[k + 1] if k + 1 < count else 0.0)
    return moved


def _sweep(
    pulls: list[float],
    gives: Sequence[float],
    holds: Sequence[float],
    moved: list[float],
    near: float,
) -> float:
    """Let string over one guide after the other, once along the string; a span that would be pushed is let go loose. Gives by how much the worst pulled too hard."""
    worst = 0.0
    for k, hold in enumerate(holds):
        here, there = pulls[k], pulls[k + 1]
        a, b = (here if here > 0.0 else 0.0), (there if there > 0.0 else 0.0)
        if a > hold * b + near:
            over = (here - hold * there) / (gives[k] + hold * gives[k + 1])
            over = min(over, here / gives[k])
            worst = max(worst, a - hold * b)
        elif b > hold * a + near:
            over = -(there - hold * here) / (gives[k + 1] + hold * gives[k])
            over = max(over, -there / gives[k + 1])
            worst = max(worst, b - hold * a)
        else:
            continue
        moved[k] += over
        pulls[k] -= over * gives[k]
        pulls[k + 1] += over * gives[k + 1]
    return worst


def rope_measures(shop: Bench, name: str, rope: Rope) -> None:
    """Record what a string does: the largest and least pull along it, slack, each span's slack, each bend, what its drums have wound."""
    shop.channel(f"{name}.tension", "force", lambda: max(rope.tensions))
    shop.channel(f"{name}.least tension", "force", lambda: min(rope.tensions))
    shop.channel(f"{name}.slack", "length", lambda: rope.slack)

    def span(k: int) -> Callable[[], float]:
        return lambda: rope.slacks[k]

    def bend(i: int) -> Callable[[], float]:
        return lambda: rope.way.wraps[i] if i in rope.way.on else -1.0

    def wound(i: int) -> Callable[[], float]:
        return lambda: rope.way.wound[i]

    for k in range(len(rope.stations) - 1):
        shop.channel(f"{name}.slack {k + 1}", "length", span(k))
    for i, station in enumerate(rope.stations):
        if station.guides:
            shop.channel(f"{name}.bend {i}", "angle", bend(i))
        elif station.winds:
            shop.channel(f"{name}.wound {i}", "angle", wound(i))
