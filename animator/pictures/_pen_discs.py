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
    box,
    disc,
    fill,
    join,
    oval,
    place,
    skia,
    stroke,
)
from animator.pictures.moment import Moment
from animator.pictures.shapes import (
    FLAT,
    PENCIL,
)
from animator.pictures.stuff import Piece, family

if TYPE_CHECKING:
    pass


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
            c.rotate(math.degrees(moment.value(spin)) * math.copysign(1.0, nearer) + 90)
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
        pin = Piece(
            disc(0, 0, spindle / 2 * k), stuffs.turned(0, 0, "steel"), 1.1, 2, still_light=True
        )
        x, y = drawing.units(drawing.first.pose(name)[:2])

        def draw(c: Canvas, moment: Moment) -> None:
            turn = math.degrees(moment.value(spin)) * math.copysign(1.0, offset) + 90
            piece.body(c, place(x, y, turn), stuffs.is_plain)
            c.save()
            c.translate(x, y)
            c.drawPath(disc(0, 0, abs(offset) * k), stroke("#6C4B22", 1.8, dash=(0.01, 4)))
            c.rotate(turn)
            c.drawPath(mark, stroke(palette.INK, 3.0))
            c.drawPath(mark, fill(palette.ROSE))
            c.restore()
            self._rim_below(c, moment, x, y, offset, cam)
            pin.body(c, place(x, y), stuffs.is_plain)

        reach = np.array([(x - r, y - r), (x + r, y + r)])
        self._add(
            "turntable",
            False,
            draw,
            lambda moment: reach,
            lambda c, moment: piece.shadow(c, place(x, y), stuffs.is_plain),
        )

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
