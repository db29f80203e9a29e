"""Drawing linkages: slots and what runs in them, the tube of a swivel guide, and the line a pencil leaves."""

from __future__ import annotations

import math
from collections.abc import Iterable
from typing import TYPE_CHECKING, Self

import numpy as np

from animator.geometry import Point
from animator.motion.looping import main_angle
from animator.motion.motion import Floats
from animator.pictures import palette
from animator.pictures._pen_shapes import ShapePen
from animator.pictures.ink import (
    Array,
    Canvas,
    Matrix,
    box,
    cut,
    disc,
    fill,
    place,
    poly,
    skia,
    stroke,
)
from animator.pictures.moment import Moment
from animator.pictures.shapes import PENCIL
from animator.pictures.stuff import Piece

if TYPE_CHECKING:
    from animator.parts._fields import Ref

CHALK = palette.PAPER_LIT
FINEST = 0.15  # mm; a bend of the line smaller than this isn't drawn
MOST_POINTS = 1500
TRAIL_STEPS = 24


class LinkPen(ShapePen):
    """Drawing linkages: slots and what runs in them, the tube of a swivel guide, and the line a pencil leaves."""

    def over(self, names: Iterable[str]) -> Self:
        """A pen for what lies over some other parts, wherever they stand in the file."""
        along, order = max(map(self._drawing.depth_of, names), default=self._depth)
        return type(self)(
            self._drawing, self.part, (along, order + 0.25), self._marks, self._is_fixed
        )

    def width_of(self, name: str) -> float:
        """Width of the bar a part is made of. [mm]"""
        return max(self._drawing.thickness_of(name), 2.6)

    def slotted_strap(
        self,
        a: Point,
        b: Point,
        width: float,
        slot: tuple[float, float],
        bore: float,
        stuff: str,
        thickness: float = 4.0,
        rise: float = 7.0,
        sort: str = "slotted strap",
    ) -> None:
        """Draw a flat bar with round ends and a slot sawn along its middle.

        Parameters
        ----------
        a, b, width
            Its ends and width. [mm]
        slot
            Between which distances from ``a`` a pin may stand in the slot. [mm]
        bore
            Half the slot's width. [mm]
        stuff, thickness, rise, sort
            As for a strap.
        """
        long = math.dist(a, b) or 1.0
        ux, uy = (b[0] - a[0]) / long, (b[1] - a[1]) / long
        ends = [(a[0] + ux * s, a[1] + uy * s) for s in slot]
        hole = self._capsule(ends[0], ends[1], bore, bore)
        path = cut(self._capsule(a, b, width / 2, width / 2), hole)
        self._cut(
            path, stuff, thickness, rise, None, [(hole, stroke(palette.INK, 1.0, 0.8))], sort
        )

    def _ride(self, sort: str, piece: Piece, ref: Ref, spins: bool = True) -> None:
        """Keep a piece that stays on a point of another part, and turns with this one."""
        is_plain, name = self._drawing.stuffs.is_plain, self.part.name
        bounds = piece.path.computeTightBounds()
        half = max(map(abs, (bounds.left(), bounds.right(), bounds.top(), bounds.bottom())))
        k = self._drawing.k

        def matrix(moment: Moment) -> Matrix:
            x, y = moment.place(ref)
            angle = moment.pose(name).angle if spins else 0.0
            return place(x * k, -y * k, -math.degrees(angle))

        def reach(moment: Moment) -> Array:
            x, y = self._drawing.units(moment.place(ref))
            return np.array([(x - half, y - half), (x + half, y + half)])

        self._add(
            sort, False, lambda c, moment: piece.body(c, matrix(moment), is_plain), reach,
            lambda c, moment: piece.shadow(c, matrix(moment), is_plain),
        )  # fmt: skip

    def riding_pin(self, ref: Ref, radius: float) -> None:
        """Draw the round end of a pin that stands on a point of another part."""
        stuffs, r = self._drawing.stuffs, radius * self._drawing.k
        piece = Piece(
            disc(0, 0, r),
            stuffs.turned(0, 0, "steel"),
            1.1,
            1.5 * self._drawing.size,
            still_light=True,
        )
        self._ride("pin in the slot", piece, ref, spins=False)

    def riding_block(self, ref: Ref, way: float, length: float, width: float) -> None:
        """Draw a brass block on a point of another part, lying along a way of this one. [rad]"""
        k = self._drawing.k
        path = box(-length / 2 * k, -width / 2 * k, length * k, width * k, 0.8 * k)
        path.transform(place(0, 0, -math.degrees(way)))
        piece = Piece(
            path,
            self._drawing.stuffs.sheet(
                (-length / 2 * k, width / 2 * k, length / 2 * k, -width / 2 * k)
            ),
            1.1,
            4 * self._drawing.size,
        )
        self._ride("block in the slot", piece, ref)

    def tube(self, length: float, bore: float, metal: str) -> None:
        """Draw a short tube along the part's x axis, round a bar, with the pin it swivels on."""
        k, size = self._drawing.k, self._drawing.size
        half, wall = length / 2, bore / 2 + max(1.8, bore * 0.35)
        path = box(-half * k, -wall * k, length * k, 2 * wall * k, 1.0 * k)
        stuffs = self._drawing.stuffs
        piece = Piece(path, stuffs.round((0, -wall * k), (0, wall * k), metal), 1.1, 8 * size)
        self._keep("tube", piece)
        self.turned((0.0, 0.0), max(1.6, bore * 0.5), "steel", 1.5, sort="pivot")

    # ------------------------------------------------------------ pencil lines
    def pencil_end(self, radius: float = 2.6) -> None:
        """Draw a pencil seen from its blunt end: six-sided, painted, the lead in the middle."""
        k = self._drawing.k
        hue = palette.paint(self.part.paint or "rose")
        t = np.radians(np.arange(0, 360, 60))
        path = poly(np.stack([np.cos(t), np.sin(t)], 1) * radius * k)
        details = [
            (disc(0, 0, radius * 0.66 * k), fill(palette.PLY_LIT)),
            (disc(0, 0, radius * 0.28 * k), fill(palette.INK)),
        ]
        self._keep(
            "pencil",
            Piece(
                path,
                self._drawing.stuffs.paint(hue, 20),
                1.1,
                6 * self._drawing.size,
                details=details,
            ),
        )

    def pencil_line(self, on: str = "", trail: float | None = None) -> None:
        """Draw the way of the part's own origin, as recorded, from the end of the start-up on.

        Parameters
        ----------
        on
            The part it is drawn on; '' for the board behind everything.
        trail
            Only so much of the main shaft's turning behind the pencil, fading [rad]; None for the whole way.
        """
        drawing, motion = self._drawing, self.motion
        path = motion.point(self.part.name, (0.0, 0.0))
        if on:
            path = _seen_from(motion.frame(on), path)
        spots = path * (drawing.k, -drawing.k)
        pen = self.nearer_than([on]) if on else self.frame.behind_all()
        corners = np.array([spots[motion.begins :].min(0), spots[motion.begins :].max(0)])

        paper = drawing.reach_of(on) * drawing.k if on else 0.0
        if on:
            corners = np.clip(corners, -paper, paper)

        def frame_of(moment: Moment) -> Matrix:
            return moment.matrix(on) if on else skia.Matrix()

        def onto(c: Canvas, moment: Moment) -> None:
            c.concat(frame_of(moment))
            if on:  # beyond its rim there is nothing to draw on
                c.clipPath(disc(0, 0, paper), skia.ClipOp.kIntersect, True)

        def reach(moment: Moment) -> Array:
            m = frame_of(moment)
            (x0, y0), (x1, y1) = corners
            found = m.mapPoints([skia.Point(x, y) for x in (x0, x1) for y in (y0, y1)])
            return np.array([(q.x(), q.y()) for q in found])

        if trail is None:
            line = poly(thinned(spots[motion.begins :], FINEST * drawing.k), False)

            def draw(c: Canvas, moment: Moment) -> None:
                c.save()
                onto(c, moment)
                self._leave(c, line, 1.0, on)
                c.restore()

            pen._add("pencil line", not on or on in drawing.still_parts, draw, reach)
            return
        turned = main_angle(motion)

        def draw_trail(c: Canvas, moment: Moment) -> None:
            now = float(np.interp(moment.t, motion.times, turned))
            ends = np.interp(
                np.linspace(now - trail, now, TRAIL_STEPS + 1), turned, motion.times
            )
            c.save()
            onto(c, moment)
            for i in range(TRAIL_STEPS):
                first, last = np.searchsorted(motion.times, ends[i : i + 2])
                if last > first:
                    step = max(1, (last - first) // 20)
                    bit = np.vstack([spots[first:last:step], spots[min(last, len(spots) - 1)]])
                    self._leave(c, poly(bit, False), (i + 1) / TRAIL_STEPS, on)
            c.restore()

        pen._add("pencil line", False, draw_trail, reach)

    def _leave(self, c: Canvas, line: object, strength: float, on: str) -> None:
        """Draw a line as a pencil leaves it on wood and paper, and chalk on a dark board."""
        painted = palette.paint(self.part.paint) if self.part.paint else ""
        dark, light = painted or PENCIL, painted or CHALK
        setting = self._drawing.setting

        def twice(hue: str) -> None:
            c.drawPath(line, stroke(hue, 2.6, 0.28 * strength))
            c.drawPath(line, stroke(hue, 1.3, 0.8 * strength))

        if on or setting.kind == "board":  # a board that lies flat is of walnut
            twice(dark if on else light)
            return
        k = self._drawing.k
        inside = skia.Rect.MakeLTRB(0, -setting.level * k, setting.width * k, 0)
        for hue, how in ((light, skia.ClipOp.kIntersect), (dark, skia.ClipOp.kDifference)):
            c.save()
            c.clipRect(inside, how, True)
            twice(hue)
            c.restore()


def _seen_from(frame: Floats, path: Floats) -> Floats:
    """Give places of the plane as a moving part sees them."""
    x, y, angle = frame.T
    c, s = np.cos(angle), np.sin(angle)
    dx, dy = path[:, 0] - x, path[:, 1] - y
    return np.stack([c * dx + s * dy, -s * dx + c * dy], 1)


def thinned(points: Floats, least: float) -> Floats:
    """Leave out points that lie nearer than ``least`` to the one kept before, and more where too many are left; the last one stays.

    Examples
    --------
    >>> thinned(np.array([[0.0, 0.0], [0.1, 0.0], [1.0, 0.0], [1.05, 0.0]]), 0.5).tolist()
    [[0.0, 0.0], [1.0, 0.0], [1.05, 0.0]]
    """
    steps = np.hypot(*np.diff(points, axis=0).T)
    way = np.concatenate([[0.0], np.cumsum(steps)])
    least = max(least, way[-1] / MOST_POINTS)
    if way[-1] <= 0:
        return points[:1]
    slot = np.floor(way / least)
    kept = np.flatnonzero(np.diff(np.concatenate([[-1.0], slot])) > 0)
    if kept[-1] != len(points) - 1:
        kept = np.append(kept, len(points) - 1)
    return points[kept]
