"""Angles: how far things swing and turn."""

from __future__ import annotations

import numpy as np

from animator.findings.measures._contract import Reading, extent, largest, total, word
from animator.findings.track import Track


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


@word("pressure angle", "angle", "deg")
def _pressure_angle(track: Track, point: str) -> Reading | None:
    """Angle between the push on it and the way it can slide."""
    contact = track.contact
    if contact is None or track.slide is None:
        return None
    along = np.clip(contact.direction[track.span] @ np.array(track.slide), -1.0, 1.0)
    touching = contact.normal[track.span] > 0
    return largest(np.where(touching, np.arccos(along), np.nan))
