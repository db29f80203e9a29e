"""What goes step by step: how many steps, and how far a wheel slips back before it is caught."""

from __future__ import annotations

import numpy as np

from animator.findings.measures._contract import Reading, total, word
from animator.findings.track import Track


def _step_angle(track: Track) -> float | None:
    """Angle of one step, of what goes by steps. [rad]"""
    return getattr(track.part, "step_angle", None)


@word("steps", "count", "", lambda track: _steps(track, "") is not None)
def _steps(track: Track, point: str) -> Reading | None:
    """Teeth or stations it has gone on, for each turn of the main shaft; in all where no drive turns."""
    recorded = track.channel("steps")
    if recorded is not None:
        gone = recorded[track.span] - recorded[track.first]
    else:
        step = _step_angle(track)
        if step is None or not track.is_moving:
            return None
        gone = (track.angle - track.angle[0]) / step
        gone = gone if gone[-1] >= 0 else -gone
    turns = track.turn_count if track.motion.drive is not None else 1.0
    return total(gone / turns if turns > 0 else np.zeros(len(gone)))


@word("back-slip", "angle", "deg", lambda track: hasattr(track.part, "sense"))
def _back_slip(track: Track, point: str) -> Reading | None:
    """How far at most it runs back from the farthest it had come, the way it is free to turn."""
    sense = getattr(track.part, "sense", None)
    if sense is None or _step_angle(track) is None or not track.is_moving:
        return None
    forward = sense * track.angle
    back = np.maximum.accumulate(forward) - forward
    return Reading(back, float(back.max()), True)
