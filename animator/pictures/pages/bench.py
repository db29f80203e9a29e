"""The maker's bench: the piece with what the run showed."""

from __future__ import annotations

import bisect
import itertools
import math
from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING, Any

import numpy as np

from animator.motion.looping import main_angle
from animator.outlines import first_follower, outline_of, stance_in, tip_of
from animator.parts._contract import Rides
from animator.pictures import marks, palette, plate
from animator.pictures.drawing import Drawing
from animator.pictures.ink import (
    DESIGN_HEIGHT,
    Canvas,
    Sheet,
    box,
    disc,
    fill,
    place,
    poly,
    skia,
    stroke,
    wedge,
)
from animator.pictures.lettering import Face, block, fit, letter, sentence, width, wrap
from animator.pictures.moment import Moment
from animator.pictures.pages.client import frames_flat
from animator.pictures.pages.words import (
    turn_seconds,
)
from animator.pictures.palette import INK, INK_SOFT
from animator.pictures.readings import Series, actors, count, effort, meant, over_turn, smooth
from animator.pictures.stand import Stand
from animator.pictures.stuff import Stuffs

if TYPE_CHECKING:
    from animator.findings.report import Finding, Report
    from animator.motion.motion import Contact, Motion, Slip


def eased(t: float, over: float = 0.4) -> float:
    """How far something we add has come, 0 to 1, by the 3-4-5 law. [s]"""
    x = min(max(t / over, 0.0), 1.0)
    return x**3 * (10 - 15 * x + 6 * x * x)


CARD_ROOM = 530.0  # design units; width of the words on a finding card
EFFORT = "Effort"
AIR = "Air"  # name of the strip that shows a gap
SEVERITY = ("jam", "stall", "float", "slip", "buckle", "skip", "clash", "slack", "jerk", "seam")


def in_span(
    findings: Iterable[Finding], span: tuple[float, float], goes_round: bool
) -> list[Finding]:
    """Bring findings of other rounds into the one that is shown: what happens in one happens in each."""
    start, stop = span
    period = stop - start
    out = []
    for f in findings:
        if goes_round and period > 0 and f.to_s - f.from_s < 0.9 * period:
            shift = math.floor((f.from_s - start) / period) * period
            f = f.model_copy(update={"from_s": f.from_s - shift, "to_s": f.to_s - shift})
        out.append(f)
    return out


