"""Where belts and chains lie, and where each stitch and link of them is. Millimetres, y up; knows no pixels.

A test compares these places with the recorded motion: what shows slip in a picture stands where the run put it.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from animator.geometry import Point

Floats = NDArray[np.float64]
TURN = 2 * math.pi


@dataclass(frozen=True)
class Loop:
    """A belt's line round two wheels, run through anticlockwise about the first.

    Parameters
    ----------
    a, b
        Middles of the wheels. [mm]
    ra, rb
        Radii of the belt's centre line on them. [mm]
    is_crossed
        The spans cross, so that the wheels turn against each other.

    Notes
    -----
    Run 0 is where the belt comes onto wheel ``a``. Open: round ``a``, span to ``b``, round ``b``, span back.
    """

    a: Point
    ra: float
    b: Point
    rb: float
    is_crossed: bool = False

    @cached_property
    def _distance(self) -> float:
        return max(
            math.dist(self.a, self.b),
            self.ra + self.rb if self.is_crossed else abs(self.ra - self.rb) + 1e-9,
        )

    @cached_property
    def _axis(self) -> float:
        return math.atan2(self.b[1] - self.a[1], self.b[0] - self.a[0])

    @cached_property
    def onto(self) -> float:
        """Angle on wheel ``a`` where the belt comes onto it. [rad]"""
        if self.is_crossed:
            return self._axis + math.acos(min(1.0, (self.ra + self.rb) / self._distance))
        return self._axis + math.pi / 2 + math.asin((self.rb - self.ra) / self._distance)

    @cached_property
    def wraps(self) -> tuple[float, float]:
        """Angles the belt lies on ``a`` and on ``b``. [rad]"""
        if self.is_crossed:
            wrap = TURN - 2 * (self.onto - self._axis)
            return wrap, wrap
        lean = math.asin((self.rb - self.ra) / self._distance)
        return math.pi - 2 * lean, math.pi + 2 * lean

    @cached_property
    def span(self) -> float:
        """Length of each straight span. [mm]"""
        apart = self.ra + self.rb if self.is_crossed else self.rb - self.ra
        return math.sqrt(max(self._distance**2 - apart**2, 0.0))

    @cached_property
    def length(self) -> float:
        """Length of the loop. [mm]"""
        return 2 * self.span + self.ra * self.wraps[0] + self.rb * self.wraps[1]

    def places(self, runs: ArrayLike) -> tuple[Floats, Floats]:
        """Places and directions at lengths along the loop.

        Parameters
        ----------
        runs
            From where the belt comes onto ``a``; any value, also beyond once round. [mm]

        Returns
        -------
        tuple of numpy.ndarray
            (count, 2) places [mm] and (count,) directions of travel [rad].
        """
        s = np.asarray(runs, float) % self.length
        edges = np.cumsum([self.ra * self.wraps[0], self.span, self.rb * self.wraps[1]])
        off_a = self.onto + self.wraps[0]
        onto_b = off_a + math.pi if self.is_crossed else off_a
        sense = -1.0 if self.is_crossed else 1.0
        on_a = self.onto + s / self.ra
        on_b = onto_b + sense * (s - edges[1]) / self.rb
        off_b = onto_b + sense * self.wraps[1]

        def rim(middle: Point, radius: float, angle: Floats | float) -> Floats:
            return np.stack(
                [middle[0] + radius * np.cos(angle), middle[1] + radius * np.sin(angle)], -1
            )

        def straight(p: Floats, q: Floats, share: Floats) -> tuple[Floats, float]:
            return p + (q - p) * share[:, None], math.atan2(q[1] - p[1], q[0] - p[0])

        s = np.atleast_1d(s)
        on_a, on_b = np.atleast_1d(on_a), np.atleast_1d(on_b)
        out, way = straight(
            rim(self.a, self.ra, off_a),
            rim(self.b, self.rb, onto_b),
            (s - edges[0]) / max(self.span, 1e-9),
        )
        back, back_way = straight(
            rim(self.b, self.rb, off_b),
            rim(self.a, self.ra, self.onto),
            (s - edges[2]) / max(self.span, 1e-9),
        )
        which = np.searchsorted(edges, s, side="right")
        table = np.stack([rim(self.a, self.ra, on_a), out, rim(self.b, self.rb, on_b), back])
        ways = np.stack(
            [
                on_a + math.pi / 2,
                np.full_like(s, way),
                on_b + sense * math.pi / 2,
                np.full_like(s, back_way),
            ]
        )
        rows = np.arange(len(s))
        return table[which, rows], ways[which, rows]

    def outline(self, count: int = 72) -> Floats:
        """Points of the loop, ``count`` on each wheel and none on the straight spans, (2 count, 2). [mm]"""
        on_a = self.ra * self.wraps[0]
        from_b = on_a + self.span
        runs = np.concatenate(
            [
                np.linspace(0, on_a - 1e-9, count),
                np.linspace(from_b, from_b + self.rb * self.wraps[1] - 1e-9, count),
            ]
        )
        return self.places(runs)[0]

    def pieces(self, count: int = 48) -> tuple[Floats, Floats, Floats, Floats]:
        """Give the four pieces in order: round ``a``, the span to ``b``, round ``b``, the span back; ``count`` points on each wheel. [mm]"""
        rims = self.outline(count)
        on_a, on_b = rims[:count], rims[count:]
        return on_a, np.stack([on_a[-1], on_b[0]]), on_b, np.stack([on_b[-1], on_a[0]])

    def line(self, count: int = 200) -> Floats:
        """Points all along the loop, (count, 2). [mm]"""
        return self.places(np.linspace(0, self.length, count, endpoint=False))[0]


def bowed(p: ArrayLike, q: ArrayLike, excess: float, side: float = 1.0) -> Floats:
    """Give points of a span that is ``excess`` too long for lying straight, bowed to its left (``side`` 1) or right, (25, 2). [mm]

    A shallow parabola: of length L and sag f it is 8 f^2 / (3 L) longer than its chord (any table of arcs).
    """
    a, b = np.asarray(p, float), np.asarray(q, float)
    length = float(np.hypot(*(b - a)))
    sag = math.sqrt(max(3 * length * excess / 8, 0.0))
    t = np.linspace(0, 1, 25)[:, None]
    across = np.array([a[1] - b[1], b[0] - a[0]]) / max(length, 1e-9)
    return np.asarray(a + (b - a) * t + across * side * sag * 4 * t * (1 - t))


def hanging(p: Point, q: Point, length: float, count: int = 33) -> Floats:
    """Give points of a string of a length hanging between two places: a catenary, or a straight line where it is taut, (count, 2). [mm]

    Notes
    -----
    y = c cosh(x / c), with c from sqrt(length^2 - rise^2) = 2 c sinh(width / 2 c) (any text on statics), found by halving.
    """
    a, b = np.asarray(p, float), np.asarray(q, float)
    wide, rise = float(abs(b[0] - a[0])), float(b[1] - a[1])
    t = np.linspace(0, 1, count)
    if length <= math.dist(p, q) * (1 + 1e-9):
        return np.asarray(a + (b - a) * t[:, None])
    if wide < 0.02 * length:  # it hangs down and comes up again beside itself
        low = (min(a[1], b[1])) - (length - abs(rise)) / 2
        foot = np.array([(a[0] + b[0]) / 2, low])
        half = count // 2
        down, up = (
            np.linspace(a, foot, half, endpoint=False),
            np.linspace(foot, b, count - half),
        )
        return np.vstack([down, up])
    chord = math.sqrt(length**2 - rise**2)
    low_u, high_u = 1e-9, 700.0  # u = width / 2 c; sinh of more overflows
    for _ in range(80):
        u = (low_u + high_u) / 2
        if math.sinh(u) / u * wide < chord:
            low_u = u
        else:
            high_u = u
    c = wide / (2 * u)
    # the lowest point lies so that both ends are on the curve
    middle = wide / 2 - c * math.asinh(rise / (2 * c * math.sinh(u)))
    x = t * wide
    y = c * (np.cosh((x - middle) / c) - math.cosh(middle / c))
    sense = 1.0 if b[0] >= a[0] else -1.0
    return np.stack([a[0] + sense * x, a[1] + y], 1)


def hooked(p: Point, q: Point, bow: float, hook: float, count: int = 41) -> Floats:
    """Give points of a wire from the hook round ``p`` to the hook round ``q``; its middle stands out by ``bow`` to the left, in half a wave. [mm]"""
    a, b = np.asarray(p, float), np.asarray(q, float)
    length = max(float(np.hypot(*(b - a))), 1e-9)
    along = (b - a) / length
    across = np.array([-along[1], along[0]])
    turn = np.linspace(1.6 * math.pi, 0.0, 24)[:, None]
    near = a + hook * (np.cos(turn) * along + np.sin(turn) * across)
    far = b - hook * (np.cos(turn[::-1]) * along + np.sin(turn[::-1]) * across)
    if length <= 2.2 * hook:
        return np.vstack([near, far])
    t = np.linspace(0, 1, count if bow > 0 else 2)[:, None]
    run = near[-1] + (far[0] - near[-1]) * t + across * bow * np.sin(math.pi * t)
    return np.vstack([near, run[1:-1], far])


def strung(pieces: Sequence[Any]) -> Floats:
    """Give points of a string laid in pieces: arcs (with a ``sweep``) and free ones that hang by their length, (count, 2). [mm]"""
    found = []
    for piece in pieces:
        if hasattr(piece, "sweep"):
            count = max(2, int(abs(piece.sweep) * 12) + 1)
            angle = piece.start + np.linspace(0, 1, count) * piece.sweep
            x, y = piece.centre
            found.append(
                np.stack(
                    [x + piece.radius * np.cos(angle), y + piece.radius * np.sin(angle)], 1
                )
            )
        else:
            found.append(hanging(piece.start, piece.end, piece.length))
    return np.vstack(found)


def belt_marks(loop: Loop, travel: float, count: int = 3) -> tuple[Floats, Floats]:
    """Where the stitches of a belt are once it has run ``travel`` along its line, anticlockwise about wheel ``a``. [mm]

    Returns places (count, 2) [mm] and directions (count,) [rad]. Stitch 0 starts where the belt comes onto wheel ``a``.
    """
    return loop.places(travel + np.arange(count) * loop.length / count)


@dataclass(frozen=True)
class ChainLine:
    """A chain of whole links round two sprockets; measured in links, so that rollers sit in the sprockets' seats.

    Parameters
    ----------
    a, b
        Middles of the sprockets. [mm]
    teeth_a, teeth_b
        Their teeth.
    pitch
        Length of a link. [mm]
    """

    a: Point
    teeth_a: int
    b: Point
    teeth_b: int
    pitch: float

    @cached_property
    def loop(self) -> Loop:
        """The line through the rollers' middles."""
        return Loop(
            self.a,
            seat_radius(self.teeth_a, self.pitch),
            self.b,
            seat_radius(self.teeth_b, self.pitch),
        )

    @cached_property
    def _taut(self) -> tuple[float, float, float, float]:
        """Links on a, on the way out, on b, on the way back, if the spans were straight."""
        wrap_a, wrap_b = self.loop.wraps
        span = self.loop.span / self.pitch
        return self.teeth_a * wrap_a / TURN, span, self.teeth_b * wrap_b / TURN, span

    @cached_property
    def link_count(self) -> int:
        """Links in the chain: whole and even, as inner and outer plates alternate."""
        on_a, span, on_b, _ = self._taut
        return 2 * round((on_a + on_b + 2 * span) / 2)

    @cached_property
    def _stretches(self) -> tuple[float, float, float, float]:
        """The same for the links there are: what whole links leave over lies in the spans, so that all on the sprockets are seated."""
        on_a, span, on_b, _ = self._taut
        span += (self.link_count - on_a - on_b - 2 * span) / 2
        return on_a, span, on_b, span

    @cached_property
    def phase_b(self) -> float:
        """How far sprocket ``b`` is turned against ``a`` so that its seats meet the rollers: a seat of ``a`` lies at angle 0. [rad]"""
        on_a, span, _, _ = self._stretches
        # the roller in the seat at angle 0 of a, counted in links from where the chain comes onto a
        first = (-self.loop.onto) / TURN * self.teeth_a
        start_of_b = on_a + span
        next_roller = math.ceil(start_of_b - first) + first - start_of_b
        onto_b = self.loop.onto + self.loop.wraps[0]
        return onto_b + next_roller * TURN / self.teeth_b

    def rollers(self, turned_a: float) -> Floats:
        """Where the rollers are once sprocket ``a`` has turned so far from having a seat at angle 0, (link_count, 2). [rad, mm]"""
        on_a, span, on_b, _ = self._stretches
        first = (turned_a - self.loop.onto) / TURN * self.teeth_a
        u = (first % 1.0 + np.arange(self.link_count)) % self.link_count
        runs = np.interp(
            u,
            np.cumsum([0.0, on_a, span, on_b, span]),
            np.cumsum(
                [
                    0.0,
                    self.loop.ra * self.loop.wraps[0],
                    self.loop.span,
                    self.loop.rb * self.loop.wraps[1],
                    self.loop.span,
                ]
            ),
        )
        order = math.floor(first)
        return np.roll(self.loop.places(runs)[0], -(order % self.link_count), axis=0)


