"""Speeds, and how things land."""

from __future__ import annotations

import numpy as np

from animator.findings.measures._contract import Reading, largest, total, word
from animator.findings.track import Track
from animator.motion.motion import Floats

STRIKING = ("tooth", "slot", "teeth", "pallet")
"""Sorts of contact that part and strike again as they should: their clicks are counted."""


@word(
    "speed",
    "turning speed",
    "rpm",
    lambda track: track.is_turning and (track.name == track.root.name or track.is_spinning),
)
def _speed(track: Track, point: str) -> Reading | None:
    """Turning speed."""
    return (
        Reading(track.turning_speed, float(track.turning_speed.max()), False)
        if track.is_moving
        else None
    )


@word("hit speed", "speed", "mm/s")
def _hit_speed(track: Track, point: str) -> Reading | None:
    """How fast it lands after a gap."""
    hits = _hits(track)
    if hits is None:
        return None
    series = np.zeros(len(track.times))
    for moment, speed in hits:
        at = int(np.argmin(np.abs(track.times - moment)))
        series[at] = max(series[at], speed)
    return Reading(series, float(series.max()), True)


@word("launch speed", "speed", "mm/s")
def _launch_speed(track: Track, point: str) -> Reading | None:
    """How fast it leaves what throws it."""
    speed = track.channel("launch speed")
    return None if speed is None else largest(speed[track.span])


@word("hits", "count", "")
def _hit_count(track: Track, point: str) -> Reading | None:
    """Landings in each turn of the main shaft; in all where no drive turns."""
    hits = _hits(track)
    if hits is None:
        return None
    turns = track.turn_count if track.motion.drive is not None else 1.0
    series = (
        np.searchsorted(hits[:, 0], track.times, side="right") / max(turns, 1e-9)
        if turns > 0
        else np.zeros(len(track.times))
    )
    return total(series)


def _hits(track: Track) -> Floats | None:
    contact = track.contact
    if contact is None or not (contact.is_meant or contact.kind in STRIKING):
        return None
    hit = contact.hit
    return np.asarray(hit[(hit[:, 0] >= track.times[0]) & (hit[:, 0] <= track.times[-1])])
