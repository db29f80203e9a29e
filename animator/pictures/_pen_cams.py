"""The pen's cams with a groove, and the frame of a yoke."""

from __future__ import annotations

from collections.abc import Sequence

from animator.geometry import Point
from animator.pictures import palette
from animator.pictures._pen_shapes import ShapePen
from animator.pictures.ink import cut, fill, skia, stroke


class CamPen(ShapePen):
    """Draws what a cutter has sunk into a face, and frames sawn from one sheet."""

    def grooved(
        self,
        radius: float,
        inner: Sequence[Point],
        outer: Sequence[Point],
        stuff: str,
        thickness: float,
        rise: float = 15.0,
        sort: str = "cam",
    ) -> None:
        """Draw a disc with a groove between two walls; its floor lies in the shade, most under the wall the light comes over. [mm]"""
        floor = cut(self._path(outer, True), self._path(inner, True))
        details = [
            (floor, fill(palette.INK, 0.42)),
            (self._path(outer, True), stroke(palette.INK, 1.3, 0.9)),
            (self._path(inner, True), stroke(palette.INK, 1.3, 0.9)),
        ]
        self._cut(
            self._circle((0.0, 0.0), radius), stuff, thickness, rise, None, details, sort, is_round=True
        )  # fmt: skip

    def framed(
        self,
        outline: Sequence[Point],
        opening: Sequence[Point],
        stuff: str,
        thickness: float,
        rise: float = 18.0,
        sort: str = "frame",
    ) -> None:
        """Draw a frame sawn from a sheet, with an opening through it. [mm]"""
        # wound the other way round the opening, so that the ink's silhouette is open there too
        path = skia.AsWinding(cut(self._path(outline), self._path(opening)))
        self._cut(path, stuff, thickness, rise, None, (), sort)
