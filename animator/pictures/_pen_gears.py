"""Drawing toothed wheels, rings and racks with the teeth they are reckoned with."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np

from animator.geometry import Point
from animator.parts._involute import phases_of
from animator.pictures import palette
from animator.pictures._pen_shapes import ShapePen
from animator.pictures.ink import Path, disc, poly, stroke
from animator.pictures.shapes import PENCIL
from animator.pictures.stuff import Detail, Piece, family

if TYPE_CHECKING:
    from animator.parts._fields import Guide
    from animator.parts._involute import Toothing

SPOKED = 26.0  # design units; a smaller wheel stays whole


class GearPen(ShapePen):
    """Drawing toothed wheels, rings and racks."""

    def tooth_phase(self, name: str = "") -> float:
        """Angle of a tooth's middle in a wheel's own frame: that with which it meshes. [rad]"""
        phases, _ = phases_of(self.scene.parts, self.scene.starts)
        return phases[name or self.part.name]

    def gear(
        self,
        toothing: Toothing,
        phase: float,
        stuff: str,
        thickness: float = 4.0,
        is_whole: bool = False,
        at: Point = (0.0, 0.0),
        sort: str = "gear",
    ) -> None:
        """Draw a gear; large ones get windows between spokes unless they stay whole (``is_whole``)."""
        k = self._drawing.k
        outline = np.array(toothing.outline(phase)) + np.array(at)
        path = poly(outline * (k, -k))
        rim = toothing.foot - 1.4 * toothing.module
        if rim * k > SPOKED and not is_whole:
            path = self._windows(path, rim, phase)
        circles: list[Detail] = [
            (disc(at[0] * k, -at[1] * k, toothing.radius * k), stroke(PENCIL, 0.8, 0.5))
        ]
        self._wheel(path, stuff, thickness, circles, sort, is_round=at == (0.0, 0.0))

    def _wheel(
        self,
        path: Path,
        stuff: str,
        thickness: float,
        details: list[Detail],
        sort: str,
        is_round: bool = True,
    ) -> None:
        what, name = family(stuff)
        if what == "metal" and not self.part.paint:
            face = self._drawing.stuffs.turned(0, 0, name)
            rise = 7 * self._drawing.size
            self._keep(
                sort,
                Piece(path, face, 1.3, rise, details=details, still_light=True),
                is_round=is_round,
            )
        else:
            self._cut(path, stuff, thickness, 7.0, None, details, sort, is_round=is_round)

    def _windows(self, path: Path, rim: float, phase: float) -> Path:
        k = self._drawing.k
        count, hub = 5, max(0.32 * rim, 7.0)
        for i in range(count):
            span = math.tau / count
            low, high = i * span + phase, (i + 1) * span + phase
            lean_out, lean_in = 2.2 / rim, 2.2 / hub
            out = np.linspace(low + lean_out, high - lean_out, 16)
            inn = np.linspace(high - lean_in, low + lean_in, 12)
            ring = np.vstack(
                [
                    np.stack([np.cos(out), np.sin(out)], 1) * rim,
                    np.stack([np.cos(inn), np.sin(inn)], 1) * hub,
                ]
            )
            path.addPath(
                poly(ring[::-1] * (k, -k))
            )  # the other way round: a hole, also once it is inked round
        return path

    def ring_gear(
        self,
        toothing: Toothing,
        rim: float,
        phase: float,
        stuff: str,
        thickness: float = 4.0,
        sort: str = "ring",
    ) -> None:
        """Draw a ring with teeth inside."""
        k = self._drawing.k
        turn = np.linspace(0, math.tau, 181)[:-1]
        outer = rim * k
        path = poly(np.stack([np.cos(turn), -np.sin(turn)], 1) * outer)
        hole = poly(np.array(toothing.outline(phase))[::-1] * (k, -k))
        path.addPath(hole)
        details: list[Detail] = [
            (hole, stroke(palette.INK, 1.0, 0.8)),
            (disc(0, 0, toothing.radius * k), stroke(PENCIL, 0.8, 0.5)),
        ]
        self._wheel(path, stuff, thickness, details[:1], sort)

    def rack(
        self, teeth: list[Point], depth: float, stuff: str, thickness: float = 4.0
    ) -> None:
        """Draw a rack: its teeth's edge, and the bar below it that is ``depth`` high. [mm]"""
        k = self._drawing.k
        (left, low), (right, _) = teeth[0], teeth[-1]
        outline = [*teeth, (right, low - depth), (left, low - depth)]
        path = poly(np.array(outline) * (k, -k))
        self._cut(path, stuff, thickness, 7.0, None, (), "rack")

    def thickness_of(self, part: str) -> float:
        """Thickness of what another part is cut from. [mm]"""
        return self._drawing.thickness_of(part)

    def crown_teeth(
        self, count: int, radius: float, length: float, module: float, stuff: str, phase: float
    ) -> None:
        """Draw the teeth that stand on a crown wheel's face, seen end-on: short bars on its pitch circle, all along its radius."""
        k = self._drawing.k
        path = None
        half = 0.25 * math.pi * module
        for i in range(count):
            at = phase + math.tau * i / count
            c, s = math.cos(at), math.sin(at)
            corners = [
                (radius + a * length / 2, b * half)
                for a, b in ((-1, -1), (1, -1), (1, 1), (-1, 1))
            ]
            bar = poly([((x * c - y * s) * k, -(x * s + y * c) * k) for x, y in corners])
            if path is None:
                path = bar
            else:
                path.addPath(bar)
        assert path is not None
        self._cut(path, stuff, 0.0, 2.0, None, (), "crown teeth")

    def rail(self, guide: Guide, direction: float, back: float, lip: float) -> None:
        """Draw the channel a rack slides in: a walnut strip along its back with a lip in front of its lower edge.

        Parameters
        ----------
        back
            Where the rack's back lies beside its pitch line, to the left of the way it slides. [mm]
        lip
            How far the lips reach up in front of it. [mm]
        """
        x, y = self.spot(guide.at)
        self._drawing.guides.append((x, y, direction, guide.length))
        c, s = math.cos(direction), math.sin(direction)
        half, deep = guide.length / 2, 4.0

        def at(along: float, aside: float) -> Point:
            return x + along * c - aside * s, y + along * s + aside * c

        corners = [
            (-half, back - deep),
            (half, back - deep),
            (half, back + 1),
            (-half, back + 1),
        ]
        self.frame.behind_all().plate(
            [at(*corner) for corner in corners], "walnut", 4.0, 5.0, sort="rail"
        )
        front = self.nearer_than([self.part.name]).frame
        broad = min(7.0, half * 0.4)
        for end in (-1, 1):
            middle = end * (half - broad / 2)
            lips = [
                (middle - broad / 2, back - deep),
                (middle + broad / 2, back - deep),
                (middle + broad / 2, back + lip),
                (middle - broad / 2, back + lip),
            ]
            front.plate([at(*lip_) for lip_ in lips], "brass", 2.0, 3.0, sort="lip of the rail")
