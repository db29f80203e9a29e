"""The piece through a camera: any part of it as large as the picture, with a slip of paper at the foot that says what is seen."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

import numpy as np

from animator.motion.looping import main_angle
from animator.pictures import marks, palette, plate
from animator.pictures.backdrops import ground_of
from animator.pictures.camera import Room, Window, home
from animator.pictures.ink import Canvas, Sheet, box, fill, place, skia
from animator.pictures.lettering import block, fit, letter, sentence, width, wrap
from animator.pictures.moment import Moment
from animator.pictures.pages import signs, standing
from animator.pictures.pages.easing import eased
from animator.pictures.pages.glass import measured
from animator.pictures.pages.told import in_words
from animator.pictures.palette import INK, INK_SOFT
from animator.pictures.stand import Stand
from animator.pictures.stuff import Stuffs

if TYPE_CHECKING:
    from animator.findings.report import Finding
    from animator.motion.motion import Contact, Motion

NARROW = 720.0  # design units; width of a sheet that isn't lying
EDGE = 32.0  # from the slip to the sheet's edge
LINE = 23.0  # size of its words
WORD = 26.0  # size of the finding's word
SIGN_ROOM = 96.0  # width of the place of sign and word
BESIDE = 58.0  # from a place to its sign


class Seen:
    """A stand as a camera shows it: what signs at the places are drawn with, so that they keep their size however near the picture is."""

    def __init__(self, stand: Stand, scale: float, x: float, y: float) -> None:
        self.motion, self.drawing = stand.motion, stand.drawing
        self.k, self.x, self.y = stand.k * scale, x, y

    def on_sheet(self, point: tuple[float, float]) -> tuple[float, float]:
        """Take a place of the scene [mm] onto the picture."""
        return self.x + point[0] * self.k, self.y - point[1] * self.k


class ClosePage:
    """The piece seen through a camera.

    Parameters
    ----------
    motion
        What was recorded.
    finding
        What the shot is about, told on the slip when its time has come; None for nothing.
    look
        ``client``: without any signs.
    size_px
        Width and height. [px]
    is_plain
        Flat inks, for GIF.
    caption
        Words on the slip; '' for none.
    backdrop
        ``bench``, ``evening``, ``plain`` or ``transparent``.
    """

    def __init__(
        self,
        motion: Motion,
        finding: Finding | None,
        look: str,
        size_px: tuple[int, int],
        is_plain: bool = False,
        caption: str = "",
        backdrop: str = "bench",
    ) -> None:
        self.motion, self.is_bench = motion, look == "bench"
        self.finding = finding if self.is_bench else None
        self.caption = sentence(caption) if caption else ""
        self.ground, self.stuffs = ground_of(backdrop), Stuffs(is_plain)
        is_lying = size_px[0] >= 1.25 * size_px[1]
        self.sheet = Sheet(*size_px, unit=None if is_lying else size_px[0] / NARROW)
        w, h = self.sheet.w, self.sheet.h
        self._lay_slip()
        foot = self.slip_y - 40 if self.slip_high else h - 90
        self.stand = Stand(
            motion,
            self.stuffs,
            w / 2,
            foot,
            (w - 120, foot - 50),
            motion.scene.title,
            3.4,
            ground=self.ground,
        )
        self.home = home(self.stand, w, h)
        self.ends = motion.end in ("jammed", "stalled")
        self.bound = (
            standing.bound(motion, [finding]) if self.ends and finding is not None else set()
        )
        self.angle = np.degrees(main_angle(motion))
        self._kept: Window | None = None

    # ------------------------------------------------------------ the slip
    def _lay_slip(self) -> None:
        w, h = self.sheet.w, self.sheet.h
        wide = w - 2 * EDGE
        self.room = wide - 44 - (150.0 if self.is_bench else 0.0)
        self.said, self.said_size = "", LINE
        tall = 0.0
        if self.caption:
            self.caption_size = fit(self.caption, "text-i", LINE, self.room, 2, 17)
            self.caption_lines = min(
                2, len(wrap(self.caption, "text-i", self.caption_size, self.room))
            )
            tall += 1.3 * self.caption_size * self.caption_lines
        if self.finding is not None:
            self.said = in_words(self.finding.sentence, self.motion.scene.parts)
            self.said_room = wide - 44 - SIGN_ROOM - 44
            self.said_size = fit(self.said, "text", LINE, self.said_room, 2, 18)
            lines = min(3, len(wrap(self.said, "text", self.said_size, self.said_room)))
            tall += 1.3 * self.said_size * max(lines, 1) + 8
        elif self.is_bench and not self.caption:
            tall = 1.3 * LINE
        self.slip_high = tall + 26 if tall else 0.0
        # before the finding's time has come the slip is only as high as its caption
        plain = 1.3 * (self.caption_size * self.caption_lines if self.caption else LINE)
        self.slip_least = min(plain + 26, self.slip_high)
        self.slip_y = h - 24 - self.slip_high

    @property
    def free(self) -> Room:
        """What the slip leaves free of the picture. [design units]"""
        foot = self.slip_y - 12 if self.slip_high else self.sheet.h - 28
        return 28.0, 28.0, self.sheet.w - 28, foot

    def _slip(self, c: Canvas, degrees: float | None, told: float) -> None:
        if not self.slip_high:
            return
        w = self.sheet.w
        high = self.slip_least + (self.slip_high - self.slip_least) * told
        up = self.sheet.h - 24 - high
        marks.card(c, EDGE, up, w - 2 * EDGE, high, False, self.stuffs.is_plain)
        x, y = EDGE + 22, up + 10
        if self.caption:
            base = y + self.caption_size
            hue = fill(INK)
            y = (
                block(
                    c,
                    self.caption,
                    x,
                    base,
                    self.room,
                    "text-i",
                    self.caption_size,
                    1.3,
                    hue,
                    2,
                )
                - self.caption_size
            )
        if degrees is not None:
            drive = self.motion.drive
            what = "Handle" if drive is None or drive.radius > 0 else drive.shaft.capitalize()
            words = f"{round(degrees) % 360}°"
            right, base = w - EDGE - 22, up + 10 + LINE
            letter(c, words, right, base, "label-b", 28, fill(INK), "r")
            left = right - width("360°", "label-b", 28) - 10
            letter(c, what, left, base, "label", 23, fill(INK_SOFT), "r")
        if self.finding is None or told <= 0:
            return
        top = up + 14 + (1.3 * self.caption_size * self.caption_lines if self.caption else 0.0)
        c.saveLayerAlpha(
            skia.Rect.MakeLTRB(EDGE, self.slip_y, w - EDGE, self.sheet.h), round(255 * told)
        )
        code = self.finding.code
        base = top + self.said_size
        marks.mark(c, code, x + 15, base - 8, 14, None)
        letter(c, code, x + 38, base, "label-b", WORD, fill(marks.hue_of(code)))
        block(
            c,
            self.said,
            x + SIGN_ROOM + 22,
            base,
            self.said_room,
            "text",
            self.said_size,
            1.3,
            fill(INK),
            3,
        )
        c.restore()

    # ------------------------------------------------------------ through the camera
    def view(self, window: Window) -> tuple[Any, float, float, float]:
        """Give the matrix of a window, its scale, and where the scene's origin lies in the picture."""
        w, h = self.sheet.w, self.sheet.h
        scale = h / window.high / self.stand.k
        x, y = self.stand.on_sheet((window.x, window.y))
        matrix = place(w / 2 - x * scale, h / 2 - y * scale, 0, scale)
        return (
            matrix,
            scale,
            w / 2 + (self.stand.x - x) * scale,
            h / 2 + (self.stand.y - y) * scale,
        )

    def _scenery(self, c: Canvas) -> None:
        """Draw wall and bench, well beyond the sheet: a camera may look past its edge."""
        w, h, stand = self.sheet.w, self.sheet.h, self.stand
        pad = 0.6 * w
        c.save()
        c.translate(-pad, -pad)
        base = palette.KRAFT if self.is_bench else palette.PAPER
        pool = (
            stand.middle + pad,
            (stand.high + stand.top) / 2 + 20 + pad,
            max(0.9 * stand.half, stand.top - stand.high),
        )
        wide, tall = w + 2 * pad, h + 2 * pad
        self.ground.wall(c, wide, tall, self.stuffs, base, False, pool)
        if not stand.is_flat:
            self.ground.bench(c, wide, tall, stand.foot - 46 + pad, self.stuffs)
        c.restore()
        if not self.is_bench:
            if stand.is_flat and stand.ride is not None and self.ground.has_wall:
                plate.fold(
                    c, -pad, w + pad, stand.fold_y, self.stuffs.is_plain, self.ground.is_lit
                )
            if not stand.is_flat:
                self._behind_bench(c)

    def _behind_bench(self, c: Canvas) -> None:
        """Draw the printed disc on the wall, not over the bench."""
        c.save()
        c.clipRect(skia.Rect.MakeLTRB(-2e3, -2e3, 4e3, self.stand.foot - 46))
        self.stand.backdrop(c)
        c.restore()

    def _drawn(
        self, c: Canvas, moment: Moment, window: Window, held: float, stands: bool
    ) -> None:
        """Draw piece and ground: from what is kept while the camera stands, anew while it moves or the colour drains."""
        matrix = self.view(window)[0]
        drained = eased(held, 0.6) if self.ends and self.finding is not None else 0.0
        if drained > 0:
            grey = standing.grey(drained)
            self.sheet.clear()
            c.save()
            c.concat(matrix)
            c.saveLayer(None, grey)
            self._scenery(c)
            c.restore()
            self.stand.draw_through(c, moment, grey, self.bound)
            c.restore()
            self._kept = None
            return
        if stands and window != self._kept:
            self.sheet.clear()
            c.save()
            c.concat(matrix)
            self._scenery(c)
            self.stand.settle(self.sheet, matrix)
            c.restore()
            self.sheet.keep()
            self._kept = window
        c.save()
        if stands:
            self.sheet.fresh()
            c.concat(matrix)
            self.stand.moving(c, moment)
        else:
            self.sheet.clear()
            c.concat(matrix)
            self._scenery(c)
            self.stand.draw(c, moment)
        c.restore()

    def draw(self, t: float, held: float) -> None:
        """Draw the whole piece at a moment."""
        self.show(t, held, self.home, 0.0, t)

    def show(
        self,
        t: float,
        held: float,
        window: Window,
        told: float,
        calm: float,
        stands: bool = True,
    ) -> None:
        """Draw the page at a moment.

        Parameters
        ----------
        t, held
            Moment of the motion, and for how long the film has stood at its end. [s, s of film]
        window
            What the camera sees.
        told
            How far the finding's words have come, 0 to 1.
        calm
            Moment whose figures are told, changed at most five times a second. [s]
        stands
            The camera stands: what lies still is kept for the next picture.
        """
        c, moment = self.sheet.canvas, self.stand.moment(t)
        self._drawn(c, moment, window, held, stands)
        if self.is_bench:
            matrix, scale, x, y = self.view(window)
            c.save()
            c.concat(matrix)
            signs.slipping(c, self.stand, moment)
            c.restore()
            self._signs(c, moment, Seen(self.stand, scale, x, y), held, told)
        degrees = (
            float(np.interp(calm, self.motion.times, self.angle))
            if self.is_bench and self.motion.drive is not None
            else None
        )
        self._slip(c, degrees, told)

    def _signs(self, c: Canvas, moment: Moment, seen: Any, held: float, told: float) -> None:
        f = self.finding
        if held == 0 or not self.ends:
            signs.touching(c, seen, moment)
        if f is None or told <= 0:
            return
        if f.code == "jam":
            standing.remedy(c, seen, f, moment, eased(held - 0.6))
            standing.bites(c, seen, f, moment, told, self.stuffs.is_plain)
            return
        spot = signs.spot_of(seen, f, moment)
        if spot is None or f.code == "slip":
            return
        contact = self._contact(f)
        if contact is not None and f.code == "float":
            n = (moment.of(contact.direction[:, 0]), -moment.of(contact.direction[:, 1]))
            gap = moment.of(contact.gap)
            if gap * seen.k > 2:
                c.save()
                middle = (spot[0] + n[0] * gap * seen.k / 2, spot[1] + n[1] * gap * seen.k / 2)
                c.translate(*middle)
                measured(c, gap, gap * seen.k, n)
                c.restore()
        x, y = spot[0] + BESIDE, spot[1] - BESIDE
        c.saveLayerAlpha(None, round(255 * told))
        marks.thread(c, x, y, f.code, spot)
        c.drawPath(box(x - 24, y - 24, 48, 48, 24), fill(palette.PAPER_LIT))
        marks.mark(c, f.code, x, y, 16, None)
        c.restore()

    def _contact(self, f: Finding) -> Contact | None:
        return next(
            (
                each
                for each in self.motion.contacts.values()
                if each.is_meant and f.part in (each.first, each.second)
            ),
            None,
        )

    def spot(self, f: Finding, t: float) -> tuple[float, float] | None:
        """Where a finding shows itself at a moment; None where it has no place. [mm]"""
        at = signs.spot_of(self.stand, f, self.stand.moment(t))
        if at is None or not all(map(math.isfinite, at)):
            return None
        return (at[0] - self.stand.x) / self.stand.k, (self.stand.y - at[1]) / self.stand.k
