"""The way of a string: straight between the things it bends over, tangent to each, wound up on drums.

Pure geometry in plain floats: the string's own length, the forces in the run and the picture all take it from here.
A string that runs along ``u`` past a round guide on its left (``side`` +1) touches it at centre + radius * R(u), with R the turn to the right by a quarter.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import pairwise
from typing import TYPE_CHECKING, Any, NamedTuple

from animator.geometry import Point

if TYPE_CHECKING:
    from animator.parts._contract import Part

Hold = Callable[[float], float]
"""How many times the smaller pull the larger may be before a string slides over a guide, for a bend [rad]."""

STRAIGHT = 1e-9  # rad; a string bent by less passes a guide without leaning on it


@dataclass(frozen=True)
class Station:
    """One thing on a string's way, in order.

    ``radius``: of the string's own middle on it, 0 for a plain point and for an eyelet's lip [mm]. ``turns``: whole turns that it takes round it beyond
    its bend. ``winds``: for a drum at an end, the sense in which it turns to take string up, +1 anticlockwise; 0 for anything else. ``wound``: how much
    lies on that drum at the start [rad]. ``guides``: whether the string slides over it; an end is tied. ``may_leave``: whether the string can come off it.
    ``hangs``: for an end, whether nothing else holds what it is tied to.
    """

    part: str
    point: str
    radius: float = 0.0
    turns: int = 0
    winds: int = 0
    wound: float = 0.0
    guides: bool = False
    may_leave: bool = False
    hangs: bool = False


class Span(NamedTuple):
    """A straight piece: its direction, its length, where it leaves the one station and meets the next. [mm]"""

    x: float
    y: float
    length: float
    start: Point
    end: Point


def stations(string: Any, parts: Mapping[str, Part]) -> list[Station]:
    """Give what a string passes, from its one end to its other; a guide named twice running is gone round once more."""
    half = string.diameter / 2
    found = [_end(string.from_, parts, half)]
    for ref in string.by_way_of:
        if found[-1].guides and found[-1].part == ref.part:
            last = found.pop()
            found.append(
                Station(
                    last.part, "", last.radius, last.turns + 1, guides=True, may_leave=False
                )
            )
            continue
        guide: Any = parts[ref.part]
        own = getattr(guide, "string_radius", None)
        # a pulley's diameter is that of the string's middle as it lies in the groove
        round_one = own(half) if own is not None else guide.diameter / 2
        found.append(Station(ref.part, "", round_one, guides=True, may_leave=round_one > 0))
    found.append(_end(string.to, parts, half))
    return found


def _end(ref: Any, parts: Mapping[str, Part], half: float) -> Station:
    part: Any = parts.get(ref.part)
    winds = getattr(part, "winds", None)
    if winds is None or ref.point not in ("", "centre"):
        return Station(ref.part, ref.point, hangs=part is not None and is_loose(part))
    sense = 1 if winds == "anticlockwise" else -1
    return Station(ref.part, "", part.diameter / 2 + half, winds=sense, wound=part.wound_angle)


def is_loose(part: Part) -> bool:
    """Whether a part has no hold of its own, so that it hangs from what is tied to it."""
    from animator.parts._contract import Floats

    return isinstance(part.held(), Floats) and not any(True for _ in part.pinned())


def tangents(circles: Sequence[tuple[float, float, float, float]]) -> list[Span]:
    """Lay straight pieces from circle to circle.

    Parameters
    ----------
    circles
        x, y, radius [mm] and side of each: +1 for a circle on the string's left, -1 on its right.

    Notes
    -----
    With D from one middle to the next and q the difference of side * radius, the piece is l = sqrt(D^2 - q^2) long and D = (l - i q) u
    (complex numbers; any text on common tangents).

    Examples
    --------
    >>> straight, crossed = tangents([(0, 0, 3, 1), (10, 0, 3, 1)])[0], tangents([(0, 0, 3, 1), (10, 0, 3, -1)])[0]
    >>> straight.length, straight.start, crossed.length
    (10.0, (0.0, -3.0), 8.0)
    """
    found = []
    for (ax, ay, ra, sa), (bx, by, rb, sb) in pairwise(circles):
        dx, dy = bx - ax, by - ay
        a, b = sa * ra, sb * rb
        q = a - b
        square = dx * dx + dy * dy
        length = math.sqrt(max(square - q * q, 1e-18))
        whole = length * length + q * q
        ux, uy = (length * dx - q * dy) / whole, (length * dy + q * dx) / whole
        found.append(
            Span(ux, uy, length, (ax + a * uy, ay - a * ux), (bx + b * uy, by - b * ux))
        )
    return found


@dataclass
class Way:
    """A string's way as it moves: which guides it lies on, how far it is wrapped about each, what is wound on its drums.

    Between a place on each guide that turns with it (a mark) and the next guide's mark there is always the same string, as long as nothing slips: ``lengths``
    are measured from mark to mark, so that arcs taken up and given off cancel by themselves.

    Parameters
    ----------
    stations
        In order.
    places, angles
        Where they stand at the start, and how they are turned. [mm, rad]
    """

    stations: Sequence[Station]
    places: Sequence[Point]
    angles: Sequence[float]
    on: list[int] = field(init=False)
    spans: list[Span] = field(init=False)
    lengths: list[float] = field(init=False)
    wraps: list[float] = field(init=False)
    wound: list[float] = field(init=False)
    sides: list[float] = field(init=False)

    def __post_init__(self) -> None:
        count = len(self.stations)
        self.sides = [0.0] * count
        self._marks = [[0.0, 0.0] for _ in range(count)]  # where it comes on, where it goes off
        self._is_tied = [
            station.winds != 0 for station in self.stations
        ]  # wound round its drum, not hanging from the nail
        self.on = list(range(count))
        self.wraps = [0.0] * count
        self.wound = [0.0] * count
        ends = ((0, 1.0), (count - 1, -1.0))
        for index, end in ends:
            self.sides[index] = -end * self.stations[index].winds
        # which side of each guide: as a thread without guides' thickness would bend
        thin = [
            (*place, station.radius if station.winds else 0.0, side)
            for place, station, side in zip(self.places, self.stations, self.sides, strict=True)
        ]
        bare = tangents(thin)
        for index in range(1, count - 1):
            (ax, ay), (bx, by) = bare[index - 1][:2], bare[index][:2]
            if index == 1 and self.stations[0].hangs:
                ax, ay = (
                    0.0,
                    1.0,
                )  # straight up from what hangs there, wherever its hook is drawn
            if index == count - 2 and self.stations[-1].hangs:
                bx, by = 0.0, -1.0
            bend = ax * by - ay * bx
            # dead straight, or doubled back: it lies on top
            self.sides[index] = (
                math.copysign(1.0, bend) if abs(bend) > 1e-12 else (-1.0 if ax >= 0 else 1.0)
            )
        self.spans = tangents(self._circles(self.places))
        self._ways = [math.atan2(span.y, span.x) for span in self.spans]
        for index in range(1, count - 1):
            side, station = self.sides[index], self.stations[index]
            turn = side * (self._ways[index] - self._ways[index - 1])
            turn = wrapped(turn) if station.radius <= 0 else turn % math.tau
            if turn > math.tau - 1e-6:
                turn = 0.0
            self._ways[index] = self._ways[index - 1] + side * turn
            half = side * (turn + math.tau * station.turns) / 2
            turned = self.angles[index]
            self._marks[index] = [
                self._ways[index - 1] + half - turned,
                self._ways[index] - half - turned,
            ]
        for index, end in ends:
            station, way = self.stations[index], self._ways[0 if end > 0 else -1]
            mark = way - end * self.sides[index] * station.wound - self.angles[index]
            self._marks[index] = [mark, mark]
        self._go_round()
        self.follow(self.places, self.angles)

    def _go_round(self) -> None:
        """Note the radius at each station with the sign of its side; 0 where the string bends over a lip, is tied, or hangs from a drum's nail."""
        self._rounds = [
            side * station.radius if is_tied or not station.winds else 0.0
            for station, side, is_tied in zip(
                self.stations, self.sides, self._is_tied, strict=True
            )
        ]

    def _circles(self, places: Sequence[Point]) -> list[tuple[float, float, float, float]]:
        found = []
        for index in self.on:
            x, y = places[index]
            station = self.stations[index]
            if not station.winds or self._is_tied[index]:
                found.append((x, y, station.radius, self.sides[index]))
                continue
            nail = self.nail(index)
            found.append(
                (
                    x + station.radius * math.cos(nail),
                    y + station.radius * math.sin(nail),
                    0.0,
                    1.0,
                )
            )
        return found

    def nail(self, index: int) -> float:
        """Direction in which a drum's nail stands from its middle. [rad]"""
        return self._marks[index][0] + self.angles[index] - self.sides[index] * math.pi / 2

    @property
    def length(self) -> float:
        """Length of the whole way, with what is wound up. [mm]"""
        return sum(self.lengths)

    def follow(self, places: Sequence[Point], angles: Sequence[float]) -> None:
        """Lay the string anew where everything has moved a little: it leaves guides, comes onto them again, unwinds past a drum's nail."""
        self.places, self.angles = places, angles
        self._lay()
        while self._leave() or self._come_back():
            self._lay()

    def _lay(self) -> None:
        on, stations, marks, angles = self.on, self.stations, self._marks, self.angles
        spans = tangents(self._circles(self.places))
        ways, lengths = self._ways, []
        before = 0.0
        for k, span in enumerate(spans):
            way = ways[k]
            way += (math.atan2(span.y, span.x) - way + math.pi) % math.tau - math.pi
            ways[k] = way
            length = span.length
            i, j = on[k], on[k + 1]
            round_here, round_next = self._rounds[i], self._rounds[j]
            if round_here:
                length += round_here * (way - marks[i][1] - angles[i])
            if round_next:
                length += round_next * (marks[j][0] + angles[j] - way)
            lengths.append(length)
            if k:
                station = stations[i]
                bend = (
                    self.sides[i] * (way - before) if round_here else abs(wrapped(way - before))
                )
                self.wraps[i] = bend + math.tau * station.turns
            before = way
        self.spans, self.lengths = spans, lengths
        if stations[0].winds:
            self._wind(0, 1.0, ways[0], spans[0])
        if stations[-1].winds:
            self._wind(len(stations) - 1, -1.0, ways[-1], spans[-1])

    def _wind(self, index: int, end: float, way: float, span: Span) -> None:
        """Reckon what is wound on a drum; unwound past its nail, the string hangs from the nail and winds up the other way round."""
        if not self._is_tied[index]:
            nail = self.nail(index)
            c, s = math.cos(nail), math.sin(nail)
            self.wound[index] = 0.0
            if end * (span.x * c + span.y * s) < 0:  # it would cut through the drum
                side = 1.0 if span.y * c - span.x * s > 0 else -1.0
                mark = nail + side * math.pi / 2 - self.angles[index]
                # the same mark a turn on, if need be: the string's direction goes on counting
                turned = mark + self.angles[index]
                mark += math.tau * round((way - turned) / math.tau)
                self._marks[index] = [mark, mark]
                self.sides[index], self._is_tied[index] = side, True
                self._go_round()
            return
        amount = end * self.sides[index] * (way - self._marks[index][0] - self.angles[index])
        if amount < -1e-9:
            self._is_tied[index] = False
            self._go_round()
        written = -end * self.stations[index].winds
        self.wound[index] = max(amount, 0.0) * (1.0 if self.sides[index] == written else -1.0)

    def _leave(self) -> bool:
        """Take one guide out of the way that the string no longer bends round."""
        for k in range(1, len(self.on) - 1):
            i = self.on[k]
            if self.stations[i].may_leave and self.wraps[i] < -STRAIGHT:
                self.wraps[i] = 0.0
                del self.on[k], self._ways[k]
                return True
        return False

    def _come_back(self) -> bool:
        """Lay the string over one guide again that it has come down on."""
        if len(self.on) == len(self.stations):
            return False
        for i, station in enumerate(self.stations):
            if i in self.on:
                continue
            k = next(k for k, after in enumerate(self.on) if after > i)  # before this one
            span = self.spans[k - 1]
            px, py = self.places[i][0] - span.start[0], self.places[i][1] - span.start[1]
            along, left = px * span.x + py * span.y, span.x * py - span.y * px
            side = self.sides[i]
            # it leans on the guide from the side it was laid, and between its neighbours
            if (
                0 < along < span.length
                and -station.radius < side * left < station.radius - 1e-9
            ):
                way = self._ways[k - 1]
                self.on.insert(k, i)
                self._ways.insert(k, way)
                self._marks[i] = [way - self.angles[i]] * 2
                return True
        return False


