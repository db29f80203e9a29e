"""What one part does in two planes at once: it turns and lifts what lies on it. Told beside its plan, with a figure for each."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING, Any

import numpy as np

from animator.motion.looping import main_angle
from animator.parts._contract import Rides
from animator.pictures import marks, palette
from animator.pictures.drawing import Drawing
from animator.pictures.ink import (
    Canvas,
    arc,
    box,
    fill,
    grow,
    join,
    oval,
    ribbon,
    stroke,
)
from animator.pictures.lettering import block, fit, letter, wrap
from animator.pictures.pages.instruments import axis_of, told_effort, turning_row, zones
from animator.pictures.pages.told import in_words
from animator.pictures.palette import INK, INK_FAINT, INK_SOFT
from animator.pictures.readings import Series, effort
from animator.pictures.stuff import Stuffs

if TYPE_CHECKING:
    from animator.findings.report import Finding
    from animator.motion.motion import Motion

WIDE, HIGH = 588.0, 640.0  # design units
PLAN_R = 122.0
ROUND = 20.0  # degrees of turning under which nothing is said to turn
LIFTED = 0.1  # mm


def turned_by_rubbing(motion: Motion) -> str | None:
    """Name of the part that shows itself from above, lies on another and is turned by it; None where there is none."""
    for name, part in motion.scene.parts.items():
        if (
            getattr(part, "shows_from_above", False)
            and getattr(part, "follows", None) is not None
            and f"{name}.spin" in motion.channels
        ):
            return name
    return None


class TwoJobs:
    """The card: plan view, what turns and what lifts with one figure each, and the warning below.

    Parameters
    ----------
    motion, findings
        What was recorded, and what is said of it, the gravest first.
    part
        What is turned and lifted.
    span
        Stretch that is shown: figures count from its start. [s]
    stuffs
        Materials.
    at
        The card's upper left corner.
    """

    def __init__(
        self,
        motion: Motion,
        findings: Sequence[Finding],
        part: str,
        span: tuple[float, float],
        stuffs: Stuffs,
        at: tuple[float, float],
    ) -> None:
        self.motion, self.part, self.span, self.stuffs, self.at = motion, part, span, stuffs, at
        scene = motion.scene
        body: Any = scene.parts[part]
        self.driver: str = body.follows.part
        self.finding = findings[0] if findings else None
        self.spin: Series = motion.channels[f"{part}.spin"].values
        y = motion.frame(part)[:, 1]
        self.height: Series = y - float(y[motion.begins :].min())
        self.riders = [
            name
            for name, other in scene.parts.items()
            if other.artwork is not None
            and isinstance(held := other.held(), Rides)
            and held.on.part == part
        ]
        self.effort = effort(motion)
        others = set(scene.parts) - {part}
        trial = Drawing(motion, stuffs, 1.0, others, True)
        low, high = trial.sweep(trial.marks)
        k = 2 * PLAN_R / (high[0] - low[0])
        x, y0 = at
        self.middle = x + WIDE - 38 - PLAN_R, y0 + 78 + PLAN_R
        self.plan_at = (
            self.middle[0] - (low[0] + high[0]) / 2 * k,
            self.middle[1] + (low[1] + high[1]) / 2 * k,
        )
        self.plan = Drawing(motion, stuffs, k, others, True, since=span[0])
        self.is_lifting = float(np.ptp(self.height[motion.begins :])) > LIFTED
        self.is_turning = float(np.ptp(self.spin)) > math.radians(ROUND)
        self._warn()
        self._strip()

    def _warn(self) -> None:
        f = self.finding
        scene = self.motion.scene
        self.said = in_words(f.sentence, scene.parts) if f is not None else scene.about
        self.said_size = fit(self.said, "text", 25, WIDE - 64, 2, 22)
        lines = len(wrap(self.said, "text", self.said_size, WIDE - 64))
        self.said_foot = self.at[1] + 448 + 1.3 * self.said_size * (min(lines, 3) - 1)

    def _strip(self) -> None:
        """Lay a low strip of how fast it turns under the warning, if there is room."""
        self.strip: marks.Strip | None = None
        row = turning_row(self.motion, self.part)
        top = self.said_foot + 52
        tall = self.at[1] + HIGH - 66 - top
        if row is None or tall < 24:
            return
        start, stop = self.span
        keep = (self.motion.times >= start) & (self.motion.times <= stop)
        shown = row.values[keep]
        self.speed = row.values
        axis = axis_of(self.motion, self.span, False)
        self.axis = axis.words
        self.strip = marks.Strip(
            self.at[0] + 32,
            top,
            WIDE - 64,
            min(tall, 60.0),
            f"How fast the {self.part} turns",
            shown[:: max(1, len(shown) // 1200)],
            row.unit,
            0.0,
            float(shown.max()) or 1.0,
            zones([self.finding] if self.finding is not None else [], self.span),
            axis.part_count,
            row.shape,
            23,
        )

    # ------------------------------------------------------------ words
    @property
    def title(self) -> str:
        """What the part does, as a title."""
        count = self.is_lifting + self.is_turning
        does = ("does nothing yet", "does one job", "does two jobs")[count]
        return f"The {self.driver} {does}"

    def _round_words(self) -> str:
        if not self.is_turning:
            return f"The {self.part} doesn't turn."
        return f"It rubs the {self.part} beside the middle: so the {self.part} turns."

    def _lift_words(self) -> str:
        if not self.is_lifting:
            return f"Its edge is round: the {self.part} stays level."
        riders = f", {self.riders[0]} and all" if self.riders else ""
        return f"Its far end lifts the {self.part}{riders}."

    # ------------------------------------------------------------ drawn
    def still(self, c: Canvas) -> None:
        """Draw what never moves."""
        x, y = self.at
        marks.card(c, x, y, WIDE, HIGH, False, self.stuffs.is_plain)
        size = fit(self.title, "title", 36, WIDE - 64, 1, 24)
        letter(c, self.title, x + 32, y + 58, "title", size)
        for top, words in ((112, self._round_words()), (266, self._lift_words())):
            block(c, words, x + 32, y + top + 36, 252, "text", 22.5, 1.26, fill(INK), 3)
        words, under = "seen from above", self.middle[1] + PLAN_R + 29
        letter(c, words, self.middle[0], under, "label", 22, fill(INK_SOFT), "c")
        c.drawLine(x + 32, y + 376, x + WIDE - 32, y + 376, stroke(INK_FAINT, 1.2))
        if self.finding is not None:
            code = self.finding.code
            marks.mark(c, code, x + 50, y + 406, 14, None)
            letter(c, code, x + 74, y + 414, "label-b", 27, fill(marks.hue_of(code)))
        else:
            letter(c, "Nothing amiss", x + 32, y + 414, "title", 26)
        block(
            c, self.said, x + 32, y + 448, WIDE - 64, "text", self.said_size, 1.3, fill(INK), 3
        )
        if self.strip is not None:
            self.strip.still(c)
        foot = y + HIGH - 24
        letter(
            c, "red: now   pale: start", x + WIDE - 32, foot, "label", 22, fill(INK_SOFT), "r"
        )

    def moving(self, c: Canvas, t: float, i: int, calm: int) -> None:
        """Draw plan, figures and strip; ``i``: sample shown, ``calm``: sample that the figures tell."""
        x, y = self.at
        first = int(np.searchsorted(self.motion.times, self.span[0] - 1e-9))
        first = min(first, len(self.spin) - 1)
        c.save()
        c.translate(*self.plan_at)
        moment = self.plan.moment(t)
        self.plan.draw(c, moment, self.plan.marks)
        c.restore()
        run = math.degrees(abs(float(self.spin[calm] - self.spin[first])))
        figure, unit = (f"{run:.0f}°", "round") if run < 720 else (f"{run / 360:.1f}", "turns")
        self._job(c, x + 32, y + 112, self._turning, figure, unit)
        high = float(self.height[calm])
        self._job(
            c, x + 32, y + 266, self._lifting, f"{high:.{1 if high < 9.95 else 0}f}", "mm up"
        )
        start, stop = self.span
        if self.strip is not None:
            self.strip.moving(c, (t - start) / max(stop - start, 1e-9), float(self.speed[calm]))
        foot = y + HIGH - 24
        degrees = round(math.degrees(float(main_angle(self.motion)[calm]))) % 360
        drive = self.motion.drive
        what = "Handle" if drive is None or drive.radius > 0 else drive.shaft.capitalize()
        at = letter(c, f"{what} {degrees}°", x + 32, foot, "label-b", 28, fill(INK))
        if self.effort is not None:
            word, hue, figure = told_effort(self.effort, calm)
            at = letter(c, word, at + 20, foot, "label", 22, fill(INK_SOFT))
            letter(c, figure, at + 8, foot, "label-b", 24, fill(hue))

    def _job(
        self,
        c: Canvas,
        x: float,
        y: float,
        sign: Callable[[Canvas], None],
        figure: str,
        unit: str,
    ) -> None:
        c.save()
        c.translate(x + 34, y - 12)
        sign(c)
        c.restore()
        at = letter(c, figure, x + 84, y, "label-b", 38, fill(INK))
        letter(c, unit, at + 7, y, "label-b", 24, fill(INK))

    def _slab(self, c: Canvas, y: float, is_pale: bool = False) -> None:
        """Draw the disc in little."""
        face = oval(0, y, 35, 11)
        hull = join(face, oval(0, y + 5, 35, 11), box(-35, y, 70, 5))
        if is_pale:
            c.drawPath(hull, fill(palette.BIRCH, 0.30))
            c.drawPath(hull, stroke(INK_SOFT, 0.9, 0.8))
            return
        c.drawPath(grow(hull, 1.3), fill(INK))
        c.drawPath(hull, fill(palette.PLY_DARK))
        c.drawPath(face, self.stuffs.wood("birch", 0.4, 8))
        c.drawPath(face, stroke(INK, 0.8))

    def _turning(self, c: Canvas) -> None:
        self._slab(c, -4)
        c.save()
        c.translate(0, -4)
        c.scale(1, 11 / 35)
        for degrees, is_now in ((190, False), (62, True)):
            c.save()
            c.rotate(degrees)
            bar = box(12, -5, 20, 10, 1)
            if is_now:
                c.drawPath(grow(bar, 2.4), fill(INK))
            c.drawPath(bar, fill(palette.ROSE, 1.0 if is_now else 0.42))
            c.restore()
        c.restore()
        # hairs that swell up to where it is now
        for out, start in ((9.0, 168.0), (15.0, 140.0)):
            line = arc(0, 0, 35 + out * 0.5, start, 66, 24, 11 + out)
            c.drawPath(ribbon(line, [0.4, 1.4, 3.0]), fill(INK))

    def _lifting(self, c: Canvas) -> None:
        self._slab(c, 14, True)
        for q, low in ((-31, 9), (-16, 17), (0, 19), (16, 17), (31, 9)):
            c.drawLine(q, low, q, low - 12, stroke(INK_SOFT, 1.5))
        self._slab(c, -14)
