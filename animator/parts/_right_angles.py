"""Two wheels whose axes stand at right angles: where they meet, and which way each moves there."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import NamedTuple

from animator.geometry import Pose
from animator.parts._contract import Part
from animator.parts._spokes import Spokes
from animator.parts._views import VIEWS, Triple, along_of, dot, view_of

PASSING = 6.0  # mm; how deep pins that lie across dip past each other's ends


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

    ``aside``: how far their axes pass each other [mm]; ``short``, ``other_short``: how far either one's circle ends before the other's disc stands [mm].
    ``line``, ``other_line``: direction from each one's middle to where they meet, in its own plane [rad]. ``way``, ``other_way``: how either moves there along the
    direction square to both axes when it turns anticlockwise, +1 or -1.
    """

    aside: float
    short: float
    other_short: float
    line: float
    other_line: float
    way: int
    other_way: int


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
    found: list[tuple[float, float, int]] = []
    for plane, axis, radius, way in (
        (
            mine,
            other.near,
            _radius(parts[first]),
            dot(there_place, other.near) - dot(place, other.near),
        ),
        (
            other,
            mine.near,
            _radius(parts[second]),
            dot(place, mine.near) - dot(there_place, mine.near),
        ),
    ):
        side = math.copysign(1.0, way)
        x, y, _ = plane.turned(axis)
        line = math.atan2(side * y, side * x)
        moves = [
            -math.sin(line) * a + math.cos(line) * b
            for a, b in zip(plane.x, plane.y, strict=True)
        ]
        found.append((abs(way) - radius, line, 1 if dot(moves, across) > 0 else -1))
    (short, line, sense), (other_short, other_line, other_sense) = found
    return Corner(aside, short, other_short, line, other_line, sense, other_sense)


def _radius(part: Part) -> float:
    return float(part.radius)  # type: ignore[attr-defined]


class Passing(NamedTuple):
    """Two pins that lie across each other: their numbers, gap [mm], which side of the first the second is on, and how far each is from where the wheels meet [rad]."""

    key: tuple[int, int]
    gap: float
    side: int
    first: float
    second: float


def passing(
    first: Spokes, second: Spokes, meets: Corner, turned: float, other: float
) -> list[Passing]:
    """Find the pins of two wheels at right angles that are near each other, the nearest first. ``turned``, ``other``: angles of both wheels. [rad]"""
    reach, other_reach = (
        math.acos(max(-1.0, 1.0 - PASSING / wheel.outer)) for wheel in (first, second)
    )
    theirs = [
        (j, b + other - meets.other_line)
        for j, b in second.near(meets.other_line - other, other_reach)
    ]
    found = []
    for i, a in first.near(meets.line - turned, reach):
        angle = a + turned - meets.line
        x = meets.way * first.outer * math.sin(angle)
        for j, there in theirs:
            off = meets.other_way * second.outer * math.sin(there) - x
            side = 1 if off >= 0 else -1
            found.append(
                Passing((i, j), abs(off) - first.half - second.half, side, angle, there)
            )
    found.sort(key=lambda each: each.gap)
    return found