def by_weight(findings: Iterable[Finding]) -> list[Finding]:
    """Findings with the gravest first; of one kind and part only one."""
    seen: dict[tuple[str, str], Finding] = {}
    for finding in findings:
        key = finding.code, finding.part
        if key not in seen or finding.at in ("middle", "all"):
            seen[key] = finding
    return sorted(
        seen.values(),
        key=lambda f: (SEVERITY.index(f.code) if f.code in SEVERITY else 99, f.from_s),
    )


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
    """

    ENDS = ("jammed", "stalled")
    ZOOM = 12.0

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
    ) -> None:
        self.motion, self.span, self.caption = motion, span, caption
        self.calm_s = 0.2 * speed
        found = by_weight(report.findings) if report is not None else []
        self.findings = in_span(
            [f for f in found if f.code != "seam"], span, motion.end not in self.ENDS
        )
        seam = next((f for f in found if f.code == "seam"), None)
        if seam is not None:  # told, never hidden
            self.caption = f"{sentence(caption) if caption else ''} At its join the film jumps by {seam.amount:.{0 if seam.amount >= 2 else 1}f} {'°' if seam.unit == 'deg' else seam.unit}.".replace(
                " °", "°"
            ).strip()
        self.stuffs = Stuffs(is_plain)
        # the cards need their width: a narrow sheet is taller in design units instead
        self.sheet = Sheet(*size_px, unit=min(size_px[1] / DESIGN_HEIGHT, size_px[0] / 1280.0))
        w, h = self.sheet.w, self.sheet.h
        self.right = w - 608.0  # where the cards begin
        self.from_above = {
            name
            for name, part in motion.scene.parts.items()
            if getattr(part, "shows_from_above", False)
        }
        self.is_top = view == "top" and bool(self.from_above)
        self.looked_at = self._too_small_to_see()
        if self.looked_at is not None and not is_plain and not self.is_top:
            # the reading glass needs its place beside the piece
            middle, room = 252.0, (470.0, h - 120)
        else:
            middle, room = self.right / 2 - 10, (self.right - 56, h - 120)
        if frames_flat(motion):
            room = room[0], room[1] - 34  # the title stands over it
        self.stand = Stand(motion, self.stuffs, middle, h - 72, room, motion.scene.title, 2.9)
        self.ends = motion.end in self.ENDS
        self.ticks = self._ticks(sorted(set(pictures)))
        self.bound = self._bound()
        self.effort = effort(motion)
        self.actor = next(iter(actors(motion)), None)
        self._instruments()
        self.glass = self._reading_glass()
        self.plan = self._from_above()
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

    def _bound(self) -> set[str]:
        """Parts that bind where the piece ends in a jam: those of the finding and what they touch."""
        if not self.ends:
            return set()
        names = {f.part for f in self.findings if f.code in ("jam", "stall")}
        for contact in self.motion.contacts.values():
            if contact.second in names or contact.first in names:
                names |= {contact.first, contact.second}
        for name, part in self.motion.scene.parts.items():
            held = part.held()
            if getattr(part, "is_drive", False) or (
                isinstance(held, Rides) and held.on.part in names
            ):
                names.add(name)
        return names - {"frame"}

    def _zones(self, parts: set[str] | None = None) -> list[tuple[float, float, str]]:
        start, stop = self.span
        length = max(stop - start, 1e-9)
        zones = []
        for f in self.findings:
            if parts is not None and f.part not in parts:
                continue
            a, b = (f.from_s - start) / length, (f.to_s - start) / length
            if b - a < 0.9 and b > 0 and a < 1:
                zones.append((max(a, 0.0), min(b, 1.0), f.code))
        return zones

    def _instruments(self) -> None:
        motion, (start, stop) = self.motion, self.span
        h, x = self.sheet.h, self.right
        first = next(iter(self.findings), None)
        self.said = self.mended = ""
        self.said_size, self.mend_size, tall = 31.0, 25.0, 2 * 37.0 + 42
        if first is not None:
            self.said = sentence(first.sentence)
            self.said_size = fit(self.said, "text", 31, CARD_ROOM, 3, 22)
            tall = 1.26 * self.said_size * max(2, len(self._lines(self.said, "text")))
            if first.mend:
                self.mended = sentence(first.mend[0].sentence)
                self.mend_size = fit(self.mended, "label", 25, CARD_ROOM, 2, 19)
                tall += 8 + 1.2 * self.mend_size * len(self._lines(self.mended, "label"))
        # the first base line stands 104 below the card's upper edge; a little room below the last
        self.card_high = 84.0 + tall + 14
        self.board_top = 32 + self.card_high + 22
        self.board_foot = min(h - 34, self.board_top + 440)
        board = self.board_foot - self.board_top
        self.dial_r = min(120.0, (board - 134) / 2 - 9)
        self.dial_at = (x + 139.0, self.board_top + 64 + (board - 134) / 2)
        sense = -(motion.drive.sense if motion.drive is not None else 1)
        marks_at: list[tuple[float, str]] = []
        for f in self.findings:
            at = f.from_deg % 360
            if (
                f.to_deg - f.from_deg < 200
                and len(marks_at) < 3
                and all(abs(math.remainder(at - other, 360)) > 14 for other, _ in marks_at)
            ):
                marks_at.append((at, f.code))
        if self.effort is not None:
            turn = over_turn(motion, self.effort.values, start, stop)
            limit = self.effort.most if self.ends else None
            self.dial: marks.Dial | None = marks.Dial(
                self.dial_r,
                turn,
                self.stuffs,
                marks_at,
                limit if limit else None,
                limit,
                sense,
                self.effort.unit == "N",
            )
        else:
            self.dial = None
        self.strips: list[tuple[marks.Strip, Series]] = []
        wide, left = self.sheet.w - 58 - (x + 296), x + 296.0
        rows = [row for row in (self._found_row(), self._actor_row()) if row is not None]
        if len(rows) < 2 and self.effort is not None and all(row[0] != EFFORT for row in rows):
            rows.append((EFFORT, self.effort.values, self.effort.unit, "{:.1f}", set()))
        if self.from_above and not self.is_top:
            rows = rows[:1]  # the plan needs the place of the second
        tall = min((board - 100 - 92 * (len(rows) - 1)) / max(len(rows), 1), 104.0)
        keep = (motion.times >= start) & (motion.times <= stop)
        for i, (name, values, unit, shape, parts) in enumerate(rows):
            shown = values[keep]
            low = min(0.0, float(shown.min())) if len(shown) else 0.0
            top = float(shown.max()) if len(shown) else 1.0
            if self.actor is not None and values is self.actor.values:
                top = max(top, low + meant(motion, self.actor))
            y = self.board_top + 76 + i * (tall + 92)
            line_count = (
                max(
                    1,
                    min(12, round(4 * (stop - start) / (turn_seconds(motion) or stop - start))),
                )
                if not self.ends
                else 4
            )
            step = max(1, len(shown) // 1200)
            strip = marks.Strip(
                left,
                y,
                wide,
                tall,
                name,
                shown[::step],
                unit,
                low,
                top or 1.0,
                self._zones(parts),
                line_count,
                shape,
                27,
            )
            self.strips.append((strip, values))

    def _lines(self, text: str, face: Face) -> list[str]:
        """Break a text of the card into lines."""
        return wrap(text, face, self.said_size if face == "text" else self.mend_size, CARD_ROOM)

    def _from_above(self) -> Drawing | None:
        """Plan of what can show itself from above, for the free place under a single strip."""
        others = set(self.motion.scene.parts) - self.from_above
        if not self.from_above or (len(self.strips) > 1 and not self.is_top):
            return None
        trial = Drawing(self.motion, self.stuffs, 1.0, others, True)
        low, high = trial.sweep(trial.marks)
        if self.is_top:
            wide, tall = self.right - 100, self.sheet.h - 250
            k = min(tall / (high[1] - low[1]), wide / (high[0] - low[0]))
            middle = self.right / 2 - 10, 86 + tall / 2
            self.plan_at = (
                middle[0] - (low[0] + high[0]) / 2 * k,
                middle[1] + (low[1] + high[1]) / 2 * k,
                86 + tall + 40,
            )
            self.plan_words = middle[0]
            return Drawing(self.motion, self.stuffs, k, others, True)
        strip = self.strips[0][0] if self.strips else None
        top = strip.y + strip.h + 26 if strip is not None else self.board_top + 40
        room = self.board_foot - 42 - top
        wide = self.sheet.w - 58 - (self.right + 296)
        k = min(room / (high[1] - low[1]), wide / (high[0] - low[0]))
        self.plan_at = (
            self.right + 296 + wide / 2 - (low[0] + high[0]) / 2 * k,
            top + room / 2 + (low[1] + high[1]) / 2 * k,
            top + room + 26,
        )
        self.plan_words = self.right + 296 + wide / 2
        return Drawing(self.motion, self.stuffs, k, others, True)

    def _found_row(self) -> tuple[str, Series, str, str, set[str] | None] | None:
        """Strip of what the gravest finding is about."""
        for f in self.findings:
            if f.code == "float":
                for contact in self.motion.contacts.values():
                    if contact.is_meant and f.part in (contact.first, contact.second):
                        return (
                            AIR,
                            np.maximum(contact.gap, 0.0),
                            "mm",
                            "{:.1f}" if contact.gap.max() >= 0.1 else "{:.2f}",
                            None,
                        )
            if f.code == "slip" and self.motion.slips:
                tally = count(self.motion)
                return "Lost", tally.due - tally.got, "turns", "{:.2f}", None
            if f.code == "jerk":
                speed = self.motion.channels.get(f"{f.part}.spin speed")
                turning = (
                    np.abs(speed.values)
                    if speed is not None
                    else np.abs(np.gradient(self.motion.frame(f.part)[:, 2], self.motion.times))
                    if f.part in self.motion.frames
                    else None
                )
                if turning is not None:
                    return (
                        f"{f.part[:1].upper()}{f.part[1:]}",
                        smooth(turning) * 30 / math.pi,
                        "rpm",
                        "{:.0f}",
                        None,
                    )
            if f.code in ("jam", "stall") and self.effort is not None:
                return EFFORT, self.effort.values, self.effort.unit, "{:.1f}", None
        return None

    def _actor_row(self) -> tuple[str, Series, str, str, set[str] | None] | None:
        if self.actor is None:
            return None
        name = self.actor.part[:1].upper() + self.actor.part[1:]
        span = float(np.ptp(self.actor.values))
        shape = "{:.2f}" if self.actor.unit == "turns" else "{:.0f}" if span > 20 else "{:.1f}"
        return f"{name}", self.actor.values, self.actor.unit, shape, set()

    def _reading_glass(self) -> marks.ReadingGlass | None:
        """Lay a reading glass beside the piece where something is too small to see."""
        if self.looked_at is None or self.stuffs.is_plain or self.is_top:
            return None
        contact = self.looked_at
        others = set(self.motion.scene.parts) - {contact.first, contact.second}
        self.close = Drawing(
            self.motion, self.stuffs, self.stand.k * self.ZOOM, others, size=2.4
        )
        return marks.ReadingGlass(self.sheet, 566.0, 418.0, 84.0, self.stuffs)

    def _too_small_to_see(self) -> Contact | None:
        """Contact whose gap is found but smaller than the eye can see in the picture."""
        for f in self.findings:
            for contact in self.motion.contacts.values():
                if (
                    f.code == "float"
                    and contact.is_meant
                    and f.part in (contact.first, contact.second)
                    and 0.01 < f.amount < 2.0
                ):
                    return contact
        return None

    # ------------------------------------------------------------ drawing
    def _ground(self, c: Canvas) -> None:
        plate.wall(c, self.sheet.w, self.sheet.h, self.stuffs, palette.KRAFT, False)
        plate.bench(c, self.sheet.w, self.sheet.h, self.sheet.h - 114, self.stuffs)

    def _still(self) -> None:
        c = self.sheet.canvas
        self._ground(c)
        if not self.is_top:
            self.stand.settle(self.sheet)
        self._name(c)
        is_late = (
            self.ends and bool(self.findings) and self.findings[0].code in ("jam", "stall")
        )
        if not is_late:
            self._card(c, 1.0)
        self.is_late = is_late
        self._board(c)
        if self.caption:
            size = fit(self.caption, "text-i", 22, self.right - 60, 1, 16)
            letter(
                c,
                self.caption,
                self.stand.middle if self.glass is None else self.right / 2,
                self.sheet.h - 16,
                "text-i",
                size,
                fill(palette.PAPER_LIT),
                "c",
            )
        self.sheet.keep()

    def _name(self, c: Canvas) -> None:
        """Letter the piece's title and its variant small on the wall, where the piece leaves room."""
        scene = self.motion.scene
        if self.stand.high < 64 and not self.is_top:
            return
        size = fit(scene.title, "title", 25, self.right - 70, 1, 17)
        to = letter(c, scene.title, 34, 52, "title", size, fill(INK, 0.85))
        if scene.variant and to + 12 + width(scene.variant, "text-i", 21) < self.right - 30:
            letter(c, scene.variant, to + 12, 52, "text-i", 21, fill(INK_SOFT))

    def _card(self, c: Canvas, share: float) -> None:
        """Draw the finding card, eased in by a share from 0 to 1."""
        x, y, w, h = self.right, 32.0, 576.0, self.card_high
        c.save()
        if share < 1:
            c.saveLayerAlpha(None, round(255 * share))
            c.translate(0, -18 * (1 - share))
        marks.card(c, x, y, w, h, True, self.stuffs.is_plain)
        if not self.findings:
            letter(c, "Nothing amiss", x + 26, y + 62, "title", 34)
            block(
                c,
                self.motion.scene.about or "It runs as it should.",
                x + 26,
                y + 112,
                w - 52,
                "text",
                28,
                1.28,
                fill(INK),
                3,
            )
        else:
            f = self.findings[0]
            marks.mark(c, f.code, x + 44, y + 52, 18, None)
            letter(
                c,
                f.code.upper(),
                x + 76,
                y + 61,
                "label-b",
                31,
                fill(marks.hue_of(f.code)),
                track=1.5,
            )
            if len(self.findings) > 1:
                letter(
                    c,
                    f"1 of {len(self.findings)}",
                    x + w - 26,
                    y + 58,
                    "label",
                    25,
                    fill(INK_SOFT),
                    "r",
                )
            elif f.code in ("jam", "stall"):
                letter(
                    c,
                    f"at {f.from_deg:.0f}° of the turn",
                    x + w - 26,
                    y + 58,
                    "label",
                    25,
                    fill(INK_SOFT),
                    "r",
                )
            size = self.said_size
            y2 = block(c, self.said, x + 26, y + 104, CARD_ROOM, "text", size, 1.26, fill(INK))
            if self.mended:
                y2 += 4 - max(0.0, self.said_size - self.mend_size) * 0.3
                size = self.mend_size
                block(c, self.mended, x + 26, y2, CARD_ROOM, "label", size, 1.2, fill(INK_SOFT))
        c.restore()
        if share < 1:
            c.restore()

    def _board(self, c: Canvas) -> None:
        x, y = self.right, self.board_top
        marks.card(c, x, y, 576, self.board_foot - y, False, self.stuffs.is_plain)
        if self.dial is not None and self.effort is not None:
            what = "Effort at the handle" if self.effort.unit == "N" else "Effort of the motor"
            letter(c, what, x + 22, y + 44, "label", 27)
            self.dial.still(c, *self.dial_at)
        c.drawLine(x + 278, y + 24, x + 278, self.board_foot - 24, stroke(palette.INK_FAINT, 1))
        for strip, _ in self.strips:
            strip.still(c)
        if self.plan is not None:
            letter(
                c,
                "seen from above",
                self.plan_words,
                self.plan_at[2],
                "label",
                22,
                fill(INK_SOFT),
                "c",
            )

    def draw(self, t: float, held: float) -> None:
        """Draw the page at a moment."""
        c, moment = self.sheet.canvas, self.stand.moment(t)
        drained = eased(held, 0.6) if self.ends else 0.0
        if drained > 0:
            self._drained(c, moment, drained)
        else:
            self.sheet.fresh()
            if not self.is_top:
                self.stand.moving(c, moment)
        if not self.is_top:
            self._signs(c, moment, held)
        if self.is_late and held > 0:
            self._card(c, eased(held))
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
        self._dial_now(c, i, calm)
        start, stop = self.span
        for strip, values in self.strips:
            strip.moving(
                c,
                (t - start) / max(stop - start, 1e-9),
                float(values[since : calm + 1].max() if strip.title == AIR else values[calm]),
            )

    GREY = (
        0.30,
        0.44,
        0.14,
        0,
        0.13,
        0.28,
        0.43,
        0.13,
        0,
        0.115,
        0.24,
        0.38,
        0.12,
        0,
        0.09,
        0,
        0,
        0,
        1,
        0,
    )
    PLAIN = (1, 0, 0, 0, 0, 0, 1, 0, 0, 0, 0, 0, 1, 0, 0, 0, 0, 0, 1, 0)

    def _drained(self, c: Canvas, moment: Moment, share: float) -> None:
        """Print grey all that merely waits; what binds keeps its colour."""
        matrix = [a + (b - a) * share for a, b in zip(self.PLAIN, self.GREY, strict=True)]
        grey = skia.Paint(ColorFilter=skia.ColorFilters.Matrix(matrix))
        c.saveLayer(None, grey)
        self._ground(c)
        c.restore()
        if not self.is_top:
            self.stand.draw_through(c, moment, grey, self.bound)
        self._name(c)
        self._board(c)

    # ------------------------------------------------------------ signs at the places
    def _signs(self, c: Canvas, moment: Moment, held: float) -> None:
        t = moment.t
        tags = 0
        for n, f in enumerate(self.findings[:4]):
            is_now = f.from_s - 1e-6 <= t <= f.to_s + 1e-6 or (
                held > 0 and f.code in ("jam", "stall")
            )
            spot = self._spot(f, moment)
            if f.code == "jam" and held > 0:
                self._remedy(c, f, moment, eased(held - 0.6))
                self._bites(c, f, moment, eased(held, 0.6))
                continue
            if f is not self.findings[0] and tags < 3:
                x, y = self.right - 176.0, 84.0 + 66 * tags
                tags += 1
                if spot is not None and is_now:
                    marks.thread(c, x, y, f.code, spot)
                marks.tag(c, x, y, f.code, None, 25, 4 if n % 2 else -4, self.stuffs.is_plain)
            elif (
                is_now
                and spot is not None
                and (self.glass is None or f.code != "float")
                and f.code not in ("jam", "slip")
            ):
                marks.mark(c, f.code, spot[0], spot[1], 15)
        self._touching(c, moment, held)
        self._slipping(c, moment)
        if self.glass is not None and self.looked_at is not None:
            self._look_closer(c, moment)

    def _spot(self, f: Finding, moment: Moment) -> tuple[float, float] | None:
        """Where a finding shows itself, on the sheet."""
        for contact in self.motion.contacts.values():
            if (
                f.code == "float"
                and contact.is_meant
                and f.part in (contact.first, contact.second)
            ):
                return self.stand.on_sheet(
                    (moment.of(contact.point[:, 0]), moment.of(contact.point[:, 1]))
                )
        slip = self.motion.slips.get(f.part)
        name = slip.driven if slip is not None else f.part
        if f.code == "stall" and self.motion.drive is not None:
            name = self.motion.drive.name
        if name not in self.motion.frames:
            return None
        part = self.motion.scene.parts[name]
        point = "knob" if "knob" in part.points() else next(iter(part.points()))
        x, y = self.stand.on_sheet(moment.point(name, point))
        return (x + 26, y - 26) if f.code == "stall" else (x, y)

    def _remedy(self, c: Canvas, f: Finding, moment: Moment, share: float) -> None:
        """Draw dashed what would do: the cam or the guide of the first mend, in its place."""
        parts = self.motion.scene.parts
        mend = next(iter(f.mend), None)
        name = max(
            (n for n in parts if mend is not None and mend.path.startswith(n + ".")),
            key=len,
            default="",
        )
        if mend is None or not name or share <= 0:
            return
        try:
            value = float(mend.value.split()[0])
        except ValueError:
            return
        field, stand, k = mend.path[len(name) + 1 :], self.stand, self.stand.k
        if field == "base radius":
            rider = first_follower(parts, name)
            if rider is None:
                return
            cam = parts[name].model_copy(update={"base_radius": value})
            outline = outline_of(
                cam, tip_of(parts[rider]), stance_in(self.motion.scene, rider)
            ).polygon()[::4]
            pose = moment.pose(name)
            shape = poly([stand.on_sheet(pose.place(point)) for point in outline])
        elif field == "guide.length":
            part: Any = parts[name]
            direction = getattr(part, "slides", math.pi / 2)
            x, y = stand.on_sheet(stand.drawing.start_of(part.guide.at))
            shape = box(-value * k / 2, -7.5 * k, value * k, 15 * k, 1.5 * k)
            shape.transform(place(x, y, -math.degrees(direction)))
        else:
            return
        c.drawPath(shape, stroke(INK, 4.2, 0.5 * share))
        c.drawPath(shape, stroke(palette.PAPER_LIT, 2.2, share, dash=(6, 5)))

    def _bites(self, c: Canvas, f: Finding, moment: Moment, glow: float) -> None:
        """Draw a jaw at each place where a stem wedges in its guide: at opposite ends, on opposite sides, as it leans."""
        part = self.motion.scene.parts.get(f.part)
        guide = getattr(part, "guide", None)
        spots = []
        if part is not None and guide is not None:
            direction = getattr(part, "slides", math.pi / 2)
            x, y = self.stand.drawing.start_of(guide.at)
            offset = getattr(part, "offset", 0.0) if hasattr(part, "tip") else 0.0
            x, y = x + math.sin(direction) * offset, y - math.cos(direction) * offset
            lean = math.copysign(
                1.0, math.remainder(moment.pose(f.part).angle - direction, math.tau)
            )
            half, wide = guide.length / 2, 5.0
            for end in (1, -1):
                along, aside = end * max(half - 1.5, 0.6 * half), end * lean * wide
                # aside > 0: to the left of the way it slides
                px = x + math.cos(direction) * along - math.sin(direction) * aside
                py = y + math.sin(direction) * along + math.cos(direction) * aside
                way = math.degrees(
                    math.atan2(-(math.cos(direction) * aside), -math.sin(direction) * aside)
                )
                spots.append((self.stand.on_sheet((px, py)), way))
        for (px, py), way in spots:
            marks.bite(c, px, py, 14, way, glow, self.stuffs.is_plain)
        for contact in self.motion.contacts.values():
            if contact.kind == "cam" and f.part in (contact.first, contact.second):
                q = self.stand.on_sheet(
                    (moment.of(contact.point[:, 0]), moment.of(contact.point[:, 1]))
                )
                nx, ny = moment.of(contact.direction[:, 0]), -moment.of(contact.direction[:, 1])
                if part is not None and contact.first == f.part:
                    nx, ny = -nx, -ny
                marks.arrow(
                    c,
                    [
                        (q[0] - nx * 62 * glow, q[1] - ny * 62 * glow),
                        (q[0] - nx * 4, q[1] - ny * 4),
                    ],
                    marks.hue_of("jam"),
                    7,
                    22,
                    palette.PAPER_LIT,
                ) if glow > 0.3 else None

    def _touching(self, c: Canvas, moment: Moment, held: float) -> None:
        """Draw the sign of contact where a follower touches its cam, as long as it does."""
        for contact in self.motion.contacts.values():
            if (
                not contact.is_meant
                or contact is self.looked_at
                or moment.of(contact.gap) > 0.02
                or (held > 0 and self.ends)
            ):
                continue
            x, y = self.stand.on_sheet(
                (moment.of(contact.point[:, 0]), moment.of(contact.point[:, 1]))
            )
            nx, ny = moment.of(contact.direction[:, 0]), -moment.of(contact.direction[:, 1])
            # its two faces lie along the touching ones
            marks.mark(
                c, "contact", x, y, 8.5, palette.PAPER_LIT, math.degrees(math.atan2(ny, nx))
            )

    def _slipping(self, c: Canvas, moment: Moment) -> None:
        """Draw got, due and the missing slice on a wheel that lags."""
        c.save()
        c.translate(self.stand.x, self.stand.y)
        for slip in self.motion.slips.values():
            witness(c, self.stand.drawing, slip, moment)
        c.restore()

    def _look_closer(self, c: Canvas, moment: Moment) -> None:
        contact, glass = self.looked_at, self.glass
        assert contact is not None
        assert glass is not None
        gap = moment.of(contact.gap)
        point = (moment.of(contact.point[:, 0]), moment.of(contact.point[:, 1]))
        n = (moment.of(contact.direction[:, 0]), -moment.of(contact.direction[:, 1]))
        middle = (point[0] + n[0] * max(gap, 0.0) / 2, point[1] - n[1] * max(gap, 0.0) / 2)
        glass.lead(c, self.stand.on_sheet(point), "float")

        def inside(k: Canvas) -> None:
            k.drawPath(disc(0, 0, glass.r + 40), self.stuffs.paint(self.stand.board, 90))
            x, y = self.close.units(middle)
            k.save()
            k.translate(-x, -y)
            self.close.draw(k, self.close.moment(moment.t), self.close.marks)
            k.restore()
            air = max(gap, 0.0) * self.close.k
            if air > 2:
                hue = marks.hue_of("float")
                for side in (-1, 1):
                    tip, tail = side * (air / 2 + 2), side * (air / 2 + 30)
                    marks.arrow(
                        k,
                        [(n[0] * tail, n[1] * tail), (n[0] * tip, n[1] * tip)],
                        hue,
                        3.6,
                        13,
                        palette.PAPER_LIT,
                    )
                word = f"{gap:.1f} mm" if gap >= 0.1 else f"{gap:.2f} mm"
                tw = width(word, "label-b", 26)
                k.drawPath(box(-tw / 2 - 9, 30, tw + 18, 33, 4), fill(palette.PAPER_LIT))
                k.drawPath(box(-tw / 2 - 9, 30, tw + 18, 33, 4), stroke(hue, 2))
                letter(k, word, 0, 55, "label-b", 26, fill(hue), "c")

        glass.draw(c, inside)

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
        x, y = self.right, self.board_foot - 28
        value = float(self.effort.values[calm])
        # a figure that runs too fast to be read would lie about the arrow: then it counts the turns
        is_fast = bool(self.ticks) and calm < len(angle) - 1 and self._passes(angle) > 20
        shown = (
            f"turn {max(0, math.floor(angle[i] / 360 + 1e-6)) + 1}"
            if is_fast
            else f"{round(float(angle[calm])) % 360}°"
        )
        letter(c, shown, x + 20, y + 8, "label-b", 34)
        felt = 0.05 * (float(np.abs(self.effort.values).max()) or 1.0)
        word, hue = (
            ("runs free", INK)
            if abs(value) < felt
            else ("you push", palette.PUSH)
            if value > 0
            else ("it pulls", palette.PULL)
        )
        if self.effort.unit != "N":
            word = {"you push": "it drives", "it pulls": "it holds back"}.get(word, word)
        shown = (
            f"{abs(value):.1f} {self.effort.unit}"
            if abs(value) >= 0.095
            else f"{abs(value):.2f} {self.effort.unit}"
        )
        wide = width(shown, "label-b", 29)
        letter(c, shown, x + 264, y + 8, "label-b", 29, fill(hue), "r")
        if width(word, "label", 24) + wide + 110 < 250:
            letter(c, word, x + 264 - wide - 12, y + 8, "label", 24, fill(INK_SOFT), "r")


