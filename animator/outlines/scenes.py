"""Cams of a scene: for which follower each is laid out, and its outline."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any

from animator import trains
from animator.outlines.profiles import Outline, outline_of
from animator.outlines.stances import Stance, Tip, tip_of


def first_follower(parts: Mapping[str, Any], cam: str) -> str | None:
    """Name of the follower a cam is laid out for: the first in the scene that follows it."""
    for name, part in parts.items():
        follows = getattr(part, "follows", None)
        if follows is not None and follows.part == cam:
            return name
    return None


def stance_in(scene: Any, follower: str) -> Stance:
    """How a follower of an assembled scene stands to its cam."""
    held = scene.parts[follower].held()
    axis, foot = scene.starts[held.follows.part], scene.starts[follower]
    aside = (foot.x - axis.x) * math.sin(held.direction) - (foot.y - axis.y) * math.cos(
        held.direction
    )
    return Stance(held.direction, aside, trains.sense_of(scene.parts, held.follows.part))


def outline_in(scene: Any, cam: str) -> Outline:
    """Lay out a cam of an assembled scene for its first follower (or for a knife edge above it if it has none)."""
    follower = first_follower(scene.parts, cam)
    if follower is None:
        return outline_of(
            scene.parts[cam], Tip(), Stance(sense=trains.sense_of(scene.parts, cam))
        )
    return outline_of(
        scene.parts[cam], tip_of(scene.parts[follower]), stance_in(scene, follower)
    )
