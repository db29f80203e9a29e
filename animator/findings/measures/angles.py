"""Angles: how far things swing and turn."""

from __future__ import annotations

import numpy as np

from animator.findings.measures._contract import Reading, extent, largest, total, word
from animator.findings.track import Track
from animator.motion.motion import Floats


@word(
    "swing", "angle", "deg", lambda track: track.is_swinging and track.name == track.root.name
)
def _swing(track: Track, point: str) -> Reading | None:
    """From one end of its swing to the other."""
    return extent(track.angle) if track.is_moving else None


@word(
    "turns",
    "angle",
    "turns",
    lambda track: (
        track.is_turning
        and track.part.turns_freely
        and not track.is_swinging
        and not track.is_spinning
    ),
)
def _turns(track: Track, point: str) -> Reading | None:
    """How far it has turned, either way."""
    if not track.is_moving:
        return None
    turned = track.angle - track.angle[0]
    return total(turned if turned[-1] >= 0 else -turned)


@word("spin", "angle", "turns", lambda track: track.is_spinning)
def _spin(track: Track, point: str) -> Reading | None:
    """Turns about its own axis for each turn of the main shaft."""
    if not track.is_turning or track.turn_count <= 0:
        return None
    turned = (track.angle - track.angle[0]) / track.turn_count
    return total(turned if turned[-1] >= 0 else -turned)


def _way(track: Track) -> Floats | None:
    """The way a follower can go, as unit vectors: its slide, or square to the arm of a lever that rests on a cam, the way it is lifted."""
    if track.slide is not None:
        return np.array([track.slide])
    by = getattr(track.part, "by", None)
    if by is None:
        return None
    from animator.outlines import stance_in

    stance = stance_in(track.motion.scene, track.name)
    arm = track.motion.frame(track.name)[track.span, 2] + track.part.arms[by][1]  # type: ignore[attr-defined]
    side = stance.side  # type: ignore[union-attr]
    return np.asarray(np.stack([-side * np.sin(arm), side * np.cos(arm)], -1))


@word("pressure angle", "angle", "deg")
def _pressure_angle(track: Track, point: str) -> Reading | None:
    """Angle between the push on it and the way it can go: its slide, or the arc of a lever's arm."""
    contact, way = track.contact, _way(track)
    if contact is None or way is None:
        return None
    along = np.clip((contact.direction[track.span] * way).sum(-1), -1.0, 1.0)
    touching = contact.normal[track.span] > 0
    return largest(np.where(touching, np.arccos(along), np.nan))
