"""A film of one recorded motion: which moment each picture shows, and the pictures themselves.

The mechanism is never eased: it moves as recorded. A film goes round and round where the motion does; a piece that jams or stalls
plays to its end, and stands there long enough to be read.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

import numpy as np
from numpy.typing import NDArray

from animator.motion.looping import find_loop, main_angle
from animator.pictures.lettering import sentence
from animator.pictures.pages._contract import Page
from animator.pictures.pages.bench import BenchPage
from animator.pictures.pages.client import ClientPage
from animator.pictures.pages.words import turn_seconds

if TYPE_CHECKING:
    from animator.findings.report import Report
    from animator.motion.motion import Motion
    from animator.scene.model import Scene
    from animator.scene.shots import Moment as When
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
GRAVE = ("jam", "stall", "float", "slip", "jerk", "slack", "buckle", "clash", "skip")


@dataclass(frozen=True)
class Take:
    """Which stretch of a motion is shown, and how.

    ``start`` and ``stop`` [s of the motion]; ``speed``: seconds of motion a second of film; ``hold``: how long the film stands at
    the end [s of film]; ``is_loop``: it goes round.
    """

    start: float
    stop: float
    speed: float = 1.0
    hold: float = 0.0
    is_loop: bool = True

    @property
    def seconds(self) -> float:
        """Length once through. [s of film]"""
        return (self.stop - self.start) / self.speed + self.hold


def time_of(motion: Motion, when: When) -> float:
    """Time of a moment that a scene names: by the clock, or by the main shaft's turning. [s]"""
    if when.time is not None:
        return min(when.time, float(motion.times[-1]))
    angle = np.maximum.accumulate(main_angle(motion))
    i = int(np.searchsorted(angle, (when.angle or 0.0) - 1e-9))
    if i == 0 or i >= len(angle):
        return float(motion.times[min(i, len(angle) - 1)])
    low, high = angle[i - 1], angle[i]
    share = ((when.angle or 0.0) - low) / (high - low) if high > low else 0.0
    return float(motion.times[i - 1] + share * (motion.times[i] - motion.times[i - 1]))


def take_of(motion: Motion, look: Look, fps: float, shot: Shot | None = None) -> Take:
    """Choose the stretch to show: a shot's own, else the loop, else the whole run to where it stands still."""
    if shot is not None:
        start = time_of(motion, shot.start)
        if shot.end is None:
            return Take(start, start, 1.0, shot.hold, False)
        stop = max(time_of(motion, shot.end), start + 1e-3)
        is_over = motion.end in ("jammed", "stalled") and stop >= float(motion.times[-1]) - 1e-6
        hold = HOLD if is_over else 0.0
        speed = shot.speed
        if (stop - start) / speed + hold < WATCHED[0]:
            # nobody can watch a third of a second
            speed = max(1 / math.ceil(WATCHED[1] / (stop - start)), min(speed, SLOWEST))
            hold = max(hold, WATCHED[1] - (stop - start) / speed)
        return Take(start, stop, speed, hold, not is_over and hold <= 0)
    loop = find_loop(motion, fps)
    if motion.end in ("jammed", "stalled"):
        return Take(loop.start_s, loop.start_s + loop.period_s, 1.0, HOLD, False)
    turn = turn_seconds(motion)
    speed = (
        SLOWED
        if look == "bench" and turn is not None and turn < HASTE and loop.period_s < 2 * HASTE
        else 1.0
    )
    return Take(loop.start_s, loop.start_s + loop.period_s, speed, 0.0, True)


def look_of(motion: Motion, report: Report | None, shot: Shot | None) -> Look:
    """Choose the look: a shot's own; the bench where there is something to find or the piece ends badly; else the client's."""
    if shot is not None:
        from_above = any(
            getattr(part, "shows_from_above", False) for part in motion.scene.parts.values()
        )
        # the plan of what can be seen from above lies on the bench
        return "bench" if shot.view == "top" and from_above else shot.look
    has_found = report is not None and any(f.code in GRAVE for f in report.findings)
    return (
        "bench" if has_found or motion.end in ("jammed", "stalled", "not trusted") else "client"
    )


