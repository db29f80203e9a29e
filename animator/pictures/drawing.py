"""A recorded motion as marks on a sheet: each part draws itself once with the pen, every frame only moves what it drew.

    Part.draw(pen) -> Mark ... -> Drawing -> canvas at any moment

Marks are kept in the order in which they lie on each other. Lengths that parts hand over are millimetres in their own
frame, y up; the pen turns them into design units, y down. Nothing here knows a kind of part.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from animator.geometry import Point, Pose
from animator.parts._contract import Rides
from animator.pictures import marks as signs
from animator.pictures import palette
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
    grow,
    hatch,
    join,
    oval,
    place,
    poly,
    skia,
    stroke,
)
from animator.pictures.loops import ChainLine, Loop, belt_marks, chain_links, sprocket_outline
from animator.pictures.stuff import Coil, Detail, Piece, Stuffs, family, long_shadow, wire

if TYPE_CHECKING:
    from animator.motion.motion import Motion
    from animator.parts._contract import Part
    from animator.parts._fields import Artwork, Guide, Ref, Shape, Where

NATURAL = (
    2.2  # design units a millimetre at which the look's thicknesses and shadows were tuned
)
CORNER = math.radians(
    52
)  # a bend sharper than this is a corner; a gentler one is a point on a curve, as a fretsaw goes
PENCIL = "#6C5A48"
UNSAID_SIZE = 4.0  # mm; thickness of what the scene doesn't say
FLAT = 0.25  # how much a level circle is foreshortened: we look down a little


# ---------------------------------------------------------------- a moment of the motion
class Moment:
    """Where everything is at one time: what a mark is drawn with."""

    def __init__(self, drawing: Drawing, t: float) -> None:
        motion = drawing.motion
        self.drawing, self.t = drawing, t
        times = motion.times
        position = min(max(float(np.interp(t, times, drawing.indices)), 0.0), len(times) - 1.0)
        self._i = min(int(position), len(times) - 2) if len(times) > 1 else 0
        self._f = position - self._i
        self._poses = self._at(motion.poses)
        self._matrices: dict[str, Matrix] = {}

    def _at(self, values: Any) -> Any:
        if len(values) == 1:
            return values[0]
        return (1 - self._f) * values[self._i] + self._f * values[self._i + 1]

    def pose(self, part: str) -> Pose:
        """Pose of a part's own frame. [mm, rad]"""
        body, inner = self.drawing.motion.frames[part]
        if body < 0:
            return inner
        x, y, angle = self._poses[body].tolist()
        return Pose(x, y, angle).compose(inner)

    def matrix(self, part: str) -> Matrix:
        """Frame of a part on the sheet."""
        if part not in self._matrices:
            at, k = self.pose(part), self.drawing.k
            self._matrices[part] = place(at.x * k, -at.y * k, -math.degrees(at.angle))
        return self._matrices[part]

    def point(self, part: str, point: str | Point = "") -> Point:
        """Place of a part's point. [mm]"""
        if isinstance(point, str):
            points = self.drawing.scene.parts[part].points()
            point = points[point or next(iter(points))]
        return self.pose(part).place(point)

    def spot(self, part: str, point: str | Point = "") -> tuple[float, float]:
        """Place of a part's point on the sheet."""
        return self.drawing.units(self.point(part, point))

    def place(self, ref: Ref) -> Point:
        """Place that the scene names, now. [mm]"""
        if ref.part in ("", "frame"):
            return self.drawing.start_of(ref)
        return self.point(ref.part, ref.point)

    def value(self, channel: str, otherwise: float = 0.0) -> float:
        """Value of a recorded channel now."""
        found = self.drawing.motion.channels.get(channel)
        return otherwise if found is None else float(self._at(found.values))

    def of(self, values: NDArray[np.float64]) -> float:
        """Value now of any array on the motion's clock."""
        return float(self._at(values))


# ---------------------------------------------------------------- marks
@dataclass
class Mark:
    """One thing drawn of one part.

    Attributes
    ----------
    part, sort
        Whose it is and what it is (``plate``, ``bar``, ``coil``, ``belt`` ...).
    depth
        (millimetres towards the viewer, place in the file, order within the part): nearer is drawn later.
    is_still
        It never moves in this motion.
    reach
        Places it covers at a moment: corners in design units, for sizing and clipping.
    """

    part: str
    sort: str
    depth: tuple[float, float, int]
    is_still: bool
    draw: Callable[[Canvas, Moment], None]
    reach: Callable[[Moment], Array]
    shadow: Callable[[Canvas, Moment], None] | None = None
    casts_still: bool = False
    """It turns on the spot and is round: its shadow lies still."""