def capstan(friction: float) -> Hold:
    """Hold of a guide that doesn't turn: exp(friction * bend), whatever its radius (Euler 1769, Eytelwein 1832).

    Examples
    --------
    >>> round(capstan(0.3)(math.pi / 2), 3), round(capstan(0.3)(math.pi), 3)
    (1.602, 2.566)
    """
    exp = math.exp
    return lambda bend: exp(friction * bend)


def sleeve(journal: float) -> Hold:
    """Hold of a sleeve that turns on a journal and weighs nothing.

    Parameters
    ----------
    journal
        Friction times the journal's radius over the radius of the string on the sleeve, below 1.

    Notes
    -----
    Balance about the journal's middle: (T1 - T2) R = mu r F with F the sum of both pulls, F^2 = T1^2 + T2^2 - 2 T1 T2 cos(bend)
    (any text on journal friction). Over half a turn it is (1 + k) / (1 - k).

    Examples
    --------
    >>> round(sleeve(0.1)(math.pi), 6), round(1.1 / 0.9, 6)
    (1.222222, 1.222222)
    """
    square = min(journal, 0.99) ** 2
    a = 1 - square

    def hold(bend: float) -> float:
        b = 1 - square * math.cos(bend)
        return (b + math.sqrt(max(b * b - a * a, 0.0))) / a

    return hold