class Film:
    """The pictures of a film, drawn when asked for.

    Parameters
    ----------
    motion
        What was recorded.
    scene
        The scene it is of; None takes the motion's own.
    report
        What is said of the run; None says nothing.
    look
        ``client`` or ``bench``; None chooses.
    size
        Width and height. [px]
    fps
        Pictures a second.
    seconds
        Length; None shows a piece that goes round for a whole number of rounds, and anything else once.
    style
        ``rich``, or ``thrifty`` for GIF.
    shot
        A stretch the scene names; None shows the whole.
    backdrop
        What the piece stands on: ``bench``, ``evening``, ``plain`` or ``transparent``; None chooses the bench.
    scale_bar
        Whether a rule of true length lies under the piece.

    Attributes
    ----------
    frame_count, distinct : int
        Pictures in the film, and after how many they come round again.
    period_s : float
        Length once round. [s of film]
    has_alpha : bool
        The pictures are clear where nothing is.
    """

    def __init__(
        self,
        motion: Motion,
        scene: Scene | None = None,
        report: Report | None = None,
        look: Look | None = None,
        size: tuple[int, int] = (1280, 720),
        fps: float = 30.0,
        seconds: float | None = None,
        style: Style = "rich",
        shot: Shot | None = None,
        backdrop: str | None = None,
        scale_bar: bool = False,
    ) -> None:
        self.motion, self.size, self.fps = motion, size, fps
        backdrop = backdrop or "bench"
        self.has_alpha = backdrop == "transparent"
        self.look = look or look_of(motion, report, shot)
        self.take = take_of(motion, self.look, fps, shot)
        self.distinct = max(1, round(self.take.seconds * fps))
        self.period_s = self.take.seconds
        if seconds is not None:
            self.frame_count = max(1, round(seconds * fps))
        elif self.take.is_loop:
            self.frame_count = self.distinct * max(1, math.ceil(LEAST / self.period_s - 1e-9))
        else:
            self.frame_count = self.distinct
        caption = shot.caption if shot is not None else ""
        if self.take.speed < 1:
            caption = (
                f"{sentence(caption) if caption else ''} {slowly(self.take.speed)}".strip()
            )
        is_plain = style == "thrifty"
        self.page: Page = (
            BenchPage(
                motion,
                report,
                size,
                (self.take.start, self.take.stop),
                is_plain,
                caption,
                self.take.speed,
                [self.moment_of(i)[0] for i in range(self.distinct)],
                shot.view if shot is not None else "front",
                backdrop,
                scale_bar,
            )
            if self.look == "bench"
            else ClientPage(motion, size, is_plain, caption, backdrop, scale_bar)
        )
        self._shown: tuple[float, float] | None = None

    def moment_of(self, index: int) -> tuple[float, float]:
        """Moment of the motion that a picture shows, and how long the film has stood there. [s of motion, s of film]"""
        i = index % self.distinct
        take = self.take
        if take.is_loop:
            return take.start + (take.stop - take.start) * i / self.distinct, 0.0
        at = i / self.fps
        moving = (take.stop - take.start) / take.speed
        return take.start + min(at, moving) * take.speed, max(0.0, at - moving)

    def frame(self, index: int) -> Picture:
        """Draw picture ``index``, (height, width, 4) RGBA; drawn over by the next call."""
        shown = self.moment_of(index)
        settled = (
            self._shown is not None
            and shown[0] == self._shown[0]
            and min(shown[1], self._shown[1]) > 1.0
        )
        if shown != self._shown and not settled:
            self.page.draw(*shown)
            self._shown = shown
        return self.page.sheet.array


def slowly(speed: float) -> str:
    """Say that a film is slower than the piece."""
    words = {2: "half", 4: "a quarter of", 8: "an eighth of"}
    part = words.get(round(1 / speed))
    return f"Shown at {part} its speed." if part else f"Shown {1 / speed:.0f} times slower."


def still(
    motion: Motion,
    report: Report | None,
    t: float,
    look: Look,
    size: tuple[int, int],
    style: Style = "rich",
    backdrop: str = "bench",
    scale_bar: bool = False,
) -> Picture:
    """Draw one picture of a motion at a time. [s]"""
    is_plain = style == "thrifty"
    page: Page = (
        BenchPage(
            motion,
            report,
            size,
            _round_of(motion, t),
            is_plain,
            speed=0.0,
            backdrop=backdrop,
            scale_bar=scale_bar,
        )
        if look == "bench"
        else ClientPage(motion, size, is_plain, backdrop=backdrop, scale_bar=scale_bar)
    )
    is_over = motion.end in ("jammed", "stalled") and t >= float(motion.times[-1]) - 1e-9
    page.draw(t, HOLD if is_over else 0.0)
    return page.sheet.array


def _round_of(motion: Motion, t: float) -> tuple[float, float]:
    """Stretch that the strips show round a moment: the round of the loop it lies in, else the whole run. [s]"""
    loop = find_loop(motion)
    first, last = float(motion.times[0]), float(motion.times[-1])
    if not loop.is_closed:
        return (first if t < float(motion.times[motion.begins]) else min(loop.start_s, t), last)
    start = loop.start_s + math.floor((t - loop.start_s) / loop.period_s + 1e-9) * loop.period_s
    if start < first:
        return first, max(loop.start_s, t)
    return start, start + loop.period_s
