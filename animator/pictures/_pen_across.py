"""Drawing what turns in another view: edge-on, its shaft a bar, its teeth and arms passing up and down as it turns.

Handed to ``Part.draw_across``: x runs along the part's own axis towards the viewer of its own view, from where the part stands along it; y across it
in the picture. This frame doesn't turn with the part; what shows the turning is drawn by the methods here.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Self

import numpy as np

from animator.geometry import Point
from animator.parts._contract import Spans
from animator.parts._views import (
    VIEWS,
    Plane,
    along_of,
    dot,
    joint_along,
    picture_view,
    plane_of,
    riders,
    view_of,
)
from animator.pictures import palette
from animator.pictures._pen_shapes import ShapePen
from animator.pictures.cutouts import pieces
from animator.pictures.ink import (
    Array,
    Canvas,
    Matrix,
    Paint,
    Path,
    box,
    fill,
    grow,
    place,
    poly,
    skia,
)
from animator.pictures.moment import Moment
from animator.pictures.shapes import squeezed
from animator.pictures.stuff import Piece

if TYPE_CHECKING:
    from animator.scene.model import Scene

END = 9.0  # mm; what a shaft stands out beyond the last thing on it
BLOCK = 8.0  # mm; how wide its bearing is along it
FREE = 28.0  # mm; from a shaft's end at a joint or bevel to its bearing
DARK = 0.38  # how far what lies behind is darkened


@dataclass(frozen=True)
class Across:
    """How a part of another view is seen: the plane it turns in, where it stands along its axis, and that axis in the picture.

    ``turn``: way of its axis in the picture [rad]. ``up``, ``to``: angles in its own plane that look across the axis in the picture (y of
    its frame here) and towards whoever looks at the picture [rad].
    """

    plane: Plane
    along: float
    turn: float
    up: float
    to: float


def look_across(scene: Scene) -> dict[str, Across]:
    """Find the parts that turn in another view than that of the picture, and how they are seen."""
    view = picture_view(scene)
    picture, found = VIEWS[view], {}
    for name, part in scene.parts.items():
        if isinstance(part.held(), Spans):
            continue
        plane = plane_of(name, scene.parts, scene.starts)
        if view_of(name, scene.parts) == view and plane == picture:
            continue
        ax, ay, _ = picture.turned(plane.near)
        turn = math.atan2(ay, ax) if math.hypot(ax, ay) > 1e-9 else math.pi / 2
        up = tuple(
            -math.sin(turn) * a + math.cos(turn) * b
            for a, b in zip(picture.x, picture.y, strict=True)
        )
        found[name] = Across(
            plane,
            _along(name, scene),
            turn,
            math.atan2(dot(up, plane.y), dot(up, plane.x)),
            math.atan2(dot(picture.near, plane.y), dot(picture.near, plane.x)),
        )
    return found


def _along(name: str, scene: Scene) -> float:
    """How far along its axis, towards its viewer, a part stands in its own plane; on a leaning shaft counted from the joint. [mm]"""
    parts = scene.parts
    if parts[name].leans(parts) is not None:
        return 0.0
    host: Any = parts[name]
    for _ in parts:
        on = getattr(host, "on", None)
        if on is None or on.part not in parts:
            break
        host = parts[on.part]
        if host.leans(parts) is not None:
            return float(host.outward(parts) * along_of(name, parts, host.length - 2 * END))
    return along_of(name, parts, _unsaid(name, scene))


def _unsaid(name: str, scene: Scene) -> float:
    """Where along its axis something stands that says nothing: with the first thing on its shaft that does, else amid the frame."""
    parts = scene.parts
    root = name
    for _ in parts:
        on = getattr(parts[root], "on", None)
        if on is None or on.part not in parts:
            break
        root = on.part
    for other in riders(root, parts):
        along = parts[other].along
        if along is not None:
            return along
    middle = {"side": scene.frame.width / 2, "top": scene.frame.height / 2}
    return middle.get(view_of(name, parts), 0.0)


class AcrossPen(ShapePen):
    """Drawing what turns in another view, edge-on."""

    @property
    def seen(self) -> Across:
        """How the part drawn is seen across."""
        return self._drawing.across[self.part.name]

    def _moving(
        self,
        sort: str,
        paths: Callable[[float], Sequence[tuple[Path, Paint]]],
        corners: Sequence[Point],
        rise: float = 5.0,
    ) -> None:
        """Keep a mark whose shapes follow the part's angle in its own plane [rad]: each inked round, in order."""
        drawing, name, k = self._drawing, self.part.name, self._drawing.k
        is_plain = drawing.stuffs.is_plain
        shade = fill("#000000", 0.22)

        def draw(c: Canvas, moment: Moment) -> None:
            made = paths(moment.pose(name).angle)
            c.save()
            c.concat(moment.matrix(name))
            if is_plain:
                for path, _ in made[:1]:
                    c.save()
                    c.translate(1.5, rise * 0.5)
                    c.drawPath(path, shade)
                    c.restore()
            for path, paint in made:
                c.drawPath(grow(path, 1.15), fill(palette.INK))
                c.drawPath(path, paint)
            c.restore()

        def reach(moment: Moment) -> Array:
            m = moment.matrix(name)
            return np.array(
                [
                    (q.x(), q.y())
                    for q in m.mapPoints([skia.Point(x * k, -y * k) for x, y in corners])
                ]
            )

        self._add(sort, name in drawing.still_parts, draw, reach)

    def _round(self, radius: float, stuff: str) -> Paint:
        """Paint of something round about the axis, lit from above."""
        k = self._drawing.k
        flip = -1.0 if math.cos(self.seen.turn) < -1e-9 else 1.0
        return self._drawing.stuffs.round(
            (0, -radius * k * flip),
            (0, radius * k * flip),
            self.hue(self.part.paint) if self.part.paint else stuff,
        )

    @staticmethod
    def hue(paint: str) -> str:
        """Give a paint as a stuff to turn round things from."""
        return palette.paint(paint)

    def edge_disc(
        self,
        radius: float,
        width: float,
        stuff: str,
        at: float = 0.0,
        rise: float = 6.0,
        sort: str = "edge of a disc",
    ) -> None:
        """Draw a round disc edge-on, ``at`` so far along the axis from where the part stands. [mm]"""
        k = self._drawing.k
        path = box((at - width / 2) * k, -radius * k, width * k, 2 * radius * k, 0.6 * k)
        self._keep(
            sort, Piece(path, self._round(radius, stuff), 1.2, rise * self._drawing.size)
        )

    def edge_teeth(
        self,
        count: int,
        foot: float,
        tip: float,
        width: float,
        stuff: str,
        at: float = 0.0,
        share: float = 0.36,
        phase: float = 0.0,
        lean: float = 0.0,
        sort: str = "edge of teeth",
    ) -> None:
        """Draw a toothed wheel edge-on: teeth that pass across it as it turns.

        Parameters
        ----------
        foot, tip
            Radii at the teeth's feet and tips. [mm]
        share
            Of a pitch that a tooth's land is wide.
        phase
            Angle of a tooth's middle in the part's own frame. [rad]
        lean
            Share of their radius that the teeth lose along the axis towards its viewer, as those of a cone do; below 0: away from the viewer.
        """
        k, seen = self._drawing.k, self.seen
        face, low = self._round(tip, stuff), self._round(foot, stuff)
        dark = fill("#000000", 0.30)
        half = math.pi / count * 2 * share
        left, right = (at - width / 2) * k, (at + width / 2) * k
        wide, narrow = (1.0, 1.0 - lean) if lean >= 0 else (1.0 + lean, 1.0)

        def paths(angle: float) -> list[tuple[Path, Paint]]:
            made = [
                (
                    poly(
                        [
                            (left, -foot * k * wide),
                            (right, -foot * k * narrow),
                            (right, foot * k * narrow),
                            (left, foot * k * wide),
                        ]
                    ),
                    low,
                )
            ]
            made.append((made[0][0], dark))
            for i in range(count):
                way = angle + phase + math.tau * i / count - seen.up
                depth = math.cos(angle + phase + math.tau * i / count - seen.to)
                if depth < -0.25:
                    continue
                a, b = sorted((tip * math.cos(way - half), tip * math.cos(way + half)))
                if abs(way % math.tau) < half or abs(way % math.tau - math.tau) < half:
                    b = tip
                if abs(way % math.tau - math.pi) < half:
                    a = -tip
                if depth < 0 and max(abs(a), abs(b)) < foot:
                    continue
                tooth = poly(
                    [
                        (left, -a * k * wide),
                        (right, -a * k * narrow),
                        (right, -b * k * narrow),
                        (left, -b * k * wide),
                    ]
                )
                made.append((tooth, face))
            return made

        self._moving(
            sort,
            paths,
            [(at - width / 2, -tip), (at + width / 2, tip)],
        )

    def edge_crown(
        self,
        count: int,
        radius: float,
        depth: float,
        length: float,
        stuff: str,
        face: float,
        way: int = 1,
        phase: float = 0.0,
        sort: str = "edge of crown teeth",
    ) -> None:
        """Draw teeth that stand on a disc's face, seen edge-on, the far ones first.

        Parameters
        ----------
        radius
            Of the circle they stand on. [mm]
        depth, length
            Across the pitch at their feet, and along the axis. [mm]
        face
            Where the disc's face is along the axis; ``way`` to which side of it they stand. [mm]
        """
        k, seen = self._drawing.k, self.seen
        near = self._round(radius + depth, stuff)
        dark = fill("#000000", DARK)
        far_end = face + way * length

        def paths(angle: float) -> list[tuple[Path, Paint]]:
            rows = []
            for i in range(count):
                there = angle + phase + math.tau * i / count
                rows.append((math.cos(there - seen.to), math.cos(there - seen.up)))
            made = []
            for towards, up in sorted(rows):
                t, broad = radius * up, depth * max(abs(towards), 0.55) / 2
                path = poly(
                    [
                        (face * k, -(t - broad) * k),
                        (far_end * k, -(t - broad * 0.55) * k),
                        (far_end * k, -(t + broad * 0.55) * k),
                        (face * k, -(t + broad) * k),
                    ]
                )
                made.append((path, near))
                if towards < 0:
                    made.append((path, dark))
            return made

        self._moving(sort, paths, [(face, -radius - depth), (far_end, radius + depth)], 2.0)

    def edge_arm(
        self,
        to: Point,
        width: float,
        thickness: float,
        stuff: str,
        at: float = 0.0,
        sort: str = "edge of an arm",
    ) -> None:
        """Draw an arm from the axis to a point of the part's own frame, seen edge-on. [mm]"""
        k, seen = self._drawing.k, self.seen
        reach, own = math.hypot(*to), math.atan2(to[1], to[0])
        paint = self._round(reach + width / 2, stuff)

        def paths(angle: float) -> list[tuple[Path, Paint]]:
            t = reach * math.cos(angle + own - seen.up)
            low, high = min(0.0, t) - width / 2, max(0.0, t) + width / 2
            return [
                (
                    box(
                        (at - thickness / 2) * k,
                        -high * k,
                        thickness * k,
                        (high - low) * k,
                        0.8 * k,
                    ),
                    paint,
                )
            ]

        far = reach + width / 2
        self._moving(sort, paths, [(at - thickness, -far), (at + thickness, far)], 7.0)

    def edge_pin(
        self,
        of: Point,
        start: float,
        stop: float,
        diameter: float,
        stuff: str,
        round_by: float = 0.0,
        sort: str = "edge of a pin",
    ) -> None:
        """Draw a pin that stands along the axis at a point of the part's own frame, from ``start`` to ``stop`` along it. [mm]"""
        k, seen, stuffs = self._drawing.k, self.seen, self._drawing.stuffs
        reach, own, half = math.hypot(*of), math.atan2(of[1], of[0]), diameter / 2
        low, high = sorted((start, stop))
        flip = -1.0 if math.cos(seen.turn) < -1e-9 else 1.0

        def paths(angle: float) -> list[tuple[Path, Paint]]:
            t = reach * math.cos(angle + own - seen.up)
            paint = stuffs.round(
                (0, (-t - half * flip) * k), (0, (-t + half * flip) * k), stuff
            )
            path = box(low * k, -(t + half) * k, (high - low) * k, diameter * k, round_by * k)
            return [(path, paint)]

        self._moving(sort, paths, [(low, -reach - half), (high, reach + half)])

    def axle(self, diameter: float, stuff: str = "steel", is_ball: bool = False) -> None:
        """Draw a shaft as a bar along its axis through all that is on it, in a bearing at either end; through the cabinet's wall where it reaches out."""
        low, high = self.axle_ends()
        thick = max(diameter, 2.4)
        for start, stop in self._inside(low, high):
            self.bar((start, 0.0), (stop, 0.0), thick, stuff, 5, sort="shaft")
        wall = self._walls()
        free = self._free_ends()
        for at in (
            low + (FREE if free[0] else BLOCK / 2 + 1.0),
            high - (FREE if free[1] else BLOCK / 2 + 1.0),
        ):
            if wall is not None and not wall[0] + BLOCK < at < wall[1] - BLOCK / 2:
                continue  # its bearing is the wall itself
            self._carried(at)
            if at > 0 and free[1] and math.sin(self.seen.turn) > 0.9:
                # it comes up through the stage here
                x, y = self._drawing.first.point(self.part.name, (0.0, 0.0))
                self._drawing.guides.append((x, y + at, math.pi / 2, BLOCK))
            self.edge_disc(
                thick * (1.5 if is_ball else 1.35) + 1.6,
                BLOCK,
                "steel" if is_ball else "walnut",
                at,
                4,
                sort="bearing",
            )

    def edge_bearing(self, at: float, diameter: float, is_ball: bool = False) -> None:
        """Draw a bearing of a shaft seen edge-on, ``at`` so far along it. [mm]"""
        thick = max(diameter, 2.4)
        self._carried(at)
        stuff = "steel" if is_ball else "walnut"
        self.edge_disc(thick * 1.35 + 1.6, BLOCK, stuff, at, 4, sort="bearing")

    def of(self, name: str) -> Self:
        """A pen for another part, at the depth of this one."""
        return type(self)(
            self._drawing, self.scene.parts[name], self._depth, self._marks, self._is_fixed
        )

    def along_on(self, name: str, host: str) -> float:
        """How far along a shaft, from where the shaft stands, something sits on it. [mm]"""
        return joint_along(name, self.scene.parts) - self._drawing.across[host].along

    def edge_fork(self, reach: float, root: float, eye: float, way: float) -> None:
        """Draw a fork seen edge-on: its back at ``root`` along the axis, its two eyes at ``eye``, in the direction ``way`` of the part's own frame [rad] and opposite."""
        k, seen = self._drawing.k, self.seen
        paint = self._round(reach + 3.0, "brass")
        steel = self._round(2.0, "steel")
        out = math.copysign(1.0, eye - root)

        def paths(angle: float) -> list[tuple[Path, Paint]]:
            made: list[tuple[Path, Paint]] = []
            near = math.cos(angle + way - seen.to)
            across = reach * math.cos(angle + way - seen.up)
            half = 3.0
            low, high = -abs(across) - half, abs(across) + half
            left, right = sorted((root - out * 3.0, root + out * 3.0))
            made.append(
                (box(left * k, -high * k, (right - left) * k, (high - low) * k, 0.8 * k), paint)
            )
            ends = sorted(((across, near), (-across, -near)), key=lambda each: each[1])
            left, right = sorted((root, eye + out * 3.0))
            for t, _ in ends:
                made.append(
                    (
                        box(
                            left * k,
                            -(t + half) * k,
                            (right - left) * k,
                            2 * half * k,
                            2.4 * k,
                        ),
                        paint,
                    )
                )
            front = ends[1][0]
            made.append(
                (box((eye - 1.6) * k, -(front + 1.6) * k, 3.2 * k, 3.2 * k, 1.6 * k), steel)
            )
            return made

        far = reach + 3.0
        self._moving("fork", paths, [(min(root, eye) - 4.0, -far), (max(root, eye) + 4.0, far)])

    def axle_ends(self) -> tuple[float, float]:
        """From where to where a shaft reaches along its axis, from where it stands. [mm]"""
        own = self.seen.along
        spots = []
        is_driven = False
        for name in self._on_it():
            part = self.scene.parts[name]
            if part.is_drive and part.along is None:
                is_driven = True
                continue
            spots.append(self._spot(name) - own)
        if self.part.along is not None or not spots:
            spots.append(0.0)
        low, high = min(spots), max(spots)
        wall = self._walls()
        if is_driven and wall is not None:
            high = max(high + END + 2 * BLOCK, wall[1] + 12.0)
        elif is_driven:
            high += END + 2 * BLOCK + 8.0
        free = self._free_ends()
        beyond = END + 1.6 * BLOCK
        if (
            not is_driven and low == high and any(free)
        ):  # nothing else on it: it runs on to a bearing
            low, high = (low - 6 * BLOCK, high) if free[1] else (low, high + 6 * BLOCK)
        return (
            low if free[0] else low - beyond,
            high if is_driven or free[1] else high + beyond,
        )

    def _on_it(self) -> list[str]:
        """Names of what is on a shaft, the joints at its ends too."""
        parts, own = self.scene.parts, self.part.name
        across = self._drawing.across
        joints = [
            name
            for name, part in parts.items()
            if name in across and part.leans(parts) is not None and part.on.part == own  # type: ignore[attr-defined]
        ]
        return [n for n in riders(own, parts) if n in across and n != own] + joints

    def _spot(self, name: str) -> float:
        """Where along a shaft something on it stands. [mm]"""
        parts = self.scene.parts
        if parts[name].leans(parts) is None:
            return self._drawing.across[name].along
        return joint_along(name, parts)

    def _free_ends(self) -> tuple[bool, bool]:
        """Whether a shaft's lower and upper end stop at what is on it, since something else is in the way there."""
        spots = [
            (self._spot(name), getattr(self.scene.parts[name], "ends_its_shaft", False), name)
            for name in self._on_it()
            if not self.scene.parts[name].is_drive
        ]
        low, high = min(spots, default=None), max(spots, default=None)
        if low is None or high is None:
            return False, False
        if self._bears_figure(high[2]):
            return low[1], True
        if not any(ends for _, ends, _ in spots):
            return False, False
        if low[0] == high[0]:
            only: Any = self.scene.parts[low[2]]
            is_low: bool = only.ends_low(self.scene)
            return is_low, not is_low
        return low[1], high[1]

    def _bears_figure(self, name: str) -> bool:
        """Whether something on an upright shaft is a figure, or has one standing on it: the shaft then ends below it."""
        if math.sin(self.seen.turn) < 0.9:
            return False
        return any(
            self.scene.parts[other].artwork is not None
            for other in riders(name, self.scene.parts)
        )

    def _carried(self, at: float) -> None:
        """Draw the post on which a level shaft's bearing stands."""
        c, s = math.cos(self.seen.turn), math.sin(self.seen.turn)
        if abs(s) > 0.8 or picture_view(self.scene) != "front":
            return
        x, y = self._drawing.first.point(self.part.name, (0.0, 0.0))
        pen: Any = self
        pen._post(x + at * c, y + at * s, 7.0)

    def drive_end(self) -> float:
        """Where along the axis of its shaft a handle or motor sits, from where its shaft stands. [mm]"""
        if self.part.along is not None:
            return 0.0
        shaft = self.part.on.part  # type: ignore[attr-defined]
        pen = type(self)(self._drawing, self.scene.parts[shaft], self._depth, [])
        return pen.axle_ends()[1] + pen.seen.along - self.seen.along

    def _walls(self) -> tuple[float, float] | None:
        """Inner faces of the cabinet's sides along the axis, from where the part stands, if the axis runs to them. [mm]"""
        frame = self.scene.frame
        if abs(self.seen.plane.near[0] - 1.0) > 1e-9 or picture_view(self.scene) != "front":
            return None
        k = self._drawing.k
        thick = min(max(frame.thickness * k, 12.0), 30.0) / k
        return thick - self.seen.along, frame.width - thick - self.seen.along

    def _inside(self, low: float, high: float) -> list[tuple[float, float]]:
        """Cut a bar where a wall of the cabinet hides it."""
        wall = self._walls()
        if wall is None:
            return [(low, high)]
        k = self._drawing.k
        thick = min(max(self.scene.frame.thickness * k, 12.0), 30.0) / k
        left, right = wall
        spans = [
            (low, min(high, left - thick)),
            (max(low, left), min(high, right)),
            (max(low, right + thick), high),
        ]
        return [(a, b) for a, b in spans if b - a > 0.5]

    def edge_plain(self) -> None:
        """Draw a part that has no look of its own across its view: as wide as its points reach, as thick as its stuff."""
        stuff, thickness = self.stuff()
        reach = max((math.hypot(*point) for point in self.part.points().values()), default=0.0)
        self.edge_disc(max(reach, 4.0), thickness, stuff)

    def standing(self, spin_from: float | None = None) -> None:
        """Draw a figure that stands on what turns below it: upright, squeezed as it turns about its own upright."""
        art = self.part.artwork
        assert art is not None
        thickness = self.stuff()[1]
        drawing, name = self._drawing, self.part.name
        first = drawing.first.pose(name).angle if spin_from is None else spin_from
        on = getattr(getattr(self.part, "on", None), "part", "")
        lift = 0.5 * drawing.thickness_of(on) * drawing.k if on in self.scene.parts else 0.0
        lift *= max(math.sin(self.seen.turn), 0.0)  # on the upper face of what lies level
        is_plain = drawing.stuffs.is_plain
        for piece in pieces(
            art, drawing.k, drawing.stuffs, self.part.paint, thickness, drawing.size
        ):
            bounds = piece.path.computeTightBounds()
            corners = [
                skia.Point(x, y)
                for x in (bounds.left(), bounds.right())
                for y in (bounds.top(), bounds.bottom())
            ]

            def matrix(moment: Moment) -> Matrix:
                x, y = moment.spot(name, (0.0, 0.0))
                wide = skia.Matrix()
                wide.setScale(squeezed(moment.pose(name).angle - first), 1)
                return skia.Matrix.Concat(place(x, y - lift), wide)

            self._add(
                "figure",
                name in drawing.still_parts,
                lambda c, moment, piece=piece: piece.body(c, matrix(moment), is_plain),  # type: ignore[misc]
                lambda moment, corners=corners: np.array(  # type: ignore[misc]
                    [(q.x(), q.y()) for q in matrix(moment).mapPoints(corners)]
                ),
                lambda c, moment, piece=piece: piece.shadow(c, matrix(moment), is_plain),  # type: ignore[misc]
            )
