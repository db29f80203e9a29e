"""Shares and times: what slips, what stands, how long it runs."""

from __future__ import annotations

import numpy as np

from animator.findings.measures._contract import Reading, largest, total, word
from animator.findings.track import Track


@word("slip", "share", "%")
def _slip(track: Track, point: str) -> Reading | None:
    """Length lost of the length due, whatever lost it."""
    slip = track.motion.slips.get(track.name)
    if slip is None:
        return None
    due, got = slip.due[track.span], slip.got[track.span]
    owed = due[-1] - due[0]
    if abs(owed) < 1e-6:
        return total(np.zeros(len(due)))
    return total(((due - due[0]) - (got - got[0])) / owed)


@word(
    "standstill",
    "share",
    "%",
    lambda track: (
        track.is_turning
        and not track.is_swinging
        and (track.name == track.root.name or track.is_spinning)
    ),
)
def _standstill(track: Track, point: str) -> Reading | None:
    """Share of the time that it stands."""
    if not track.is_moving:
        return None
    standing = track.is_standing.astype(np.float64)
    return Reading(standing, float(standing.mean()), True)


@word("strain", "share", "%")
def _strain(track: Track, point: str) -> Reading | None:
    """How much of what it bears a spring or band is strained."""
    strain = track.channel("strain")
    return None if strain is None else largest(strain[track.span])


@word("running time", "time", "s", lambda track: False)
def _running_time(track: Track, point: str) -> Reading | None:
    """How long it runs; of a motor with a switch, how long it is switched on."""
    if not track.is_moving:
        return None
    step = float(track.times[1] - track.times[0]) if len(track.times) > 1 else 0.0
    running = track.channel("running")
    runs = ~track.is_standing if running is None else running[track.span] > 0.5
    return total(np.asarray(np.cumsum(runs) * step, np.float64))
