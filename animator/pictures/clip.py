"""One shot of a film: its page, its camera, and its pictures one after another."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from animator.geometry import Point
from animator.motion.looping import find_loop, joins
from animator.pictures import camera
from animator.pictures.camera import (
    Window,
    approach,
    bounds_of,
    centred,
    followed,
    framed,
    home,
)
from animator.pictures.lettering import sentence
from animator.pictures.pages._contract import Page
from animator.pictures.pages.bench import BenchPage
from animator.pictures.pages.client import ClientPage
from animator.pictures.pages.close import ClosePage
from animator.pictures.pages.easing import eased
from animator.pictures.pages.told import by_weight, in_span
from animator.pictures.shot_list import WORDS, Stretch, here
from animator.pictures.take import Look, Picture, look_of, slowly, take_of

if TYPE_CHECKING:
    from animator.findings.report import Finding, Report
    from animator.motion.motion import Motion

CALM = 5.0  # figures change at most so often a second
SETTLED = 1.5  # s after which nothing more comes where a film stands
NEARER = (
    2.0  # times the picture comes nearer to a finding at a freeze, where the shot doesn't say
)
ZOOM = 0.9  # s a camera takes to come nearer, or to go back,
AFTER = 0.2  # s of them after the picture has begun to stand
BACK = 2.0  # s of film that must be left after a freeze for the camera to go back
GLIDE = 1.2  # s a camera takes from one shot to the next
SOFT = 0.3  # s in which words come and go at its ends
WIDE = 2.2  # times nearer than the whole piece is a picture that follows a part,
ROOMY = 2.4  # but at least so many times as high as the part


@dataclass(frozen=True)
class Ways:
    """What all shots of a film share."""

    motion: Motion
    report: Report | None
    size: tuple[int, int]
    fps: float
    is_plain: bool
    backdrop: str | None
    scale_bar: bool


class Clip:
    """The pictures of one shot.

    Parameters
    ----------
    ways
        What the film's shots share.
    stretch
        The shot on the clock; None for the whole motion.
    look
        ``client`` or ``bench``; None takes the shot's own.

    Attributes
    ----------
    pictures : list of Shown
        What each picture shows.
    windows : list of Window
        What the camera sees in each of them; empty where the page stands as it is.
    """

    def __init__(self, ways: Ways, stretch: Stretch | None, look: Look | None) -> None:
        self.ways, self.stretch = ways, stretch
        shot = stretch.shot if stretch is not None else None
        motion = ways.motion
        self.look: Look = look or look_of(motion, ways.report, shot)
        self.take = take_of(motion, self.look, ways.fps, stretch)
        self.pictures = self.take.pictures(ways.fps)
        self.backdrop = (
            ways.backdrop or (shot.backdrop if shot is not None else None) or "bench"
        )
        caption = shot.caption if shot is not None else ""
        if self.take.speed < 1:
            caption = (
                f"{sentence(caption) if caption else ''} {slowly(self.take.speed)}".strip()
            )
        self.caption = caption
        self.finding = self._subject()
        self.close: ClosePage | None = None
        self.windows: list[Window] = []
        self.told: list[float] = []
        if stretch is not None and self._is_framed(stretch):
            self.close = self._closer(caption)
            self.windows = self._windows(stretch, self.close)
            self.told = self._telling()
            self.page: Page = self.close
        else:
            self.page = self._page()
        self._before: Clip | None = None
        self._glide: list[Window] = []
        self._glider: ClosePage | None = None
        self._shown: tuple[float, float] | None = None

    # ------------------------------------------------------------ pages
    def _page(self) -> Page:
        ways, take = self.ways, self.take
        if self.look == "client":
            return ClientPage(
                ways.motion,
                ways.size,
                ways.is_plain,
                self.caption,
                self.backdrop,
                ways.scale_bar,
            )
        return BenchPage(
            ways.motion,
            ways.report,
            ways.size,
            (take.start, take.stop),
            ways.is_plain,
            self.caption,
            take.speed,
            [shown.t for shown in self.pictures],
            self.stretch.shot.view if self.stretch is not None else "front",
            self.backdrop,
            ways.scale_bar,
        )

    def _closer(self, caption: str) -> ClosePage:
        ways = self.ways
        return ClosePage(
            ways.motion,
            self.finding,
            self.look,
            ways.size,
            ways.is_plain,
            caption,
            self.backdrop,
        )

    def _is_framed(self, stretch: Stretch) -> bool:
        """Tell whether a camera is needed; what is seen from above has its own page."""
        shot = stretch.shot
        if shot.view == "top" and self.look == "bench":
            return False
        return bool(shot.on) or shot.follow is not None or self.nearer > 1

    @property
    def nearer(self) -> float:
        """How many times nearer the picture comes at its freeze."""
        if self.stretch is None or self.stretch.freeze is None:
            return 1.0
        shot = self.stretch.shot
        if shot.closer is not None:
            return shot.closer
        return NEARER if self.stretch.finding is not None and not shot.on else 1.0

    def _subject(self) -> Finding | None:
        """Give the finding that a shot is about: the one it names, else the gravest in its stretch."""
        if self.stretch is not None and self.stretch.finding is not None:
            return self.stretch.finding
        start, stop = self.take.start, self.take.stop
        found = [f for f in by_weight(here(self.ways.report)) if f.code in WORDS]
        loop = find_loop(self.ways.motion)
        # what happens in one round of a loop that closes happens in each
        span = (start, start + loop.period_s)
        brought = in_span(found, span, loop.is_closed and stop <= span[1] + 1e-6)
        inside = [f for f in brought if f.from_s <= stop and f.to_s >= start]
        return inside[0] if inside else None

    # ------------------------------------------------------------ camera
    def _seconds(self, i: int) -> float:
        return i / self.ways.fps

    def _windows(self, stretch: Stretch, page: ClosePage) -> list[Window]:
        shot, h = stretch.shot, page.sheet.h
        count = len(self.pictures)
        base = [page.home] * count
        times = [shown.t for shown in self.pictures]
        if shot.on:
            bounds = bounds_of(page.stand, shot.on, camera.sampled(page.stand, times))
            if bounds is not None:
                window = framed(bounds, page.free, h, h / page.home.high, shot.margin)
                base = [window] * count
        elif shot.follow is not None:
            base = self._following(shot.follow, page, times)
        if stretch.freeze is None or self.nearer <= 1:
            return base
        first = next(i for i, shown in enumerate(self.pictures) if shown.frozen is not None)
        last = max(i for i, shown in enumerate(self.pictures) if shown.frozen is not None)
        here_ = base[first]
        spot = page.spot(self.finding, stretch.freeze) if self.finding is not None else None
        high = max(here_.high / self.nearer, page.home.high / camera.MOST_NEAR)
        target = (
            Window(here_.x, here_.y, high)
            if spot is None
            else centred(spot, high, page.free, h)
        )
        begins, ends = self._seconds(first) + AFTER, self._seconds(last + 1)
        if self._seconds(count) - ends < BACK:
            ends = math.inf
        return [
            window.mixed(target, approach(self._seconds(i), begins, ends, ZOOM))
            for i, window in enumerate(base)
        ]

    def _following(
        self, followed_: tuple[str, str], page: ClosePage, times: list[float]
    ) -> list[Window]:
        part, point = followed_
        stand = page.stand
        moments = [stand.moment(t) for t in times]
        own = bounds_of(stand, [part], moments[:1])
        tall = 0.0 if own is None else max(own[2] - own[0], own[3] - own[1])
        place: str | Point = point
        if not point and own is not None:
            # the middle of the part, wherever it is held
            pose = moments[0].pose(part)
            x, y = (own[0] + own[2]) / 2 - pose.x, (own[1] + own[3]) / 2 - pose.y
            c, s = math.cos(pose.angle), math.sin(pose.angle)
            place = (c * x + s * y, c * y - s * x)
        path = np.array([moment.point(part, place) for moment in moments])
        high = min(page.home.high, max(page.home.high / WIDE, ROOMY * tall))
        way = followed(path, self.ways.fps, high)
        return [
            centred((float(x), float(y)), high, page.free, page.sheet.h)
            for x, y in way.tolist()
        ]

    def _telling(self) -> list[float]:
        """How far the finding's words have come in each picture."""
        count = len(self.pictures)
        if self.finding is None:
            return [0.0] * count
        assert self.stretch is not None
        if self.stretch.is_moment:
            first = 0
        elif self.stretch.freeze is not None and self.stretch.finding is not None:
            first = next(i for i, shown in enumerate(self.pictures) if shown.frozen is not None)
        else:
            begins = self.finding.from_s - 1e-6
            first = next(
                (i for i, shown in enumerate(self.pictures) if shown.t >= begins), count
            )
        if first == 0:
            return [1.0] * count
        return [eased(self._seconds(i - first + 1)) for i in range(count)]

    def _calm(self, i: int) -> float:
        """Give the moment whose figures are told: changed at most five times a second, and always where the picture comes to stand. [s]"""
        shown = self.pictures[i]
        if shown.frozen is not None or shown.held > 0:
            return shown.t
        step = math.ceil(self.ways.fps / CALM - 1e-9)
        stands = [n for n, each in enumerate(self.pictures) if each.frozen or each.held > 0]
        first = next(
            (n for n, each in enumerate(self.pictures) if each.frozen is not None), None
        )
        first = first if first is not None else (stands[0] if stands else None)
        if first is not None and i < first:
            # counted back from where it stands
            return self.pictures[max(0, first - step * math.ceil((first - i) / step))].t
        origin = (
            0
            if first is None
            else max(n for n, e in enumerate(self.pictures[: i + 1]) if e.frozen is not None)
        )
        return self.pictures[origin + (i - origin) // step * step].t

    # ------------------------------------------------------------ coming from another shot
    def come_from(self, before: Clip) -> None:
        """Go on from the shot before: by a glide of the camera if this one asks for it and the piece stands as it did there."""
        if self.stretch is None or self.stretch.shot.move != "glide":
            return
        last, first = before.pictures[-1].t, self.pictures[0].t
        step = max(self.take.speed, before.take.speed) / self.ways.fps
        goes_on = abs(first - last) <= 2 * step or joins(self.ways.motion, last + step, first)
        if not goes_on or before.backdrop != self.backdrop:
            return
        count = min(round(GLIDE * self.ways.fps), len(self.pictures) - 1)
        start = before.window(len(before.pictures) - 1)
        self._before = before
        self._glider = self.close or self._closer(self.caption)
        self._glide = [
            start.mixed(self.window(i), eased((i + 1) / (count + 1), 1.0)) for i in range(count)
        ]

    def window(self, i: int) -> Window:
        """Give what is seen in a picture."""
        if self.windows:
            return self.windows[i]
        page = self.page
        assert isinstance(page, ClientPage | BenchPage)
        return home(page.stand, page.sheet.w, page.sheet.h)

    # ------------------------------------------------------------ pictures
    def frame(self, i: int) -> Picture:
        """Draw picture ``i`` of the shot; drawn over by the next call."""
        if i < len(self._glide):
            return self._gliding(i)
        fade = min(round(self.take.fade * self.ways.fps), len(self.pictures) // 2)
        into = i - (len(self.pictures) - fade)
        if into < 0:
            return self._own(i)
        # the end of the loop passes into what came before its beginning
        t = self.pictures[i].t
        share = eased((into + 1) / (fade + 1), 1.0)
        over = self._drawn(t, 0.0).copy()
        return _mixed(over, self._drawn(t - (self.take.stop - self.take.start), 0.0), share)

    def _own(self, i: int) -> Picture:
        shown = self.pictures[i]
        if self.close is None:
            return self._drawn(shown.t, min(shown.held, SETTLED))
        beside = [self.windows[n] for n in (i - 1, i + 1) if 0 <= n < len(self.windows)]
        self.close.show(
            shown.t,
            min(shown.held, SETTLED),
            self.windows[i],
            self.told[i],
            self._calm(i),
            self.windows[i] in beside or len(self.windows) == 1,
        )
        return self.close.sheet.array

    def _drawn(self, t: float, held: float) -> Picture:
        """Draw the page as it stands."""
        if (t, held) != self._shown:
            self.page.draw(t, held)
            self._shown = t, held
        return self.page.sheet.array

    def _gliding(self, i: int) -> Picture:
        assert self._before is not None
        assert self._glider is not None
        shown, page = self.pictures[i], self._glider
        told = self.told[i] if self.told else 0.0
        page.show(shown.t, 0.0, self._glide[i], told, self._calm(i), False)
        picture = page.sheet.array
        come = eased((i + 1) / self.ways.fps, SOFT)
        if come < 1:
            picture = _mixed(self._before.last_at(shown.t).copy(), picture.copy(), come)
        left = (len(self._glide) - i) / self.ways.fps
        if self.close is None and left < SOFT:
            picture = _mixed(picture.copy(), self._drawn(shown.t, 0.0), 1 - eased(left, SOFT))
        return picture

    def last_at(self, t: float) -> Picture:
        """Draw the shot's last picture, the piece standing as at another moment. [s]"""
        if self.close is None:
            return self._drawn(t, 0.0)
        self.close.show(
            t, 0.0, self.windows[-1], self.told[-1], self._calm(len(self.pictures) - 1)
        )
        return self.close.sheet.array


def _mixed(below: Picture, above: Picture, share: float) -> Picture:
    """Give one picture seen through another: in 256 steps, so that it is the same everywhere."""
    part = round(256 * share)
    mixed = below.astype(np.uint16) * (256 - part) + above.astype(np.uint16) * part + 128
    return (mixed >> 8).astype(np.uint8)
