"""The board of instruments: the handle dial with the effort, and strips that run with the motion."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from animator.motion.looping import main_angle
from animator.pictures import marks, palette
from animator.pictures.ink import Canvas, disc, fill, stroke
from animator.pictures.lettering import fit, letter, width
from animator.pictures.pages.words import seconds_of, turn_seconds, turns_of
from animator.pictures.palette import INK, INK_SOFT
from animator.pictures.readings import (
    Effort,
    Series,
    actors,
    count,
    effort,
    meant,
    over_turn,
    smooth,
)
from animator.pictures.sequence import SequenceChart, lanes_of
from animator.pictures.stuff import Stuffs

if TYPE_CHECKING:
    from animator.findings.report import Finding
    from animator.motion.motion import Motion

WIDE = 576.0  # design units
MOST_HIGH = 440.0
EFFORT, AIR = "Effort", "Air"  # names of strips
AXIS = 32.0  # design units; room for the words under the lowest strip
HANDLES = 40.0  # and for the tiny handles over them
HEAD = 92.0  # room a strip needs over its lines
FAST = 20.0  # degrees; a figure that runs farther while it stands can't be read
ALL = 0.98  # of what the drive can give; from there on it gives all it has


class Row(NamedTuple):
    """What one strip shows. ``parts``: whose findings are hatched on it; None for all."""

    name: str
    values: Series
    unit: str
    shape: str
    parts: set[str] | None


def found_row(motion: Motion, findings: Sequence[Finding]) -> Row | None:
    """Strip of what the gravest finding is about."""
    told = effort(motion)
    for f in findings:
        if f.code == "float":
            for contact in motion.contacts.values():
                if contact.is_meant and f.part in (contact.first, contact.second):
                    shape = "{:.1f}" if contact.gap.max() >= 0.1 else "{:.2f}"
                    gap = np.maximum(contact.gap, 0.0)
                    return Row(AIR, gap, "mm", shape, None)
        if f.code == "slip" and motion.slips:
            tally = count(motion)
            return Row("Lost", tally.due - tally.got, "turns", "{:.2f}", None)
        if f.code == "jerk":
            row = turning_row(motion, f.part)
            if row is not None:
                return row
        if f.code in ("jam", "stall") and told is not None:
            return Row(EFFORT, told.values, told.unit, "{:.1f}", None)
    return None


def turning_row(motion: Motion, part: str) -> Row | None:
    """Strip of how fast a part turns."""
    speed = motion.channels.get(f"{part}.spin speed")
    turning = (
        np.abs(speed.values)
        if speed is not None
        else np.abs(np.gradient(motion.frame(part)[:, 2], motion.times))
        if part in motion.frames
        else None
    )
    if turning is None:
        return None
    name = f"{part[:1].upper()}{part[1:]}"
    return Row(name, smooth(turning) * 30 / math.pi, "rpm", "{:.0f}", None)


def zones(
    findings: Sequence[Finding], span: tuple[float, float], parts: set[str] | None = None
) -> list[tuple[float, float, str]]:
    """Give the stretches of a strip on which something is found, as shares of it, with what it is."""
    start, stop = span
    length = max(stop - start, 1e-9)
    out = []
    for f in findings:
        if parts is not None and f.part not in parts:
            continue
        a, b = (f.from_s - start) / length, (f.to_s - start) / length
        if b - a < 0.9 and b > 0 and a < 1:
            out.append((max(a, 0.0), min(b, 1.0), f.code))
    return out


class Axis(NamedTuple):
    """What runs along a strip: words for it, into how many parts it is ruled, and whether these are quarters of one turn."""

    words: str
    part_count: int
    is_one_turn: bool


def axis_of(motion: Motion, span: tuple[float, float], is_ended: bool) -> Axis:
    """Say what runs along the strips: turns of the handle where it turned evenly, else seconds."""
    start, stop = span
    seconds = turn_seconds(motion)
    if is_ended or not seconds:
        return Axis(seconds_of(stop - start), 4, False)
    turns = (stop - start) / seconds
    whole = round(turns)
    if whole < 1 or abs(turns - whole) > 0.03 * max(whole, 1):
        return Axis(seconds_of(stop - start), 4, False)
    return Axis(turns_of(motion, whole), max(1, min(12, 4 * whole)), whole == 1)


class Instruments:
    """Dial and strips on one card.

    Parameters
    ----------
    motion, findings
        What was recorded, and what is said of it, the gravest first.
    span
        Stretch that the strips show. [s]
    stuffs
        Materials.
    at
        The card's upper left corner.
    high
        Its height, at most ``MOST_HIGH``.
    is_ended
        The piece stands still at its end, at the drive's ceiling.
    calm_s
        For how much of the motion a figure stands; 0 in a single picture. [s]
    """

    def __init__(
        self,
        motion: Motion,
        findings: Sequence[Finding],
        span: tuple[float, float],
        stuffs: Stuffs,
        at: tuple[float, float],
        high: float,
        is_ended: bool,
        calm_s: float,
    ) -> None:
        self.motion, self.findings, self.span, self.stuffs = motion, findings, span, stuffs
        self.at, self.high, self.is_ended, self.calm_s = (
            at,
            min(high, MOST_HIGH),
            is_ended,
            calm_s,
        )
        self.effort = effort(motion)
        self.actor = next(iter(actors(motion)), None)
        self.axis = axis_of(motion, span, is_ended)
        self.dial = self._dial()
        self.strips: list[tuple[marks.Strip, Series]] = self._strips()
        self.sequence = self._sequence()

    # ------------------------------------------------------------ made
    @property
    def strips_at(self) -> tuple[float, float, float, float]:
        """Where the strips' half lies: left, top, width and height."""
        x, y = self.at
        beside = (
            296 if self.dial is not None else 26
        )  # nobody's effort: they have the whole card
        return x + beside, y + 20, WIDE - beside - 26, self.high - 44

    def _dial(self) -> marks.Dial | None:
        if self.effort is None:
            return None
        x, y = self.at
        room = self.high - 64 - 22 - 74
        self.dial_r = min(120.0, room / 2 - 9)
        self.dial_at = (x + 139.0, y + 64 + 22 + room / 2)
        marks_at: list[tuple[float, str]] = []
        for f in self.findings:
            at = f.from_deg % 360
            is_apart = all(abs(math.remainder(at - other, 360)) > 14 for other, _ in marks_at)
            if f.to_deg - f.from_deg < 200 and len(marks_at) < 3 and is_apart:
                marks_at.append((at, f.code))
        limit = self.effort.most if self.is_ended else None
        sense = -(self.motion.drive.sense if self.motion.drive is not None else 1)
        return marks.Dial(
            self.dial_r,
            over_turn(self.motion, self.effort.values, *self.span),
            self.stuffs,
            marks_at,
            limit if limit else None,
            limit,
            sense,
            self.effort.unit == "N",
        )

    def _sequence(self) -> SequenceChart | None:
        """The sequence chart has the whole card of a piece that is switched and in which nothing is amiss."""
        lanes = lanes_of(self.motion) if not self.findings else []
        if not lanes:
            return None
        x, y = self.at
        high = min(self.high - 146, 46.0 * len(lanes))
        name = max(width(lane.name, "label", 24) for lane in lanes)
        room = (x + 22, y + 78, WIDE - 48, high)
        return SequenceChart(
            lanes, self.span, room, min(name + 24, 190.0), self.stuffs.is_plain
        )

    def _rows(self) -> list[Row]:
        rows = [found_row(self.motion, self.findings), self._actor_row()]
        shown = [row for row in rows if row is not None]
        if (
            len(shown) < 2
            and self.effort is not None
            and all(row.name != EFFORT for row in shown)
        ):
            shown.append(Row(EFFORT, self.effort.values, self.effort.unit, "{:.1f}", set()))
        return shown

    def _actor_row(self) -> Row | None:
        actor = self.actor
        if actor is None:
            return None
        name = actor.part[:1].upper() + actor.part[1:]
        span = float(np.ptp(actor.values))
        shape = "{:.2f}" if actor.unit == "turns" else "{:.0f}" if span > 20 else "{:.1f}"
        return Row(name, actor.values, actor.unit, shape, set())

    def _strips(self) -> list[tuple[marks.Strip, Series]]:
        motion, (start, stop), actor = self.motion, self.span, self.actor
        rows = self._rows()
        left, top, wide, high = self.strips_at
        foot = AXIS + (HANDLES if self.axis.is_one_turn else 0.0)
        most_tall = 104.0 if self.dial is not None else 200.0
        tall = min((high - 56 - foot - HEAD * (len(rows) - 1)) / max(len(rows), 1), most_tall)
        keep = (motion.times >= start) & (motion.times <= stop)
        out = []
        begins_deg = math.degrees(
            float(np.interp(self.span[0], motion.times, main_angle(motion)))
        )
        for i, row in enumerate(rows):
            shown = row.values[keep]
            low = min(0.0, float(shown.min())) if len(shown) else 0.0
            most = float(shown.max()) if len(shown) else 1.0
            if actor is not None and row.values is actor.values:
                most = max(most, low + meant(motion, actor))
            strip = marks.Strip(
                left,
                top + 56 + i * (tall + HEAD),
                wide,
                tall,
                row.name,
                shown[:: max(1, len(shown) // 1200)],
                row.unit,
                low,
                most or 1.0,
                zones(self.findings, self.span, row.parts),
                self.axis.part_count,
                row.shape,
                27,
                self.axis.is_one_turn and i == len(rows) - 1,
                -(motion.drive.sense if motion.drive is not None else 1),
                begins_deg if self.axis.is_one_turn else None,
            )
            out.append((strip, row.values))
        return out

    # ------------------------------------------------------------ drawn
    def still(self, c: Canvas, has_strips: bool = True) -> None:
        """Draw what never moves; without strips where something else lies in their place."""
        x, y = self.at
        marks.card(c, x, y, WIDE, self.high, False, self.stuffs.is_plain)
        if self.sequence is not None and has_strips:
            letter(c, "What happens when", x + 22, y + 42, "label", 27)
            self.sequence.still(c)
            self.sequence.scale(c, self.sequence.y + self.sequence.h + 42)
            return
        if self.dial is not None and self.effort is not None:
            what = "Effort at the handle" if self.effort.unit == "N" else "Effort of the motor"
            letter(c, what, x + 22, y + 42, "label", 27)
            self._rings(c, x + 22, y + 70)
            self.dial.still(c, *self.dial_at)
            c.drawLine(
                x + 278, y + 24, x + 278, y + self.high - 24, stroke(palette.INK_FAINT, 1)
            )
        if not has_strips:
            return
        for strip, _ in self.strips:
            strip.still(c)
        if self.strips:
            strip = self.strips[-1][0]
            below = strip.y + strip.h + 26 + (HANDLES if self.axis.is_one_turn else 0.0)
            size = fit(self.axis.words, "label", 22, strip.w, 1, 20)
            middle = strip.x + strip.w / 2
            letter(c, self.axis.words, middle, below, "label", size, fill(INK_SOFT), "c")

    def _rings(self, c: Canvas, x: float, y: float) -> None:
        """Say what the dial's rings mean: the solid one no effort, the dashed one all that can be given."""
        assert self.effort is not None
        c.drawPath(disc(x + 8, y - 7, 7), stroke(INK_SOFT, 1.3))
        at = letter(c, "no effort", x + 20, y, "label", 21, fill(INK_SOFT))
        if self.is_ended and self.effort.most:
            all_of_it = "all a hand has" if self.effort.unit == "N" else "all it has"
            c.drawPath(disc(at + 24, y - 7, 7), stroke(palette.MARKS["jam"], 1.6, dash=(4, 3)))
            letter(c, all_of_it, at + 36, y, "label", 21, fill(INK_SOFT))
        else:
            c.drawPath(disc(at + 24, y - 7, 6), stroke("#C8783A", 4))
            at = letter(c, "push", at + 36, y, "label", 21, fill(INK_SOFT))
            if float(self.effort.values.min()) < -0.05 * float(self.effort.values.max()):
                c.drawPath(disc(at + 22, y - 7, 6), stroke("#3E8A76", 4))
                letter(c, "pull", at + 34, y, "label", 21, fill(INK_SOFT))

    def moving(
        self, c: Canvas, t: float, i: int, calm: int, since: int, has_strips: bool = True
    ) -> None:
        """Draw needle, figures and strips.

        ``i``: sample shown; ``calm``: sample that the figures tell; ``since``: first of those whose greatest a gap's figure tells.
        """
        if self.sequence is not None and has_strips:
            self.sequence.moving(c, t)
            return
        self._dial_now(c, i, calm)
        if not has_strips:
            return
        start, stop = self.span
        share = (t - start) / max(stop - start, 1e-9)
        for strip, values in self.strips:
            told = values[since : calm + 1].max() if strip.title == AIR else values[calm]
            strip.moving(c, share, float(told))

    def _passes(self, angle: Series) -> float:
        """How far the shaft turns while a figure stands, in the mean. [degrees]"""
        start, stop = self.span
        a, b = (float(np.interp(t, self.motion.times, angle)) for t in self.span)
        return (b - a) / max(stop - start, 1e-9) * self.calm_s

    def _dial_now(self, c: Canvas, i: int, calm: int) -> None:
        if self.dial is None or self.effort is None:
            return
        angle = np.degrees(main_angle(self.motion))
        self.dial.moving(c, *self.dial_at, float(angle[i]) % 360)
        x, y = self.at[0], self.at[1] + self.high - 20
        # a figure that runs too fast to be read would lie about the arrow: then it counts the turns
        is_fast = self.calm_s > 0 and calm < len(angle) - 1 and self._passes(angle) > FAST
        shown = (
            f"turn {max(0, math.floor(angle[i] / 360 + 1e-6)) + 1}"
            if is_fast
            else f"{round(float(angle[calm])) % 360}°"
        )
        letter(c, shown, x + 20, y, "label-b", 34)
        word, hue, figure = told_effort(self.effort, calm)
        right = x + 262
        letter(c, figure, right, y, "label-b", 29, fill(hue), "r")
        letter(c, word, right, y - 32, "label", 23, fill(INK_SOFT), "r")


def told_effort(told: Effort, sample: int) -> tuple[str, str, str]:
    """Say what the drive gives at a sample: words, the ink of the figure, and the figure with its unit."""
    value = float(told.values[sample])
    felt = 0.05 * (float(np.abs(told.values).max()) or 1.0)
    is_hand = told.unit == "N"
    figure = f"{abs(value):.{1 if abs(value) >= 0.095 else 2}f} {told.unit}"
    if abs(value) < felt:
        return "runs free", INK, figure
    if value < 0:
        return "it pulls" if is_hand else "it holds back", palette.PULL, figure
    if told.most and value >= ALL * told.most:
        # the figure is no need but a ceiling
        return "all a hand gives" if is_hand else "all it gives", palette.PUSH, figure
    return "you push" if is_hand else "it drives", palette.PUSH, figure
