"""Drawing level discs, seen foreshortened and from above."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np

from animator.pictures import marks as signs
from animator.pictures import palette
from animator.pictures._pen_shapes import ShapePen
from animator.pictures.ink import (
    Array,
    Canvas,
    Path,
    arc,
    box,
    disc,
    fill,
    grow,
    hatch,
    join,
    oval,
    place,
    ribbon,
    skia,
    stroke,
    wedge,
)
from animator.pictures.moment import Moment
from animator.pictures.shapes import (
    FLAT,
    PENCIL,
)
from animator.pictures.stuff import Piece, family

if TYPE_CHECKING:
    pass


STANDS = 0.05  # rad/s; slower than this a disc stands
WHILE = 0.004  # s to both sides, over which its speed is taken


def pale_bar(c: Canvas, bar: Path) -> None:
    """Draw where a bar began: pale, with one thin line."""
    c.drawPath(bar, fill(palette.ROSE, 0.42))
    c.drawPath(bar, stroke(palette.INK_SOFT, 1.0, 0.8))


def swept(c: Canvas, r: float, began_deg: float, now_deg: float, bar: Path) -> None:
    """Draw on a disc about the origin where its bar began, the way it has swept (of its last turn), and hairs that swell up to where it is now."""
    turned = now_deg - began_deg
    sweep = math.copysign(abs(turned) % 360.0, turned)
    if abs(sweep) > 1:
        slice_ = wedge(0, 0, r * 0.94, began_deg, sweep)
        c.drawPath(slice_, fill(palette.ROSE, 0.20))
        # lines that belong to the picture and not to the slice: growing, it would make them flicker
        c.save()
        c.clipPath(slice_, skia.ClipOp.kIntersect, True)
        hatch(c, disc(0, 0, r), 7, -45, stroke(palette.ROSE, 1.4, 0.55))
        c.restore()
    c.save()
    c.rotate(began_deg)
    pale_bar(c, bar)
    c.restore()
    for share, back in ((0.90, 62.0), (0.80, 44.0)):
        length = min(abs(turned), back)
        if length < 6:
            continue
        start = now_deg - math.copysign(length, turned)
        line = arc(0, 0, r * share, start, now_deg - math.copysign(7, turned), 24)
        hair = ribbon(line, [0.4, 2.0, 4.4])
        c.drawPath(grow(hair, 1.4), fill(palette.PAPER_LIT))
        c.drawPath(hair, fill(palette.INK))


class DiscPen(ShapePen):
    """Drawing level discs, seen foreshortened and from above."""

    def level_disc(
        self,
        radius: float,
        thickness: float,
        stuff: str,
        nearer: float,
        spin: str,
        bar: float = 0.5,
    ) -> None:
        """Draw a level disc foreshortened, seen from a little above, with a red bar on it that turns with channel ``spin``.

        The part's frame is at the middle of its underside, its x axis up. ``nearer``: how far in front of the disc's middle the
        part's own plane lies. [mm]
        """
        drawing, k, stuffs, name = (
            self._drawing,
            self._drawing.k,
            self._drawing.stuffs,
            self.part.name,
        )
        r, t = radius * k, thickness * k
        face, low = oval(0, 0, r, r * FLAT), oval(0, t, r, r * FLAT)
        hull = join(face, low, box(-r, 0, 2 * r, t))
        _hi, _mid, _dark = stuffs.tones(stuff)
        rim = stuffs.round((-r, 0), (r, 0), stuff)
        piece = Piece(hull, rim, 1.5, 14 * drawing.size)
        ply = skia.Path()
        ply.addArc(skia.Rect.MakeLTRB(-r, t / 2 - r * FLAT, r, t / 2 + r * FLAT), 0, 180)
        wood = stuffs.face(stuff, face, 8)
        mark = box(r * (1 - bar) * 0.9, -r * 0.06, r * bar, r * 0.12, 1.5)

        def at(moment: Moment) -> tuple[float, float]:
            pose = moment.pose(name)
            return drawing.units((pose.x, pose.y + nearer * FLAT + thickness))

        def draw(c: Canvas, moment: Moment) -> None:
            x, y = at(moment)
            m = place(x, y)
            piece.body(c, m, stuffs.is_plain)
            c.save()
            c.translate(x, y)
            if family(stuff)[0] == "ply":
                c.drawPath(ply, stroke(palette.PLY_DARK, max(1.6, t * 0.2)))
            c.drawPath(face, wood)
            c.drawPath(face, stroke(palette.INK, 1.0, 0.8))
            c.clipPath(face, skia.ClipOp.kIntersect, True)
            c.scale(1, FLAT)
            c.drawPath(disc(0, 0, r * 0.82), stroke(PENCIL, 1.4, 0.5))
            # driven from in front of its middle the disc turns clockwise as seen from above
            sense = math.copysign(1.0, nearer)
            began = self._since(spin)
            if began is not None:
                c.save()
                c.rotate(math.degrees(began) * sense + 90)
                pale_bar(c, mark)
                c.restore()
            c.rotate(math.degrees(moment.value(spin)) * sense + 90)
            c.drawPath(mark, stroke(palette.INK, 2.6))
            c.drawPath(mark, fill(palette.ROSE))
            c.restore()

        def reach(moment: Moment) -> Array:
            x, y = at(moment)
            return np.array([(x - r, y - r * FLAT), (x + r, y + t + r * FLAT)])

        self._add(
            "level disc",
            False,
            draw,
            reach,
            lambda c, moment: piece.shadow(c, place(*at(moment)), stuffs.is_plain),
        )

    def turntable(
        self, radius: float, stuff: str, spin: str, spindle: float, offset: float, cam: str
    ) -> None:
        """Draw a level disc as seen from above about the part's place in the plane: a true circle, its red bar, the cam's edge below it dotted."""
        drawing, k, stuffs, name = (
            self._drawing,
            self._drawing.k,
            self._drawing.stuffs,
            self.part.name,
        )
        r = radius * k
        piece = Piece(
            disc(0, 0, r), stuffs.face(stuff, disc(0, 0, r), 8), 1.4, 6 * drawing.size
        )
        mark = box(r * 0.42, -r * 0.05, r * 0.52, r * 0.10, 1.5)
        calm = fill(stuffs.tones(stuff)[1], 0.55)
        pin = Piece(
            disc(0, 0, spindle / 2 * k), stuffs.turned(0, 0, "steel"), 1.1, 2, still_light=True
        )
        x, y = drawing.units(drawing.first.pose(name)[:2])

        def draw(c: Canvas, moment: Moment) -> None:
            sense = math.copysign(1.0, offset)
            turn = math.degrees(moment.value(spin)) * sense + 90
            piece.body(c, place(x, y, turn), stuffs.is_plain)
            c.save()
            c.translate(x, y)
            if not stuffs.is_plain:  # a face that spins fast must not flicker with its grain
                c.drawPath(disc(0, 0, r * 0.99), calm)
            began = self._since(spin)
            if began is not None:
                swept(c, r, math.degrees(began) * sense + 90, turn, mark)
            c.drawPath(disc(0, 0, abs(offset) * k), stroke("#6C4B22", 1.8, dash=(0.01, 4)))
            c.rotate(turn)
            c.drawPath(mark, stroke(palette.INK, 3.0))
            c.drawPath(mark, fill(palette.ROSE))
            c.restore()
            self._rim_below(c, moment, x, y, offset, cam)
            if began is not None:
                self._rub(c, moment, x, y, offset, spin, r)
            pin.body(c, place(x, y), stuffs.is_plain)

        reach = np.array([(x - r, y - r), (x + r, y + r)])
        self._add(
            "turntable",
            False,
            draw,
            lambda moment: reach,
            lambda c, moment: piece.shadow(c, place(x, y), stuffs.is_plain),
        )

    def _since(self, spin: str) -> float | None:
        """Angle from which the drawing counts; None where it counts nothing. [rad]"""
        if self._drawing.since is None:
            return None
        channel = self.motion.channels.get(spin)
        if channel is None:
            return None
        return float(np.interp(self._drawing.since, self.motion.times, channel.values))

    def _rub(
        self,
        c: Canvas,
        moment: Moment,
        x: float,
        y: float,
        offset: float,
        spin: str,
        radius: float,
    ) -> None:
        """Draw which way the disc is rubbed where it is touched, as long as it turns."""
        k = self._drawing.k
        near = (moment.t - WHILE, moment.t + WHILE)
        was, will = np.interp(near, self.motion.times, self.motion.channels[spin].values)
        speed = float(will - was) / (2 * WHILE)
        if abs(speed) < STANDS:
            return
        aside = x + moment.value(f"{self.part.name}.contact aside") * k
        # what is touched in front of the middle of a disc that turns clockwise goes to the left
        way = -math.copysign(radius * 0.25, speed)
        level = y + offset * k + math.copysign(radius * 0.24, offset)
        line = [(aside - way, level), (aside + way, level)]
        signs.arrow(c, line, palette.INK, 3.6, 14, palette.PAPER_LIT)

    def _rim_below(
        self, c: Canvas, moment: Moment, x: float, y: float, offset: float, cam: str
    ) -> None:
        """Draw the cam's edge under a disc seen from above, dotted as hidden edges are, and where it touches."""
        k = self._drawing.k
        reach = self._drawing.reach_of(cam)
        thick = self._drawing.thickness_of(cam)
        edge = box(
            x - reach * k,
            y + (offset - thick / 2) * k,
            2 * reach * k,
            thick * k,
            thick * k * 0.3,
        )
        c.drawPath(edge, fill(palette.BIRCH_LIT, 0.5))
        c.drawPath(edge, stroke(palette.INK, 1.8, dash=(0.01, 4)))
        aside = moment.value(f"{self.part.name}.contact aside")
        signs.mark(c, "contact", x + aside * k, y + offset * k, 9, palette.PAPER_LIT, 90)
