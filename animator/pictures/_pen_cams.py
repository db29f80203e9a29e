"""The pen's cams with a groove, and the frame of a yoke."""

from __future__ import annotations

import math
from collections.abc import Sequence

from animator.geometry import Point
from animator.pictures import palette
from animator.pictures._pen_across import AcrossPen
from animator.pictures.ink import Paint, Path, box, cut, fill, skia, stroke


class CamPen(AcrossPen):
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

    def stands(self) -> Point:
        """Where the part's main point stands at the start, in the picture, whichever view it turns in. [mm]"""
        return self._drawing.first.point(self.part.name)

    def edge_cam(
        self, outline: Sequence[Point], width: float, stuff: str, sort: str = "edge of a cam"
    ) -> None:
        """Draw a cam edge-on: as high above and below its shaft as it reaches at the moment, its nose passing over it as a line. [mm]"""
        k, seen = self._drawing.k, self.seen
        rim = [(math.hypot(x, y), math.atan2(y, x)) for x, y in outline]
        far, nose = max(rim)
        paint, dark = self._round(far, stuff), fill(palette.INK, 0.35)

        def paths(angle: float) -> list[tuple[Path, Paint]]:
            ups = [r * math.cos(angle + a - seen.up) for r, a in rim]
            low, high = min(ups), max(ups)
            made = [
                (box(-width / 2 * k, -high * k, width * k, (high - low) * k, 0.6 * k), paint)
            ]
            if math.cos(angle + nose - seen.to) > 0:
                t = far * math.cos(angle + nose - seen.up)
                made.append(
                    (
                        box(
                            (-width / 2 + 0.6) * k, (-t - 0.35) * k, (width - 1.2) * k, 0.7 * k
                        ),
                        dark,
                    )
                )
            return made

        corners = [(x, y) for x in (-width / 2, width / 2) for y in (-far, far)]
        self._moving(sort, paths, corners)
