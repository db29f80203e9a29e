"""Drawing what springs back and what is thrown: wound springs, strips, bands, card hinges, sprung noses, a way through the air."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING

import numpy as np

from animator.geometry import Point, polar
from animator.pictures import palette
from animator.pictures._pen_shapes import ShapePen
from animator.pictures.ink import Array, Canvas, Matrix, disc, fill, place, poly, ribbon, stroke
from animator.pictures.loops import hanging
from animator.pictures.moment import Moment
from animator.pictures.stuff import Piece, long_shadow, wire

if TYPE_CHECKING:
    from animator.parts._fields import Ref, Where

LEAF_POINTS = 25


class SpringPen(ShapePen):
    """Drawing what springs back and what is thrown: wound springs, strips, bands, card hinges, sprung noses, a way through the air."""

    def _bent(
        self,
        points: Callable[[Moment], Sequence[Point] | Array],
        width: float,
        stuff: str,
        sort: str,
        rise: float = 5.0,
    ) -> None:
        """Draw a bent wire, strip or band through places that move. width [mm]"""
        k, is_plain = self._drawing.k, self._drawing.stuffs.is_plain

        def places(moment: Moment) -> Array:
            return np.asarray(points(moment), float) * (k, -k)

        self._add(
            sort,
            False,
            lambda c, moment: wire(
                c, places(moment), max(width * k, 1.6), stuff, rise, is_plain
            ),
            places,
        )

    def torsion_coil(
        self, on: Ref, against: Ref, diameter: float, gauge: float, coils: float
    ) -> None:
        """Draw a wound spring seen along its pivot: its rings, a leg along the part it turns, the other along what it stands against."""
        reach, gauge = 0.5 * diameter, max(gauge, 0.8)
        points = [
            point
            for point in self.scene.parts[on.part].points().values()
            if math.hypot(*point) > reach + 2
        ]
        far = max(points, key=lambda point: math.hypot(*point), default=(2.5 * reach, 0.0))
        own = math.atan2(far[1], far[0])
        leg = min(1.9 * reach + 3, max(0.6 * math.hypot(*far), reach + 3))
        is_frame = against.part not in self.scene.parts
        start = self._drawing.first.pose(on.part).angle + own
        other = 0.0 if is_frame else self._drawing.first.pose(against.part).angle
        # the two legs stand a right angle apart at the start, as in a clothes peg
        stand = start - math.pi / 2 - other

        def path(moment: Moment) -> list[Point]:
            pose = moment.pose(on.part)
            first = pose.angle + own
            held = stand + (0.0 if is_frame else moment.pose(against.part).angle)
            sweep = (first - held) % math.tau + math.tau
            line = [polar(leg, held + 0.18)]
            for i in range(49):
                angle = held + math.pi / 2 + (sweep - math.pi) * i / 48
                line.append(polar(reach * (1 - 0.1 * i / 48), angle))
            line.append(polar(leg, first - 0.12))
            return [(pose.x + x, pose.y + y) for x, y in line]

        self._bent(path, gauge, "steel", "wound spring", 4)

    def rubber_band(
        self,
        start: Callable[[Moment], Point],
        stop: Callable[[Moment], Point],
        length: float,
        width: float,
        loops: int,
    ) -> None:
        """Draw a band laid round two places that move: two strands, thinner as they are stretched, hanging where they are slack. [mm]"""
        k, is_plain = self._drawing.k, self._drawing.stuffs.is_plain
        bend = 1.9  # mm; how far each strand lies beside the middle of its pin

        def loop(moment: Moment) -> tuple[Array, float]:
            a, b = np.asarray(start(moment), float), np.asarray(stop(moment), float)
            apart = float(np.hypot(*(b - a))) or 1e-9
            along = (b - a) / apart
            across = np.array([-along[1], along[0]]) * bend
            there = hanging(tuple(a + across), tuple(b + across), length, 25)
            back = hanging(tuple(b - across), tuple(a - across), length, 25)
            lean = math.atan2(along[1], along[0])
            turn = np.linspace(math.pi / 2, -math.pi / 2, 9)[1:-1]
            round_b = b + bend * np.stack([np.cos(lean + turn), np.sin(lean + turn)], 1)
            round_a = a - bend * np.stack([np.cos(lean + turn), np.sin(lean + turn)], 1)
            outline = np.vstack([there, round_b, back, round_a])
            thin = math.sqrt(max(apart / length, 1.0))
            return np.asarray(outline * (k, -k)), thin

        wide = max(width * (1 + 0.25 * (loops - 1)) * k, 2.2)

        def draw(c: Canvas, moment: Moment) -> None:
            points, thin = loop(moment)
            line = poly(points)
            hi, mid, _low = self._drawing.stuffs.tones("rubber")
            w = max(wide / thin, 1.9)
            if not is_plain:
                long_shadow(c, line, w, 5)
            c.drawPath(line, stroke(palette.INK, w + 2.0))
            c.drawPath(line, stroke(mid, w))
            if not is_plain:
                c.save()
                c.translate(-0.15 * w, -0.2 * w)
                c.drawPath(line, stroke(hi, max(0.3 * w, 0.7), 0.8))
                c.restore()

        self._add("rubber band", False, draw, lambda moment: loop(moment)[0])

    def strip_hinge(
        self, at: Where, way: float, unbent: float, length: float, thickness: float, stuff: str
    ) -> None:
        """Draw a strip seen along its fold: a tab on what stands, the bend, a tab on what flaps."""
        tab = max(1.2 * length, 4.5)
        name = self.part.name
        host = at.ref.part if at.ref is not None and at.ref.part in self.scene.parts else ""
        still = self._drawing.first.pose(host).angle if host else 0.0

        def path(moment: Moment) -> Array:
            pose = moment.pose(name)
            moved = pose.angle + way
            stood = (moment.pose(host).angle - still if host else 0.0) + way + unbent + math.pi
            a = np.array(polar(tab + length / 2, stood))
            b = np.array(polar(tab + length / 2, moved))
            p, q = np.array(polar(length / 2, stood)), np.array(polar(length / 2, moved))
            t = np.linspace(0, 1, 11)[:, None]
            bend = (1 - t) ** 2 * p + t**2 * q  # its middle control point is the fold itself
            return np.asarray(np.vstack([a, bend, b]) + np.array([pose.x, pose.y]))

        self._bent(path, max(2.2 * thickness, 1.0), stuff, "hinge", 3)

    def leaf(
        self, way: float, length: float, thickness: float, stuff: str, width: float
    ) -> None:
        """Draw a clamped strip, bent as its channels ``bend`` and ``reach`` say, and the block it is clamped in."""
        name = self.part.name
        side = self._leaf_side()

        def path(moment: Moment) -> Array:
            pose = moment.pose(name)
            bend, reach = moment.value(f"{name}.bend"), moment.value(f"{name}.reach", length)
            x = np.linspace(0, length, LEAF_POINTS)
            inner = np.minimum(x, reach)
            down = bend * (3 * reach * inner**2 - inner**3) / (2 * reach**3)
            down += np.maximum(x - reach, 0) * 1.5 * bend / reach
            # bent, its end comes nearer to the clamp by what its slope takes
            slope = np.gradient(down, x)
            x = np.concatenate([[0.0], np.cumsum(np.diff(x) * np.cos(np.arctan(slope[1:])))])
            c, s = math.cos(pose.angle + way), math.sin(pose.angle + way)
            y = -side * down
            return np.stack([pose.x + c * x - s * y, pose.y + s * x + c * y], 1)

        self._bent(path, max(thickness, 0.9), stuff, "leaf spring", 4)
        u = np.array(polar(1.0, way))
        n = np.array([-u[1], u[0]])
        corners = [
            tuple(u * a + n * b)
            for a, b in ((-9.0, -4.2), (3.0, -4.2), (3.0, 4.2), (-9.0, 4.2))
        ]
        self.plate(corners, "walnut", 0.0, 6, sort="clamp")
        self.turned(tuple(u * -3.0), 2.0, "brass", 1.5, sort="screw")

    def _leaf_side(self) -> float:
        """Side to which a strip pushes: +1 left of its way."""
        part = self.part
        first = self._drawing.first
        root, end = (first.point(part.name, point) for point in ("root", "end"))
        pressed = first.place(part.presses)  # type: ignore[attr-defined]
        return float(part.stance(root, end, pressed)[0])  # type: ignore[attr-defined]

    def sprung_nose(
        self, way: float, radius: float, seat: float, diameter: float, depth: float
    ) -> None:
        """Draw a nose pressed towards the part's axis, its spring, and its housing cut open, on what carries the pivot."""
        name, drawing = self.part.name, self._drawing
        axis = drawing.first.pose(name)
        c, s = math.cos(way), math.sin(way)
        half, spring = diameter / 2, 2.6 * diameter + depth
        mouth = radius + depth + 0.35 * diameter  # the housing stays clear of the rim
        back = seat + half + spring

        def at(along: float, aside: float) -> Point:
            return axis.x + c * along - s * aside, axis.y + s * along + c * aside

        frame = self.frame
        for aside in (-1.0, 1.0):
            inner, outer = aside * (half + 0.4), aside * (half + 2.2)
            wall = [at(mouth, inner), at(mouth, outer), at(back, outer), at(back, inner)]
            frame.plate(wall, "brass", 0.0, 5, sort="housing")
        cap = [at(back, -half - 2.2), at(back, half + 2.2), at(back + 3, half + 2.2), at(back + 3, -half - 2.2)]  # fmt: skip
        frame.plate(cap, "brass", 0.0, 5, sort="housing")

        def middle(moment: Moment) -> Point:
            return at(moment.value(f"{name}.nose", seat), 0.0)

        def behind(moment: Moment) -> Point:
            return at(moment.value(f"{name}.nose", seat) + 0.7 * half, 0.0)

        self.coil(behind, lambda moment: at(back, 0.0), 0.85 * diameter, 7, 0.12 * diameter)  # type: ignore[attr-defined]
        self._moving_ball(middle, half)

    def _moving_ball(self, middle: Callable[[Moment], Point], radius: float) -> None:
        """Draw a steel ball at a place that moves. [mm]"""
        drawing, k = self._drawing, self._drawing.k
        is_plain = drawing.stuffs.is_plain
        piece = Piece(
            disc(0.0, 0.0, radius * k),
            drawing.stuffs.turned(0.0, 0.0, "steel"),
            1.1,
            3.0 * drawing.size,
            still_light=True,
        )

        def matrix(moment: Moment) -> Matrix:
            x, y = drawing.units(middle(moment))
            return place(x, y)

        def reach(moment: Moment) -> Array:
            x, y = drawing.units(middle(moment))
            return np.array(
                [(x - radius * k, y - radius * k), (x + radius * k, y + radius * k)]
            )

        self._add(
            "nose",
            False,
            lambda c, moment: piece.body(c, matrix(moment), is_plain),
            reach,
            lambda c, moment: piece.shadow(c, matrix(moment), is_plain),
        )

    def cup(self, holder: str, at: Point, opens: float, radius: float, half: float) -> None:
        """Draw the cup in which something lies, fast to a point of what throws it; ``opens`` in that part's frame, ``half`` its half angle. [rad]"""
        pen = type(self)(
            self._drawing, self.scene.parts[holder], self._depth_before(holder), self._marks
        )
        wall = max(1.8, 0.2 * radius)
        angles = np.linspace(opens + math.pi - half, opens + math.pi + half, 33)
        inner = np.stack([np.cos(angles), np.sin(angles)], 1) * radius
        outer = np.stack([np.cos(angles), np.sin(angles)], 1) * (radius + wall)
        pen.plate(np.vstack([inner, outer[::-1]]) + np.array(at), "brass", 0.0, 5, sort="cup")

    def _depth_before(self, holder: str) -> tuple[float, float]:
        along, order = self._drawing.depth_of(holder)
        return max((along, order + 0.2), self._depth)

    def flight(self, since: str) -> None:
        """Draw the way a part has flown since a channel left 0: a hair that swells up to where it is now."""
        motion, name, drawing = self.motion, self.part.name, self._drawing
        flown = np.flatnonzero(motion.channels[since].values > 0)
        if not len(flown):
            return
        first = int(flown[0])
        track = motion.point(name, next(iter(self.part.points())))[first:]
        moved = np.hypot(*np.diff(track, axis=0).T) > 1e-6
        last = int(np.flatnonzero(moved)[-1]) + 2 if moved.any() else 1
        path, times = track[:last] * (drawing.k, -drawing.k), motion.times[first : first + last]
        if len(path) < 3:
            return
        corners = np.array([path.min(0), path.max(0)])

        def draw(c: Canvas, moment: Moment) -> None:
            count = int(np.searchsorted(times, moment.t, side="right"))
            if count < 3:
                return
            chosen = path[np.unique(np.linspace(0, count - 1, min(count, 60)).astype(int))]
            line = ribbon(chosen, list(np.linspace(0.5, 2.6, len(chosen))))
            c.drawPath(line, fill(palette.PAPER_LIT, 0.75))

        self._add("way through the air", False, draw, lambda moment: corners)
