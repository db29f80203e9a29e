"""Variants of one piece side by side: one clock, one scale, counted turns got and due, and what was lost beneath each.

Where a belt or a chain drives a roundabout, one look must do: a red bar where the wheel is, a dashed bar where it ought to be, between
them the missing slice; the same three below, above and in the count.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from animator.motion.looping import find_loop, main_angle
from animator.pictures import marks, palette, plate
from animator.pictures.ink import DESIGN_HEIGHT, Canvas, Sheet, box, fill, poly, stroke
from animator.pictures.lettering import fit, letter, width, wrap
from animator.pictures.moment import Moment
from animator.pictures.pages import signs
from animator.pictures.pages.client import frames_flat
from animator.pictures.pages.signs import witness
from animator.pictures.pages.told import by_weight
from animator.pictures.pages.words import seconds_of, turn_seconds
from animator.pictures.palette import INK, INK_FAINT, INK_SOFT
from animator.pictures.readings import Count, Series, actors, count, meant, spins
from animator.pictures.stand import Stand
from animator.pictures.stuff import Stuffs, paper

if TYPE_CHECKING:
    from animator.findings.report import Finding, Report
    from animator.motion.motion import Motion

Picture = NDArray[np.uint8]

HOLD = 2.5  # s the last count stands still to be read
MOST_ROOFS = 6  # more turns than this are told in figures only
LOST_AT_ALL = 0.5  # turns lost in a hundred; less is rounding
STUCK = ("jammed", "stalled")
NEVER = 2.5  # degrees; what stops before has never started


class Column:
    """One variant: its name, the piece, the count and the loss."""

    def __init__(self, name: str, motion: Motion, report: Report | None) -> None:
        self.name, self.motion = name[:1].upper() + name[1:], motion
        self.findings: list[Finding] = by_weight(report.findings) if report is not None else []
        spun = spins(motion)
        self.word = "turn" if spun is None else "spin"
        self.tally: Count = count(motion) if spun is None else spun
        self.actor = next((a for a in actors(motion) if a.word != "turn"), None)
        self.loop = find_loop(motion)
        self.repeats = self.loop.is_closed and motion.end not in STUCK
        self.stand: Stand | None = None
        self.stuck_rate = self._stuck_rate()

    def _stuck_rate(self) -> float:
        """Turns a second that go on falling due while the piece stands; 0 for one that didn't stop. [1/s]"""
        seconds = turn_seconds(self.motion)
        return 1 / seconds if seconds and self.motion.end in STUCK else 0.0

    def due(self, t: float, most: float) -> float:
        """Turns due at a time on the common clock; at most so many as the others have."""
        over = max(0.0, t - float(self.motion.times[-1])) * self.stuck_rate
        here = max(0.0, self.reading(self.tally.due, t))
        return min(here + over, max(most, here)) if over else here

    def shown(self, t: float) -> tuple[float, int]:
        """Moment of the run shown at a time on the common clock [s], and how many rounds were added to reach it.

        A run that repeats goes on round its loop; any other stays as it ended.
        """
        last = float(self.motion.times[-1])
        if t <= last or not self.repeats:
            return min(t, last), 0
        rounds = math.ceil((t - last) / self.loop.period_s - 1e-9)
        return t - rounds * self.loop.period_s, rounds

    def reading(self, values: Series, t: float) -> float:
        """Value of something that is counted, at a time on the common clock."""
        i, rounds = self.at(t), self.shown(t)[1]
        if not rounds:
            return float(values[i])
        start, stop = self.loop.start_s, self.loop.start_s + self.loop.period_s
        low, high = (float(np.interp(at, self.motion.times, values)) for at in (start, stop))
        return float(values[i]) + rounds * (high - low)

    def at(self, t: float) -> int:
        """Sample shown at a time on the common clock."""
        return min(
            int(np.searchsorted(self.motion.times, self.shown(t)[0] - 1e-9)),
            len(self.motion.times) - 1,
        )


