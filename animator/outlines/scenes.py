"""Cams of a scene: for which follower each is laid out, how its followers stand to it, and its outline."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any

from animator import trains
from animator.geometry import Point
from animator.outlines.profiles import Outline, outline_of, smallest_radius
from animator.outlines.stances import Stance, Swing, Tip, Way, swing, tip_of


def first_follower(parts: Mapping[str, Any], cam: str) -> str | None:
    """Name of the follower a cam is laid out for: the first in the scene that follows it."""
    for name, part in parts.items():
        follows = getattr(part, "follows", None)
        if follows is not None and follows.part == cam:
            return name
    return None


def swing_of(parts: Mapping[str, Any], lever: str, axis: Point, pivot: Point) -> Swing:
    """How a lever that follows a cam stands to it; ``axis`` and ``pivot`` where they are. [mm]

    Raises
    ------
    ValueError
        Its arm doesn't reach the cam.
    """
    part = parts[lever]
    cam = part.follows.part
    arm, angle = part.arms[part.by]
    return swing(
        (pivot[0] - axis[0], pivot[1] - axis[1]),
        part.starts_at + angle,
        arm,
        smallest_radius(parts[cam]),
        tip_of(part),
        trains.sense_of(parts, cam),
    )


def stance_in(scene: Any, follower: str) -> Way:
    """How a follower of an assembled scene stands to its cam."""
    part = scene.parts[follower]
    axis, foot = scene.starts[part.follows.part], scene.starts[follower]
    if getattr(part, "by", None) is not None:
        return swing_of(scene.parts, follower, (axis.x, axis.y), (foot.x, foot.y))
    held = part.held()
    aside = (foot.x - axis.x) * math.sin(held.direction) - (foot.y - axis.y) * math.cos(
        held.direction
    )
    return Stance(held.direction, aside, trains.sense_of(scene.parts, held.follows.part))


def outline_in(scene: Any, cam: str) -> Outline:
    """Lay out a cam of an assembled scene for its first follower (or for a knife edge above it if it has none)."""
    follower = first_follower(scene.parts, cam)
    if follower is None:
        return outline_of(scene.parts[cam], *_unfollowed(scene.parts, cam))
    return outline_of(
        scene.parts[cam], tip_of(scene.parts[follower]), stance_in(scene, follower)
    )


def _unfollowed(parts: Mapping[str, Any], cam: str) -> tuple[Tip, Stance]:
    """What a cam without a follower is laid out for: the roller of a switch that rides on it, else a knife edge above it."""
    sense = trains.sense_of(parts, cam)
    for part in parts.values():
        rides = getattr(part, "rides_on", None)
        if rides is not None and rides.part == cam:
            return Tip(part.roller_diameter / 2), Stance(part.angle, 0.0, sense)
    return Tip(), Stance(sense=sense)


_LAID_OUT: dict[tuple[int, Tip, Way], tuple[Any, Outline]] = {}
MOST_KEPT = 64


def laid_out_for(parts: Mapping[str, Any], cam: str) -> str | None:
    """Name of the follower for which a cam's lift is reckoned without laying out its outline; None where the outline itself must be felt."""
    part = parts[cam]
    if part.drop or part.traced:
        return None
    return first_follower(parts, cam)


def laid_out(piece: Any, cam: str) -> Outline:
    """Lay out a cam of a piece on the drawing board for its first follower; kept, since it is asked for all round the turn."""
    parts = piece.parts
    first = first_follower(parts, cam)
    part: Any = parts[cam]
    if first is None:
        return outline_of(part, *_unfollowed(parts, cam))
    owner, axis = parts[first], piece.pose(cam)
    tip = tip_of(owner)
    where = owner.guide.at if getattr(owner, "by", None) is None else owner.at
    x, y = (0.0, 0.0) if where.ref is None else piece.point(where.ref.part, where.ref.point)
    x, y = x + where.offset[0], y + where.offset[1]
    stance: Way
    if getattr(owner, "by", None) is not None:
        stance = swing_of(parts, first, (axis.x, axis.y), (x, y))
    else:
        held = owner.held()
        c, s = math.cos(held.direction), math.sin(held.direction)
        aside = (x - axis.x) * s - (y - axis.y) * c + held.offset
        stance = Stance(held.direction, aside, trains.sense_of(parts, cam))
    key = id(part), tip, stance
    kept = _LAID_OUT.get(key)
    if kept is None or kept[0] is not part:
        if len(_LAID_OUT) >= MOST_KEPT:
            _LAID_OUT.clear()
        kept = _LAID_OUT[key] = part, outline_of(part, tip, stance)
    return kept[1]
