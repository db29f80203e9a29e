"""The sequence chart: the timing drum unrolled. What is raised, closed, running or lit, and when, lies as strips of brass on a strip of paper.

Read from recorded states only. A track and the switch that rides on it share a lane: the strip, and under it a line of ink as long as the switch is closed.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

import numpy as np

from animator.pictures import palette
from animator.pictures.ink import (
    BUTT,
    Canvas,
    Path,
    box,
    disc,
    fill,
    grow,
    linear,
    poly,
    radial,
    soft,
    stroke,
)
from animator.pictures.lettering import fit, letter, width
from animator.pictures.palette import INK, INK_FAINT, INK_SOFT, PAPER_LIT, mix

if TYPE_CHECKING:
    from animator.motion.motion import Floats, Motion

Span = tuple[float, float]
SHORTEST = 3.0  # design units; a strip shorter than that is drawn so long
MOST_LANES = 14
LAMP_LIGHT = "#F6C766"
MOTOR_RED = "#A8493C"


@dataclass(frozen=True)
class Lane:
    """One thing that is on or off: its name, what it is (``coin``, ``track``, ``switch``, ``motor``, ``lamp``), when it is on, and when the switch on it is closed. [s]"""

    name: str
    sort: str
    spans: tuple[Span, ...]
    closed: tuple[Span, ...] = field(default=())


def _spans(motion: Motion, values: Floats) -> tuple[Span, ...]:
    """Stretches over which a state is on. [s]"""
    on = np.concatenate([[False], values > 0.5, [False]])
    edges = np.flatnonzero(np.diff(on.astype(np.int8))).reshape(-1, 2)
    times = motion.times
    return tuple(
        (float(times[first]), float(times[min(last, len(times) - 1)])) for first, last in edges
    )


def lanes_of(motion: Motion) -> list[Lane]:
    """Give everything that is switched, in the order in which one thing works the next: coins, tracks with their switches, motors, lamps."""
    states = {
        name: channel.values
        for name, channel in motion.channels.items()
        if channel.unit == "state" and name.rpartition(".")[0] in motion.scene.parts
    }
    parts = motion.scene.parts
    by_sort: dict[str, list[Lane]] = {
        sort: [] for sort in ("coin", "track", "switch", "motor", "lamp")
    }
    words = {"lit": "lamp", "running": "motor", "closed": "switch"}
    riding = {
        (ref.part, ref.point): name
        for name, part in parts.items()
        if (ref := getattr(part, "rides_on", None)) is not None
    }
    for name, values in states.items():
        part, _, word = name.rpartition(".")
        if (part, word) in riding or getattr(parts[part], "tracks", None) is not None:
            closed = states.get(f"{riding.get((part, word))}.closed")
            spans = () if closed is None else _spans(motion, closed)
            by_sort["track"].append(Lane(word, "track", _spans(motion, values), spans))
            continue
        if word not in words:
            continue
        if word == "closed" and f"{part}.rolled" in motion.channels:
            by_sort["coin"].append(Lane(part, "coin", _spans(motion, values)))
            continue
        ref = getattr(parts[part], "rides_on", None)
        if word == "closed" and ref is not None and f"{ref.part}.{ref.point}" in states:
            continue  # told under its track
        by_sort[words[word]].append(Lane(part, words[word], _spans(motion, values)))
    found = [lane for lanes in by_sort.values() for lane in lanes]
    return found[:MOST_LANES]


class SequenceChart:
    """Lanes over a stretch of time on a strip of paper.

    Parameters
    ----------
    lanes
        What is told.
    span
        The stretch shown. [s]
    room
        x, y, width and height. Names stand left of x + ``name_wide``; the strips fill the rest.
    name_wide
        Room for the names, inside the width.
    is_plain
        Flat inks.
    size
        Height of the letters, at most.
    """

    def __init__(
        self,
        lanes: Sequence[Lane],
        span: Span,
        room: tuple[float, float, float, float],
        name_wide: float,
        is_plain: bool = False,
        size: float = 24.0,
    ) -> None:
        self.lanes, self.span, self.is_plain = list(lanes), span, is_plain
        x, y, w, h = room
        self.x, self.y, self.h = x + name_wide, y, h
        self.w = w - name_wide
        self.name_x = x
        self.name_wide = name_wide
        self.high = h / max(len(self.lanes), 1)
        self.size = min(size, 0.74 * self.high)

    def at(self, t: float) -> float:
        """Where a moment lies. [design units]"""
        start, stop = self.span
        return self.x + self.w * (t - start) / max(stop - start, 1e-9)

    # ------------------------------------------------------------ drawn
    def still(self, c: Canvas, has_paper: bool = True) -> None:
        """Draw what never moves: the paper, its rules, the names, all strips pale."""
        if has_paper:
            self._paper(c)
        for i, lane in enumerate(self.lanes):
            middle = self.y + (i + 0.5) * self.high
            if i:
                line = self.y + i * self.high
                c.drawLine(self.x, line, self.x + self.w, line, stroke(INK_FAINT, 0.8, 0.7))
            room = self.name_wide - (22 if has_paper else 14)
            size = fit(lane.name, "label", self.size, room, 1, 0.7 * self.size)
            letter(
                c,
                lane.name,
                self.x - (18 if has_paper else 10),
                middle + 0.33 * size,
                "label",
                size,
                fill(INK),
                "r",
            )
            self._strips(c, lane, middle, self.span[1], is_to_come=True)

    def moving(self, c: Canvas, t: float, has_needle: bool = True) -> None:
        """Draw what is past in brass and ink, and the needle."""
        now = min(max(t, self.span[0]), self.span[1])
        for i, lane in enumerate(self.lanes):
            self._strips(c, lane, self.y + (i + 0.5) * self.high, now, is_to_come=False)
        if not has_needle:
            return
        at = self.at(now)
        c.drawLine(at, self.y - 7, at, self.y + self.h + 7, stroke(PAPER_LIT, 3.6, 0.9))
        c.drawLine(at, self.y - 7, at, self.y + self.h + 7, stroke(INK, 1.8))
        tip = poly(
            [(at, self.y - 15), (at + 6, self.y - 8), (at, self.y - 1), (at - 6, self.y - 8)]
        )
        c.drawPath(tip, fill(PAPER_LIT))
        c.drawPath(tip, stroke(INK, 1.8))

    def _paper(self, c: Canvas) -> None:
        """Draw the strip of paper: cut straight along, torn off at its ends, a row of sprocket holes along each edge."""
        left, right, top, foot = (
            self.x - 6,
            self.x + self.w + 6,
            self.y - 11,
            self.y + self.h + 11,
        )
        teeth = 9
        step = (foot - top) / (2 * teeth)
        edge = [(left if k % 2 else left - 2.6, foot - k * step) for k in range(2 * teeth + 1)]
        edge += [
            (right if k % 2 else right + 2.6, top + k * step) for k in range(2 * teeth + 1)
        ]
        sheet = poly(edge)
        if not self.is_plain:
            c.save()
            c.translate(1.5, 3.0)
            c.drawPath(sheet, soft("#2A1808", 0.35, 3.5))
            c.restore()
        c.drawPath(sheet, fill("#F1E2BE"))
        c.drawPath(sheet, stroke("#BFA878", 1.0, 0.9))
        count = max(2, int(self.w / 15))
        for k in range(count):
            px = self.x + (k + 0.5) * self.w / count
            for py in (self.y - 6.2, self.y + self.h + 6.2):
                c.drawPath(disc(px, py, 1.8), fill("#C9B488"))

    def _strips(
        self, c: Canvas, lane: Lane, middle: float, until: float, is_to_come: bool
    ) -> None:
        """Draw a lane's strips: all of them pale, or as far as they are past."""
        thick = 0.46 * self.high if lane.closed or lane.sort == "track" else 0.52 * self.high
        lift = -0.1 * self.high if lane.sort == "track" else 0.0
        for start, end in lane.spans:
            left, right = self._ends(start, end if is_to_come else min(end, until))
            if right <= left or (not is_to_come and start > until):
                continue
            if lane.sort == "coin":
                self._coin(c, left, middle, is_to_come)
                left = min(left + 0.5 * self.high, right)
                thick = 0.2 * self.high
            shape = box(left, middle + lift - thick / 2, right - left, thick, 0.18 * thick)
            self._strip(c, lane.sort, shape, (middle + lift, thick), is_to_come)
        for start, end in lane.closed:
            left, right = self._ends(start, end if is_to_come else min(end, until))
            if right > left and (is_to_come or start <= until):
                line = middle + 0.3 * self.high
                ink = stroke(
                    INK if not is_to_come else INK_FAINT,
                    max(2.0, 0.1 * self.high),
                    1.0 if not is_to_come else 0.7,
                    cap=BUTT,
                )
                c.drawLine(left, line, right, line, ink)

    def _ends(self, start: float, end: float) -> tuple[float, float]:
        left, right = self.at(max(start, self.span[0])), self.at(min(end, self.span[1]))
        return left, max(right, left + SHORTEST) if end > start else right

    def _strip(
        self, c: Canvas, sort: str, shape: Path, place: tuple[float, float], is_to_come: bool
    ) -> None:
        middle, thick = place
        hi, mid, low = palette.METALS["brass"]
        hue = {"lamp": LAMP_LIGHT, "motor": MOTOR_RED, "switch": INK_SOFT}.get(sort, mid)
        if is_to_come:
            c.drawPath(shape, fill(mix(hue, "#F1E2BE", 0.72)))
            c.drawPath(shape, stroke(mix(INK_FAINT, "#F1E2BE", 0.2), 0.9))
            return
        if self.is_plain:
            c.drawPath(shape, fill(hue))
            c.drawPath(shape, stroke(INK, 1.0))
            return
        if sort == "lamp":
            c.drawPath(grow(shape, 5.0), soft(LAMP_LIGHT, 0.55, 4.5))
            paint = linear(
                (0, middle - thick / 2),
                (0, middle + thick / 2),
                [(0, "#FFE9B0"), (0.5, LAMP_LIGHT), (1, "#D8912F")],
            )
        elif sort in ("motor", "switch"):
            paint = linear(
                (0, middle - thick / 2),
                (0, middle + thick / 2),
                [(0, mix(hue, "#FFFFFF", 0.28)), (0.45, hue), (1, mix(hue, "#000000", 0.3))],
            )
        else:
            paint = linear(
                (0, middle - thick / 2),
                (0, middle + thick / 2),
                [(0, mid), (0.26, hi), (0.5, mid), (0.9, low), (1, mix(low, mid, 0.5))],
            )
        c.save()
        c.translate(1.2, 1.9)
        c.drawPath(shape, soft("#1A120B", 0.4, 1.6))
        c.restore()
        c.drawPath(grow(shape, 1.0), fill(INK))
        c.drawPath(shape, paint)

    def _coin(self, c: Canvas, left: float, middle: float, is_to_come: bool) -> None:
        hi, mid, low = palette.METALS["brass"]
        r = 0.36 * self.high
        coin = disc(left, middle, r)
        if is_to_come:
            c.drawPath(coin, fill(mix(mid, "#F1E2BE", 0.72)))
            c.drawPath(coin, stroke(INK_FAINT, 0.9))
            return
        c.drawPath(grow(coin, 1.1), fill(INK))
        c.drawPath(
            coin,
            fill(mid)
            if self.is_plain
            else radial(
                (left - 0.3 * r, middle - 0.35 * r), 1.6 * r, [(0, hi), (0.6, mid), (1, low)]
            ),
        )
        c.drawPath(disc(left, middle, 0.7 * r), stroke(low, 1.0))

    def scale(self, c: Canvas, y: float, size: float = 21.0) -> None:
        """Write seconds under the strip, at a round distance."""
        start, stop = self.span
        long = stop - start
        step = next(
            (s for s in (0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 60.0) if long / s <= 9 * self.w / 420),
            120.0,
        )
        first = math.ceil(start / step - 1e-6) * step
        ends = -1e9
        for k in range(int((stop - first) / step + 1e-6) + 1):
            t = first + k * step
            px = self.at(t)
            c.drawLine(px, y - 0.98 * size, px, y - 0.72 * size, stroke(INK, 1.2))
            words = f"{t:g} s"
            wide = width(words, "label", size)
            if px - wide / 2 > ends + 8 and px + wide / 2 < self.x + self.w + 14:
                letter(c, words, px, y, "label", size, fill(INK_SOFT), "c")
                ends = px + wide / 2


