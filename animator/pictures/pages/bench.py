"""The maker's bench: the piece with what the run showed."""

from __future__ import annotations

import bisect
import itertools
import math
from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np

from animator.motion.looping import find_loop
from animator.pictures import marks, palette, plate
from animator.pictures.backdrops import ground_of
from animator.pictures.drawing import Drawing
from animator.pictures.ink import Canvas, Sheet, box, fill
from animator.pictures.lettering import fit, letter, sentence, width
from animator.pictures.moment import Moment
from animator.pictures.pages import signs, standing
from animator.pictures.pages.card import FindingCard
from animator.pictures.pages.client import frames_flat
from animator.pictures.pages.easing import eased
from animator.pictures.pages.glass import CloserLook, too_small_to_see
from animator.pictures.pages.instruments import Instruments
from animator.pictures.pages.jobs import TwoJobs, turned_by_rubbing
from animator.pictures.pages.places import places
from animator.pictures.pages.scale_bar import HIGH as RULE_HIGH
from animator.pictures.pages.scale_bar import ScaleBar
from animator.pictures.pages.told import by_weight, in_span
from animator.pictures.readings import count
from animator.pictures.stand import Stand
from animator.pictures.stuff import Stuffs

if TYPE_CHECKING:
    from animator.findings.report import Report
    from animator.motion.motion import Motion

ENDS = ("jammed", "stalled")
MOST_TAGS = 3
MOST_SIGNS = 4


