"""One panel: the piece at a moment, pale where it was before, an arrow along a long way, the works in a round window, angle and time."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np

from animator.parts._contract import Rides
from animator.pictures import marks, palette, plate
from animator.pictures.ink import Canvas, box, disc, fill, grow, skia, stroke
from animator.pictures.lettering import Face, block, fit, letter, outline, width
from animator.pictures.pages.signs import witness
from animator.pictures.palette import INK, INK_SOFT
from animator.pictures.plate import Cabinet
from animator.pictures.sheets.arrange import CAPTION, LEAD, Grid
from animator.pictures.sheets.strip import badge
from animator.pictures.sheets.view import AIR, LINE, View

if TYPE_CHECKING:
    from animator.pictures.moment import Moment
    from animator.pictures.moments import KeyMoment

BADGE = 19.0  # radius of a panel's number
FARTHEST = 719.5  # degrees; more is told in turns
SHORTEST = 18.0  # design units; a shorter way gets no arrow
LEAST_ARROW = 34.0
ASIDE = 14.0  # an arrow keeps so far from what moves
SHIFTED = math.radians(7)  # a figure that turns less is lifted or pushed


class Panels:
    """Draws the panels of a sheet.

    Parameters
    ----------
    view
        How the piece is looked at.
    grid
        How large panels are, and the scale.
    unit
        Millimetres of paper a design unit.
    base
        Time and angle that count as 0. [s, degrees]
    ground
        Colour of a panel.
    """

    def __init__(
        self,
        view: View,
        grid: Grid,
        unit: float,
        base: tuple[float, float],
        ground: str = palette.PAPER_LIT,
    ) -> None:
        self.view, self.grid, self.base, self.ground = view, grid, base, ground
        self.k = grid.scale / unit
        self.stand = view.stand(self.k)
        self.r = view.window(grid.wide, grid.high)
        self.works = view.works(self.r)
        self.region = view.region
        self.motion = view.motion

    # ------------------------------------------------------------ the whole panel
    def draw(
        self,
        c: Canvas,
        x: float,
        y: float,
        number: int,
        moment: KeyMoment,
        last: KeyMoment | None,
    ) -> None:
        """Draw a panel with its upper left corner at (x, y), and its caption below."""
        w, h = self.grid.wide, self.grid.high
        frame = box(x, y, w, h, 2)
        dx, dy = self._place(x, y)
        c.save()
        c.clipPath(frame, skia.ClipOp.kIntersect, True)
        c.drawPath(frame, fill(self.ground))
        self._sun(c, x, y, dx, dy)
        c.save()
        c.translate(dx, dy)
        now = self.stand.moment(moment.t)
        self._piece(c, now, last)
        if last is not None:
            self._way(c, self.stand.moment(last.t), now, (x - dx, y - dy, w, h))
        c.restore()
        self._window(c, x, y, moment)
        c.restore()
        c.drawPath(frame, stroke(INK, 1.7))
        badge(c, x + 12, y + 12, number, BADGE)
        self._sign(c, x, y, moment)
        lines = self.grid.line_count
        size = fit(moment.caption, "text", CAPTION, w - 8, lines, 16.5)
        block(
            c,
            moment.caption,
            x + 2,
            y + h + 26,
            w - 8,
            "text",
            size,
            LEAD / CAPTION,
            fill(INK),
            lines,
        )

    def _place(self, x: float, y: float) -> tuple[float, float]:
        """How far the piece is moved so that it stands where it ought to in a panel."""
        w, h = self.grid.wide, self.grid.high
        stand, region, k = self.stand, self.region, self.k
        if self.view.is_stage:
            regions = self.view.over_stage(w, h, k)
            free = w - self.view.beside(region, w, h, k)
            left, right = self.view.span(regions, w, h, k)
            cabinet = stand.base
            assert isinstance(cabinet, Cabinet)
            # what moves stands in the middle of what is free, unless the stage's ends can be shown so, or it runs out at both sides
            dx = free / 2 + 4 - region.middle * k
            out = 0.6 * cabinet.overhang + 8
            if cabinet.w + 2 * out <= w:
                dx = min(max(dx, out), w - cabinet.w - out)
            else:
                dx = max(dx, w - cabinet.w - out)
            dx = x + min(max(dx, left), max(right, left)) - stand.x
            dy = y + h + 2 - (stand.foot + cabinet.inside_top)
        else:
            half, free = region.width * k / 2, w - self.view.column(w, h)
            middle = max(min(w / 2, free - half - 2), half + AIR)
            dx = x + middle - stand.on_sheet((region.middle, 0))[0]
            # on the panel's lower edge; a piece that could be larger stands a little above it
            tall = (region.high - region.low) * k
            above = 0.8 * LINE if self.view.sign_is_above(w, h) else 0.0
            spare = max(0.0, h - tall - AIR - above)
            lift = 0.45 * spare + (AIR - 2 if self.view.is_flat else 0.0)
            if not self.view.is_flat and spare > 40:
                lift = max(lift, 30.0)  # the cabinet's base comes into the picture
            elif not self.view.is_flat:
                lift = -1.0
            dy = y + h - lift - stand.on_sheet((0, region.low))[1]
        return dx, dy

    def _sun(self, c: Canvas, x: float, y: float, dx: float, dy: float) -> None:
        w, h, stand = self.grid.wide, self.grid.high, self.stand
        ride = stand.ride
        middle = dx + stand.on_sheet((self.region.middle, 0))[0] - 4
        if ride is not None:
            at = dx + stand.x + stand.ride_at[0], dy + stand.fold_y - 88 * ride.size
            plate.sun(c, *at, 112 * ride.size, self.ground, gap=6)
        elif self.view.is_stage:
            r = min(0.5 * h - 4, 0.46 * (w - self.view.column(w, h)) + 20)
            plate.sun(c, middle, y + max(0.5 * h, h - 1.5 * r), r, self.ground, gap=6)
        elif not stand.is_flat:
            top = dy + stand.foot + (stand.top - stand.foot)
            plate.sun(c, middle, top + 0.3 * stand.half, 0.62 * stand.half, self.ground, gap=6)

    def _piece(self, c: Canvas, now: Moment, last: KeyMoment | None) -> None:
        stand, moving = self.stand, self.view.moving
        if last is not None and moving and not stand.is_flat:
            stand.draw_with_ghost(c, now, stand.moment(last.t), moving)
        else:
            stand.draw(c, now)
        c.save()
        c.translate(stand.x, stand.y)
        for slip in self.motion.slips.values():
            witness(c, stand.drawing, slip, now)
        c.restore()

    # ------------------------------------------------------------ arrows
    def _way(
        self, c: Canvas, before: Moment, now: Moment, room: tuple[float, float, float, float]
    ) -> None:
        """Draw an arrow along the longest way a figure has gone since the panel before, beside it."""
        if self.stand.is_flat:
            return
        best: tuple[float, str] | None = None
        for name in sorted(self.view.moving):
            held = self.motion.scene.parts[name].held()
            if isinstance(held, Rides) and f"{held.on.part}.spin" in self.motion.channels:
                continue  # it turns about its own upright: nothing goes far through the air
            way = self._farthest(name, before, now)
            size = float(np.hypot(*(way[-1] - way[0]))) if way is not None else 0.0
            if best is None or size > best[0]:
                best = size, name
        if best is None or best[0] < SHORTEST:
            return
        name = best[1]
        turned = abs(now.pose(name).angle - before.pose(name).angle)
        if turned < SHIFTED:
            points = self._beside(name, before, now, room)
        else:
            way = self._farthest(name, before, now)
            assert way is not None
            hinge = np.array(now.spot(name, (0.0, 0.0)))
            out = way - hinge
            points = way + out / (np.hypot(*out.T)[:, None] + 1e-9) * ASIDE
            points = points[1:-1]
        cabinet = self.stand.base
        if (
            not self.view.is_stage
            and isinstance(cabinet, Cabinet)
            and points[:, 1].min() < cabinet.inside_top + 8
        ):
            return  # an arrow on the roof would tell of the roof
        points = points + np.array([self.stand.x, self.stand.y])
        x, y, w, h = room
        points = np.clip(points, [x + 8, y + 8], [x + w - 8, y + h - 8])
        length = float(np.hypot(*np.diff(points, axis=0).T).sum())
        if length < SHORTEST:
            return
        marks.arrow(c, points, INK, 4.4, min(17.0, 0.45 * length), palette.PAPER_LIT)

    def _corners(self, name: str, moment: Moment) -> np.ndarray | None:
        found = [mark.reach(moment) for mark in self.stand.drawing.marks if mark.part == name]
        return np.vstack(found) if found else None

    def _farthest(self, name: str, before: Moment, now: Moment) -> np.ndarray | None:
        """Way of the corner of a part that goes farthest, (24, 2), on the sheet."""
        corners = self._corners(name, now)
        if corners is None:
            return None
        k = self.stand.k
        places = [now.pose(name).local((x / k, -y / k)) for x, y in corners.tolist()]
        ends = np.array([before.spot(name, place) for place in places])
        far = places[int(np.hypot(*(corners - ends).T).argmax())]
        return np.array(
            [
                self.stand.moment(t).spot(name, far)
                for t in np.linspace(before.t, now.t, 24).tolist()
            ]
        )

    def _beside(
        self, name: str, before: Moment, now: Moment, room: tuple[float, float, float, float]
    ) -> np.ndarray:
        """Give a straight way beside a figure that is lifted or pushed as a whole, on the side with more air."""
        a, b = self._corners(name, before), self._corners(name, now)
        assert a is not None
        assert b is not None
        both = np.vstack([a, b])
        low, high = both.min(0), both.max(0)
        step = b.mean(0) - a.mean(0)
        middle = (a.mean(0) + b.mean(0)) / 2
        # an arrow shorter than its own head reads as a blot
        step *= max(1.0, LEAST_ARROW / max(float(np.hypot(*step)), 1e-9))
        x = room[0]
        if abs(step[1]) >= abs(step[0]):
            left = low[0] + self.stand.x - x
            at = low[0] - ASIDE if left > ASIDE + 10 else high[0] + ASIDE
            start = np.array([at, middle[1] - step[1] / 2])
        else:
            start = np.array([middle[0] - step[0] / 2, low[1] - ASIDE])
        return np.linspace(start, start + step, 12)

    # ------------------------------------------------------------ window, angle, time
    def _window(self, c: Canvas, x: float, y: float, moment: KeyMoment) -> None:
        """Draw the works through a round window; the handle's angle and the time below it, or in the upper corner."""
        w = self.grid.wide
        angle, when = self.told(moment)
        if self.works is None and self.view.sign_is_above(w, self.grid.high):
            left = letter(c, when, x + w - 13, y + 29, "label", 21, fill(INK_SOFT), "r")
            left -= width(when, "label", 21) + 11
            letter(c, angle, left, y + 29, "label-b", 25, fill(INK), "r")
            return
        if self.works is None:
            is_left = self.view.sign_is_left
            at = x + 42 if is_left else x + w - 13
            size = 27 if abs(moment.angle_deg - self.base[1]) < FARTHEST else 24
            letter(c, angle, at, y + 34, "label-b", size, fill(INK), "l" if is_left else "r")
            letter(c, when, at, y + 58, "label", 21, fill(INK_SOFT), "l" if is_left else "r")
            return
        works, middle = self.works
        r = self.r
        cx, cy = x + w - r - 12, y + r + 15
        c.save()
        c.clipPath(disc(cx, cy, r), skia.ClipOp.kIntersect, True)
        c.drawPath(disc(cx, cy, r), self.view.stuffs.paint(works.board, 90))
        c.translate(cx - middle[0] + works.x, cy - middle[1] + works.y)
        works.drawing.draw(c, works.moment(moment.t), [*works.works, *works.front])
        c.restore()
        c.drawPath(disc(cx, cy, r + 3), stroke(INK, 7))
        c.drawPath(disc(cx, cy, r + 3), stroke(palette.METALS["brass"][1], 4.4))
        size = 27 if width(angle, "label-b", 27) < 2 * r else 22
        lines: tuple[tuple[str, Face, float, float, str], ...] = (
            (angle, "label-b", size, cy + r + 34, INK),
            (when, "label", 21.0, cy + r + 57, INK_SOFT),
        )
        for words, face, tall, base, _ in lines:
            # a rim of paper: what stands still on the stage may lie behind them
            c.drawPath(grow(outline(words, cx, base, face, tall, "c"), 3), fill(self.ground))
        for words, face, tall, base, hue in lines:
            letter(c, words, cx, base, face, tall, fill(hue), "c")

    def told(self, moment: KeyMoment) -> tuple[str, str]:
        """Angle of the handle and time since the start of what the sheet shows, in words."""
        turned, seconds = moment.angle_deg - self.base[1], max(0.0, moment.t - self.base[0])
        shown = f"{turned:.0f}°" if abs(turned) < FARTHEST else f"{turned / 360:.2f} turns"
        if shown == "-0°":
            shown = "0°"
        when = f"{seconds:.1f} s" if seconds >= 0.95 or seconds < 0.005 else f"{seconds:.2f} s"
        return shown, when

    def _sign(self, c: Canvas, x: float, y: float, moment: KeyMoment) -> None:
        code = moment.kind.split()[0]
        if moment.kind.endswith("begins") and code in palette.MARKS:
            marks.mark(c, code, x + 62, y + 22, 15)
            hue = fill(marks.hue_of(code))
            letter(c, code.upper(), x + 84, y + 29, "label-b", 21, hue, track=1)