# ---------------------------------------------------------------- under a strip
LANE, AXIS = (
    23.0,
    46.0,
)  # height of a lane there, and room for the words of the strip's own axis above it


def room_under(lanes: Sequence[Lane]) -> float:
    """Room that lanes take under the strip of a sheet; none where nothing is switched. [design units]"""
    return LANE * len(lanes) + 16 if lanes else 0.0


def draw_under(
    c: Canvas,
    lanes: Sequence[Lane],
    span: Span,
    strip: tuple[float, float, float, float],
    left: float,
) -> None:
    """Draw lanes under a strip, on the same time: ``strip`` is its x, y, width and height, ``left`` the room beside it for names."""
    if not lanes:
        return
    x, y, wide, high = strip
    below = (x - left, y + high + AXIS, wide + left, LANE * len(lanes))
    chart = SequenceChart(lanes, span, below, left, size=17.0)
    chart.still(c, has_paper=False)
    chart.moving(c, span[1], has_needle=False)


def told(lanes: Sequence[Lane]) -> str:
    """Say in words what the lanes show."""
    said = [
        f"{lane.name} "
        + " and ".join(f"from {start:.1f} to {end:.1f} s" for start, end in lane.spans)
        for lane in lanes
        if lane.spans
    ]
    return ", ".join(said)