def witness(
    c: Canvas, drawing: Drawing, slip: Slip, moment: Moment, is_due_shown: bool = True
) -> None:
    """Draw on the driven wheel where its red bar is, where it is due, and the missing slice between; the canvas is the drawing's.

    The bar stands where the recorded wheel stands, counted from straight up at the end of the start-up; the slice is what the
    driving rim ran more than the driven rim, over the driven wheel's radius.
    """
    begins = drawing.motion.begins
    got, due = moment.of(slip.got) - slip.got[begins], moment.of(slip.due) - slip.due[begins]
    x, y = moment.spot(slip.driven)
    r = slip.radii[1] * drawing.k
    angle = moment.pose(slip.driven).angle - float(drawing.motion.frame(slip.driven)[begins, 2])
    # the slice lies ahead of the bar, the way the wheel turns
    lost = math.degrees((due - got) / slip.radii[1]) * math.copysign(
        1.0, angle * got if abs(angle) > 1e-9 else 1.0
    )
    now = -90.0 - math.degrees(angle)
    c.save()
    c.translate(x, y)
    bar = box(r * 0.47, -max(3.2, r * 0.068), r * 0.46, 2 * max(3.2, r * 0.068), 2)
    if abs(lost) > 3 and is_due_shown:
        sweep = -math.copysign(min(abs(lost), 352.0), lost)
        marks.lost_slice(c, wedge(0, 0, r - max(3.0, r * 0.05), now, sweep))
        c.save()
        c.rotate(now + sweep)
        marks.due_bar(c, bar)
        c.restore()
    c.rotate(now)
    marks.got_bar(c, bar)
    c.restore()
