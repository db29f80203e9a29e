"""The strip under the panels: what the actor does, its lift and its waits, and below it what the hand feels; the panels are pegged on it."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from animator.motion.looping import main_angle
from animator.pictures import palette
from animator.pictures.ink import Canvas, Paint, disc, fill, poly, skia, stroke
from animator.pictures.lettering import fit, letter, width
from animator.pictures.moments import span_of, waits_of
from animator.pictures.palette import INK, INK_FAINT, INK_SOFT
from animator.pictures.readings import Series, actors, count, effort, meant

if TYPE_CHECKING:
    from animator.motion.motion import Motion
    from animator.pictures.moments import KeyMoment

LANE = 58.0  # design units; height of the upper lane
ZERO = 86.0  # where the lower lane's zero line lies
LOBE = 22.0  # how far the effort goes from its zero line
PEG = 12.5  # radius of a panel's number on the strip
APART = 2 * PEG + 2.5


@dataclass(frozen=True)
class Lane:
    """The upper lane: its name, its values, what fills it, the unit of its lift ('' tells none)."""

    name: str
    values: Series
    most: float
    unit: str


def lane_of(motion: Motion, keep: np.ndarray, step: int) -> Lane:
    """Choose what the upper lane shows."""
    if motion.slips:
        got = count(motion).got[keep][::step]
        return Lane("turns", got, float(np.ptp(got)) or 1.0, "")
    shown = actors(motion)
    if not shown:
        turned = main_angle(motion)[keep][::step]
        return Lane("turn", turned, float(np.ptp(turned)) or 1.0, "")
    values = shown[0].values[keep][::step]
    most = max(meant(motion, shown[0]), float(np.ptp(values)))
    return Lane(shown[0].part, values, most, "" if shown[0].unit == "turns" else shown[0].unit)


def draw_strip(
    c: Canvas,
    motion: Motion,
    moments: Sequence[KeyMoment],
    here: range,
    room: tuple[float, float, float, float],
    base: tuple[float, float],
    ground: Paint | None = None,
) -> None:
    """Draw the strip.

    Parameters
    ----------
    c
        Canvas.
    motion
        What was recorded.
    moments
        All panels; those of other sheets are pegged on in outline.
    here
        Numbers of the panels on this sheet, from 0.
    room
        x, y, width, height.
    base
        Time and angle that count as 0. [s, degrees]
    ground
        What the sheet is painted with: words clear a little place of it.
    """
    x, y, w, h = room
    start, stop = span_of(motion)
    keep = (motion.times >= start - 1e-9) & (motion.times <= stop + 1e-9)
    times = motion.times[keep]
    step = max(1, len(times) // 1400)
    times = times[::step]
    length = max(stop - start, 1e-9)
    px = x + w * (times - start) / length
    lane = lane_of(motion, keep, step)
    low = float(lane.values.min())
    line = np.stack([px, y + LANE - (lane.values - low) / lane.most * (LANE - 6)], 1)
    c.drawPath(
        poly(np.vstack([line, [[x + w, y + LANE], [x, y + LANE]]])), fill("#E9CF9A", 0.55)
    )
    spots = [x + w * min(max((m.t - start) / length, 0.0), 1.0) for m in moments]
    for n, at in enumerate(spots):
        c.drawLine(at, y - 2, at, y + h, stroke(INK, 1.0, 0.6 if n in here else 0.25))
    if motion.slips:
        due = (count(motion).due[keep][::step] - low) / lane.most
        c.drawPath(
            poly(np.stack([px, y + LANE - np.clip(due, 0, 1.12) * (LANE - 6)], 1), False),
            stroke(INK, 1.6, 0.8, dash=(6, 4)),
        )
    c.drawPath(poly(line, False), stroke(INK, 2.8))
    c.drawLine(x, y + LANE, x + w, y + LANE, stroke(INK, 1.3))
    _lift(c, x, y, lane)
    _waits(c, motion, room, start, length, line, spots, ground)
    _effort(c, motion, (x, y + ZERO, w), keep, step, px, ground)
    c.drawLine(x, y + h, x + w, y + h, stroke(INK, 1.7))
    _scale(c, motion, x, y + h, w, (start, stop), base)
    pegs = spread(spots, APART, x - 6, x + w + 6)
    for n, (at, peg) in enumerate(zip(spots, pegs, strict=True)):
        if abs(peg - at) > 1:
            c.drawLine(peg, y - 6, at, y - 2, stroke(INK, 1.0, 0.6))
        badge(c, peg, y - 18, n + 1, PEG, n in here)


def spread(places: Sequence[float], apart: float, low: float, high: float) -> list[float]:
    """Move places along a line as little as may be, so that neighbours have room.

    Examples
    --------
    >>> spread([10, 12, 50], 6, 0, 100)
    [8.0, 14.0, 50.0]
    """
    # clusters that touch are spread about their own middle, as beads pushed together on a wire
    clusters: list[list[float]] = [[float(place)] for place in places]
    while True:
        spans = [_span(cluster, apart, low, high) for cluster in clusters]
        touching = next(
            (i for i in range(len(spans) - 1) if spans[i][1] + apart > spans[i + 1][0] + 1e-9),
            None,
        )
        if touching is None:
            return [
                span[0] + apart * i
                for span, cluster in zip(spans, clusters, strict=True)
                for i in range(len(cluster))
            ]
        clusters[touching : touching + 2] = [clusters[touching] + clusters[touching + 1]]


def _span(cluster: list[float], apart: float, low: float, high: float) -> tuple[float, float]:
    wide = apart * (len(cluster) - 1)
    left = sum(cluster) / len(cluster) - wide / 2
    left = max(low, min(left, high - wide))
    return left, left + wide


# ---------------------------------------------------------------- the upper lane
def _lift(c: Canvas, x: float, y: float, lane: Lane) -> None:
    """Name the lane, and measure how far its line goes."""
    room = 74.0
    size = fit(lane.name, "label-b", 19, room, 1, 13)
    values = lane.values
    moved = float(np.ptp(values))
    if not lane.unit or moved <= 0:
        letter(c, lane.name, x - 10, y + LANE - 4, "label-b", size, fill(INK), "r")
        return
    top, foot = y + LANE - moved / lane.most * (LANE - 6), y + LANE
    if foot - top > 12:
        pen = stroke(INK_SOFT, 1.2)
        c.drawLine(x - 7, top, x - 7, foot, pen)
        for at in (top, foot):
            c.drawLine(x - 11, at, x - 3, at, pen)
    figures = f"{moved:.1f}" if moved < 20 else f"{moved:.0f}"
    gap = "" if lane.unit == "°" else " "
    letter(c, lane.name, x - 17, y + 26, "label-b", size, fill(INK), "r")
    letter(c, f"{figures}{gap}{lane.unit}", x - 17, y + 48, "label", 18, fill(INK_SOFT), "r")


def _waits(
    c: Canvas,
    motion: Motion,
    room: tuple[float, float, float, float],
    start: float,
    length: float,
    line: Series,
    spots: Sequence[float],
    ground: Paint | None,
) -> None:
    """Write on each wait how long it is, in degrees of the drive and in seconds."""
    x, y, w, _ = room
    ends = -1e9
    for wait in waits_of(motion):
        left, right = (x + w * (t - start) / length for t in (wait.from_s, wait.to_s))
        words = f"waits {wait.degrees:.0f}°"
        wide = width(words, "label", 17)
        if right - left < wide + 14:
            continue
        middle = (left + right) / 2
        at = middle - wide / 2
        crossed = [spot for spot in spots if at - 4 < spot < at + wide + 4]
        if crossed:  # beside the line, if there is room
            free = [
                place
                for spot in crossed
                for place in (spot - 8 - wide, spot + 8)
                if left + 4 <= place <= right - wide - 4
                and not any(place - 4 < other < place + wide + 4 for other in spots)
            ]
            at = min(free, key=lambda place: abs(place + wide / 2 - middle), default=at)
        if at < ends + 10:
            continue
        level = float(np.interp(middle, line[:, 0], line[:, 1]))
        base = level + 20 if level < y + 0.5 * LANE else level - 7
        _patch(c, at, base, wide, 17, None if base > level else ground)
        ends = letter(c, words, at, base, "label", 17, fill(INK_SOFT))


def _patch(
    c: Canvas, x: float, base: float, wide: float, size: float, ground: Paint | None
) -> None:
    """Clear a little place for words, so that no line runs through them."""
    if ground is not None:
        c.drawRect(
            skia.Rect.MakeLTRB(x - 4, base - 0.72 * size, x + wide + 4, base + 0.2 * size),
            ground,
        )


# ---------------------------------------------------------------- the lower lane
def _effort(
    c: Canvas,
    motion: Motion,
    room: tuple[float, float, float],
    keep: np.ndarray,
    step: int,
    px: Series,
    ground: Paint | None,
) -> None:
    given = effort(motion)
    if given is None:
        return
    x, zero, w = room
    e = given.values[keep][::step]
    k = LOBE / (float(np.abs(e).max()) or 1.0)
    for part, hue in ((np.maximum(e, 0), "#E3B07A"), (np.minimum(e, 0), "#9FC7B8")):
        c.drawPath(
            poly(np.vstack([np.stack([px, zero - part * k], 1), [[x + w, zero], [x, zero]]])),
            fill(hue, 0.75),
        )
    c.drawPath(poly(np.stack([px, zero - e * k], 1), False), stroke(INK, 2.0))
    c.drawLine(x - 8, zero, x + w, zero, stroke(INK, 1.3))
    letter(c, "effort", x - 17, zero - 5, "label-b", 19, fill(INK), "r")
    letter(c, f"0 {given.unit}", x - 17, zero + 17, "label", 17, fill(INK_SOFT), "r")
    peak, dip = int(e.argmax()), int(e.argmin())
    pushes, pulls = (
        ("you push", "it pulls") if given.unit == "N" else ("it drives", "it is driven")
    )
    said = [(f"{pushes}, {_amount(e[peak])} {given.unit}", float(px[peak]), palette.PUSH, 1)]
    if e[dip] < -0.05 * abs(e[peak]) and e[dip] < -0.02:
        words = f"{pulls}, {_amount(-e[dip])} {given.unit}"
        said.append((words, float(px[dip]), palette.PULL, -1))
    if e[peak] < -e[dip]:
        said.reverse()  # the greater has the first choice of a place
    taken: list[tuple[float, float, float]] = []
    for words, target, hue, side in said:
        wide = width(words, "label", 18)
        left, base = beside(x, x + w, wide, target, side, zero, px, zero - e * k, taken)
        taken.append((left, left + wide, base))
        _patch(c, left, base, wide, 18, ground)
        letter(c, words, left, base, "label", 18, fill(hue))


def _amount(value: float) -> str:
    return f"{value:.1f}" if value >= 0.1 else f"{value:.2f}"


def beside(
    start: float,
    stop: float,
    wide: float,
    target: float,
    side: int,
    zero: float,
    px: Series,
    line: Series,
    taken: Sequence[tuple[float, float, float]],
) -> tuple[float, float]:
    """Find the place for words nearest to a peak: across the zero line from it (``side`` 1: below), else on the other side beside it; never on the curve or on other words. Left edge and base line."""
    best = (math.inf, start, zero + 18)
    for base, extra in (
        (zero + 18, 0.0 if side > 0 else 30.0),
        (zero - 6, 30.0 if side > 0 else 0.0),
    ):
        top, foot = base - 14.0, base + 4.0
        for left in np.linspace(start + 4, max(start + 4, stop - wide - 4), 300).tolist():
            near = (px > left - 4) & (px < left + wide + 4)
            drawn = line[near]
            is_crossed = bool(
                np.any((np.maximum(drawn, zero) > top) & (np.minimum(drawn, zero) < foot))
            )
            right = left + wide
            meets = any(
                left < b + 14 and right > a - 14 and base == other for a, b, other in taken
            )
            cost = abs(left + wide / 2 - target) + extra + 500 * is_crossed + 4000 * meets
            if cost < best[0]:
                best = cost, left, base
    return best[1], best[2]


# ---------------------------------------------------------------- the axis
def _scale(
    c: Canvas,
    motion: Motion,
    x: float,
    y: float,
    w: float,
    span: tuple[float, float],
    base: tuple[float, float],
) -> None:
    """Mark the quarters of the turn, or whole turns, with degrees and seconds."""
    start, stop = span
    angle = np.degrees(np.maximum.accumulate(main_angle(motion))) - base[1]
    low, high = (float(np.interp(t, motion.times, angle)) for t in (start, stop))
    room = max(high - low, 1e-6)
    step = next(
        (s for s in (15, 30, 90, 180, 360, 720, 1080, 3600) if room / s <= 8 * w / 1100), 3600.0
    )
    at = math.ceil(low / step - 1e-6) * step
    ends = -1e9
    while at <= high + 0.5:  # a turn that ends a hair early is a turn
        t = float(np.interp(at, angle, motion.times))
        px = x + w * (t - start) / max(stop - start, 1e-9)
        c.drawLine(px, y, px, y + 8, stroke(INK, 1.3))
        words = f"{at:.0f}°" if step < 360 else f"{at / 360:.0f} turn{'' if at == 360 else 's'}"
        seconds = f"{max(0.0, t - base[0]):.1f} s"
        total = width(words, "label-b", 19) + width(seconds, "label", 18) + 10
        left = min(max(px - total / 2, x - 60), x + w - total + 4)
        if left > ends + 14:
            to = letter(c, words, left, y + 27, "label-b", 19)
            ends = letter(c, seconds, to + 10, y + 27, "label", 18, fill(INK_SOFT))
        at += step
    c.drawLine(x, y, x, y + 5, stroke(INK_FAINT, 1.0))


def badge(
    c: Canvas,
    x: float,
    y: float,
    number: int,
    r: float,
    is_here: bool = True,
) -> None:
    """Draw a panel's number about a middle; in outline if the panel is on another sheet."""
    c.drawPath(disc(x, y, r + 2), fill(palette.PAPER))
    c.drawPath(disc(x, y, r), fill(INK) if is_here else stroke(INK_SOFT, 1.2))
    letter(
        c,
        str(number),
        x,
        y + r * 0.40,
        "title",
        r * (1.15 if number < 10 else 0.95),
        fill(palette.PAPER_LIT if is_here else INK_SOFT),
        "c",
    )
