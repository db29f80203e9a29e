"""The pen's ground: where and in what order things lie, and plain shapes."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence
from typing import TYPE_CHECKING, Self

import numpy as np
from numpy.typing import NDArray

from animator.geometry import Point, Pose
from animator.parts._contract import Rides
from animator.pictures import palette
from animator.pictures.cutouts import pieces
from animator.pictures.ink import (
    TOWARDS,
    Array,
    Canvas,
    Matrix,
    Path,
    box,
    cut,
    disc,
    fill,
    place,
    poly,
    skia,
    stroke,
)
from animator.pictures.moment import Mark, Moment
from animator.pictures.shapes import (
    PENCIL,
    UNSAID_SIZE,
    sawn,
    squeezed,
    stitching,
    torn_edge,
)
from animator.pictures.stuff import Detail, Piece, family

if TYPE_CHECKING:
    from animator.parts._contract import Part
    from animator.parts._fields import Artwork, Ref, Where
    from animator.pictures.drawing import Drawing


class ShapePen:
    """Draws a part's plain shapes, in its own frame. [mm]"""

    def __init__(
        self,
        drawing: Drawing,
        part: Part,
        depth: tuple[float, float],
        marks: list[Mark],
        is_fixed: bool = False,
    ) -> None:
        self._drawing, self.part, self._depth, self._marks, self._is_fixed = (
            drawing,
            part,
            depth,
            marks,
            is_fixed,
        )
        self.scene, self.motion = drawing.scene, drawing.motion
        self.is_from_above = drawing.is_from_above

    @property
    def frame(self) -> Self:
        """A pen for what is fast to the cabinet, at the same depth."""
        return type(self)(self._drawing, self.part, self._depth, self._marks, True)

    def upon(self, name: str) -> Self:
        """A pen for what moves with another part, at this part's depth: lengths are then in that part's own frame."""
        return type(self)(
            self._drawing, self.scene.parts[name], self._depth, self._marks, self._is_fixed
        )

    def nearer_than(self, names: Iterable[str]) -> Self:
        """A pen for what lies just in front of some other parts."""
        return type(self)(
            self._drawing,
            self.part,
            max([self._drawing.depth_of(n) for n in names], default=self._depth),
            self._marks,
            self._is_fixed,
        )

    def farther_than(self, names: Iterable[str]) -> Self:
        """A pen for what lies just behind some other parts."""
        along, order = min([self._drawing.depth_of(n) for n in names], default=self._depth)
        return type(self)(
            self._drawing, self.part, (along, order - 0.5), self._marks, self._is_fixed
        )

    def in_front(self) -> Self:
        """A pen for what lies in front of the whole cabinet: handles."""
        return type(self)(
            self._drawing, self.part, (1e6, self._depth[1]), self._marks, self._is_fixed
        )

    def behind_all(self) -> Self:
        """A pen for what is fast to the back board."""
        return type(self)(
            self._drawing, self.part, (-1e6, self._depth[1]), self._marks, self._is_fixed
        )

    def spot(self, at: Where | Ref) -> Point:
        """Place in the plane that the scene names, at the start. [mm]"""
        return self._drawing.start_of(at)

    def start(self, part: str | None = None) -> Pose:
        """Where a part's frame stands at the start."""
        return self._drawing.first.pose(part or self.part.name)

    def riders(self) -> list[Part]:
        """Parts that move as one with this one."""
        held = ((other, other.held()) for other in self.scene.parts.values())
        return [
            other
            for other, how in held
            if isinstance(how, Rides) and how.on.part == self.part.name
        ]

    def stuff(self, otherwise: str = "") -> tuple[str, float]:
        """Name of the part's stuff and its thickness or diameter [mm]; without one: ``otherwise``, or the frame's."""
        own = self.part.material
        if own is not None and own.name:
            return own.name, own.size or UNSAID_SIZE
        return otherwise or self.scene.frame.stuff, UNSAID_SIZE

    def _keep(
        self,
        sort: str,
        piece: Piece,
        at: Pose | None = None,
        spin: str | None = None,
        is_round: bool = False,
    ) -> None:
        drawing, name, is_plain = self._drawing, self.part.name, self._drawing.stuffs.is_plain
        fixed = None
        if self._is_fixed:
            pose = at or Pose()
            fixed = place(pose.x * drawing.k, -pose.y * drawing.k, -math.degrees(pose.angle))

        def matrix(moment: Moment) -> Matrix:
            if fixed is not None:
                return fixed
            m = moment.matrix(name)
            if spin is not None:
                wide = skia.Matrix()
                wide.setScale(squeezed(moment.value(spin)), 1)
                return skia.Matrix.Concat(m, wide)
            return m

        bounds = piece.path.computeTightBounds()
        corners = [
            skia.Point(x, y)
            for x in (bounds.left(), bounds.right())
            for y in (bounds.top(), bounds.bottom())
        ]

        def reach(moment: Moment) -> Array:
            return np.array([(q.x(), q.y()) for q in matrix(moment).mapPoints(corners)])

        is_still = self._is_fixed or (spin is None and name in drawing.still_parts)
        self._add(
            sort, is_still, lambda c, moment: piece.body(c, matrix(moment), is_plain), reach,
            lambda c, moment: piece.shadow(c, matrix(moment), is_plain), is_round and name in drawing.turning_parts,
        )  # fmt: skip

    def _add(
        self,
        sort: str,
        is_still: bool,
        draw: Callable[[Canvas, Moment], None],
        reach: Callable[[Moment], Array],
        shadow: Callable[[Canvas, Moment], None] | None = None,
        casts_still: bool = False,
    ) -> None:
        self._marks.append(
            Mark(
                self.part.name,
                sort,
                (*self._depth, len(self._marks)),
                is_still,
                draw,
                reach,
                shadow,
                casts_still,
            )
        )

    def _path(
        self, outline: Sequence[Point] | NDArray[np.float64], is_smooth: bool = False
    ) -> Path:
        points = np.asarray(outline, float) * (self._drawing.k, -self._drawing.k)
        return sawn(points) if is_smooth else poly(points)

    def _circle(self, at: Point, radius: float) -> Path:
        k = self._drawing.k
        return disc(at[0] * k, -at[1] * k, radius * k)

    def _cut(
        self,
        path: Path,
        stuff: str,
        thickness: float,
        rise: float,
        paint: str | None,
        details: Sequence[Detail],
        sort: str,
        line: float = 1.3,
        is_round: bool = False,
    ) -> None:
        stuffs, size = self._drawing.stuffs, self._drawing.size
        what, name = family(stuff)
        hue = paint or self.part.paint
        face = stuffs.paint(palette.paint(hue), 20) if hue else stuffs.face(stuff, path)
        ply = (
            min(thickness * 0.75, 5.0) * size if what in ("ply", "wood") and thickness else 0.0
        )
        _hi, mid, low = stuffs.tones(stuff)
        edge = (
            (palette.PLY_LIT, palette.PLY_DARK, palette.PLY_LIT)
            if what == "ply"
            else (
                palette.mix(mid, low, 0.35),
                palette.mix(mid, low, 0.6),
                palette.mix(mid, low, 0.2),
            )
        )
        if name == "leather" and not hue and not stuffs.is_plain:
            details = [*details, stitching(path, 3.0 * size)]
        if name == "card" and not hue and not stuffs.is_plain:
            details = [torn_edge(path), *details]
            edge = ("#D9CBAA", "#C9B78F", "#B79F77")
        self._keep(
            sort, Piece(path, face, line, rise * size, ply, edge, details), is_round=is_round
        )

    def plate(
        self,
        outline: Sequence[Point] | NDArray[np.float64],
        stuff: str,
        thickness: float = 4.0,
        rise: float = 7.0,
        holes: Iterable[tuple[Point, float]] = (),
        pencil: Iterable[Sequence[Point]] = (),
        circles: Iterable[tuple[Point, float]] = (),
        is_smooth: bool = False,
        paint: str | None = None,
        sort: str = "plate",
    ) -> None:
        """Draw a shape sawn from a sheet.

        Parameters
        ----------
        outline
            Corners, or points of a curve where they bend gently (``is_smooth``). [mm]
        stuff, thickness
            What it is sawn from. [mm]
        rise
            How far it stands out from what lies behind it. [design units at the natural scale]
        holes
            (middle, radius) of each. [mm]
        pencil, circles
            The maker's pencil lines on it: lines, and (middle, radius). [mm]
        paint
            Poster paint; without it the part's ``paint``, or the bare stuff.
        sort
            What the mark is called.
        """
        k = self._drawing.k
        path = self._path(outline, is_smooth)
        path = cut(path, *(self._circle(*hole) for hole in holes))
        details: list[Detail] = [
            (self._circle(*circle), stroke(PENCIL, 0.8, 0.55)) for circle in circles
        ]
        details += [
            (poly(np.asarray(line, float) * (k, -k), False), stroke(PENCIL, 0.9, 0.55))
            for line in pencil
        ]
        details += [(self._circle(*hole), stroke(palette.INK, 1.0, 0.8)) for hole in holes]
        self._cut(path, stuff, thickness, rise, paint, details, sort)

    def disc(
        self,
        at: Point,
        radius: float,
        stuff: str,
        thickness: float = 4.0,
        rise: float = 7.0,
        windows: int = 0,
        rings: Sequence[float] = (),
        paint: str | None = None,
        sort: str = "disc",
    ) -> None:
        """Draw a round plate; ``windows`` sawn through it near its middle, ``rings`` turned in it (shares of the radius)."""
        k = self._drawing.k
        path = self._circle(at, radius)
        r = radius * k
        for i in range(windows):
            a = np.radians(
                np.linspace(i * 360 / windows + 14, (i + 1) * 360 / windows - 14, 16)
            )
            ring = np.vstack(
                [
                    np.stack([np.cos(a), np.sin(a)], 1) * r * 0.44,
                    (np.stack([np.cos(a), np.sin(a)], 1) * r * 0.26)[::-1],
                ]
            )
            path = cut(path, poly(ring + np.array([at[0] * k, -at[1] * k])))
        details: list[Detail] = [
            (self._circle(at, radius * share), stroke(palette.INK, 0.9, 0.45))
            for share in rings
        ]
        what, name = family(stuff)
        if what == "metal" and at == (0.0, 0.0) and not (paint or self.part.paint):
            # turned on a lathe: its glints stand still
            face = self._drawing.stuffs.turned(0, 0, name)
            rise *= self._drawing.size
            piece = Piece(path, face, 1.3, rise, details=details, still_light=True)
            self._keep(sort, piece, is_round=True)
            return
        self._cut(path, stuff, thickness, rise, paint, details, sort, is_round=at == (0.0, 0.0))

    def strap(
        self,
        a: Point,
        b: Point,
        width_a: float,
        width_b: float,
        stuff: str,
        thickness: float = 3.0,
        rise: float = 9.0,
        paint: str | None = None,
        sort: str = "strap",
    ) -> None:
        """Draw a flat bar with round ends; widths at each end. [mm]"""
        self._cut(
            self._capsule(a, b, width_a / 2, width_b / 2),
            stuff,
            thickness if family(stuff)[0] != "metal" else 0.0,
            rise,
            paint,
            (),
            sort,
        )

    def _capsule(self, a: Point, b: Point, ra: float, rb: float) -> Path:
        k = self._drawing.k
        along = math.atan2(b[1] - a[1], b[0] - a[0])
        t, u = (
            np.linspace(along + math.pi / 2, along + 3 * math.pi / 2, 16),
            np.linspace(along - math.pi / 2, along + math.pi / 2, 16),
        )
        points = np.vstack(
            [
                np.stack([a[0] + ra * np.cos(t), a[1] + ra * np.sin(t)], 1),
                np.stack([b[0] + rb * np.cos(u), b[1] + rb * np.sin(u)], 1),
            ]
        )
        return poly(points * (k, -k))

    def bar(
        self,
        a: Point,
        b: Point,
        diameter: float,
        stuff: str = "steel",
        rise: float = 9.0,
        is_round_ended: bool = False,
        sort: str = "bar",
    ) -> None:
        """Draw a round bar seen from the side."""
        k, r = self._drawing.k, diameter / 2
        d = math.dist(a, b) or 1e-9
        nx, ny = -(b[1] - a[1]) / d, (b[0] - a[0]) / d
        corners = [
            (a[0] + nx * r, a[1] + ny * r),
            (b[0] + nx * r, b[1] + ny * r),
            (b[0] - nx * r, b[1] - ny * r),
            (a[0] - nx * r, a[1] - ny * r),
        ]
        path = self._capsule(a, b, r, r) if is_round_ended else self._path(corners)
        middle = ((a[0] + b[0]) / 2, (a[1] + b[1]) / 2)
        p, q = (((middle[0] + s * nx * r) * k, -(middle[1] + s * ny * r) * k) for s in (1, -1))
        # the glint lies on the side the light comes from as the part starts
        at = self._drawing.first.pose(self.part.name) if not self._is_fixed else Pose()
        world = Pose(0, 0, at.angle).place((nx, ny))
        if world[0] * -TOWARDS[0] + world[1] * TOWARDS[1] < 0:
            p, q = q, p
        self._keep(
            sort,
            Piece(
                path,
                self._drawing.stuffs.round(
                    p, q, (self.part.paint and palette.paint(self.part.paint)) or stuff
                ),
                1.1,
                rise * self._drawing.size,
            ),
        )

    def block(
        self,
        at: Point,
        width: float,
        height: float,
        stuff: str,
        thickness: float = 4.0,
        rise: float = 5.0,
        round_by: float = 1.0,
        sort: str = "block",
    ) -> None:
        """Draw a block about its middle."""
        k = self._drawing.k
        path = box(
            (at[0] - width / 2) * k,
            -(at[1] + height / 2) * k,
            width * k,
            height * k,
            round_by * k,
        )
        self._cut(path, stuff, thickness, rise, None, (), sort)

    def turned(
        self,
        at: Point,
        radius: float,
        metal: str = "brass",
        rise: float = 2.5,
        bore: float = 0.0,
        screws: int = 0,
        sort: str = "turned",
    ) -> None:
        """Draw a face turned on a lathe, its glints standing still; ``bore`` shows the steel in its middle."""
        stuffs, k = self._drawing.stuffs, self._drawing.k
        x, y, r = at[0] * k, -at[1] * k, radius * k
        low = palette.METALS[metal][2]
        details: list[Detail] = [(disc(x, y, r * 0.68), stroke(low, 0.9))] if r > 5 else []
        if bore:
            details.append((disc(x, y, bore * k), stuffs.turned(x, y, "steel")))
            details.append((disc(x, y, bore * k), stroke(palette.INK, 0.8)))
        for i in range(screws):
            t = math.tau * i / screws
            details.append(
                (
                    disc(
                        x + r * 0.82 * math.cos(t),
                        y + r * 0.82 * math.sin(t),
                        max(1.0, r * 0.1),
                    ),
                    fill(low),
                )
            )
        self._keep(
            sort,
            Piece(
                disc(x, y, r),
                stuffs.turned(x, y, metal),
                1.1,
                rise * self._drawing.size,
                details=details,
                still_light=True,
            ),
            is_round=at == (0.0, 0.0),
        )

    def ball(
        self,
        at: Point,
        radius: float,
        paint: str = "rose",
        rise: float = 9.0,
        sort: str = "ball",
    ) -> None:
        """Draw a turned and painted ball."""
        k = self._drawing.k
        hue = palette.paint(self.part.paint or paint)
        x, y, r = at[0] * k, -at[1] * k, radius * k
        details: list[Detail] = [
            (disc(x, y, r * 0.63), stroke(palette.mix(hue, "#000000", 0.4), 0.9, 0.55)),
            (disc(x, y, r * 0.23), fill(palette.METALS["steel"][1])),
        ]
        # round things look the same whichever way they turn: keep the light
        self._keep(
            sort,
            Piece(
                disc(x, y, r),
                self._drawing.stuffs.ball(x, y, r, hue),
                1.3,
                rise * self._drawing.size,
                details=details,
                still_light=not self._drawing.stuffs.is_plain and at == (0.0, 0.0),
            ),
        )

    def line(
        self,
        points: Sequence[Point],
        width: float,
        paint: str = "black",
        alpha: float = 0.8,
        sort: str = "line",
    ) -> None:
        """Draw a painted line on the part. ``width`` [mm]"""
        k = self._drawing.k
        path = poly(np.asarray(points, float) * (k, -k), False)
        pen, name, is_fixed = (
            stroke(palette.paint(paint), width * k, alpha),
            self.part.name,
            self._is_fixed,
        )

        def draw(c: Canvas, moment: Moment) -> None:
            c.save()
            if not is_fixed:
                c.concat(moment.matrix(name))
            c.drawPath(path, pen)
            c.restore()

        self._add(
            sort,
            is_fixed or name in self._drawing.still_parts,
            draw,
            lambda moment: np.array([moment.spot(name, p) for p in points]),
        )

    def artwork(
        self, art: Artwork, stuff: str, thickness: float = 3.0, spin: str | None = None
    ) -> None:
        """Draw a painted figure: shapes sawn from ply and laid on each other; small ones that lie on a larger one are painted on it.

        ``spin``: channel of the angle by which the figure turns about its own upright; it is then squeezed as it turns. [rad]
        """
        drawing = self._drawing
        for piece in pieces(
            art, drawing.k, drawing.stuffs, self.part.paint, thickness, drawing.size
        ):
            self._keep("figure", piece, spin=spin)
