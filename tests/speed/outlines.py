"""The outlines of a film's pictures, overheard as the program draws them, for other programs to draw."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Any
from unittest import mock

import numpy as np
from numpy.typing import NDArray

from animator.pictures import ink
from animator.pictures.ink import skia

STEP = 2.0  # px between points of a curve; finer shows no difference
SHADED = 0xFFC8A06A  # for wood and metal, whose colour is a shade or a grain
FAINT = 0.6  # what is more transparent is shade, not outline


@dataclass
class Outline:
    """One closed shape, or open line if it has a width.

    ``contours``: (point_count, 2) each, x right, y down [px]. ``colour``: red, green, blue from 0 to 1. ``width_px`` 0: filled.
    """

    contours: list[NDArray[np.float64]]
    colour: tuple[float, float, float]
    width_px: float


class Overhearing:
    """A canvas that passes everything on and notes the outlines drawn."""

    def __init__(self, canvas: Any) -> None:
        self.canvas = canvas
        self.noted: list[Outline] = []
        self.known: dict[int, tuple[Any, list[NDArray[np.float64]]]] = {}

    def __getattr__(self, name: str) -> Any:
        return getattr(self.canvas, name)

    def drawPath(self, path: Any, paint: Any) -> None:
        """Note a path, and draw it."""
        self.note(path, paint)
        self.canvas.drawPath(path, paint)

    def drawLine(self, *words: Any) -> None:
        """Note a line, and draw it."""
        *ends, paint = words
        path = skia.Path()
        path.moveTo(*ends[:2])
        path.lineTo(*ends[2:])
        self.note(path, paint)
        self.canvas.drawLine(*words)

    def note(self, path: Any, paint: Any) -> None:
        """Keep what a plain flat drawing would show of it."""
        if paint.getMaskFilter() is not None or paint.getAlphaf() < FAINT:
            return
        matrix = np.array(self.canvas.getTotalMatrix().get9()).reshape(3, 3)
        if id(path) not in self.known:
            self.known[id(path)] = (
                path,
                list(contours_of(path)),
            )  # the path is kept so that its number isn't given to another
        moved = [
            points @ matrix[:2, :2].T + matrix[:2, 2] for points in self.known[id(path)][1]
        ]
        is_line = paint.getStyle() != skia.Paint.kFill_Style
        size = float(np.sqrt(abs(np.linalg.det(matrix[:2, :2]))))
        colour = skia.Color4f(paint.getColor() if paint.getShader() is None else SHADED)
        self.noted.append(
            Outline(
                moved,
                (colour.fR, colour.fG, colour.fB),
                max(paint.getStrokeWidth() * size, 0.5) if is_line else 0.0,
            )
        )

    def take(self) -> list[Outline]:
        """Give what was noted since the last time."""
        noted, self.noted = self.noted, []
        return noted


def contours_of(path: Any) -> Iterator[NDArray[np.float64]]:
    """Give a path's contours as points."""
    contour = skia.PathMeasure(path, False)
    while True:
        length = contour.getLength()
        if length > 0:
            count = max(3, int(length / STEP))
            places = [
                contour.getPosTan(length * index / count)[0] for index in range(count + 1)
            ]
            yield np.array([(place.x(), place.y()) for place in places])
        if not contour.nextContour():
            return


@contextmanager
def overheard() -> Iterator[list[Overhearing]]:
    """Let every sheet made meanwhile be overheard, and what is drawn once and laid over be drawn as it comes."""
    made: list[Overhearing] = []
    begin = ink.Sheet.__init__

    def listen(sheet: Any, *words: Any, **more: Any) -> None:
        begin(sheet, *words, **more)
        sheet.canvas = Overhearing(sheet.canvas)
        made.append(sheet.canvas)

    def lay(layer: Any, canvas: Any) -> None:
        canvas.save()
        canvas.resetMatrix()
        canvas.scale(layer._unit, layer._unit)
        layer._draw(canvas)
        canvas.restore()

    with (
        mock.patch.object(ink.Sheet, "__init__", listen),
        mock.patch.object(ink.Layer, "lay", lay),
    ):
        yield made
