"""Which stretch of a motion a film shows, how fast, and what each of its pictures shows: always moments of the recorded clock."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

import numpy as np
from numpy.typing import NDArray

from animator.motion.looping import find_loop, is_show, joins
from animator.pictures.pages.words import turn_seconds
from animator.pictures.shot_list import ENDS, Stretch

if TYPE_CHECKING:
    from animator.findings.report import Report
    from animator.motion.motion import Motion
    from animator.scene.shots import Shot

Look = Literal["client", "bench"]
Style = Literal["rich", "thrifty"]
Picture = NDArray[np.uint8]

HOLD = 3.2  # s a piece that stands still at its end is shown standing
LEAST = 6.0  # s a film that goes round lasts at least, unless asked otherwise
WATCHED = (
    2.0,
    2.5,
)  # s; a shot that lasts less than the first is slowed until it lasts the second
SLOWEST = 1 / 64  # of the true speed; a shot shorter still stands at its end
HASTE = 1.0  # s; a bench film of anything that turns once in less is slowed
SLOWED = 0.25  # at a finding a film of a whole round may slow to a quarter, never more
GRAVE = ("jam", "stall", "float", "slip", "jerk", "slack", "buckle", "strain", "clash", "skip")


@dataclass(frozen=True)
class Take:
    """Which stretch of a motion is shown, and how.

    ``start`` and ``stop`` [s of the motion]; ``speed``: seconds of motion a second of film; ``hold``: how long the film stands at
    the end [s of film]; ``is_loop``: it goes round. At ``freeze`` [s of the motion] it stands for ``pause`` [s of film]. ``fade``: for how long
    the end of a loop that doesn't join passes softly into its beginning [s of film].
    """

    start: float
    stop: float
    speed: float = 1.0
    hold: float = 0.0
    is_loop: bool = True
    freeze: float | None = None
    pause: float = 0.0
    fade: float = 0.0

    @property
    def seconds(self) -> float:
        """Length once through. [s of film]"""
        return (self.stop - self.start) / self.speed + self.hold + self.pause

    def pictures(self, fps: float) -> list[Shown]:
        """Give what each picture shows, once through: always on the recorded clock."""
        count = max(1, round(self.seconds * fps))
        if self.is_loop:
            step = (self.stop - self.start) / count
            return [Shown(self.start + step * i) for i in range(count)]
        step = self.speed / fps
        if self.freeze is not None:
            before = math.ceil((self.freeze - self.start) / step - 1e-6)
            after = math.floor((self.stop - self.freeze) / step + 1e-6)
            made = [Shown(self.start + step * i) for i in range(before)]
            # the picture that stands is one and the same
            made += [
                Shown(self.freeze, 0.0, i / fps) for i in range(max(1, round(self.pause * fps)))
            ]
            made += [Shown(self.freeze + step * (i + 1)) for i in range(after)]
            end = self.freeze + step * after
            return made + [
                Shown(max(end, self.stop), (i + 1) / fps) for i in range(round(self.hold * fps))
            ]
        moving = (self.stop - self.start) / self.speed
        return [
            Shown(self.start + min(i / fps, moving) * self.speed, max(0.0, i / fps - moving))
            for i in range(count)
        ]


@dataclass(frozen=True)
class Shown:
    """What one picture shows: a moment of the motion [s]; for how long the film has stood at its end, or at its freeze, None before and after. [s of film]"""

    t: float
    held: float = 0.0
    frozen: float | None = None


def take_of(motion: Motion, look: Look, fps: float, stretch: Stretch | None = None) -> Take:
    """Choose the stretch to show: a shot's own, else the loop, else the whole run to where it stands still."""
    if stretch is not None:
        return _take_of_shot(motion, stretch)
    loop = find_loop(motion, fps)
    start, stop = loop.start_s, loop.start_s + loop.period_s
    if motion.end in ENDS:
        return Take(start, stop, 1.0, HOLD, False)
    if loop.is_show:
        return Take(start, stop, 1.0, 0.0, False)
    turn = turn_seconds(motion)
    speed = (
        SLOWED
        if look == "bench" and turn is not None and turn < HASTE and loop.period_s < 2 * HASTE
        else 1.0
    )
    return Take(start, stop, speed, 0.0, True, fade=loop.fade_s)


def _take_of_shot(motion: Motion, stretch: Stretch) -> Take:
    start, stop, shot = stretch.start, stretch.stop, stretch.shot
    if stretch.is_moment:
        return Take(start, start, 1.0, stretch.hold, False)
    is_over = motion.end in ENDS and stop >= float(motion.times[-1]) - 1e-6
    hold = HOLD if is_over else 0.0
    speed = shot.speed
    if stretch.freeze is not None:
        return Take(start, stop, speed, hold, False, stretch.freeze, stretch.hold)
    if (stop - start) / speed + hold < WATCHED[0]:
        # nobody can watch a third of a second
        speed = max(1 / math.ceil(WATCHED[1] / (stop - start)), min(speed, SLOWEST))
        hold = max(hold, WATCHED[1] - (stop - start) / speed)
    comes_back = (
        not is_over and hold <= 0 and not is_show(motion) and joins(motion, start, stop)
    )
    return Take(start, stop, speed, hold, comes_back)


def look_of(motion: Motion, report: Report | None, shot: Shot | None) -> Look:
    """Choose the look: a shot's own; the bench where there is something to find or the piece ends badly; else the client's."""
    if shot is not None:
        from_above = any(
            getattr(part, "shows_from_above", False) for part in motion.scene.parts.values()
        )
        # the plan of what can be seen from above lies on the bench
        return "bench" if shot.view == "top" and from_above else shot.look
    has_found = report is not None and any(f.code in GRAVE for f in report.findings)
    return "bench" if has_found or motion.end in (*ENDS, "not trusted") else "client"


def slowly(speed: float) -> str:
    """Say that a film is slower than the piece."""
    words = {2: "half", 4: "a quarter of", 8: "an eighth of"}
    part = words.get(round(1 / speed))
    return f"Shown at {part} its speed." if part else f"Shown {1 / speed:.0f} times slower."