def chain_links(line: ChainLine, turned_a: float) -> Floats:
    """Ends of each link, (link_count, 2, 2) [mm]; link 0 is always the same link, an inner one, and the next an outer one."""
    rollers = line.rollers(turned_a)
    return np.stack([rollers, np.roll(rollers, -1, axis=0)], 1)


def seat_radius(teeth: int, pitch: float) -> float:
    """Radius on which the rollers lie: pitch / (2 sin(180 degrees / teeth)). [mm]"""
    return pitch / (2 * math.sin(math.pi / teeth))


def sprocket_outline(teeth: int, pitch: float, roller: float) -> Floats:
    """Outline of a sprocket: round seats for the rollers, flanks, slightly topped teeth; a seat lies at angle 0, (count, 2). [mm]"""
    r = seat_radius(teeth, pitch)
    shape = (
        (-0.30, 0.35),
        (-0.20, -0.45),
        (-0.10, -0.86),
        (0, -1.0),
        (0.10, -0.86),
        (0.20, -0.45),
        (0.30, 0.35),
        (0.42, 1.05),
        (0.5, 1.12),
        (0.58, 1.05),
    )
    angles = np.array([(i + k) * TURN / teeth for i in range(teeth) for k, _ in shape])
    radii = np.array([r + roller * out for _ in range(teeth) for _, out in shape])
    return np.stack([radii * np.cos(angles), radii * np.sin(angles)], 1)
