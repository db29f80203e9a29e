"""Teeth that work round a corner: where two toothed wheels of different views meet, how they turn each other, how their teeth must stand."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from typing import Any, NamedTuple

from animator.geometry import Point
from animator.parts._contract import Part
from animator.parts._involute import Toothing, contact_path
from animator.parts._right_angles import shared
from animator.parts._views import VIEWS, Plane, Triple, along_of, dot, view_of

AWAY = 0.3  # mm; how far two axes may pass each other, or a wheel stand off its place, before its teeth bind or hang


class Corner(NamedTuple):
    """Where two wheels meet.

    ``ratio``: turns of the second for one of the first, above 0 where both run anticlockwise in their own views. ``line``, ``other_line``: direction from each
    one's middle to where they meet, in its own plane [rad]. ``aside``: how far their axes pass each other [mm]. ``place``: of the meeting [mm].
    """

    ratio: float
    line: float
    other_line: float
    aside: float
    place: Triple


def direction(way: Triple, plane: Plane) -> float:
    """Angle of a direction of the room in a plane. [rad]"""
    x, y, _ = plane.turned(way)
    return math.atan2(y, x)


def scaled(way: Triple, by: float) -> Triple:
    """Make a direction so many times as long, below 0 the other way."""
    return way[0] * by, way[1] * by, way[2] * by


def turning_ratio(
    views: tuple[str, str], lines: tuple[float, float], radii: tuple[float, float]
) -> float:
    """Turns of the second wheel for one of the first: where they meet both move alike along the direction that both views show."""
    way = shared(*views)
    moves = []
    for view, line, radius in zip(views, lines, radii, strict=True):
        plane = VIEWS[view]
        x, y = -math.sin(line) * radius, math.cos(line) * radius
        moves.append(x * dot(plane.x, way) + y * dot(plane.y, way))
    return moves[0] / moves[1]


def bevel_corner(
    first: str,
    second: str,
    parts: Mapping[str, Part],
    where: Callable[[str], Point | None],
) -> Corner | None:
    """Find how two bevel gears meet; None where their places aren't known. ``where`` gives the middle of a part in its own view. [mm]"""
    one, two = where(first), where(second)
    if one is None or two is None:
        return None
    views = view_of(first, parts), view_of(second, parts)
    mine, other = VIEWS[views[0]], VIEWS[views[1]]
    p, q = mine.room(one), other.room(two)
    radii = tuple(parts[name].toothing.radius for name in (first, second))  # type: ignore[attr-defined]
    apex = dot(q, mine.near), dot(p, other.near)
    sides = [side_of(name, parts, at) for name, at in zip((first, second), apex, strict=True)]
    lines = (
        direction(scaled(other.near, sides[1]), mine),
        direction(scaled(mine.near, sides[0]), other),
    )
    across = shared(*views)
    place = mine.room(one, apex[0] + sides[0] * radii[1])
    x, y, z = (
        a + b for a, b in zip(place, scaled(other.near, sides[1] * radii[0]), strict=True)
    )
    return Corner(
        turning_ratio(views, lines, (radii[0], radii[1])),
        *lines,
        dot(q, across) - dot(p, across),
        (x, y, z),
    )


def side_of(name: str, parts: Mapping[str, Part], apex: float) -> float:
    """On which side of the point where the axes meet a bevel gear stands along its own: as its ``along`` says, else towards its viewer."""
    along = along_of(name, parts, math.inf)
    return -1.0 if along < apex else 1.0


def crown_corner(
    gear: str,
    crown: str,
    lies: Triple,
    parts: Mapping[str, Part],
    where: Callable[[str], Point | None],
) -> Corner | None:
    """Find how a gear (the first) meets a crown wheel that lies on one side of it; None where their places aren't known."""
    one, two = where(gear), where(crown)
    if one is None or two is None:
        return None
    views = view_of(gear, parts), view_of(crown, parts)
    mine, other = VIEWS[views[0]], VIEWS[views[1]]
    toothing: Toothing = parts[gear].toothing  # type: ignore[attr-defined]
    middle = mine.room(one, along_of(gear, parts))
    x, y, z = (a + b for a, b in zip(middle, scaled(lies, toothing.radius), strict=True))
    px, py, _ = other.seen((x, y, z))
    dx, dy = px - two[0], py - two[1]
    ax, ay, _ = other.turned(mine.near)
    line = math.atan2(ay, ax) if dx * ax + dy * ay >= 0 else math.atan2(-ay, -ax)
    lines = direction(lies, mine), line
    teeth: int = parts[crown].teeth  # type: ignore[attr-defined]
    return Corner(
        turning_ratio(views, lines, (toothing.radius, toothing.module * teeth / 2)),
        *lines,
        dx * -ay + dy * ax,
        (x, y, z),
    )


def phase_at(
    corner: Corner, first: tuple[float, float, int], second: tuple[float, int]
) -> float:
    """Angle of the middle of a tooth of the second wheel in its own frame, so that it lies in a gap of the first where they meet. [rad]

    ``first``: how far the first is turned, the angle of the middle of one of its teeth in its own frame, its teeth; ``second``: how far it is turned, its teeth.
    """
    turned, phase, teeth = first
    share = math.tau / teeth
    beside = (corner.line - turned - phase) / share
    other_turned, other_teeth = second
    other = math.tau / other_teeth
    return (
        corner.other_line
        - other_turned
        - (0.5 + math.copysign(1.0, corner.ratio) * beside) * other
    )


def mean_slide(first: Toothing, second: Toothing | None) -> float:
    """Mean distance from the pitch point of the teeth that touch, over a pitch. [mm]"""
    before, after = contact_path(
        first, second, first.radius + (second.radius if second else 0.0)
    )
    pitch = math.pi * first.module * math.cos(math.radians(20))
    count, total = 60, 0.0
    for i in range(count):
        at = -before + pitch * (i + 0.5) / count
        found = []
        while at <= after:
            found.append(abs(at))
            at += pitch
        total += sum(found) / max(len(found), 1)
    return total / count


def stands(piece: Any) -> Callable[[str], Point]:
    """Read places from where a piece stands."""

    def where(name: str) -> Point:
        pose = piece.pose(name)
        return pose.x, pose.y

    return where