class BenchPage:
    """The piece on the maker's bench with what the run showed: finding card, signs at the places, dial and strips.

    Parameters
    ----------
    motion, report
        What was recorded, and what is said of it.
    size_px
        Width and height. [px]
    span
        Stretch of the motion that the strips show: start and end. [s]
    is_plain
        Flat inks, for GIF.
    caption
        One line under the piece; '' for none.
    speed
        Seconds of motion a second of film: figures change at most five times a second of film. 0 for a single picture.
    view
        ``top`` shows what can be seen from above large, in the piece's place.
    pictures
        Moments that the film's pictures show, in order; () for a page that isn't part of a film. [s]
    backdrop
        ``bench``, ``evening``, ``plain`` or ``transparent``.
    scale_bar
        Whether a rule lies under the piece.
    """

    def __init__(
        self,
        motion: Motion,
        report: Report | None,
        size_px: tuple[int, int],
        span: tuple[float, float],
        is_plain: bool = False,
        caption: str = "",
        speed: float = 1.0,
        pictures: Sequence[float] = (),
        view: str = "front",
        backdrop: str = "bench",
        scale_bar: bool = False,
    ) -> None:
        self.motion, self.span, self.caption = motion, span, caption
        self.ground = ground_of(backdrop)
        self.calm_s = 0.2 * speed
        self.ends = motion.end in ENDS
        found = by_weight(report.findings) if report is not None else []
        self.findings = in_span(
            [f for f in found if f.code != "seam"], span, motion.end not in ENDS
        )
        seam = next((f for f in found if f.code == "seam"), None)
        loop = find_loop(motion) if seam is not None else None
        is_film = speed > 0
        if (
            is_film
            and seam is not None
            and loop is not None
            and abs(loop.start_s - span[0]) < 1e-6
        ):
            # told, never hidden
            unit = "°" if seam.unit == "deg" else f" {seam.unit}"
            jump = f"{seam.amount:.{0 if seam.amount >= 2 else 1}f}{unit}"
            told = sentence(caption) if caption else ""
            does = "passes softly over a jump of" if loop.join == "fades" else "jumps by"
            self.caption = f"{told} At its join the film {does} {jump}.".strip()
        self.stuffs = Stuffs(is_plain)
        self.from_above = {
            name
            for name, part in motion.scene.parts.items()
            if getattr(part, "shows_from_above", False)
        }
        self.is_top = view == "top" and bool(self.from_above)
        turned = None if self.is_top or self.ends else turned_by_rubbing(motion)
        self.looked_at = too_small_to_see(motion, self.findings)
        if is_plain or self.is_top:
            self.looked_at = None
        is_flat = frames_flat(motion)
        self.card = FindingCard(self.findings, motion.scene, is_plain)
        at = self.places = places(
            size_px,
            self.card.high,
            self.looked_at is not None,
            is_flat,
            scale_bar and not self.is_top,
            turned is not None,
        )
        self.sheet = Sheet(*size_px, unit=at.unit)
        self.stand = Stand(
            motion,
            self.stuffs,
            at.middle,
            at.foot,
            at.room,
            motion.scene.title,
            2.9,
            ground=self.ground,
            since=span[0] if turned is not None else None,
        )
        self.ticks = self._ticks(sorted(set(pictures)))
        self.bound = standing.bound(motion, self.findings) if self.ends else set()
        self.jobs: TwoJobs | None = None
        self.instruments: Instruments | None = None
        if turned is not None:
            self.jobs = TwoJobs(motion, self.findings, turned, span, self.stuffs, at.board)
        else:
            self.instruments = Instruments(
                motion,
                self.findings,
                span,
                self.stuffs,
                at.board,
                at.board_high,
                self.ends,
                self.calm_s if self.ticks else 0.0,
            )
        first = next(iter(self.findings), None)
        is_stuck = self.ends and first is not None and first.code in standing.STUCK
        self.is_late = is_stuck
        self.panel = (
            standing.StandingPanel(motion, first, self.instruments.effort)
            if is_stuck and first is not None and self.instruments is not None
            else None
        )
        self.glass = (
            CloserLook(self.sheet, self.stand, self.looked_at, self.stuffs, at.glass)
            if self.looked_at is not None
            else None
        )
        self.rule = (
            ScaleBar(self.stand.k, self.stuffs) if scale_bar and not self.is_top else None
        )
        self.plan = self._from_above() if self.is_top else None
        self._still()

    # ------------------------------------------------------------ what is shown
    def _ticks(self, pictures: Sequence[float]) -> list[float]:
        """Pictures at which the figures change: calmly, and always where something is found and at the last. [s]"""
        if self.calm_s <= 0 or not pictures:
            return []

        def picture(t: float) -> float:
            """Give the first picture at or after a moment."""
            return pictures[min(bisect.bisect_left(pictures, t - 1e-9), len(pictures) - 1)]

        first, last = pictures[0], pictures[-1]
        fixed = {first, last, *(picture(f.from_s) for f in self.findings if f.from_s > first)}
        ticks = [first]
        for a, b in itertools.pairwise(sorted(fixed)):
            n = max(1, math.floor((b - a) / self.calm_s + 1e-6))
            ticks += [picture(a + (b - a) * i / n) for i in range(1, n)] + [b]
        return ticks

    def _from_above(self) -> Drawing:
        """Plan of what can show itself from above, in the piece's place."""
        others = set(self.motion.scene.parts) - self.from_above
        trial = Drawing(self.motion, self.stuffs, 1.0, others, True)
        low, high = trial.sweep(trial.marks)
        at = self.places
        wide, tall = at.room[0] - 44, at.foot - 178
        k = min(tall / (high[1] - low[1]), wide / (high[0] - low[0]))
        self.plan_at = (
            at.middle - (low[0] + high[0]) / 2 * k,
            86 + tall / 2 + (low[1] + high[1]) / 2 * k,
            86 + tall + 40,
        )
        return Drawing(self.motion, self.stuffs, k, others, True)

    # ------------------------------------------------------------ what never moves
    def _ground(self, c: Canvas) -> None:
        w, h = self.sheet.w, self.sheet.h
        stand = self.stand
        # figures stand dark against the night: the lamp's light falls on the wall behind them
        middle = max((stand.high + stand.top) / 2 + 20, 84.0)
        # and not on the title
        pool = (stand.middle, middle, min(0.8 * stand.half, middle - 56))
        self.ground.wall(c, w, h, self.stuffs, palette.KRAFT, False, pool)
        self.ground.bench(c, w, h, self.places.foot - 42, self.stuffs)

    def _still(self) -> None:
        c = self.sheet.canvas
        self._ground(c)
        if not self.is_top:
            self.stand.settle(self.sheet)
            if self.stand.is_flat:
                tally = count(self.motion)
                is_lost = tally.lost_in_hundred() > signs.LOST_AT_ALL
                signs.legend(c, self.stand, signs.samples(self.stand, is_lost))
        self._name(c)
        if self.jobs is None and not self.is_late:
            self.card.draw(c, *self.places.card)
        self._board(c)
        self._foot(c)
        self.sheet.keep()

    def _board(self, c: Canvas, has_strips: bool = True) -> None:
        if self.jobs is not None:
            self.jobs.still(c)
        if self.instruments is not None:
            self.instruments.still(c, has_strips)
        if self.plan is not None:
            hue = fill(self.ground.soft)
            middle, y = self.places.middle, self.plan_at[2]
            letter(c, "seen from above", middle, y, "label", 22, hue, "c")

    def _name(self, c: Canvas) -> None:
        """Letter the piece's title and its variant small on the wall, where there is one and the piece leaves room."""
        scene, room = self.motion.scene, self.places.words
        if (self.stand.high < 64 and not self.is_top) or not self.ground.has_wall:
            return
        size = fit(scene.title, "title", 25, room, 1, 17)
        to = letter(c, scene.title, 34, 52, "title", size, fill(self.ground.words))
        if scene.variant and to + 12 + width(scene.variant, "text-i", 21) < room + 40:
            letter(c, scene.variant, to + 12, 52, "text-i", 21, fill(self.ground.words))

    def _foot(self, c: Canvas) -> None:
        """Draw what lies under the piece: the rule, and one line of words."""
        at = self.places
        y = self.stand.foot + (26 if not self.stand.is_flat else 4)
        if self.rule is not None:
            y += 8
            with self.ground.lamp(c):
                self.rule.draw(c, at.middle - self.rule.wide / 2, y)
            y += RULE_HIGH
        if not self.caption:
            return
        is_beside = at.card[0] > at.middle
        room = (at.card[0] if is_beside else self.sheet.w) - 60
        size = fit(self.caption, "text-i", 22, room, 1, 16)
        middle = at.middle if self.glass is None else (room + 60) / 2
        base = y + 30
        wide = width(self.caption, "text-i", size) + 28
        if self.ground.has_bench:
            left = middle - wide / 2 + 14
            plate.shade_for_words(c, left, base - 17, wide - 28, 22, self.stuffs.is_plain)
        if not self.ground.has_wall:  # words need paper under them
            c.drawPath(box(middle - wide / 2, base - 23, wide, 33, 3), fill(palette.PAPER_LIT))
        hue = fill(self.ground.on_bench)
        letter(c, self.caption, middle, base, "text-i", size, hue, "c")

    # ------------------------------------------------------------ drawn at a moment
    def draw(self, t: float, held: float) -> None:
        """Draw the page at a moment."""
        c, moment = self.sheet.canvas, self.stand.moment(t)
        drained = eased(held, 0.6) if self.ends else 0.0
        if drained > 0:
            self._drained(c, moment, drained, self._panel_share(held) < 1)
        else:
            self.sheet.fresh()
            if not self.is_top:
                self.stand.moving(c, moment)
        if not self.is_top:
            self._signs(c, moment, held)
        if self.is_late and held > 0:
            self.card.draw(c, *self.places.card, eased(held))
        # figures change at most five times a second: they tell the last fifth; a gap its greatest in it
        last = len(self.motion.times) - 1
        i = min(int(np.searchsorted(self.motion.times, t - 1e-9)), last)
        calm = since = i
        if held == 0 and self.ticks:
            n = max(0, bisect.bisect_right(self.ticks, t + 1e-7) - 1)
            tick, before = self.ticks[n], self.ticks[max(0, n - 1)]
            calm = min(int(np.searchsorted(self.motion.times, tick - 1e-9)), last)
            since = min(int(np.searchsorted(self.motion.times, before)), calm)
        if self.plan is not None:
            c.save()
            c.translate(*self.plan_at[:2])
            self.plan.draw(c, self.plan.moment(t), self.plan.marks)
            c.restore()
        if self.jobs is not None:
            self.jobs.moving(c, t, i, calm)
        if self.instruments is not None:
            shown = self._panel_share(held)
            self.instruments.moving(c, max(t, self.span[0]), i, calm, since, shown < 1)
            if self.panel is not None:
                self.panel.draw(c, *self.instruments.strips_at, shown)

    def _panel_share(self, held: float) -> float:
        """How far the panel of a standing piece has taken the strips' place, 0 to 1."""
        return eased(held - 0.2) if self.panel is not None else 0.0

    def _drained(self, c: Canvas, moment: Moment, share: float, has_strips: bool) -> None:
        """Print grey all that merely waits; what binds keeps its colour."""
        grey = standing.grey(share)
        if not self.ground.has_wall:
            self.sheet.clear()
        c.saveLayer(None, grey)
        self._ground(c)
        c.restore()
        if not self.is_top:
            self.stand.draw_through(c, moment, grey, self.bound)
        self._name(c)
        self._board(c, has_strips)
        self._foot(c)

    # ------------------------------------------------------------ signs at the places
    def _signs(self, c: Canvas, moment: Moment, held: float) -> None:
        t, stand, is_plain = moment.t, self.stand, self.stuffs.is_plain
        tags = 0
        for n, f in enumerate(self.findings[:MOST_SIGNS]):
            is_now = f.from_s - 1e-6 <= t <= f.to_s + 1e-6 or (
                held > 0 and f.code in standing.STUCK
            )
            if f.code == "jam" and held > 0:
                standing.remedy(c, stand, f, moment, eased(held - 0.6))
                standing.bites(c, stand, f, moment, eased(held, 0.6), is_plain)
                continue
            spot = signs.spot_of(stand, f, moment)
            if f is not self.findings[0] and tags < MOST_TAGS:
                x, y = self.places.tags[0], self.places.tags[1] + 66 * tags
                tags += 1
                if spot is not None and is_now:
                    marks.thread(c, x, y, f.code, spot)
                marks.tag(c, x, y, f.code, None, 25, 4 if n % 2 else -4, is_plain)
            elif (
                is_now
                and spot is not None
                and (self.glass is None or f.code != "float")
                and f.code not in ("jam", "slip")
            ):
                if f.code == "jerk":  # it is all of the part that turns unevenly, not one place
                    spot = signs.beside(stand, f.part, moment) or spot
                marks.mark(c, f.code, spot[0], spot[1], 15)
        if held == 0 or not self.ends:
            signs.touching(c, stand, moment, self.looked_at)
        signs.slipping(c, stand, moment)
        if self.glass is not None:
            self.glass.draw(c, moment)
