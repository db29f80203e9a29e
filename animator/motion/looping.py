"""Where a film of a run can join its own beginning, and how big the jump is there.

Whatever is driven without slip is back after a whole number of turns. Where something slips, nothing ever comes back exactly: then
the best of the recurrences within the run is taken, still after whole turns of the main shaft so that the handle itself never jumps, and the jump is told.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from animator.motion.motion import Floats, Motion

PLACE_TOLERANCE = 0.05  # mm; it repeats when every part is back within this,
ANGLE_TOLERANCE = math.radians(0.2)  # and this,
SPEED_TOLERANCE = 0.01  # and as fast as before within this share of the fastest
SPEED_TIME = 5e-3  # s; speeds are compared as means over this, so that a rattle within the play doesn't count
REACH = 60.0  # mm; a typical figure stands this far from its axis: it makes angles and places comparable when no loop closes


LONGEST = 24.0  # s; nobody waits longer for a film to come round, unless one turn takes longer
SMALL_PLACE = (
    0.8  # mm; a jump smaller than this at the join is seen by nobody who doesn't wait for it,
)
SMALL_ANGLE = math.radians(3)  # and a turn of this; anything larger is passed over softly
FADE = 0.5  # s a film takes to pass softly from its end into its beginning

Join = Literal["closes", "jumps", "fades"]


@dataclass(frozen=True)
class Loop:
    """A stretch of a run that can be shown round and round.

    ``start_s`` and ``period_s`` say which stretch [s]; ``frame_count`` pictures, evenly spread over the period, show it. The jump at the join
    is ``seam_mm`` for the part that jumps farthest and ``seam_deg`` for the one that turns farthest, ``seam_part`` names the worse of them.
    ``is_closed``: nothing jumps that could be seen. ``turns``: whole turns of the main shaft; 0 where the whole run is shown.
    ``fade_s``: for how long the end passes softly into the beginning, 0 where it doesn't [s]. ``is_show``: its motors stop it by themselves, so it has a beginning
    and an end, and begins anew instead of going on.
    """

    start_s: float
    period_s: float
    frame_count: int
    seam_mm: float
    seam_deg: float
    is_closed: bool
    turns: int = 0
    seam_part: str = ""
    fade_s: float = 0.0
    is_show: bool = False

    @property
    def join(self) -> Join:
        """How the film comes round: it closes, jumps a little at its join, or passes over it softly."""
        return "closes" if self.is_closed else "fades" if self.fade_s > 0 else "jumps"

    def time_of(self, frame: int) -> float:
        """Moment that a picture shows. [s]"""
        return self.start_s + self.period_s * frame / self.frame_count


def main_angle(motion: Motion) -> Floats:
    """How far the main shaft has turned since the start, in its running direction, (time_count,). [rad]

    The first drive's shaft unless the scene names another; zeros where nothing drives.
    """
    drive = motion.drive
    if drive is None:
        return np.zeros(len(motion.times))
    main = motion.scene.main_shaft
    if main is None or main == drive.shaft or main not in motion.frames:
        return drive.angle
    angle = motion.frame(main)[:, 2]
    angle = angle - angle[0]
    return np.asarray(angle if angle[-1] >= 0 else -angle)


def is_show(motion: Motion) -> bool:
    """Tell whether a run begins and ends at rest, its motors switched on and off by itself: it is shown whole."""
    return (
        motion.end == "finished"
        and bool(motion.drives)
        and all(
            float(drive.due_speed[-1]) == 0.0 and float(drive.due_speed.max(initial=0.0)) > 0.0
            for drive in motion.drives
        )
    )


def find_loop(motion: Motion, fps: float = 60.0) -> Loop:
    """Find the stretch of a run to show round and round.

    Parameters
    ----------
    motion
        The run.
    fps
        Pictures a second, > 0. The period is sampled in a whole number of equal steps, so the speed shown is wrong by less than half a picture a loop.

    Returns
    -------
    Loop
        The shortest that closes; else the one with the smallest jump; else (a run that stands, or is shorter than a turn) the whole run. A run that its motors end by
        themselves is shown from its start to its rest.
    """
    if not fps > 0:
        raise ValueError(f"a film needs more than {fps:g} pictures a second")
    if is_show(motion):
        return replace(_whole_run(motion, fps), is_show=True)
    angle = main_angle(motion)
    first = motion.begins
    whole = (angle[-1] - angle[first]) / (2 * math.pi)
    turns = int(whole + 1e-6)
    if motion.drive is None or motion.end in ("stalled", "jammed", "not trusted") or turns < 1:
        return _whole_run(motion, fps)
    rising = np.maximum.accumulate(
        angle
    )  # a drive that is pushed back for a moment must not upset the search
    best: tuple[float, Loop] | None = None
    for start_turn in range(turns):
        begin = (
            _time_at(motion.times, rising, angle[first] + 2 * math.pi * start_turn)
            if start_turn
            else float(motion.times[first])
        )
        for count in range(1, turns - start_turn + 1):
            end = _time_at(
                motion.times, rising, angle[first] + 2 * math.pi * (start_turn + count)
            )
            if count > 1 and end - begin > LONGEST:
                break
            place, turned, slowed, part = _jump(motion, begin, end)
            is_closed = _is_closed(place, turned, slowed)
            loop = _loop(begin, end - begin, fps, place, turned, is_closed, count, part)
            size = max(place, turned * REACH)
            if is_closed:
                size = (
                    -1.0 / count
                )  # any that closes beats all that don't; the shortest of them, the earliest of equals
            if best is None or size < best[0] - 1e-12:
                best = size, loop
        if best is not None and best[1].is_closed:
            break
    assert best is not None
    return _softened(motion, best[1], fps)


def joins(motion: Motion, begin: float, end: float) -> bool:
    """Tell whether everything stands and moves at one moment as it does at another. [s]"""
    return _is_closed(*_jump(motion, begin, end)[:3])


def _is_closed(place: float, turned: float, slowed: float) -> bool:
    return place <= PLACE_TOLERANCE and turned <= ANGLE_TOLERANCE and slowed <= SPEED_TOLERANCE


def _softened(motion: Motion, loop: Loop, fps: float) -> Loop:
    """Give a loop whose jump can be seen a soft end: it passes into what came just before its beginning, so it begins later if it must."""
    is_small = loop.seam_mm <= SMALL_PLACE and math.radians(loop.seam_deg) <= SMALL_ANGLE
    if loop.is_closed or is_small:
        return loop
    first, last = float(motion.times[motion.begins]), float(motion.times[-1])
    start = max(loop.start_s, min(first + FADE, last - loop.period_s))
    fade = min(FADE, start - first, loop.period_s / 3)
    if fade * fps < 2:
        return loop
    return replace(loop, start_s=start, fade_s=fade)


def _whole_run(motion: Motion, fps: float) -> Loop:
    """The run from its start to its end: for what stands still at the end there is nothing to join."""
    start, end = float(motion.times[0]), float(motion.times[-1])
    place, turned, slowed, part = _jump(motion, start, end)
    is_closed = is_show(motion) and _is_closed(place, turned, slowed)
    return _loop(start, max(end - start, 1 / fps), fps, place, turned, is_closed, 0, part)


def _loop(
    start: float,
    period: float,
    fps: float,
    place: float,
    turned: float,
    is_closed: bool,
    turns: int,
    part: str,
) -> Loop:
    return Loop(
        start,
        period,
        max(1, round(period * fps)),
        place,
        math.degrees(turned),
        is_closed,
        turns,
        part,
    )


def _time_at(times: Floats, rising: Floats, angle: float) -> float:
    """Moment at which the main shaft has turned so far. [s]"""
    i = int(np.searchsorted(rising, angle - 1e-12))
    if i == 0:
        return float(times[0])
    i = min(i, len(times) - 1)
    low, high = rising[i - 1], rising[i]
    share = (angle - low) / (high - low) if high > low else 0.0
    return float(times[i - 1] + min(max(share, 0.0), 1.0) * (times[i] - times[i - 1]))


def _jump(motion: Motion, begin: float, end: float) -> tuple[float, float, float, str]:
    """Differences between two moments: farthest place [mm], farthest turning [rad], largest change of speed (share of the fastest), and the worst part."""
    at_begin, at_end = _state(motion, begin), _state(motion, end)
    names = motion.bodies
    apart = np.hypot(*(at_end[:, :2] - at_begin[:, :2]).T)
    turned = np.abs((at_end[:, 2] - at_begin[:, 2] + math.pi) % (2 * math.pi) - math.pi)
    fast = np.abs(at_begin[:, 3:])
    change = np.abs(at_end[:, 3:] - at_begin[:, 3:])
    ways = fast[:, :2].max(initial=0.0), fast[:, 2].max(initial=0.0)
    slowed = max(
        change[:, :2].max(initial=0.0) / (ways[0] + 100.0),
        change[:, 2].max(initial=0.0) / (ways[1] + 1.0),
    )
    worst = int(np.argmax(np.maximum(apart, turned * REACH))) if names else 0
    return (
        float(apart.max(initial=0.0)),
        float(turned.max(initial=0.0)),
        float(slowed),
        names[worst].removesuffix(" turning") if names else "",
    )


def _state(motion: Motion, t: float) -> Floats:
    """Places, angles and speeds of all bodies at a moment, (body_count, 6). [mm, rad, mm/s, rad/s]"""

    def at(moment: float) -> Floats:
        position = float(
            np.clip(
                np.interp(moment, motion.times, np.arange(len(motion.times))),
                0,
                len(motion.times) - 1,
            )
        )
        i = min(int(position), max(len(motion.times) - 2, 0))
        f = position - i
        after = min(i + 1, len(motion.times) - 1)
        return np.asarray((1 - f) * motion.poses[i] + f * motion.poses[after])

    half = SPEED_TIME / 2
    low, high = max(t - half, float(motion.times[0])), min(t + half, float(motion.times[-1]))
    speed = (at(high) - at(low)) / max(high - low, 1e-9)
    return np.concatenate([at(t), speed], 1)