class Comparison:
    """A film of all variants at once.

    Parameters
    ----------
    variants
        (name, motion, report) of each; the report may be None.
    size
        Width and height. [px]
    fps
        Pictures a second.
    seconds
        Length; None shows all of the longest run, then holds.
    style
        ``rich``, or ``thrifty`` for GIF.
    """

    def __init__(
        self,
        variants: Sequence[tuple[str, Motion, Report | None]],
        size: tuple[int, int] = (1280, 720),
        fps: float = 30.0,
        seconds: float | None = None,
        style: str = "rich",
    ) -> None:
        if not variants:
            raise ValueError("nothing to compare")
        self.columns = [Column(*row) for row in variants]
        self.size, self.fps = size, fps
        self.stuffs = Stuffs(style == "thrifty")
        self.start = min(
            float(column.motion.times[column.motion.begins]) for column in self.columns
        )
        self.stop = max(float(column.motion.times[-1]) for column in self.columns)
        self.most_due = max(
            column.reading(column.tally.due, self.stop) for column in self.columns
        )
        self.period_s = self.stop - self.start + HOLD
        self.distinct = max(1, round(self.period_s * fps))
        self.frame_count = self.distinct if seconds is None else max(1, round(seconds * fps))
        self.sheet = Sheet(
            *size, unit=min(size[1] / DESIGN_HEIGHT, size[0] / (60 + 280 * len(self.columns)))
        )
        self._lay_out()
        self._still()

    # ------------------------------------------------------------ layout
    def _lay_out(self) -> None:
        self.wide = (self.sheet.w - 60) / len(self.columns)
        self.lift = 0.0
        trial = [self._stand(column, 0, None) for column in self.columns]
        k = min(stand.k for stand in trial)
        extent = None
        if all(stand.is_flat for stand in trial):
            corners = [stand.extent for stand in trial]
            extent = (
                min(c[0] for c in corners),
                min(c[1] for c in corners),
                max(c[2] for c in corners),
                max(c[3] for c in corners),
            )
            k = min(k, (self.wide - 32) / (extent[2] - extent[0]))
        for i, column in enumerate(self.columns):
            column.stand = self._stand(column, i, k, extent)
        # low pieces in narrow columns: bring them and what is said of them to the middle of the sheet
        free = (
            min(column.stand.high for column in self.columns if column.stand is not None) - 96
        )
        if free > 60:
            self.lift = 0.5 * free
            for i, column in enumerate(self.columns):
                column.stand = self._stand(column, i, k, extent)

    @property
    def foot(self) -> float:
        """Lower edge of what is compared."""
        return self.columns[0].stand.foot if self.columns[0].stand is not None else 0.0

    def _stand(
        self,
        column: Column,
        i: int,
        k: float | None,
        extent: tuple[float, float, float, float] | None = None,
    ) -> Stand:
        h = self.sheet.h
        middle = 30 + self.wide * (i + 0.5)
        is_first = i == 0
        # a cabinet has its base and the bench below its foot, a board has not
        foot = (h - 226.0 if frames_flat(column.motion) else h - 252.0) - self.lift
        return Stand(
            column.motion,
            self.stuffs,
            middle,
            foot,
            (self.wide - 32, foot - 76),
            column.motion.scene.title,
            2.6,
            k,
            extent,
            is_first,
        )

    def _still(self) -> None:
        c, w, h, s = self.sheet.canvas, self.sheet.w, self.sheet.h, self.stuffs
        plate.wall(c, w, h, s, palette.PAPER, False)
        plate.border(c, 16, 16, w - 32, h - 32, alpha=1 if s.is_plain else 0.6)
        stands = [column.stand for column in self.columns if column.stand is not None]
        if all(stand.is_flat for stand in stands):
            if stands[0].ride is not None:
                plate.fold(c, 20, w - 20, stands[0].fold_y, s.is_plain)
                letter(
                    c,
                    "from the side",
                    stands[0].middle - stands[0].half,
                    stands[0].fold_y - 164 * stands[0].ride.size,
                    "label",
                    21,
                    fill(INK_SOFT),
                )
        else:
            plate.bench(c, w, self.foot + 44, self.foot - 14, s)
            c.drawPath(
                box(0, self.foot + 44, w, h - self.foot - 44),
                fill(palette.PAPER) if s.is_plain else paper(palette.PAPER),
            )
            c.drawLine(0, self.foot + 44, w, self.foot + 44, stroke(INK, 1.6, 0.9))
            plate.border(c, 16, 16, w - 32, h - 32, alpha=1 if s.is_plain else 0.6)
        for i, column in enumerate(self.columns):
            x = 30 + self.wide * i
            assert column.stand is not None
            column.stand.backdrop(c, min(150.0, 0.36 * self.wide), 72.0)
            column.stand.settle(self.sheet)
            size = fit(column.name, "title", 30, self.wide - 24, 1, 18)
            letter(c, column.name, x + self.wide / 2, 54, "title", size, fill(INK), "c")
            if i:
                c.drawLine(x, 36, x, h - 74, stroke(INK_FAINT, 1.2))
            if column.motion.slips and column.stand.is_flat:
                is_lost = column.tally.lost_in_hundred() > LOST_AT_ALL
                signs.legend(c, column.stand, signs.samples(column.stand, is_lost))
        self.line_y = h - 36.0
        self.sheet.keep()

    # ------------------------------------------------------------ drawing
    def moment_of(self, index: int) -> float:
        """Time on the common clock that a picture shows. [s]"""
        return min(self.start + (index % self.distinct) / self.fps, self.stop)

    def frame(self, index: int) -> Picture:
        """Draw picture ``index``, (height, width, 4) RGBA; drawn over by the next call."""
        return self.draw(self.moment_of(index))

    def draw(self, t: float) -> Picture:
        """Draw the comparison at a time on the common clock. [s]"""
        c = self.sheet.canvas
        self.sheet.fresh()
        for i, column in enumerate(self.columns):
            stand = column.stand
            assert stand is not None
            moment = stand.moment(column.shown(t)[0])
            stand.moving(c, moment)
            self._witness(c, stand, moment)
            self._count(c, 30 + self.wide * i, column, self._calm(t))
            self._lane(c, 30 + self.wide * i, column, t)
        self._common_line(c, self._calm(t))
        return self.sheet.array

    def _calm(self, t: float) -> float:
        """Time that the figures tell: they change at most five times a second. [s]"""
        return t if t >= self.stop else max(self.start, math.floor(t * 5 + 1e-9) / 5)

    def _witness(self, c: Canvas, stand: Stand, moment: Moment) -> None:
        c.save()
        c.translate(stand.x, stand.y)
        for slip in stand.motion.slips.values():
            witness(c, stand.drawing, slip, moment)
        c.restore()

    def _count(self, c: Canvas, x: float, column: Column, t: float) -> None:
        """Little roofs to be filled, as many as turns are due in all; figures; the sign and what was lost."""
        h = self.sheet.h - self.lift
        c.save()
        c.translate(x, 0)
        y, room = h - 180.0, self.wide
        got = max(column.reading(column.tally.got, t), 0.0)
        due = column.due(t, self.most_due)
        all_due = column.due(self.stop, self.most_due)
        roofs = max(1, math.ceil(all_due - 0.02))
        r = min(21.0, (room - 150) / max(roofs, 1) / 2.6)
        if roofs <= MOST_ROOFS and r > 8:
            for n in range(roofs):
                marks.little_roof(c, 20 + r + n * 2.55 * r, y, r, got - n, due - n)
        figure = 40.0 if room > 380 else 33.0
        shown = f"{got:.2f}" if all_due < 100 else f"{got:.0f}"
        letter(c, shown, room - 20, y + 13, "label-b", figure, fill(INK), "r")
        letter(
            c,
            column.word if shown == "1.00" else column.word + "s",
            room - 20,
            y + 38,
            "label",
            21,
            fill(INK_SOFT),
            "r",
        )
        c.drawLine(16, h - 126, room - 16, h - 126, stroke(INK_FAINT, 1.2))
        self._verdict(c, column, t, h - 90)
        c.restore()

    def _lane(self, c: Canvas, x: float, column: Column, t: float) -> None:
        """Draw the way of the actor so far by the common clock, where low pieces leave room beneath; all columns at one scale."""
        high = self.lift - 42
        most = max(
            (meant(col.motion, col.actor) for col in self.columns if col.actor is not None),
            default=0.0,
        )
        if high < 30 or column.actor is None or most <= 0:
            return
        wide, foot = self.wide - 40, self.sheet.h - 76
        last = max(t, self.start + 1e-3)
        times = np.linspace(
            self.start, last, max(2, int(160 * (last - self.start) / (self.stop - self.start)))
        )
        values = np.array([column.actor.values[column.at(at)] for at in times.tolist()])
        low = float(column.actor.values[column.motion.begins :].min())
        px = x + 20 + wide * (times - self.start) / (self.stop - self.start)
        py = foot - high * np.clip((values - low) / most, 0.0, 1.1)
        line = np.stack([px, py], 1)
        c.drawPath(
            poly(np.vstack([line, [[px[-1], foot], [px[0], foot]]])), fill("#E9CF9A", 0.55)
        )
        c.drawPath(poly(line, False), stroke(INK, 2.2))
        c.drawLine(x + 20, foot, x + 20 + wide, foot, stroke(INK, 1.2))
        said = f"{column.actor.part}'s way"
        letter(c, said, x + 20, foot - high - 6, "label", 17, fill(INK_SOFT))

    def _verdict(self, c: Canvas, column: Column, t: float, y: float) -> None:
        room = self.wide
        code, word, words = self._words(column, t)
        size = 29.0 if room > 380 else 25.0
        if not code:
            letter(c, word, 24, y, "label", size, fill(INK_SOFT))
            return
        marks.mark(c, code, 38, y - 8, 16 if code != "contact" else 12, None)
        at = letter(c, word, 64, y, "label-b", size, fill(marks.hue_of(code)))
        left = room - 20 - at - 14
        size = 25.0 if room > 380 else 21.0
        lines = wrap(words, "label", size, left)
        while (
            len(lines) > 2 or any(width(line, "label", size) > left for line in lines)
        ) and size > 17:
            size -= 0.5
            lines = wrap(words, "label", size, left)
        top = y if len(lines) < 2 else y - size * 0.62
        for n, line in enumerate(lines[:2]):
            letter(c, line, room - 20, top + n * size * 1.14, "label", size, fill(INK), "r")

    def _words(self, column: Column, t: float) -> tuple[str, str, str]:
        """Sign, word and what was lost so far: nothing that the record doesn't show yet."""
        motion, tally = column.motion, column.tally
        i, is_over = column.at(t), t >= float(motion.times[-1]) - 1e-9
        grave = next((f for f in column.findings if f.code in ("jam", "stall")), None)
        if is_over and (motion.end in ("jammed", "stalled") or grave is not None):
            code = (
                grave.code
                if grave is not None
                else "jam"
                if motion.end == "jammed"
                else "stall"
            )
            degrees = math.degrees(float(main_angle(motion)[i]))
            return (
                code,
                code,
                "never starts"
                if degrees < NEVER
                else f"stuck at {degrees:.0f}°"
                if code == "jam"
                else f"stands at {degrees:.0f}°",
            )
        angle = main_angle(motion)
        if not is_over and angle[i] - angle[motion.begins] < math.pi / 2:
            return "", "starting", ""
        lost = tally.lost_in_hundred(i)
        other = next(
            (
                f
                for f in column.findings
                if f.code not in ("slip", "seam") and f.from_s <= motion.times[i]
            ),
            None,
        )
        if motion.slips:
            if lost > 95:
                return "slip", "slip", "all turns lost"
            if lost > LOST_AT_ALL:
                turns = f"turn{'' if round(lost) == 1 else 's'}"
                return "slip", "slip", f"{lost:.0f} {turns} in 100 lost"
            return "contact", "in step", "nothing lost"
        if other is not None:
            amount = f"{other.amount:.1f}\N{NO-BREAK SPACE}{other.unit}" if other.amount else ""
            return other.code, other.code, amount
        return (
            "contact",
            "in order",
            self._way(column, i if not column.shown(t)[1] else len(motion.times) - 1)
            if lost < LOST_AT_ALL
            else f"{lost:.0f} turns in 100 lost",
        )

    @staticmethod
    def _way(column: Column, i: int) -> str:
        """Say how far the actor has gone up to a sample."""
        actor = column.actor
        if actor is None:
            return "nothing lost"
        span = float(np.ptp(actor.values[column.motion.begins : i + 1]))
        unit = "°" if actor.unit == "°" else f"\N{NO-BREAK SPACE}{actor.unit}"
        verb = {"height": "rises", "way": "goes", "swing": "swings"}[actor.word]
        return f"{actor.part} {verb} {span:.1f}{unit}"

    def _common_line(self, c: Canvas, t: float) -> None:
        """Say how long all of them have run by the common clock."""
        title, seconds = self.columns[0].motion.scene.title, max(0.0, t - self.start)
        said = seconds_of(seconds) if t >= self.stop else f"{seconds:.1f} seconds"
        words = f"{title} after {said}"
        size = fit(words, "text-i", 23, self.sheet.w - 80, 1, 16)
        letter(c, words, self.sheet.w / 2, self.line_y, "text-i", size, fill(INK_SOFT), "c")
