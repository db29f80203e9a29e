"""A belt round several wheels as the pen draws it: rims, spans and stitches wherever the wheels stand at the moment."""

from __future__ import annotations

import math
from collections.abc import Callable, Container, Sequence
from typing import TYPE_CHECKING, Any

import numpy as np

from animator.parts._belt_round import senses, tangent
from animator.pictures import palette
from animator.pictures._pen_shapes import ShapePen
from animator.pictures.ink import BUTT, Canvas, box, fill, poly, skia, stroke
from animator.pictures.loops import Floats
from animator.pictures.stuff import family

if TYPE_CHECKING:
    from animator.pictures.moment import Moment

ARC = 0.06  # rad between the points of a rim


def round_line(
    centres: Sequence[tuple[float, float]],
    radii: Sequence[float],
    outside: Container[int] = (),
) -> Floats:
    """Give points of a belt's line round several wheels, beginning where it comes onto the first and running anticlockwise round it, (count, 2). [mm]"""
    ways = senses(centres, outside)
    order = range(len(centres))
    signed = [way * radius for way, radius in zip(ways, radii, strict=True)]
    spans = []
    for i in order:
        k = (i + 1) % len(order)
        span = tangent(centres[i], signed[i], centres[k], signed[k])
        spans.append(span.way if span is not None else 0.0)
    points = []
    for i, (x, y) in enumerate(centres):
        sign = 1 if signed[i] > 0 else -1
        start = spans[i - 1] - sign * math.pi / 2
        turn = sign * ((sign * (spans[i] - spans[i - 1])) % math.tau)
        if abs(turn) > 1.75 * math.pi:
            turn = 0.0
        angles = start + np.linspace(0.0, turn, max(2, round(abs(turn) / ARC)))
        radius = abs(signed[i])
        points.append(np.stack([x + radius * np.cos(angles), y + radius * np.sin(angles)], 1))
    return np.concatenate(points)


class BeltPen(ShapePen):
    """What draws belts round more than two wheels."""

    def belt_round(
        self,
        wheels: Sequence[str],
        outside: Container[int],
        thickness: float,
        stuff: str,
        travel: Callable[[Moment], float] | None = None,
    ) -> None:
        """Draw a belt round several wheels, with stitches that run with it.

        Parameters
        ----------
        wheels
            Names, in the order in which the belt comes to them; it runs anticlockwise about the first.
        outside
            Which of them press on its back, by their places.
        thickness, stuff
            Of the belt. [mm]
        travel
            How far the belt has run. [mm]
        """
        k, stuffs = self._drawing.k, self._drawing.stuffs
        parts: Any = self.scene.parts
        radii = [parts[name].diameter / 2 for name in wheels]
        width = max(thickness * k, 3.0)
        sort, name = family(stuff)
        hi, mid, low = stuffs.tones(stuff)
        is_coiled = sort == "metal"

        def line(moment: Moment) -> Floats:
            return round_line(
                [(moment.pose(each).x, moment.pose(each).y) for each in wheels], radii, outside
            )

        def draw(c: Canvas, moment: Moment) -> None:
            points = line(moment)
            path = poly(points * (k, -k))
            c.drawPath(path, stroke(palette.INK, width + 2.2))
            c.drawPath(path, stroke(low if is_coiled else mid, width))
            if not stuffs.is_plain:
                c.save()
                c.translate(-width * 0.11, -width * 0.16)
                c.drawPath(path, stroke(hi, width * 0.27, 0.8, BUTT))
                c.restore()
                if name == "leather":
                    c.drawPath(path, stroke("#D2A878", 1.3, dash=(4, 4)))
            run = travel(moment) if travel is not None else 0.0
            closed = np.vstack([points, points[:1]])
            lengths = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(closed, axis=0).T))])
            count = max(3, round(lengths[-1] / (math.tau * min(radii) * 1.5)))
            if is_coiled:
                step = max(4.3, width * 0.5) / k
                strokes = skia.Path()
                for x, y, ux, uy in _places(
                    closed, lengths, run + np.arange(0.0, lengths[-1], step)
                ):
                    h = width * 0.52
                    strokes.moveTo(x * k + uy * h - ux * 1.3, -y * k + ux * h + uy * 1.3)
                    strokes.lineTo(x * k - uy * h + ux * 1.3, -y * k - ux * h - uy * 1.3)
                c.drawPath(strokes, stroke(mid, step * k * 0.62))
            w = max(width * 0.30, 2.4)
            for x, y, ux, uy in _places(
                closed, lengths, run + np.arange(count) * lengths[-1] / count
            ):
                c.save()
                c.translate(x * k, -y * k)
                c.rotate(-math.degrees(math.atan2(uy, ux)))
                c.drawPath(
                    box(-w - 1.1, -width / 2 - 1.6, 2 * w + 2.2, width + 3.2, 1.5),
                    fill(palette.INK),
                )
                c.drawPath(box(-w, -width / 2 - 0.5, 2 * w, width + 1, 1), fill(palette.CREAM))
                c.restore()

        self._add("belt", False, draw, lambda moment: line(moment) * (k, -k))


def _places(closed: Floats, lengths: Floats, runs: Floats) -> list[tuple[float, ...]]:
    """Places and directions at lengths along a closed line: x, y [mm], direction x, y."""
    at = runs % lengths[-1]
    i = np.clip(np.searchsorted(lengths, at, side="right") - 1, 0, len(closed) - 2)
    way = closed[i + 1] - closed[i]
    size = np.maximum(np.hypot(way[:, 0], way[:, 1]), 1e-9)
    place = closed[i] + way * ((at - lengths[i]) / size)[:, None]
    return [tuple(row) for row in np.column_stack([place, way / size[:, None]]).tolist()]
