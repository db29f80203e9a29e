"""Drawing what carries and guides: bushes, posts, bearings, hubs, the spring seat, the fork of a roller."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np

from animator.geometry import Point
from animator.pictures._pen_shapes import ShapePen
from animator.pictures.ink import (
    box,
    cut,
    join,
    place,
    poly,
    skia,
)
from animator.pictures.stuff import Piece

if TYPE_CHECKING:
    from animator.parts._fields import Guide


class GuidePen(ShapePen):
    """Drawing what carries and guides: bushes, posts, bearings, hubs, the spring seat, the fork of a roller."""

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
