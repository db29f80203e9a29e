"""What linkages are judged by: how well a rod carries, how straight a point goes, how much longer one way takes than the other."""

from __future__ import annotations

import numpy as np

from animator.findings.measures._contract import Reading, word
from animator.findings.track import Track
from animator.motion.motion import Floats
from animator.parts._contract import Slides
from animator.world.proportions import meetings_of

MOST_POINTS = 1000  # of a path, among which its two farthest are looked for
REVERSAL = 0.02  # of the whole stroke; smaller turnings back are play


@word(
    "transmission angle",
    "angle",
    "deg",
    lambda track: track.name in meetings_of(track.motion.scene),
)
def _transmission_angle(track: Track, point: str) -> Reading | None:
    """Angle between a rod and the arm it moves, or the normal of the slide it moves; its value is the one farthest from a right angle."""
    meeting = meetings_of(track.motion.scene).get(track.name)
    if meeting is None:
        return None
    motion, span = track.motion, track.span
    at, other = (
        motion.point(track.name, hole)[span] for hole in (meeting.hole, meeting.other_hole)
    )
    held = motion.scene.parts[meeting.member].held()
    rod = other - at
    if isinstance(held, Slides):
        arm = np.array([[-np.sin(held.direction), np.cos(held.direction)]])
        arm = arm * np.where(rod @ arm[0] < 0, -1.0, 1.0)[:, None]
    else:
        arm = motion.frame(meeting.member)[span, :2] - at
    series = np.arctan2(
        np.abs(rod[:, 0] * arm[:, 1] - rod[:, 1] * arm[:, 0]), (rod * arm).sum(1)
    )
    return Reading(series, float(series[int(np.argmax(np.abs(series - np.pi / 2)))]), False)


@word("bow", "length", "mm", lambda track: hasattr(track.part, "draws_on"))
def _bow(track: Track, point: str) -> Reading | None:
    """How far a point strays from the straight line between the two farthest places of its way, both sides together."""
    if not track.is_moving:
        return None
    path = track.path(point)
    few = path[:: max(1, len(path) // MOST_POINTS)]
    apart = np.hypot(*(few[:, None] - few[None]).transpose(2, 0, 1))
    first, last = np.unravel_index(int(np.argmax(apart)), apart.shape)
    far = float(apart[first, last])
    if far <= 0:
        return None
    along = (few[last] - few[first]) / far
    aside = (path - few[first]) @ np.array([-along[1], along[0]])
    return Reading(aside - aside.min(), float(np.ptp(aside)), True)


@word("time ratio", "count", "", lambda track: track.is_swinging or track.slide is not None)
def _time_ratio(track: Track, point: str) -> Reading | None:
    """How many times as long the slower of its two ways takes as the quicker; counted over whole ways."""
    if not track.is_moving or not (track.is_swinging or track.slide is not None):
        return None
    series = track.angle if track.is_swinging else track.along(point)
    ends = _reversals(series)
    if len(ends) < 3:
        return None
    ways = np.diff(track.times[ends])
    there, back = float(ways[0::2].mean()), float(ways[1::2].mean())
    ratio = max(there, back) / min(there, back)
    return Reading(np.full(len(series), ratio), ratio, True)


def _reversals(series: Floats) -> list[int]:
    """Indices at which a course turns back, play left out.

    Examples
    --------
    >>> _reversals(np.array([0.0, 1.0, 2.0, 1.999, 2.0, 1.0, 0.0, 1.0]))
    [2, 6]
    """
    least = REVERSAL * float(np.ptp(series))
    if least <= 0:
        return []
    found: list[int] = []
    high = low = 0
    sense = 0
    for i, value in enumerate(series.tolist()):
        if value > series[high]:
            high = i
        if value < series[low]:
            low = i
        if sense >= 0 and value < series[high] - least:
            if sense:
                found.append(high)
            sense, low = -1, i
        elif sense <= 0 and value > series[low] + least:
            if sense:
                found.append(low)
            sense, high = 1, i
    return found
