"""The storyboard: a sheet of numbered key moments with captions, and one strip under them all on which they are pegged."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np

from animator.motion.looping import main_angle
from animator.parts._contract import Rides, Turns
from animator.pictures import marks, palette, plate
from animator.pictures.ink import Canvas, Sheet, box, disc, fill, poly, skia, stroke
from animator.pictures.lettering import block, fit, letter, width
from animator.pictures.moment import Moment
from animator.pictures.moments import KeyMoment, key_moments, span_of
from animator.pictures.pages.bench import witness
from animator.pictures.pages.words import seconds_of, title, turn_seconds
from animator.pictures.palette import INK, INK_FAINT, INK_SOFT
from animator.pictures.plate import Cabinet
from animator.pictures.readings import Series, actors, count, effort, meant
from animator.pictures.stand import Stand
from animator.pictures.stuff import Stuffs, paper

if TYPE_CHECKING:
    from animator.findings.report import Report
    from animator.motion.motion import Motion

W, H = 1280.0, 905.0  # A4 landscape: 1280 units are 297 mm
PAGE = (297.0, 210.0)  # A4 landscape [mm]
COLUMNS = 3


class Storyboard:
    """A sheet of key moments.

    Parameters
    ----------
    motion, report
        What was recorded, and what is said of it.
    moments
        The moments to show; None chooses them from the motion.
    """

    def __init__(
        self,
        motion: Motion,
        report: Report | None = None,
        moments: list[KeyMoment] | None = None,
    ) -> None:
        self.motion, self.report = motion, report
        self.moments = moments if moments is not None else key_moments(motion, report)
        self.stuffs = Stuffs()
        start, _ = span_of(motion)
        self.base = start, float(np.degrees(np.interp(start, motion.times, main_angle(motion))))
        self.rows = 2 if len(self.moments) > COLUMNS else 1
        self.high = 206.0 if self.rows == 2 else 496.0
        count = max(len(self.moments), 1)
        self.columns = 2 if count == 4 else min(count, COLUMNS)
        self.wide = (W - 64 - 14 * (self.columns - 1)) / self.columns
        self.stand, self.works = self._stands()
        self.first_y = 122.0
        if self.rows == 1:  # a low piece has low panels, a little above the middle of the sheet
            full = self.high
            self.high = min(full, max(300.0, self.stand.foot - self.stand.high + 104))
            self.first_y += 0.4 * (full - self.high)

    def _stands(self) -> tuple[Stand, Stand | None]:
        """The piece as the panels show it, and the works for their round windows where figures stand on a stage."""
        scene = self.motion.scene
        probe = Stand(self.motion, self.stuffs, 0, 0, (1e6, 1e6), scene.title, 2.2, 2.2)
        room_w, room_h = (
            (self.wide - 126, self.high - 14)
            if self.rows == 2
            else (self.wide - 40, self.high - 90)
        )
        if probe.is_stage and self.rows == 2:
            cabinet = probe.base
            assert isinstance(cabinet, Cabinet)
            # from the foot of the stage upward
            tall = probe.foot + cabinet.inside_top - probe.high
            k = 2.2 * min(room_w / (2 * probe.half), room_h / max(tall + 10, 1), 1.0)
            return Stand(self.motion, self.stuffs, 0, 0, (1e6, 1e6), scene.title, 9, k), Stand(
                self.motion, self.stuffs, 0, 0, (1e6, 1e6), scene.title, 9, min(0.42 * 2.2, 0.9)
            )
        return Stand(
            self.motion,
            self.stuffs,
            0,
            0,
            (room_w, room_h - 8),
            scene.title,
            2.9,
            None,
            None,
            False,
        ), None

    # ------------------------------------------------------------ output
    def draw(self, c: Canvas) -> None:
        """Draw the sheet on any canvas, 1280 by 905 units."""
        c.drawRect(skia.Rect.MakeWH(W, H), paper(palette.PAPER))
        plate.border(c, 14, 14, W - 28, H - 28)
        self._title(c)
        last: KeyMoment | None = None
        for n, moment in enumerate(self.moments):
            row = n // self.columns
            in_row = min(self.columns, len(self.moments) - row * self.columns)
            # a row that isn't full stands in the middle
            x = 32 + (n % self.columns + (self.columns - in_row) / 2) * (self.wide + 14)
            y = self.first_y + row * 290
            self._panel(c, x, y, n + 1, moment, last)
            last = moment
        self._strip(c, 112, 730, 1104, 112)

    def sheet(self, width_px: int = 1754) -> Sheet:
        """Draw the sheet into pixels."""
        made = Sheet(width_px, round(width_px * H / W), width_px / W)
        self.draw(made.canvas)
        return made

    def draw_page(self, c: Canvas) -> None:
        """Draw the sheet on a page of ``PAGE``, in millimetres."""
        c.scale(PAGE[0] / W, PAGE[1] / H)
        self.draw(c)

    # ------------------------------------------------------------ head
    def _title(self, c: Canvas) -> None:
        scene, motion = self.motion.scene, self.motion
        size = fit(scene.title, "title", 42, 480, 1, 24)
        title(c, scene.title, 34, 78 if size > 34 else 74, 490, size, least=20, line_count=2)
        seconds = turn_seconds(motion)
        scale = self.stand.k * 297 / W
        rows = [
            [("Piece", scene.title), ("Variant", scene.variant or "as drawn")],
            [
                ("Scale", f"1 : {1 / scale:.1f}" if scale < 1 else "1 : 1"),
                ("One turn", seconds_of(seconds) if seconds else "no drive"),
                (
                    "Friction",
                    {0.0: "low", 0.5: "middle", 1.0: "high"}.get(
                        motion.level, f"{motion.level:.2f}"
                    ),
                ),
                ("Sheet", "1 of 1"),
            ],
        ]
        x0, y0, h, w = 560.0, 30.0, 34.0, 688.0
        c.drawPath(box(x0, y0, w, 2 * h), stroke(INK, 1.6))
        c.drawLine(x0, y0 + h, x0 + w, y0 + h, stroke(INK, 0.9))
        for j, row in enumerate(rows):
            wants = [width(a, "label", 17.5) + width(b, "label-b", 19.5) + 30 for a, b in row]
            spare = (w - sum(wants)) / len(row)
            at = x0
            for (a, b), want in zip(row, wants, strict=True):
                if at > x0:
                    c.drawLine(at, y0 + j * h, at, y0 + (j + 1) * h, stroke(INK, 0.9))
                to = letter(c, a, at + 11, y0 + j * h + 23, "label", 17.5, fill(INK_SOFT))
                bold = fit(b, "label-b", 19.5, max(60.0, want + spare - (to - at) - 16), 1, 12)
                letter(c, b, to + 8, y0 + j * h + 23, "label-b", bold)
                at += want + spare

    # ------------------------------------------------------------ panels
    def _panel(
        self,
        c: Canvas,
        x: float,
        y: float,
        number: int,
        moment: KeyMoment,
        last: KeyMoment | None,
    ) -> None:
        w, h, stand = self.wide, self.high, self.stand
        frame = box(x, y, w, h, 2)
        c.save()
        c.clipPath(frame, skia.ClipOp.kIntersect, True)
        c.drawPath(frame, fill(palette.PAPER_LIT))
        middle = x + ((w - 118) / 2 + 4 if self.rows == 2 else w / 2)
        if self.works is not None:
            cabinet = stand.base
            assert isinstance(cabinet, Cabinet)
            foot = y + h - cabinet.inside_top + 2
        elif stand.is_flat:
            foot = y + h - 8
        else:
            foot = y + h - 27
        if stand.ride is not None:
            plate.sun(
                c,
                middle - stand.middle + stand.x + stand.ride_at[0],
                foot - stand.foot + stand.fold_y - 88 * stand.ride.size,
                112 * stand.ride.size,
                palette.PAPER_LIT,
                gap=6,
            )
        elif self.works is not None:
            plate.sun(c, middle - 4, y + 0.5 * h, 0.5 * h - 4, palette.PAPER_LIT, gap=6)
        else:
            plate.sun(
                c,
                middle - 4,
                foot - stand.foot + stand.top + (-20 if stand.is_stage else 0.3 * stand.half),
                0.62 * stand.half,
                palette.PAPER_LIT,
                gap=6,
            )
        c.save()
        c.translate(middle - stand.middle, foot - stand.foot)
        now = stand.moment(moment.t)
        self._piece(c, now, last)
        c.restore()
        self._window(c, x + w - 61, y, moment)
        c.restore()
        c.drawPath(frame, stroke(INK, 1.7))
        badge(c, x + 2, y + 2, number, 19)
        self._sign(c, x, y, moment)
        lines = 2 if self.rows == 2 else 3
        size = fit(moment.caption, "text", 19.5, w - 8, lines, 16.5)
        block(c, moment.caption, x + 2, y + h + 26, w - 8, "text", size, 1.25, fill(INK), lines)

    def _piece(self, c: Canvas, now: Moment, last: KeyMoment | None) -> None:
        stand = self.stand
        figures = {
            name
            for name, part in self.motion.scene.parts.items()
            if part.artwork is not None and name not in stand.drawing.still_parts
        }
        if last is not None and figures and not stand.is_flat:
            stand.draw_with_ghost(c, now, stand.moment(last.t), figures)
            self._arrow(c, last.t, now.t, figures)
        else:
            stand.draw(c, now)
        c.save()
        c.translate(stand.x, stand.y)
        for slip in self.motion.slips.values():
            witness(c, stand.drawing, slip, now)
        c.restore()

    def _arrow(self, c: Canvas, before: float, now: float, figures: set[str]) -> None:
        """Draw an arrow along a long way through the air, beside the figure."""
        stand = self.stand
        best: tuple[float, np.ndarray] | None = None
        for name in sorted(figures):
            held = self.motion.scene.parts[name].held()
            if isinstance(held, Rides) and f"{held.on.part}.spin" in self.motion.channels:
                continue  # it turns about its own upright: nothing goes far through the air
            corners = [
                mark.reach(stand.drawing.first)
                for mark in stand.drawing.marks
                if mark.part == name and mark.sort == "figure"
            ]
            if not corners:
                continue
            # the corner farthest from where the figure turns goes the longest way
            spot = max(
                np.vstack(corners).tolist(),
                key=lambda q: math.dist(q, stand.drawing.first.spot(name, (0.0, 0.0))),
            )
            local = stand.drawing.first.pose(name).local(
                (spot[0] / stand.k, -spot[1] / stand.k)
            )
            way = np.array(
                [
                    stand.moment(t).spot(name, local)
                    for t in np.linspace(before, now, 24).tolist()
                ]
            )
            size = float(np.hypot(*(way[-1] - way[0])))
            if best is None or size > best[0]:
                best = size, way
        if best is None or best[0] < 30:
            return
        way = best[1] + np.array([stand.x, stand.y])
        direction = (way[-1] - way[0]) / best[0]
        aside = np.array([direction[1], -direction[0]])
        marks.arrow(c, way[2:-1] + aside * 14, INK, 4.4, 15, palette.PAPER_LIT)

    def _window(self, c: Canvas, cx: float, y: float, moment: KeyMoment) -> None:
        """Draw the works through a round window, and under it the handle's angle and the time."""
        r = 49.0
        if self.works is not None:
            works, cy = self.works, y + 64
            shafts = [
                name
                for name, part in works.drawing.scene.parts.items()
                if isinstance(part.held(), Turns)
            ]
            eye = (
                works.drawing.first.point(shafts[0])
                if shafts
                else (self.motion.scene.frame.width / 2, 50.0)
            )
            guides = [g[1] for g in works.drawing.guides]
            up = (max(guides) - eye[1]) * 0.36 if guides else 0.0
            at = works.on_sheet((eye[0], eye[1] + up))
            c.save()
            c.clipPath(disc(cx, cy, r), skia.ClipOp.kIntersect, True)
            c.drawPath(disc(cx, cy, r), self.stuffs.paint(works.board, 90))
            c.translate(cx - at[0], cy - at[1])
            now = works.moment(moment.t)
            c.translate(works.x, works.y)
            works.drawing.draw(c, now, [*works.works, *works.front])
            c.restore()
            c.drawPath(disc(cx, cy, r + 3), stroke(INK, 7))
            c.drawPath(disc(cx, cy, r + 3), stroke(palette.METALS["brass"][1], 4.4))
            y = cy + r
        turned, seconds = moment.angle_deg - self.base[1], max(0.0, moment.t - self.base[0])
        shown = (
            f"{turned:.0f}°" if abs(turned) < 719.5 else f"{turned / 360:.2f} turns"
        ).replace("-0°", "0°")
        when = f"{seconds:.1f} s" if seconds >= 0.95 or seconds < 0.005 else f"{seconds:.2f} s"
        size = 27 if abs(turned) < 719.5 else 22
        if self.works is None:
            drive = self.motion.drive
            sense = -(drive.sense if drive is not None else 1)
            has_handle = drive is not None and drive.radius > 0
            if self.rows == 1:  # one line over the piece
                right = cx + 50
                left = right - width(when, "label", 21)
                letter(c, when, right, y + 46, "label", 21, fill(INK_SOFT), "r")
                letter(c, shown, left - 12, y + 46, "label-b", size, fill(INK), "r")
                if has_handle:
                    marks.tiny_handle(
                        c,
                        left - 12 - width(shown, "label-b", size) - 34,
                        y + 38,
                        moment.angle_deg * sense,
                        22,
                    )
                return
            y = y + self.high - 92
            if has_handle:
                marks.tiny_handle(c, cx, y - 22, moment.angle_deg * sense, 26)
            y += 20
        letter(c, shown, cx, y + 36, "label-b", size, fill(INK), "c")
        letter(c, when, cx, y + 60, "label", 21, fill(INK_SOFT), "c")

    def _sign(self, c: Canvas, x: float, y: float, moment: KeyMoment) -> None:
        code = moment.kind.split()[0]
        if moment.kind.endswith("begins") and code in palette.MARKS:
            marks.mark(c, code, x + 62, y + 22, 15)
            letter(
                c,
                code.upper(),
                x + 84,
                y + 29,
                "label-b",
                21,
                fill(marks.hue_of(code)),
                track=1,
            )

    # ------------------------------------------------------------ the strip
    def _strip(self, c: Canvas, x: float, y: float, w: float, h: float) -> None:
        """Two lanes over the stretch shown: what the actor does, and below what the hand feels about its own zero line."""
        motion = self.motion
        start, stop = span_of(motion)
        keep = (motion.times >= start - 1e-9) & (motion.times <= stop + 1e-9)
        times = motion.times[keep]
        step = max(1, len(times) // 1400)
        times = times[::step]
        px = x + w * (times - start) / max(stop - start, 1e-9)
        name, values, most = self._lane(keep, step)
        tall = 58.0
        lane = (values - values.min()) / most
        line = np.stack([px, y + tall - lane * (tall - 6)], 1)
        c.drawPath(
            poly(np.vstack([line, [[x + w, y + tall], [x, y + tall]]])), fill("#E9CF9A", 0.55)
        )
        spots = [
            x + w * min(max((m.t - start) / max(stop - start, 1e-9), 0.0), 1.0)
            for m in self.moments
        ]
        for at in spots:
            c.drawLine(at, y - 2, at, y + h, stroke(INK, 1.0, 0.6))
        if motion.slips:
            tally = count(motion)
            due = (tally.due[keep][::step] - values.min()) / most
            c.drawPath(
                poly(np.stack([px, y + tall - np.clip(due, 0, 1.12) * (tall - 6)], 1), False),
                stroke(INK, 1.6, 0.8, dash=(6, 4)),
            )
        c.drawPath(poly(line, False), stroke(INK, 2.8))
        c.drawLine(x, y + tall, x + w, y + tall, stroke(INK, 1.3))
        letter(
            c,
            name,
            x - 10,
            y + tall - 4,
            "label-b",
            fit(name, "label-b", 19, 74, 1, 13),
            fill(INK),
            "r",
        )
        self._effort_lane(c, x, y + 86, w, keep, step, px, spots)
        c.drawLine(x, y + h, x + w, y + h, stroke(INK, 1.7))
        self._scale(c, x, y + h, w, start, stop)
        for n, at in enumerate(spots):
            crowded = n > 0 and at - spots[n - 1] < 26
            badge(c, at - 7 + (6 if crowded else 0), y - 25, n + 1, 12.5)

    def _lane(self, keep: np.ndarray, step: int) -> tuple[str, Series, float]:
        """Name of the upper lane, its values, and what fills it."""
        if self.motion.slips:
            got = count(self.motion).got[keep][::step]
            return "turns", got, float(np.ptp(got)) or 1.0
        shown = actors(self.motion)
        if not shown:
            turned = main_angle(self.motion)[keep][::step]
            return "turn", turned, float(np.ptp(turned)) or 1.0
        values = shown[0].values[keep][::step]
        return shown[0].part, values, max(meant(self.motion, shown[0]), float(np.ptp(values)))

    def _effort_lane(
        self,
        c: Canvas,
        x: float,
        zero: float,
        w: float,
        keep: np.ndarray,
        step: int,
        px: Series,
        spots: list[float],
    ) -> None:
        given = effort(self.motion)
        if given is None:
            return
        e = given.values[keep][::step]
        k = 22 / (float(np.abs(e).max()) or 1.0)
        for part, hue in ((np.maximum(e, 0), "#E3B07A"), (np.minimum(e, 0), "#9FC7B8")):
            c.drawPath(
                poly(
                    np.vstack([np.stack([px, zero - part * k], 1), [[x + w, zero], [x, zero]]])
                ),
                fill(hue, 0.75),
            )
        c.drawPath(poly(np.stack([px, zero - e * k], 1), False), stroke(INK, 2.0))
        c.drawLine(x - 8, zero, x + w, zero, stroke(INK, 1.3))
        letter(c, "effort", x - 10, zero - 6, "label-b", 19, fill(INK), "r")
        letter(c, f"0 {given.unit}", x - 12, zero + 17, "label", 17, fill(INK_SOFT), "r")
        peak, dip = int(e.argmax()), int(e.argmin())
        pushes, pulls = (
            ("you push", "it pulls") if given.unit == "N" else ("it drives", "it is driven")
        )
        said = [(f"{pushes}, {e[peak]:.1f} {given.unit}", float(px[peak]), palette.PUSH)]
        if e[dip] < -0.05 * abs(e[peak]) and e[dip] < -0.02:
            said.append((f"{pulls}, {-e[dip]:.1f} {given.unit}", float(px[dip]), palette.PULL))
        taken: list[tuple[float, float]] = []
        for words, target, hue in said:
            wide = width(words, "label", 18)
            left = free_place(x, x + w, wide, target, spots, taken, px[e * k < -2])
            taken.append((left, left + wide))
            letter(c, words, left, zero + 18, "label", 18, fill(hue))

    def _scale(
        self, c: Canvas, x: float, y: float, w: float, start: float, stop: float
    ) -> None:
        """Mark the quarters of the turn, or whole turns, with degrees and seconds."""
        motion = self.motion
        angle = np.degrees(np.maximum.accumulate(main_angle(motion)))
        angle = angle - self.base[1]
        low, high = (float(np.interp(t, motion.times, angle)) for t in (start, stop))
        span = max(high - low, 1e-6)
        step = next(
            (s for s in (15, 30, 90, 180, 360, 720, 1080, 3600) if span / s <= 8), 3600.0
        )
        at = math.ceil(low / step - 1e-6) * step
        ends = -1e9
        while at <= high + 1e-6:
            t = float(np.interp(at, angle, motion.times))
            px = x + w * (t - start) / max(stop - start, 1e-9)
            c.drawLine(px, y, px, y + 8, stroke(INK, 1.3))
            words = (
                f"{at:.0f}°" if step < 360 else f"{at / 360:.0f} turn{'' if at == 360 else 's'}"
            )
            seconds = f"{max(0.0, t - self.base[0]):.1f} s"
            total = width(words, "label-b", 19) + width(seconds, "label", 18) + 10
            left = min(max(px - total / 2, x - 60), x + w - total + 20)
            if left > ends + 14:
                to = letter(c, words, left, y + 27, "label-b", 19)
                ends = letter(c, seconds, to + 10, y + 27, "label", 18, fill(INK_SOFT))
            at += step
        c.drawLine(x, y, x, y + 5, stroke(INK_FAINT, 1.0))


def free_place(
    start: float,
    stop: float,
    wide: float,
    target: float,
    lines: list[float],
    taken: list[tuple[float, float]],
    filled: Series,
) -> float:
    """Find the left edge for words near a place: inside the strip, clear of other words, of upright lines and of what is filled if it can be."""

    def cost(left: float) -> float:
        right = left + wide
        others = any(left < b + 16 and right > a - 16 for a, b in taken)
        crossed = sum(left - 6 < at < right + 6 for at in lines)
        is_full = bool(np.any((filled > left - 4) & (filled < right + 4)))
        return abs((left + right) / 2 - target) + 4000 * others + 800 * (crossed + is_full)

    places: list[float] = np.linspace(start + 6, max(start + 6, stop - wide), 240).tolist()
    return min(places, key=cost)


def badge(c: Canvas, x: float, y: float, number: int, r: float) -> None:
    """Draw a panel's number."""
    c.drawPath(disc(x + r * 0.55, y + r * 0.55, r + 2), fill(palette.PAPER))
    c.drawPath(disc(x + r * 0.55, y + r * 0.55, r), fill(INK))
    letter(
        c,
        str(number),
        x + r * 0.55,
        y + r * 0.55 + r * 0.40,
        "title",
        r * 1.15,
        fill(palette.PAPER_LIT),
        "c",
    )
