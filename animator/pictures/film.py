"""A film of one recorded motion: which moment each picture shows, and the pictures themselves.

The mechanism is never eased: it moves as recorded. A film goes round and round where the motion does; a piece that jams or stalls
plays to its end, and stands there long enough to be read.
"""

from __future__ import annotations

import bisect
import itertools
import math
from collections.abc import Sequence
from typing import TYPE_CHECKING

from animator.motion.looping import find_loop, is_show
from animator.pictures.clip import Clip, Ways
from animator.pictures.pages.bench import BenchPage
from animator.pictures.pages.client import ClientPage
from animator.pictures.shot_list import Stretch, stretch_of, stretches_of, time_of
from animator.pictures.take import HOLD, LEAST, Look, Picture, Style, look_of, take_of
from animator.scene.shots import Shot

if TYPE_CHECKING:
    from animator.findings.report import Report
    from animator.motion.motion import Motion
    from animator.scene.model import Scene

__all__ = ["HOLD", "Film", "Look", "Picture", "Style", "look_of", "still", "take_of", "time_of"]


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
        A stretch the scene names, or several, one after another; None shows the whole.
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
    clips : list of Clip
        The shots it is made of, in order.
    left_out : tuple of str
        Sentences about shots that this run doesn't have.

    Raises
    ------
    NotShown
        A shot names a finding that this run doesn't show.
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
        shot: Shot | Sequence[Shot] | None = None,
        backdrop: str | None = None,
        scale_bar: bool = False,
    ) -> None:
        self.motion, self.size, self.fps = motion, size, fps
        self.left_out: tuple[str, ...] = ()
        stretches: list[Stretch | None] = [None]
        if isinstance(shot, Shot):
            stretches = [stretch_of(motion, report, shot)]
        elif shot is not None:
            found, left_out = stretches_of(motion, report, shot)
            stretches, self.left_out = list(found), tuple(left_out)
        ways = Ways(motion, report, size, fps, style == "thrifty", backdrop, scale_bar)
        self.clips = [Clip(ways, stretch, look) for stretch in stretches]
        for before, clip in itertools.pairwise(self.clips):
            clip.come_from(before)
        first = self.clips[0]
        self.has_alpha = any(clip.backdrop == "transparent" for clip in self.clips)
        self.look, self.take, self.page = first.look, first.take, first.page
        self.starts = list(
            itertools.accumulate((len(clip.pictures) for clip in self.clips), initial=0)
        )
        self.distinct = self.starts[-1]
        is_alone = len(self.clips) == 1
        self.period_s = (
            self.take.seconds if is_alone and self.take.freeze is None else self.distinct / fps
        )
        if seconds is not None:
            self.frame_count = max(1, round(seconds * fps))
        elif is_alone and self.take.is_loop:
            self.frame_count = self.distinct * max(1, math.ceil(LEAST / self.period_s - 1e-9))
        else:
            self.frame_count = self.distinct

    @property
    def is_loop(self) -> bool:
        """The piece's clock goes on where the film comes round."""
        return len(self.clips) == 1 and self.take.is_loop

    @property
    def is_show(self) -> bool:
        """The piece stops by itself; what is heard with it is heard once."""
        return is_show(self.motion)

    def clip_of(self, index: int) -> tuple[Clip, int]:
        """Give the clip that a picture belongs to, and its number there."""
        i = index % self.distinct
        n = bisect.bisect_right(self.starts, i) - 1
        return self.clips[n], i - self.starts[n]

    def moment_of(self, index: int) -> tuple[float, float]:
        """Moment of the motion that a picture shows, and how long the film has stood there at its end. [s of motion, s of film]"""
        clip, i = self.clip_of(index)
        return clip.pictures[i].t, clip.pictures[i].held

    def frame(self, index: int) -> Picture:
        """Draw picture ``index``, (height, width, 4) RGBA; drawn over by the next call."""
        clip, i = self.clip_of(index)
        return clip.frame(i)


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
    page = still_page(motion, report, t, look, size, style == "thrifty", backdrop, scale_bar)
    return page.sheet.array


def still_page(
    motion: Motion,
    report: Report | None,
    t: float,
    look: Look,
    size: tuple[int, int],
    is_plain: bool = False,
    backdrop: str = "bench",
    scale_bar: bool = False,
) -> ClientPage | BenchPage:
    """Give a page that shows one moment of a motion, drawn. [s]"""
    page = (
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
    return page


def _round_of(motion: Motion, t: float) -> tuple[float, float]:
    """Stretch that the strips show round a moment: the round of the loop it lies in, else the whole run. [s]"""
    loop = find_loop(motion)
    first, last = float(motion.times[0]), float(motion.times[-1])
    if not loop.is_closed:
        return (first if t < float(motion.times[motion.begins]) else min(loop.start_s, t), last)
    start = loop.start_s + math.floor((t - loop.start_s) / loop.period_s + 1e-9) * loop.period_s
    if start + loop.period_s > last + 1e-6:
        start = last - loop.period_s  # a round that was run to its end
    if start < first:
        return first, max(loop.start_s, t)
    return start, start + loop.period_s
