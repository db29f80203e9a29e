"""What an artwork file holds once it is read: outlines with their paints on a sheet, and named points.

A sheet's own measure is millimetres where the file tells its true size, else the file's own units; x to the right, y up, from
the sheet's lower left corner.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property
from pathlib import Path

from animator.geometry import Point

Segment = tuple[Point, ...]
"""A straight line (2 points) or a cubic curve (4 points)."""
FINE = 20_000
"""A curve is taken for straight where it strays less than this part of the drawing's size."""


@dataclass(frozen=True)
class Course:
    """One run of the pen: segments, each beginning where the last one ended."""

    segments: tuple[Segment, ...]
    is_closed: bool = False

    def flattened(self, stray: float) -> list[Point]:
        """Give points along it, so close that the straight lines between them stray no farther than ``stray``."""
        out = [self.segments[0][0]]
        for segment in self.segments:
            out.extend(_along(segment, stray))
        return out


def _along(segment: Segment, stray: float) -> Iterator[Point]:
    """Points of a segment after its first.

    Between n equal steps of a cubic the chord strays at most 3/4 of its largest second difference, over n squared (the bound of linear
    interpolation, |B''| / 8, with |B''| at most 6 times that difference).
    """
    if len(segment) == 2:
        yield segment[1]
        return
    (ax, ay), (bx, by), (cx, cy), (dx, dy) = segment
    bend = max(
        math.hypot(ax - 2 * bx + cx, ay - 2 * by + cy),
        math.hypot(bx - 2 * cx + dx, by - 2 * cy + dy),
    )
    count = min(max(1, math.ceil(math.sqrt(0.75 * bend / stray))), 200)
    for i in range(1, count):
        t = i / count
        u = 1 - t
        k0, k1, k2, k3 = u * u * u, 3 * u * u * t, 3 * u * t * t, t * t * t
        yield k0 * ax + k1 * bx + k2 * cx + k3 * dx, k0 * ay + k1 * by + k2 * cy + k3 * dy
    yield segment[3]


@dataclass(frozen=True)
class Line:
    """A line drawn along an outline: paint, width, how its ends and corners are, dashes (on, off, ...)."""

    paint: str
    width: float
    alpha: float = 1.0
    cap: str = "butt"
    join: str = "miter"
    mitre: float = 4.0
    dashes: tuple[float, ...] = ()


@dataclass(frozen=True)
class Picture:
    """A painted or photographed sketch: the file, and the stamp by which a changed file is told from the one that was read.

    ``size`` is where its right upper corner lies on the sheet; its left lower one lies at the sheet's own corner.
    """

    path: Path
    stamp: tuple[int, int]
    size: tuple[float, float]


@dataclass(frozen=True)
class Cut:
    """One drawn shape: where its edge runs, its paint (None: not filled) and its line (None: none)."""

    courses: tuple[Course, ...]
    paint: str | None
    alpha: float = 1.0
    is_even_odd: bool = False
    line: Line | None = None
    picture: Picture | None = None
    groups: tuple[str, ...] = ()
    """Names of the element itself and of all groups it lies in."""


@dataclass(frozen=True)
class Mark:
    """A named point of a file: where it lies, and the groups it lies in."""

    at: Point
    groups: tuple[str, ...] = ()


@dataclass(frozen=True, eq=False)
class Piece:
    """What is taken of a sheet: some of its cuts, in their order, and the points that belong to them.

    Compared and hashed by identity: the same piece of the same file is made once.
    """

    cuts: tuple[Cut, ...]
    points: Mapping[str, Point]
    stray: float
    """How far a flattened curve may lie beside the true one."""

    @cached_property
    def extent(self) -> tuple[float, float, float, float]:
        """Left, low, right and high end of all that is drawn."""
        return extent(self.cuts, self.stray)

    def sized(self, scale: float, *, is_mirrored: bool = False) -> Piece:
        """Give the same piece larger or smaller about the sheet's corner, and turned left to right about its left edge."""
        if scale == 1.0 and not is_mirrored:
            return self
        across = -scale if is_mirrored else scale

        def at(point: Point) -> Point:
            return across * point[0], scale * point[1]

        cuts = tuple(
            replace(
                cut,
                courses=tuple(
                    Course(
                        tuple(tuple(map(at, segment)) for segment in course.segments),
                        course.is_closed,
                    )
                    for course in cut.courses
                ),
                line=cut.line
                and replace(
                    cut.line,
                    width=cut.line.width * scale,
                    dashes=tuple(each * scale for each in cut.line.dashes),
                ),
                picture=cut.picture
                and replace(
                    cut.picture,
                    size=(cut.picture.size[0] * across, cut.picture.size[1] * scale),
                ),
            )
            for cut in self.cuts
        )
        points = {name: at(point) for name, point in self.points.items()}
        return Piece(cuts, points, self.stray * scale)


@dataclass(frozen=True, eq=False)
class Sheet:
    """A whole artwork file."""

    name: str
    cuts: tuple[Cut, ...]
    marks: Mapping[str, Mark]
    size: tuple[float, float]
    is_true_size: bool
    _pieces: dict[str | None, Piece] = field(default_factory=dict)

    @property
    def stray(self) -> float:
        """How far a flattened curve may lie beside the true one."""
        left, low, right, high = extent(self.cuts, max(*self.size, 1e-9) / 100)
        return max(right - left, high - low, 1e-9) / FINE

    @property
    def names(self) -> list[str]:
        """Groups that can be taken as a piece: those in which something is drawn, in file order."""
        return list(dict.fromkeys(name for cut in self.cuts for name in reversed(cut.groups)))

    def piece(self, name: str | None) -> Piece | None:
        """Take one piece, or the whole sheet (None); None if there is no such piece."""
        if name not in self._pieces:
            cuts = tuple(cut for cut in self.cuts if name is None or name in cut.groups)
            if not cuts:
                return None
            points = {}
            for full, mark in self.marks.items():
                owner, _, short = full.rpartition(".")
                if name is not None and owner == name:
                    points[short] = mark.at
                elif not owner and (name is None or name in mark.groups):
                    points.setdefault(full, mark.at)
            self._pieces[name] = Piece(cuts, points, self.stray)
        return self._pieces[name]


def extent(cuts: Iterable[Cut], stray: float) -> tuple[float, float, float, float]:
    """Left, low, right and high end of some cuts, with the half width of their lines."""
    lows: list[Point] = []
    highs: list[Point] = []
    for cut in cuts:
        half = cut.line.width / 2 if cut.line is not None else 0.0
        for course in cut.courses:
            xs, ys = zip(*course.flattened(stray), strict=True)
            lows.append((min(xs) - half, min(ys) - half))
            highs.append((max(xs) + half, max(ys) + half))
    if not lows:
        return 0.0, 0.0, 0.0, 0.0
    return (
        min(x for x, _ in lows),
        min(y for _, y in lows),
        max(x for x, _ in highs),
        max(y for _, y in highs),
    )
