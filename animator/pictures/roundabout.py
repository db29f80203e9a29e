"""A turning platform that carries figures, seen from the side: floor, riders on poles, mast and a striped roof.

The sheet is folded: below the fold we look from above, above it from the side. Every rider stands over its place below; one gore of
the roof is ochre, so that turning, and lagging behind, can be seen from the side too.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from animator.geometry import Point
from animator.parts._contract import Rides
from animator.pictures import cutouts, palette
from animator.pictures.cutouts import cut_outs
from animator.pictures.ink import (
    Canvas,
    Path,
    box,
    disc,
    fill,
    grow,
    join,
    linear,
    oval,
    place,
    poly,
    skia,
    soft,
    stroke,
)
from animator.pictures.marks import lost_slice
from animator.pictures.moment import Moment
from animator.pictures.palette import INK
from animator.pictures.stuff import Piece, Stuffs

if TYPE_CHECKING:
    from animator.scene.model import Scene

FEWEST = 3  # riders that make a platform a roundabout
GORES = 16  # most stripes of a roof
STRIPES_HZ = (
    2.0  # pairs of stripes that may pass a place in a second: more than three would flash
)


@dataclass(frozen=True)
class Found:
    """A platform and what rides on it: (part, place on the platform [mm])."""

    wheel: str
    radius: float
    riders: tuple[tuple[str, Point], ...]


def find(scene: Scene) -> Found | None:
    """Find the turning part that carries figures all round, if there is one."""
    for name, part in scene.parts.items():
        radius = getattr(part, "radius", None)
        if not part.turns_freely or not isinstance(radius, float):
            continue
        riders = []
        for other, rider in scene.parts.items():
            held = rider.held()
            if isinstance(held, Rides) and held.on.part == name and rider.artwork is not None:
                spot = part.points()[held.on.point or "centre"]
                if math.hypot(*spot) > 0.25 * radius:
                    riders.append((other, spot))
        if len(riders) >= FEWEST:
            return Found(name, radius, tuple(riders))
    return None


class Roundabout:
    """The side view of a platform with its riders; (0, 0) is the middle of its floor.

    Parameters
    ----------
    scene, found
        The platform and its riders.
    stuffs
        Materials.
    reach
        Radius of the floor on the sheet. [design units]
    gores
        Stripes of the roof, an even number.
    """

    def __init__(
        self,
        scene: Scene,
        found: Found,
        stuffs: Stuffs,
        reach: float = 118.0,
        gores: int = GORES,
    ) -> None:
        self.scene, self.found, self.stuffs, self.reach = scene, found, stuffs, reach
        self.gores = gores
        self.k = reach / found.radius
        self.flat = 0.11
        s = self.size = reach / 118.0
        self.wide, self.eaves, self.peak = 126 * s, -98 * s, -152 * s
        self._pole = Piece(
            box(-2.6 * s, -96 * s, 5.2 * s, 96 * s),
            stuffs.round((-2.6 * s, 0), (2.6 * s, 0), "brass"),
            0.9,
            0,
        )
        self._mast = Piece(
            box(-9 * s, -112 * s, 18 * s, 112 * s),
            stuffs.round((-9 * s, 0), (9 * s, 0), palette.ROSE),
            1.1,
            0,
        )
        self._knob = Piece(disc(0, 0, 5 * s), stuffs.turned(0, 0), 1, 2, still_light=True)
        self._riders = [(spot, self._rider(name)) for name, spot in found.riders]

    def _rider(self, name: str) -> list[Piece]:
        """Cut a rider's artwork out, hung by its middle."""
        part = self.scene.parts[name]
        assert part.artwork is not None
        if part.artwork.finish == "as drawn":
            return cutouts.pieces(part.artwork, self.k, self.stuffs, part.paint, 0.0, 0.0)
        return [
            Piece(
                row.path,
                row.face or self.stuffs.paint(row.hue, 20),
                1.1,
                0,
                1.8 * self.size,
                (palette.PLY_DARK,),
                row.details,
            )
            for row in cut_outs(part.artwork, self.k, self.stuffs, part.paint, is_bold=False)
        ]

    def _edge(self, angle: float) -> tuple[float, float]:
        return self.wide * math.cos(angle), self.eaves + self.wide * 0.103 * math.sin(angle)

    def draw_floor(self, c: Canvas) -> None:
        """Draw the floor and its shadow: a round floor lies still while it turns."""
        s, r, ry = self.size, self.reach, self.reach * self.flat
        thick = 8 * s
        if self.stuffs.is_plain:
            c.drawPath(oval(6, 18 * s, r + 8, ry), fill("#000000", 0.18))
        else:
            c.drawPath(oval(10 * s, 16 * s, r + 4, ry), soft("#2A1808", 0.45, 7))
        floor = oval(0, 0, r, ry)
        hull = join(floor, oval(0, thick, r, ry), box(-r, 0, 2 * r, thick))
        c.drawPath(grow(hull, 1.4), fill(INK))
        c.drawPath(hull, fill(palette.PLY_DARK))
        c.drawPath(floor, self.stuffs.wood("birch", 0.5))
        c.drawPath(floor, stroke(INK, 0.9, 0.6))

    def draw(self, c: Canvas, turn: float, due: float | None = None) -> None:
        """Draw what stands on the floor, turned by ``turn`` [rad, anticlockwise from above]; ``due``: where it ought to be, told by the roof."""
        s, r, is_plain = self.size, self.reach, self.stuffs.is_plain
        order = []
        for spot, pieces in self._riders:
            angle, out = math.atan2(spot[1], spot[0]) + turn, math.hypot(*spot) * self.k
            # seen from above y points away from us
            order.append((-math.sin(angle), math.cos(angle) * min(out, r - 14 * s), pieces))
        order.sort(key=lambda row: row[0])
        for nearness, x, pieces in order:
            if nearness < 0:
                self._ride(c, nearness, x, pieces)
        self._mast.draw(c, None, is_plain)
        for nearness, x, pieces in order:
            if nearness >= 0:
                self._ride(c, nearness, x, pieces)
        self._roof(c, turn)
        if due is not None and abs(due - turn) > math.radians(3):
            self._lag(c, turn, due)

    def _ride(self, c: Canvas, nearness: float, x: float, pieces: list[Piece]) -> None:
        is_plain, s = self.stuffs.is_plain, self.size
        c.save()
        c.translate(x, nearness * (self.reach * self.flat - 3 * s))
        self._pole.draw(c, None, is_plain)
        # a rider faces the way it goes: it shows its side in front and behind, its breast at the ends
        c.translate(0, -46 * s)
        scale = 0.84 + 0.14 * nearness
        c.scale(scale * math.copysign(0.55 + 0.45 * abs(nearness), nearness), scale)
        for piece in pieces:
            piece.draw(c, None, is_plain)
        c.restore()

    def _roof(self, c: Canvas, turn: float) -> None:
        full = poly(
            [self._edge(t) for t in np.linspace(0, math.pi, 40).tolist()] + [(0, self.peak)]
        )
        c.drawPath(grow(full, 1.5), fill(INK))
        wedges: dict[str, Path] = {}
        flaps: dict[str, Path] = {}
        for i in range(self.gores):
            # the roof turns as the floor does: anticlockwise from above, so clockwise with y away from us
            a0, a1 = (-turn + math.tau * (i + k) / self.gores for k in (0, 1))
            hue = palette.OCHRE if i == 0 else (palette.ROSE, palette.CREAM)[i % 2]
            if math.sin((a0 + a1) / 2) > -0.12:
                gore = wedges.setdefault(hue, skia.Path())
                gore.moveTo(0, self.peak)
                for t in (a0, a0 * 0.75 + a1 * 0.25, (a0 + a1) / 2, a0 * 0.25 + a1 * 0.75, a1):
                    gore.lineTo(*self._edge(t))
                gore.close()
            if math.sin((a0 + a1) / 2) > 0.02:
                u, v = self._edge(a0), self._edge(a1)
                flap = flaps.setdefault(
                    palette.OCHRE if i == 0 else (palette.ROSE, palette.CREAM)[(i + 1) % 2],
                    skia.Path(),
                )
                flap.moveTo(*u)
                flap.quadTo((u[0] + v[0]) / 2, (u[1] + v[1]) / 2 + 21 * self.size, *v)
                flap.close()
        for hue, gore in wedges.items():
            c.drawPath(gore, fill(hue))
        if not self.stuffs.is_plain:
            c.drawPath(
                full,
                linear(
                    (-self.wide, 0),
                    (self.wide, 0),
                    [(0, "#FFFFFF", 0.22), (0.42, "#2A1808", 0), (1, "#2A1808", 0.38)],
                ),
            )
        for flap in flaps.values():
            c.drawPath(flap, stroke(INK, 2))
        for hue, flap in flaps.items():
            c.drawPath(flap, fill(hue))
        c.drawPath(
            poly([self._edge(t) for t in np.linspace(0, math.pi, 40).tolist()], False),
            stroke(INK, 1.3),
        )
        self._knob.draw(c, place(0, self.peak - 3), self.stuffs.is_plain)

    def _seen(self, start: float, stop: float) -> list[Path]:
        """Parts of a span of roof angles [rad] that lie on the near half of the roof."""
        base = math.floor(start / math.tau) * math.tau
        spans = [
            (max(0.0, start - base - k * math.tau), min(math.pi, stop - base - k * math.tau))
            for k in range(3)
        ]
        return [
            poly([(0, self.peak), *(self._edge(a) for a in np.linspace(u, v, 24).tolist())])
            for u, v in spans
            if v > u + 1e-6
        ]

    def _lag(self, c: Canvas, turn: float, due: float) -> None:
        """Draw the hatched gap between the ochre gore and where it ought to be, there a dashed one."""
        gore = math.tau / self.gores
        # lagging behind an anticlockwise turn, the missing slice lies clockwise of the gore as drawn
        ahead = min(due - turn, math.tau - gore)
        for path in self._seen(-turn - ahead + gore, -turn) if ahead > gore else ():
            lost_slice(c, path)
        for path in self._seen(-turn, -turn + gore):
            c.drawPath(path, stroke(INK, 1.8))
        for path in self._seen(-turn - ahead, -turn - ahead + gore):
            c.drawPath(path, fill(palette.PAPER_LIT))
            c.drawPath(path, stroke(INK, 2.2, dash=(5, 4)))


def gores_for(turns_a_second: float) -> int:
    """How many stripes a roof may have so that it doesn't flash as it turns: an even number, 4 to 16."""
    most = 2 * STRIPES_HZ / max(abs(turns_a_second), 1e-6)
    return int(min(max(2 * (most // 2), 4), GORES))


def turned_by(moment: Moment, wheel: str) -> float:
    """How far a platform has turned since the start. [rad]"""
    return moment.pose(wheel).angle - moment.drawing.first.pose(wheel).angle