def wrapped(angle: float) -> float:
    """Bring an angle between -pi and pi. [rad]"""
    return (angle + math.pi) % math.tau - math.pi


@dataclass(frozen=True)
class Arc:
    """A piece of string that lies on something round. [mm, rad]"""

    centre: Point
    radius: float
    start: float
    sweep: float


@dataclass(frozen=True)
class Free:
    """A piece of string between two places, and how long it is. [mm]"""

    start: Point
    end: Point
    length: float


class Course:
    """What a picture shows of a string: arcs and free pieces, from what the run recorded of it.

    Parameters
    ----------
    way
        Laid where everything starts.
    """

    def __init__(self, way: Way) -> None:
        self.stations = way.stations
        self._sides = tuple(way.sides)
        self._nails = [
            way.nail(i) - way.angles[i] if station.winds else 0.0
            for i, station in enumerate(way.stations)
        ]

    def pieces(
        self,
        places: Sequence[Point],
        angles: Sequence[float],
        bends: Sequence[float],
        wound: Sequence[float],
        slacks: Sequence[float],
    ) -> list[Arc | Free]:
        """Lay it out.

        Parameters
        ----------
        places, angles
            Where its stations stand and how they are turned. [mm, rad]
        bends
            By which it bends over each station, below 0 where it is off it. [rad]
        wound
            What lies on each drum, below 0 the other way round. [rad]
        slacks
            How much too long each span is for lying straight; one fewer. [mm]
        """
        circles: list[tuple[float, float, float, float]] = []
        on = []
        last = len(self.stations) - 1
        for i, (station, (x, y)) in enumerate(zip(self.stations, places, strict=True)):
            radius, side = station.radius, self._sides[i]
            if station.winds:
                if abs(wound[i]) < STRAIGHT:
                    nail = self._nails[i] + angles[i]
                    x, y = x + radius * math.cos(nail), y + radius * math.sin(nail)
                    radius = 0.0
                elif wound[i] < 0:
                    side = -side
            elif bends[i] < -0.5:
                continue
            circles.append((x, y, radius, side))
            on.append(i)
        found: list[Arc | Free] = []
        spans = tangents(circles)
        for k, (x, y, radius, side) in enumerate(circles):
            i = on[k]
            if radius:
                span = spans[k - 1] if k else spans[0]
                touch = math.atan2(span.y, span.x) - side * math.pi / 2
                if i == 0:
                    found.append(
                        Arc((x, y), radius, touch - side * abs(wound[i]), side * abs(wound[i]))
                    )
                else:
                    sweep = abs(wound[i]) if i == last else bends[i]
                    found.append(Arc((x, y), radius, touch, side * sweep))
            if k < len(spans):
                span = spans[k]
                slack = sum(slacks[i : on[k + 1]])
                found.append(Free(span.start, span.end, span.length + slack))
        return found
