"""Two wheels whose axes stand at right angles: where they meet, and which way each moves there."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import NamedTuple

from animator.geometry import Pose
from animator.parts._contract import Part
from animator.parts._spokes import Spokes
from animator.parts._views import VIEWS, Triple, along_of, dot, view_of

PIN_LENGTH = 10.0  # mm; what stands out of the disc. Common practice, no source


class Meeting(NamedTuple):
    """Where two wheels of different views meet.

    ``apart``: between their axes [mm]. ``line``, ``other_line``: direction from each one's middle to where they meet, in its own plane [rad]. ``way``,
    ``other_way``: how what is there moves along the second one's axis (``way``) and along the first one's (``other_way``) when its wheel turns anticlockwise: +1
    towards that axis' viewer, -1 away.
    """

    apart: float
    line: float
    other_line: float
    way: int
    other_way: int


def shared(first: str, second: str) -> Triple:
    """Give the direction of the room that both views show, square to both axes: (right, up, back)."""
    one, other = VIEWS[first].near, VIEWS[second].near
    x, y, z = (1.0 - abs(a) - abs(b) for a, b in zip(one, other, strict=True))
    return x, y, z


def meeting(
    first: str, second: str, parts: Mapping[str, Part], here: Pose, there: Pose
) -> Meeting:
    """Find where two wheels of different views meet, the first one standing at ``here`` and the second at ``there`` in their own planes."""
    views = view_of(first, parts), view_of(second, parts)
    mine, other = (VIEWS[view] for view in views)
    across = shared(*views)
    apart = dot(other.room((there.x, there.y)), across) - dot(
        mine.room((here.x, here.y)), across
    )
    to = math.copysign(1.0, apart)
    lines = []
    ways = []
    for plane, side, axis in ((mine, to, other.near), (other, -to, mine.near)):
        x, y, _ = plane.turned(across)
        line = math.atan2(side * y, side * x)
        lines.append(line)
        moves = [
            -math.sin(line) * a + math.cos(line) * b
            for a, b in zip(plane.x, plane.y, strict=True)
        ]
        ways.append(1 if dot(moves, axis) > 0 else -1)
    return Meeting(abs(apart), lines[0], lines[1], ways[0], ways[1])


class Corner(NamedTuple):
    """Where two wheels of pins meet at right angles, as bevel wheels do: each one's pins pass beside the other's disc.

    ``aside``: how far their axes pass each other [mm]. ``short``, ``other_short``: how far either one's circle ends before the other's disc (below 0: beyond it) [mm];
    the pins there point to it. ``line``, ``other_line``: direction from each one's middle to where they meet, in its own plane [rad]. ``way``,
    ``other_way``: how either moves there along the direction square to both axes when it turns anticlockwise, +1 or -1. ``points``, ``other_points``: +1 where
    its own pins point to its viewer, -1 away. ``end``, ``other_end``: how far from the one's own axis the tips of the other's pins reach [mm].
    """

    aside: float
    short: float
    other_short: float
    line: float
    other_line: float
    way: int
    other_way: int
    points: int
    other_points: int
    end: float
    other_end: float


def corner(
    first: str, second: str, parts: Mapping[str, Part], here: Pose, there: Pose
) -> Corner:
    """Find where two wheels of pins of different views meet; where they stand along their axes decides on which side."""
    views = view_of(first, parts), view_of(second, parts)
    mine, other = (VIEWS[view] for view in views)
    across = shared(*views)
    place = mine.room((here.x, here.y), along_of(first, parts))
    there_place = other.room((there.x, there.y), along_of(second, parts))
    aside = dot(there_place, across) - dot(place, across)
    found: list[tuple[float, float, int, int]] = []
    for plane, axis, radius, start, end in (
        (mine, other.near, _radius(parts[first]), place, there_place),
        (other, mine.near, _radius(parts[second]), there_place, place),
    ):
        way = dot(end, axis) - dot(start, axis)  # from its axis to the other's disc
        side = math.copysign(1.0, way)
        x, y, _ = plane.turned(axis)
        line = math.atan2(side * y, side * x)
        moves = [
            -math.sin(line) * a + math.cos(line) * b
            for a, b in zip(plane.x, plane.y, strict=True)
        ]
        short = abs(way) - radius
        # the other's pins point from its disc to where this circle is
        points = round(-math.copysign(1.0, short) * side)
        found.append((short, line, 1 if dot(moves, across) > 0 else -1, points))
    (short, line, sense, other_points), (other_short, other_line, other_sense, points) = found
    tips = [
        _radius(part) + far - sheet_of(mate) / 2 - PIN_LENGTH
        for part, mate, far in (
            (parts[first], parts[second], short),
            (parts[second], parts[first], other_short),
        )
    ]
    return Corner(
        aside,
        short,
        other_short,
        line,
        other_line,
        sense,
        other_sense,
        points,
        other_points,
        *tips,
    )


def sheet_of(part: Part) -> float:
    """Thickness of the disc that carries the pins; 4 mm where nothing says so. [mm]"""
    return (part.material.size if part.material is not None else 0.0) or 4.0


def _radius(part: Part) -> float:
    return float(part.radius)  # type: ignore[attr-defined]


class Passing(NamedTuple):
    """Two pins that lie across each other.

    ``key``: their numbers; ``gap`` [mm]; ``normal`` from the first to the second: along the direction square to both axes, outwards from the first wheel's middle,
    outwards from the second's; ``first``, ``second``: how far each is from where the wheels meet [rad].
    """

    key: tuple[int, int]
    gap: float
    normal: Triple
    first: float
    second: float


def passing(
    first: Spokes, second: Spokes, meets: Corner, turned: float, other: float
) -> list[Passing]:
    """Find the pins of two wheels at right angles that are near each other, the nearest first. ``turned``, ``other``: angles of both wheels. [rad]

    Each is a round bar along its own axis, its end a half ball; where one has swung out past the end of the other, it is that end which is touched.
    """
    thick = first.half + second.half
    ends = meets.end + second.half, meets.other_end + first.half
    reach, other_reach = (
        math.acos(min(1.0, max(-1.0, (end - thick) / wheel.outer)))
        for end, wheel in zip(ends, (first, second), strict=True)
    )
    theirs = []
    for j, b in second.near(meets.other_line - other, other_reach):
        there = b + other - meets.other_line
        short = ends[1] - second.outer * math.cos(there)
        theirs.append((j, there, meets.other_way * second.outer * math.sin(there), short))
    found = []
    for i, a in first.near(meets.line - turned, reach):
        angle = a + turned - meets.line
        x = meets.way * first.outer * math.sin(angle)
        up = max(0.0, ends[0] - first.outer * math.cos(angle))
        for j, there, x2, short in theirs:
            # the first's end lies inwards from the second pin, so the way to it runs inwards of the second wheel's middle
            in_ = min(0.0, -short)
            d = math.sqrt((x2 - x) ** 2 + up * up + in_ * in_)
            normal = ((x2 - x) / d, up / d, in_ / d) if d > 1e-9 else (1.0, 0.0, 0.0)
            found.append(Passing((i, j), d - thick, normal, angle, there))
    found.sort(key=lambda each: each.gap)
    return found


def arms(
    wheel: Spokes, way: int, angle: float, aside: float, out: float
) -> tuple[float, float]:
    """How a place on a wheel's pin moves for a turn of the wheel: along the direction square to both axes, and outwards. [mm/rad]

    ``aside``, ``out``: where it is on the pin, from the pin's middle. [mm]
    """
    return (
        way * (wheel.outer * math.cos(angle) + out),
        -wheel.outer * math.sin(angle) - way * aside,
    )