class Pen:
    """What ``draw`` is handed.

    Shapes follow the part they are drawn for; those drawn with ``pen.frame`` stand still in the plane. All lengths are
    millimetres, in the part's own frame (``pen.frame``: in the plane).
    """

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

    # ------------------------------------------------------------ where and in what order
    @property
    def frame(self) -> Pen:
        """A pen for what is fast to the cabinet, at the same depth."""
        return Pen(self._drawing, self.part, self._depth, self._marks, True)

    def nearer_than(self, names: Iterable[str]) -> Pen:
        """A pen for what lies just in front of some other parts."""
        return Pen(
            self._drawing,
            self.part,
            max([self._drawing.depth_of(n) for n in names], default=self._depth),
            self._marks,
            self._is_fixed,
        )

    def in_front(self) -> Pen:
        """A pen for what lies in front of the whole cabinet: handles."""
        return Pen(self._drawing, self.part, (1e6, self._depth[1]), self._marks, self._is_fixed)

    def behind_all(self) -> Pen:
        """A pen for what is fast to the back board."""
        return Pen(
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

    # ------------------------------------------------------------ keeping
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

    # ------------------------------------------------------------ shapes
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
        what, _name = family(stuff)
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

    # ------------------------------------------------------------ painted figures
    def artwork(
        self, art: Artwork, stuff: str, thickness: float = 3.0, spin: str | None = None
    ) -> None:
        """Draw a painted figure: shapes sawn from ply and laid on each other; small ones that lie on a larger one are painted on it.

        ``spin``: channel of the angle by which the figure turns about its own upright; it is then squeezed as it turns. [rad]
        """
        k, stuffs, size = self._drawing.k, self._drawing.stuffs, self._drawing.size
        c, s = math.cos(art.turned), math.sin(art.turned)

        def at(point: Point) -> Point:
            x, y = point[0] - art.hung_by[0], point[1] - art.hung_by[1]
            return c * x - s * y, s * x + c * y

        sawn_pieces: list[tuple[Path, str, list[Detail]]] = []
        for shape in art.shapes:
            path = shape_path(shape, at, k)
            hue = palette.paint(shape.paint or self.part.paint)
            under = next((row for row in reversed(sawn_pieces) if lies_on(path, row[0])), None)
            if under is not None:
                fine = path.computeTightBounds().height() < 9
                under[2].append((path, fill(hue) if fine else stuffs.paint(hue, 15, 0.04)))
                under[2].append((path, stroke(palette.INK, 0.8 if fine else 1.0, 0.9)))
            else:
                sawn_pieces.append((path, hue, []))
        whole = join(*(path for path, _, _ in sawn_pieces))
        for i, (path, hue, details) in enumerate(sawn_pieces):
            bounds = path.computeTightBounds()
            lean = 90 if bounds.height() > 1.4 * bounds.width() else 20 + 11 * (i % 3)
            shade = engraving(path, hue) if min(bounds.width(), bounds.height()) > 22 else []
            ply = max(min(thickness * 0.7, 3.2) * size, 1.6)
            line = 1.4 if bounds.height() > 40 else 1.2
            # one shadow for the whole figure: blurred ones are the dearest thing on a picture
            piece = Piece(
                path,
                stuffs.paint(hue, lean),
                line,
                0 if i else 6 * size,
                ply,
                details=[*shade, *details],
                cast=whole,
            )
            self._keep("figure", piece, spin=spin)

    # ------------------------------------------------------------ held things
    def bush(self, guide: Guide, direction: float, bore: float, offset: float = 0.0) -> None:
        """Draw the guide a stem or bar slides in: a brass bush, with what carries it.

        Parameters
        ----------
        guide
            Its place, length and clearance.
        direction
            The way the stem slides. [rad]
        bore
            Of the stem. [mm]
        offset
            How far the slide lies to the right of the guide's place. [mm]
        """
        x, y = self.spot(guide.at)
        x, y = x + math.sin(direction) * offset, y - math.cos(direction) * offset
        self._drawing.guides.append((x, y, direction, guide.length))
        half, wall = guide.length / 2, bore / 2 + max(2.4, bore * 0.42)
        drawing, k, stuffs = self._drawing, self._drawing.k, self._drawing.stuffs
        is_upright = abs(math.cos(direction)) < 0.5
        turn = -math.degrees(direction)
        tube = box(-half * k, -wall * k, guide.length * k, 2 * wall * k, 1.0 * k)
        flange_at = half if is_upright else -half
        flange = box(
            (flange_at - (2.6 if is_upright else 0)) * k,
            -wall * 1.75 * k,
            min(2.6, guide.length) * k,
            2 * wall * 1.75 * k,
            0.6 * k,
        )
        path = join(tube, flange)
        flip = -1 if is_upright else 1
        piece = Piece(
            path,
            stuffs.round(
                (0, -wall * 1.7 * k * flip * (-1 if is_upright else 1)),
                (0, wall * 1.7 * k * flip * (-1 if is_upright else 1)),
                "brass",
            ),
            1.1,
            6 * drawing.size,
        )
        m = place(x * k, -y * k, turn)
        if is_upright:
            m = place(x * k, -y * k, -90)
        bounds = path.computeTightBounds()
        corners = [
            skia.Point(a, b)
            for a in (bounds.left(), bounds.right())
            for b in (bounds.top(), bounds.bottom())
        ]
        reach = np.array([(q.x(), q.y()) for q in m.mapPoints(corners)])
        if not is_upright:
            self._post(x, y - wall, min(half * 1.2, 16.0))
        is_plain = stuffs.is_plain
        self._add(
            "bush",
            True,
            lambda c, moment: piece.body(c, m, is_plain),
            lambda moment: reach,
            lambda c, moment: piece.shadow(c, m, is_plain),
        )

    def _post(self, x: float, top: float, half: float) -> None:
        """A walnut post from the floor, for what isn't carried by the stage."""
        k, size = self._drawing.k, self._drawing.size
        floor = 3.0
        if top - floor < 2:
            return
        path = poly(
            np.array(
                [
                    (x - half * 0.62, top + 1.5),
                    (x + half * 0.62, top + 1.5),
                    (x + half * 0.9, floor),
                    (x - half * 0.9, floor),
                ]
            )
            * (k, -k)
        )
        piece = Piece(path, self._drawing.stuffs.face("walnut", path, 90), 1.2, 6 * size)
        is_plain = self._drawing.stuffs.is_plain
        reach = np.array([(x * k, -top * k)])
        pen = self.behind_all()
        pen._add(
            "post",
            True,
            lambda c, moment: piece.body(c, skia.Matrix(), is_plain),
            lambda moment: reach,
            lambda c, moment: piece.shadow(c, skia.Matrix(), is_plain),
        )

    def bearing(
        self, at: Point, radius: float, is_ball: bool = False, diameter: float = 5.0
    ) -> None:
        """Draw the block on the back board in which a shaft turns, and the shaft's end."""
        back = self.frame.behind_all()
        if is_ball:
            back.turned(at, radius * 1.1, "steel", 4, screws=6, sort="bearing")
        else:
            back.block(
                at, 2 * radius, 2 * radius, "walnut", 0.0, 5, radius * 0.3, sort="bearing"
            )
        self.turned((0.0, 0.0), diameter / 2 + 0.8, "steel", 3, sort="shaft")

    def hub(self, at: Point, radius: float, bore: float = 2.5) -> None:
        """Draw the brass hub with which a wheel or a cam sits on its shaft."""
        self.turned(
            at,
            radius,
            "brass",
            2.5,
            bore,
            3 if radius * self._drawing.k > 12 else 0,
            sort="hub",
        )

    # ------------------------------------------------------------ long things between moving places
    def coil(
        self,
        start: Callable[[Moment], Point],
        stop: Callable[[Moment], Point],
        diameter: float,
        turns: float,
        gauge: float,
        is_hooked: bool = False,
        moves_with: Iterable[str] = (),
    ) -> None:
        """Draw a spring between two places [mm in the plane] that move; its turns stay as many as they are. Far halves go behind the part, near ones before it."""
        drawing, k, is_plain = self._drawing, self._drawing.k, self._drawing.stuffs.is_plain
        spring = Coil(diameter / 2 * k, round(turns), max(gauge * k, 1.8), is_hooked)

        def half(which: str) -> Callable[[Canvas, Moment], None]:
            def draw(c: Canvas, moment: Moment) -> None:
                a, b = drawing.units(start(moment)), drawing.units(stop(moment))
                m = place(*a, math.degrees(math.atan2(b[1] - a[1], b[0] - a[0])))
                spring.draw(c, m, math.dist(a, b), which, is_plain)

            return draw

        def reach(moment: Moment) -> Array:
            return np.array([drawing.units(start(moment)), drawing.units(stop(moment))])

        is_still = all(name in drawing.still_parts for name in moves_with) and bool(
            list(moves_with)
        )
        far = Pen(drawing, self.part, (self._depth[0], self._depth[1] - 0.4), self._marks)
        far._add("coil", is_still, half("far"), reach)
        near = Pen(drawing, self.part, (self._depth[0], self._depth[1] + 0.4), self._marks)
        near._add("coil", is_still, half("near"), reach)

    def wire(
        self,
        points: Callable[[Moment], Sequence[Point]],
        diameter: float,
        stuff: str = "steel",
        sort: str = "wire",
    ) -> None:
        """Draw wire or string through places [mm in the plane] that move."""
        drawing, k, is_plain = self._drawing, self._drawing.k, self._drawing.stuffs.is_plain

        def places(moment: Moment) -> Array:
            return np.array([drawing.units(p) for p in points(moment)])

        self._add(
            sort,
            False,
            lambda c, moment: wire(
                c, places(moment), max(diameter * k, 1.6), stuff, 5, is_plain
            ),
            places,
        )

    def belt(
        self,
        wheels: tuple[str, str],
        radii: tuple[float, float],
        thickness: float,
        stuff: str,
        is_crossed: bool = False,
        travel: Callable[[Moment], float] | None = None,
    ) -> None:
        """Draw a belt round two wheels, with its stitches where it has run to.

        Parameters
        ----------
        wheels, radii
            Names of the wheels and radii of the belt's centre line on them. [mm]
        thickness, stuff
            Of the belt as it runs. [mm]
        travel
            How far the belt has run, anticlockwise about the first wheel. [mm]
        """
        drawing, k, stuffs = self._drawing, self._drawing.k, self._drawing.stuffs
        width = max(thickness * k, 3.0)
        a, b = (drawing.first.point(w) for w in wheels)
        loop = Loop(a, radii[0], b, radii[1], is_crossed)
        line = poly(loop.outline() * (k, -k))
        sort, name = family(stuff)
        hi, mid, low = stuffs.tones(stuff)
        is_coiled = sort == "metal"
        count = max(3, round(loop.length / (math.tau * min(radii) * 1.5)))
        self._drawing.belts[self.part.name] = loop

        def band(c: Canvas, moment: Moment) -> None:
            c.drawPath(line, stroke(palette.INK, width + 2.2))
            c.drawPath(line, stroke(low if is_coiled else mid, width))
            if not stuffs.is_plain and not is_coiled:
                c.save()
                c.translate(-width * 0.11, -width * 0.16)
                c.drawPath(line, stroke(hi, width * 0.27, 0.8))
                c.restore()
                if name == "leather":
                    c.drawPath(line, stroke("#D2A878", 1.3, dash=(4, 4)))

        def coils(c: Canvas, run: float) -> None:
            step = max(4.3, width * 0.5)
            turns = max(8, int(loop.length * k / step))
            places, ways = loop.places(run + np.arange(turns) * loop.length / turns)
            x, y, ux, uy = places[:, 0] * k, -places[:, 1] * k, np.cos(ways), -np.sin(ways)
            h = width * 0.52
            strokes = skia.Path()
            starts, stops = (
                np.stack([x - uy * h - ux * 1.3, y + ux * h - uy * 1.3], 1),
                np.stack([x + uy * h + ux * 1.3, y - ux * h + uy * 1.3], 1),
            )
            for p, q in zip(starts.tolist(), stops.tolist(), strict=True):
                strokes.moveTo(*p)
                strokes.lineTo(*q)
            c.drawPath(strokes, stroke(mid, step * 0.62))
            if not stuffs.is_plain:
                c.save()
                c.translate(-0.4, -0.5)
                c.drawPath(strokes, stroke(hi, 1.1))
                c.restore()

        def stitches(c: Canvas, moment: Moment) -> None:
            run = travel(moment) if travel else 0.0
            if is_coiled:
                coils(c, run)
            places, ways = belt_marks(loop, run, count)
            w = max(width * 0.30, 2.4)
            for (px, py), way in zip(places.tolist(), ways.tolist(), strict=True):
                c.save()
                c.translate(px * k, -py * k)
                c.rotate(-math.degrees(way))
                c.drawPath(
                    box(-w - 1.1, -width / 2 - 1.6, 2 * w + 2.2, width + 3.2, 1.5),
                    fill(palette.INK),
                )
                c.drawPath(box(-w, -width / 2 - 0.5, 2 * w, width + 1, 1), fill(palette.CREAM))
                c.restore()

        reach = loop.line(24) * (k, -k)
        shadow = None if stuffs.is_plain else lambda c, moment: long_shadow(c, line, width, 7)
        # the band's own line never moves: only what is drawn on it does
        self._add("belt", True, band, lambda moment: reach, shadow)
        self._add("stitches", travel is None, stitches, lambda moment: reach)

    def chain(
        self,
        wheels: tuple[str, str],
        teeth: tuple[int, int],
        pitch: float,
        turned: Callable[[Moment], float],
    ) -> None:
        """Draw a chain round two sprockets: inner plates, outer plates, rollers, each where it has run to.

        ``turned``: how far the first wheel has turned from having a seat at angle 0. [rad]
        """
        drawing, k = self._drawing, self._drawing.k
        a, b = (drawing.first.point(w) for w in wheels)
        line = ChainLine(a, teeth[0], b, teeth[1], pitch)
        self._drawing.chains[self.part.name] = line
        d = pitch * k
        steel = palette.METALS["steel"]
        plates = []
        for share, hue in ((0.30, palette.mix(steel[1], steel[2], 0.55)), (0.365, steel[1])):
            w = d * share
            plate = join(disc(0, 0, w), disc(d, 0, w), box(0, -w * 0.72, d, 2 * w * 0.72))
            plates.append((grow(plate, 0.9), plate, fill(hue)))
        glint, ink_ = stroke(steel[0], max(0.8, d * 0.08), 0.9), fill(palette.INK)
        is_plain = drawing.stuffs.is_plain
        path = poly(line.loop.outline() * (k, -k))

        def draw(c: Canvas, moment: Moment) -> None:
            links = chain_links(line, turned(moment)) * (k, -k)
            ways = np.degrees(np.arctan2(*(links[:, 1] - links[:, 0]).T[::-1])).tolist()
            starts = links[:, 0].tolist()
            for which, (fat, plate, paint) in enumerate(
                plates
            ):  # inner links, then outer ones over them
                under, over = skia.Path(), skia.Path()
                for i in range(which, len(starts), 2):
                    m = place(starts[i][0], starts[i][1], ways[i])
                    under.addPath(fat, m)
                    over.addPath(plate, m)
                c.save()
                c.translate(0.45, 0.65)
                c.drawPath(under, ink_)
                c.restore()
                c.drawPath(over, paint)
            dark, bright, lights = skia.Path(), skia.Path(), skia.Path()
            for i, (x, y) in enumerate(starts):
                dark.addCircle(x, y, d * 0.16)
                bright.addCircle(x - 0.3, y - 0.4, d * 0.085)
                if i % 2:
                    ex, ey = links[i, 1].tolist()
                    lights.moveTo(x - 0.1 * d * 0.4, y - 0.12 * d)
                    lights.lineTo(ex - 0.1 * d * 0.4, ey - 0.12 * d)
            if not is_plain:
                c.drawPath(lights, glint)
            c.drawPath(dark, ink_)
            c.drawPath(bright, fill(palette.METALS["brass"][0]))

        reach = line.loop.line(24) * (k, -k)
        if not is_plain:
            self._add(
                "chain shadow",
                True,
                lambda c, moment: None,
                lambda moment: reach,
                lambda c, moment: long_shadow(c, path, d * 0.6, 7),
            )
        self._add("chain", False, draw, lambda moment: reach)

    def teeth(
        self, count: int, pitch: float, stuff: str, phase: float = 0.0, windows: int = 5
    ) -> None:
        """Draw a sprocket; ``phase`` turns it so that its seats meet the chain's rollers. [rad]"""
        k = self._drawing.k
        outline = sprocket_outline(count, pitch, pitch * 0.31)
        c, s = math.cos(phase), math.sin(phase)
        outline = outline @ np.array([[c, s], [-s, c]])
        path = poly(outline * (k, -k))
        r = float(np.hypot(*outline.T).min())
        if r * k > 26:
            for i in range(windows):
                t = np.linspace(
                    math.tau * i / windows + 0.24, math.tau * (i + 1) / windows - 0.24, 16
                )
                ring = np.vstack(
                    [
                        np.stack([np.cos(t), np.sin(t)], 1) * r * 0.66,
                        (np.stack([np.cos(t), np.sin(t)], 1) * r * 0.38)[::-1],
                    ]
                )
                path = cut(path, poly(ring * k))
        if family(stuff)[0] == "metal":
            self._keep(
                "sprocket",
                Piece(
                    path,
                    self._drawing.stuffs.turned(0, 0, family(stuff)[1]),
                    1.3,
                    7 * self._drawing.size,
                    still_light=True,
                ),
                is_round=True,
            )
        else:
            self._cut(path, stuff, 4.0, 7.0, None, (), "sprocket")

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

    def spring_seat(self, guide: Guide, direction: float, offset: float = 0.0) -> Point:
        """Where a spring round a guide pushes off: just under what carries the guide. [mm in the plane]"""
        x, y = self.spot(guide.at)
        c, s = math.cos(direction), math.sin(direction)
        along = guide.length / 2 - min(15.0, 0.62 * guide.length)
        return x + s * offset + c * along, y - c * offset + s * along

    def clearance(self, guide: Guide, direction: float, offset: float = 0.0) -> float:
        """Least way ever left between the part's origin and the near end of its guide. [mm]"""
        x, y = self.spot(guide.at)
        c, s = math.cos(direction), math.sin(direction)
        frame = self.motion.frame(self.part.name)
        along = (x + s * offset - frame[:, 0]) * c + (y - c * offset - frame[:, 1]) * s
        return float(along.min()) - guide.length / 2

    def yoke(self, length: float, roller: float, stem: float) -> None:
        """Draw the brass fork that holds a roller at the part's origin, its stem along x."""
        k, half = self._drawing.k, max(stem * 0.82, roller * 0.78)
        fork = box(
            -0.25 * roller * k - 2 * k,
            -half * k,
            (length + 0.25 * roller + 2) * k,
            2 * half * k,
            min(half, 2.3) * k,
        )
        fork = cut(
            fork,
            box(
                -10 * k,
                -half * 0.46 * k,
                (10 + 1.05 * roller) * k,
                half * 0.92 * k,
                0.4 * half * k,
            ),
        )
        b = fork.computeTightBounds()
        self._keep(
            "yoke",
            Piece(
                fork,
                self._drawing.stuffs.sheet((b.left(), b.bottom(), b.right(), b.top())),
                1.1,
                6 * self._drawing.size,
            ),
        )

    def chain_on(self, sprocket: str) -> tuple[Any, bool]:
        """Find the chain that runs on a sprocket (None: there is none), and whether the sprocket is its first wheel."""
        for part in self.scene.parts.values():
            around = [ref.part for ref in getattr(part, "around", ())]
            if sprocket in around and hasattr(part, "pitch"):
                return part, around[0] == sprocket
        return None, True

    def seat_phase(self, chain: Any, is_first: bool, sprocket: str) -> float:
        """How a sprocket is turned in its own frame so that its seats lie where the chain's rollers do. [rad]"""
        start = self.start(sprocket).angle
        if chain is None or is_first:
            return -start
        wheels = [ref.part for ref in chain.around]
        a, b = (self._drawing.first.point(wheel) for wheel in wheels)
        teeth = [self.scene.parts[wheel].teeth for wheel in wheels]  # type: ignore[attr-defined]
        return ChainLine(a, teeth[0], b, teeth[1], chain.pitch).phase_b - start

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


# ---------------------------------------------------------------- shapes of figures
def sawn(points: Array) -> Path:
    """Give a closed outline as a fretsaw cuts it: sharp where it turns sharply, smooth through the points where it bends gently."""
    pts = np.asarray(points, float)
    count = len(pts)
    ahead, back = np.roll(pts, -1, 0) - pts, pts - np.roll(pts, 1, 0)
    cross, dot = back[:, 0] * ahead[:, 1] - back[:, 1] * ahead[:, 0], (back * ahead).sum(1)
    is_corner = np.abs(np.arctan2(cross, dot)) > CORNER
    # the direction through a gentle point halves its bend, weighted to the shorter side
    la, lb = np.hypot(*ahead.T)[:, None] + 1e-9, np.hypot(*back.T)[:, None] + 1e-9
    through = ahead / la * lb + back / lb * la
    through /= np.hypot(*through.T)[:, None] + 1e-9
    path = skia.Path()
    path.moveTo(*pts[0].tolist())
    for i in range(count):
        j = (i + 1) % count
        reach = float(la[i, 0]) / 3
        u = pts[i] + (ahead[i] / la[i] if is_corner[i] else through[i]) * reach
        v = pts[j] - (ahead[i] / la[i] if is_corner[j] else through[j]) * reach
        path.cubicTo(*u.tolist(), *v.tolist(), *pts[j].tolist())
    path.close()
    return path


def shape_path(shape: Shape, at: Callable[[Point], Point], k: float) -> Path:
    """Path of one shape of a figure, in design units."""
    x, y = shape.at
    if shape.disc is not None:
        px, py = at((x, y))
        return disc(px * k, -py * k, shape.disc / 2 * k)
    if shape.block is not None:
        w, h = shape.block[0] / 2, shape.block[1] / 2
        corners = np.array(
            [at((x + sx * w, y + sy * h)) for sx, sy in ((-1, -1), (1, -1), (1, 1), (-1, 1))]
        ) * (k, -k)
        effect = skia.CornerPathEffect.Make(min(1.6 * k, min(w, h) * k * 0.5))
        out, record = skia.Path(), skia.StrokeRec(skia.StrokeRec.kFill_InitStyle)
        return (
            out
            if effect.filterPath(out, poly(corners), record, skia.Rect.MakeEmpty())
            else poly(corners)
        )
    outline = np.array([at((px + x, py + y)) for px, py in shape.outline or ()]) * (k, -k)
    return sawn(outline)


def lies_on(path: Path, larger: Path) -> bool:
    """True if most of a shape lies on a larger one: then it is painted on it, not sawn."""
    inside = skia.Op(path, larger, skia.PathOp.kIntersect_PathOp)
    if inside is None or inside.isEmpty():
        return False
    return area(path) < 0.6 * area(larger) and area(inside) > 0.9 * area(path)


def area(path: Path) -> float:
    """Area of a path, by its sampled outline. [square units]"""
    total = 0.0
    measure = skia.PathMeasure(path, True)
    while True:
        length = measure.getLength()
        if length > 0:
            points = [measure.getPosTan(length * i / 64)[0] for i in range(64)]
            x, y = np.array([(p.x(), p.y()) for p in points]).T
            total += 0.5 * abs(float((x * np.roll(y, -1) - y * np.roll(x, -1)).sum()))
        if not measure.nextContour():
            return total


def engraving(path: Path, hue: str) -> list[Detail]:
    """Give engraver's shading along the lower right of a shape: hatch in a crescent away from the light."""
    bounds = path.computeTightBounds()
    reach = min(bounds.width(), bounds.height()) * 0.24
    lit = skia.Path(path)
    lit.offset(-TOWARDS[0] * reach, -TOWARDS[1] * reach)
    crescent = cut(path, lit)
    dark = palette.mix(hue, palette.INK, 0.65)

    def draw(c: Canvas) -> None:
        hatch(c, crescent, 3.6, 58, stroke(dark, 0.8, 0.5))

    return [draw]


def squeezed(angle: float) -> float:
    """How wide a flat figure looks that has turned about its upright; never thinner than its own edge."""
    turn = math.cos(angle)
    return math.copysign(max(0.26, abs(turn)), turn)


# ---------------------------------------------------------------- the whole drawing
@dataclass
class Setting:
    """Where the piece stands: what its cabinet must be. [mm]

    ``kind``: ``stage`` (a box whose lid the figures stand on), ``box`` (everything inside, as in a little theatre), ``board`` (laid flat, seen
    from above). ``level``: height of the stage. ``low`` and ``high``: corners of all that moves, ever.
    """

    kind: str
    width: float
    height: float
    level: float
    low: tuple[float, float]
    high: tuple[float, float]


class Drawing:
    """All marks of one motion, in the order in which they lie.

    Parameters
    ----------
    motion
        What was recorded.
    stuffs
        Materials.
    per_mm
        Design units a millimetre.
    leave_out
        Parts not drawn.
    is_from_above
        Draw the parts that can show themselves from above so.
    size
        How large thicknesses and shadows are; default: as the scale is to the natural one.
    """

    def __init__(
        self,
        motion: Motion,
        stuffs: Stuffs,
        per_mm: float = NATURAL,
        leave_out: Iterable[str] = (),
        is_from_above: bool = False,
        size: float | None = None,
    ) -> None:
        self.motion, self.scene, self.stuffs, self.k = motion, motion.scene, stuffs, per_mm
        self.size = per_mm / NATURAL if size is None else size
        self.is_from_above = is_from_above
        self.indices = np.arange(len(motion.times), dtype=float)
        self.guides: list[tuple[float, float, float, float]] = []
        self.belts: dict[str, Loop] = {}
        self.chains: dict[str, ChainLine] = {}
        self.still_parts = self._find_still()
        self.first = Moment(self, float(motion.times[0]))
        left_out = set(leave_out)
        marks: list[Mark] = []
        for name, part in self.scene.parts.items():
            if name in left_out or (
                name not in motion.frames
                and not getattr(part, "around", None)
                and not hasattr(part, "from_")
            ):
                continue
            pen: Any = Pen(self, part, self.depth_of(name), marks)
            part.draw(pen)
        self.marks = sorted(marks, key=lambda mark: mark.depth)

    def _find_still(self) -> frozenset[str]:
        spread = (
            np.ptp(self.motion.poses, axis=0) if len(self.motion.poses) else np.zeros((0, 3))
        )
        moves = (
            (spread[:, :2].max(1) > 1e-3) | (spread[:, 2] > 1e-5)
            if len(spread)
            else np.zeros(0, bool)
        )
        return frozenset(
            name
            for name, (body, _) in self.motion.frames.items()
            if body < 0 or not moves[body]
        )

    @cached_property
    def turning_parts(self) -> frozenset[str]:
        """Parts whose own middle stands still while they turn."""
        out = set()
        for name in self.motion.frames:
            places = self.motion.frame(name)[:, :2]
            if float(np.ptp(places, axis=0).max(initial=0.0)) < 1e-3:
                out.add(name)
        return frozenset(out)

    def depth_of(self, name: str) -> tuple[float, float]:
        """How near a part is: (along, place in the file). What is ``behind`` another lies just behind it."""
        part = self.scene.parts[name]
        order = float(list(self.scene.parts).index(name))
        if (
            part.behind is not None
            and part.behind.part in self.scene.parts
            and part.behind.part != name
        ):
            along, place_ = self.depth_of(part.behind.part)
            return along, place_ - 0.5 + order * 1e-4
        if part.along is not None:
            return part.along, order
        held = part.held()
        if isinstance(held, Rides) and held.on.part in self.scene.parts:
            return self.depth_of(held.on.part)[0], order
        return 0.0, order

    def units(self, point: Sequence[float]) -> tuple[float, float]:
        """Take a place of the scene onto the sheet."""
        return point[0] * self.k, -point[1] * self.k

    def reach_of(self, part: str) -> float:
        """How far from its own middle a part reaches. [mm]"""
        corners = [mark.reach(self.first) for mark in self._trial(part)]
        x, y = self.units(self.first.pose(part)[:2])
        return max((float(np.abs(c - (x, y)).max()) for c in corners), default=0.0) / self.k

    def thickness_of(self, part: str) -> float:
        """Thickness of what a part is cut from. [mm]"""
        stuff = self.scene.parts[part].material
        return stuff.size if stuff is not None and stuff.size else UNSAID_SIZE

    def _trial(self, part: str) -> list[Mark]:
        """Marks of one part alone."""
        marks: list[Mark] = []
        pen: Any = Pen(self, self.scene.parts[part], (0.0, 0.0), marks)
        self.scene.parts[part].draw(pen)
        return marks

    def start_of(self, at: Where | Ref) -> Point:
        """Where a place of the scene is at the start. [mm]"""
        ref: Any = getattr(at, "ref", at)
        offset: Point = getattr(at, "offset", (0.0, 0.0))
        if ref is None or ref.part in ("", "frame"):
            return offset
        x, y = self.first.point(ref.part, ref.point)
        return x + offset[0], y + offset[1]

    def moment(self, t: float) -> Moment:
        """Where everything is at a time."""
        return Moment(self, t)

    # ------------------------------------------------------------ what the cabinet must be
    @cached_property
    def _samples(self) -> list[Moment]:
        times = self.motion.times
        return [self.moment(float(t)) for t in np.linspace(times[0], times[-1], 48)]

    def sweep(self, marks: Iterable[Mark]) -> tuple[tuple[float, float], tuple[float, float]]:
        """Corners of everything some marks ever cover. [mm]"""
        low, high = np.full(2, np.inf), np.full(2, -np.inf)
        for mark in marks:
            for moment in self._samples[:1] if mark.is_still else self._samples:
                corners = mark.reach(moment)
                low, high = np.minimum(low, corners.min(0)), np.maximum(high, corners.max(0))
        if not np.isfinite(low).all():
            return (0.0, 0.0), (self.scene.frame.width, self.scene.frame.height)
        return (low[0] / self.k, -high[1] / self.k), (high[0] / self.k, -low[1] / self.k)

    @cached_property
    def setting(self) -> Setting:
        """Where the piece stands, decided from its guides, its figures and where its parts really go."""
        frame = self.scene.frame
        low, high = self.sweep(self.marks)
        upright = [
            y + length / 2
            for _, y, direction, length in self.guides
            if math.sin(direction) > 0.7
        ]
        is_lying = frame.is_lying or (
            all((part.view == "top") for part in self.scene.parts.values() if part.view)
            and any(part.view for part in self.scene.parts.values())
        )
        # the lid hides a guide's upper end but not the guide, and no foot sinks into it
        feet = [
            self.sweep([mark])[0][1]
            for mark in self.marks
            if mark.sort == "figure" and not mark.is_still
        ]
        highest = max(upright, default=0.0)
        level = max(
            highest + 2.0, min(highest + frame.thickness + 3.0, min(feet, default=1e9) - 0.5)
        )
        acting = [name for name, part in self.scene.parts.items() if part.artwork is not None]
        if is_lying:
            kind = "board"
        elif upright and acting and level < high[1] - 4:
            kind = "stage"
        else:
            kind, level = "box", max(frame.height, high[1] + 4)
        return Setting(kind, frame.width, frame.height, level, low, high)

    # ------------------------------------------------------------ drawing
    def draw(self, c: Canvas, moment: Moment, marks: Sequence[Mark]) -> None:
        """Draw some marks at a moment."""
        for mark in marks:
            if mark.shadow is not None:
                mark.shadow(c, moment)
            mark.draw(c, moment)
