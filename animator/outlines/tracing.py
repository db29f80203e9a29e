"""A cam traced from a drawing or measured point by point: a closed course about the shaft's centre, smoothed until a cutter can follow it.

A file, or a hand with calipers, never gives a curve as smooth as a cam must be: 0.01 mm of scatter on 72 points alone shakes a follower by a quarter of its
acceleration. So the course is laid out as a smooth curve through its points and its fast ripples are taken away, as far as they look like scatter.
"""

from __future__ import annotations

import csv
import io
import itertools
import math
import re
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path, PurePosixPath
from typing import TYPE_CHECKING

from animator.artwork import files
from animator.artwork.refusal import Unusable
from animator.geometry import Point
from animator.registry import nearest

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

ENDINGS = (".svg", ".csv")
CENTRE = "centre"
"""The point of an SVG file that lies on the shaft's axis."""
FEWEST, MOST = 12, 1500
"""Points of a course."""
LARGEST_FILE = 2_000_000
COUNT = 1440  # points of the smooth outline
STEEPNESS = 6  # of the filter: ripples k times faster than its limit are left as 1 / (1 + k^6)
LEAST_WAVES = 8.0  # round the outline; slower ones are its shape
STRAY = 0.002  # mm; how far the chords of a curve in a file may lie off it
AWAY = 0.02  # of its length; nearer ends are a slip of the pen and are joined
NUMBER = re.compile(r"[-+]?(\d+\.?\d*|\.\d+)([eE][-+]?\d+)?$")


@dataclass(frozen=True)
class Smooth:
    """A smoothed course: its points, and how far smoothing moved it at most, where (polar angle) and on average. [mm, rad]"""

    points: tuple[Point, ...]
    moved: float
    moved_at: float
    moved_mean: float


def read(name: str, folder: Path, piece: str | None, centre: Point | None) -> tuple[Point, ...]:
    """Read a course from a file next to the scene, anticlockwise, seen from the shaft's centre. [mm]

    Raises
    ------
    Unusable
        The file can't be used; with its own line where that is known.
    """
    plain = PurePosixPath(name.replace("\\", "/"))
    if plain.suffix.lower() == ".csv":
        if piece is not None:
            raise Unusable("a list of points has no pieces", "no 'piece'", key="piece")
        points = _points(_text(_there(name, folder)))
        x0, y0 = centre or (0.0, 0.0)
    elif plain.suffix.lower() == ".svg":
        _there(name, folder)
        points, named = _svg(name, folder, piece)
        if centre is None and named is None:
            raise Unusable(
                f"nothing says where the shaft goes through {plain.name}",
                "'centre: [40, 40]', from the lower left corner of its sheet, or a point called 'centre' in the file",
            )
        x0, y0 = centre or named or (0.0, 0.0)
    else:
        raise Unusable(
            f"'{plain.name}' is neither SVG nor CSV",
            "name a file that ends in .svg, or a list of points that ends in .csv",
        )
    course = [(x - x0, y - y0) for x, y in points]
    _check(course, plain.name)
    area = sum(
        ax * by - ay * bx
        for (ax, ay), (bx, by) in zip(course, [*course[1:], course[0]], strict=True)
    )
    return tuple(course if area > 0 else course[::-1])


def _there(name: str, folder: Path) -> Path:
    """Find the file next to the scene or below it."""
    plain = PurePosixPath(name.replace("\\", "/"))
    if plain.is_absolute() or ".." in plain.parts or ":" in name or "\0" in name:
        raise Unusable(
            "a traced outline lies next to the scene or below it",
            f"'{plain.name or 'wave.csv'}', and put it there",
        )
    path = folder / plain
    try:
        if not path.resolve().is_relative_to(folder.resolve()):
            raise Unusable(
                "this file leads out of the scene's folder",
                "put a copy of it next to the scene",
            )
        if not path.is_file():
            there = [
                each.relative_to(folder).as_posix()
                for place in dict.fromkeys((folder, path.parent))
                if place.is_dir()
                for each in sorted(place.iterdir())[:500]
                if each.suffix.lower() in ENDINGS
            ]
            meant = nearest(str(plain), there, 0.3)
            raise Unusable(
                "there is no such file",
                f"'{meant}'" if meant else "name a file next to the scene or below it",
            )
        if path.stat().st_size > LARGEST_FILE:
            raise Unusable("the file is larger than 2 MB", f"at most {MOST} points")
    except (OSError, RuntimeError) as trouble:
        raise Unusable(
            f"it can't be opened ({getattr(trouble, 'strerror', None) or trouble})",
            "name a file that can be read",
        ) from None
    return path


def _text(path: Path) -> str:
    try:
        return path.read_text("utf-8-sig")
    except UnicodeDecodeError:
        raise Unusable(
            "it isn't plain text", "save it as a list of numbers: right, up"
        ) from None
    except OSError as trouble:
        raise Unusable(
            f"it can't be opened ({trouble.strerror})", "name a file that can be read"
        ) from None


def _points(text: str) -> list[Point]:
    """Read a list of points, right and up in mm; parted by commas, semicolons, tabs or spaces; a first line of words is passed over."""
    found: list[Point] = []
    parted = ";" if ";" in text else "," if "," in text else "\t" if "\t" in text else " "
    for line, row in enumerate(
        csv.reader(io.StringIO(text), delimiter=parted, skipinitialspace=True), 1
    ):
        cells = [cell.strip() for cell in row if cell.strip()]
        if not cells or cells[0].startswith("#"):
            continue
        if not all(NUMBER.match(cell) for cell in cells):
            if not found and not any(NUMBER.match(cell) for cell in cells):
                continue
            bad = next(cell for cell in cells if not NUMBER.match(cell))
            raise Unusable(f"'{bad}' is no number", "'12.5, 30' on each line: right, up", line)
        if len(cells) != 2:
            raise Unusable(
                f"{len(cells)} numbers; a point has two",
                "'12.5, 30' on each line: right, up",
                line,
            )
        found.append((float(cells[0]), float(cells[1])))
    return found


def _svg(name: str, folder: Path, piece: str | None) -> tuple[list[Point], Point | None]:
    """Take the one outline of an SVG file, or of a piece of it, and its centre."""
    taken = files.take(name, folder, piece, None, is_mirrored=False)
    courses = [course for cut in taken.cuts for course in cut.courses]
    if len(courses) != 1:
        raise Unusable(
            f"{len(courses)} outlines are drawn; a cam has one",
            "put the cam's outline alone into a group, and name the group as 'piece'",
            key="piece" if piece else "file",
        )
    [course] = courses
    points = course.flattened(STRAY)
    if not course.is_closed:
        _insist_on_closed(points, name)
    return points, taken.points.get(CENTRE)


def _insist_on_closed(points: Sequence[Point], name: str) -> None:
    run = sum(math.dist(a, b) for a, b in itertools.pairwise(points))
    gap = math.dist(points[0], points[-1])
    if gap > AWAY * run:
        raise Unusable(
            f"the outline isn't closed: its ends lie {gap:.3g} mm apart",
            "draw it on to where it began, and close it",
        )


def _check(course: list[Point], name: str) -> None:
    """Insist on a course that can be a cam: closed, enough points, once round the shaft, and nowhere through itself."""
    while len(course) > 1 and math.dist(course[0], course[-1]) < 1e-6:
        course.pop()
    clean = [course[0]] if course else []
    for point in course[1:]:
        if math.dist(point, clean[-1]) > 1e-6:
            clean.append(point)
    course[:] = clean
    if len(course) < FEWEST:
        raise Unusable(
            f"{len(course)} points are too few for an outline",
            f"at least {FEWEST}, better 36 or more",
        )
    if len(course) > MOST:
        raise Unusable(
            f"{len(course)} points are more than a cutter can follow", f"at most {MOST}"
        )
    gaps = [math.dist(a, b) for a, b in zip(course, [*course[1:], course[0]], strict=True)]
    usual = sorted(gaps)[len(gaps) // 2]
    if gaps[-1] > 4 * max(usual, 1e-9) and gaps[-1] > AWAY * sum(gaps):
        raise Unusable(
            f"the outline isn't closed: its ends lie {gaps[-1]:.3g} mm apart",
            "measure on round to where it began",
        )
    crossing = _crossing(course)
    if crossing is not None:
        x, y = crossing
        raise Unusable(
            f"the outline crosses itself {abs(x):.1f} mm {'right' if x >= 0 else 'left'} and {abs(y):.1f} mm {'above' if y >= 0 else 'below'} the shaft's centre",
            "a course that goes once round",
        )
    turned = sum(
        math.remainder(math.atan2(b[1], b[0]) - math.atan2(a[1], a[0]), math.tau)
        for a, b in zip(course, [*course[1:], course[0]], strict=True)
    )
    if abs(abs(turned) - math.tau) > 1e-3:
        x = sum(x for x, _ in course) / len(course)
        y = sum(y for _, y in course) / len(course)
        raise Unusable(
            "the shaft's centre lies outside the outline",
            f"'centre: [{x:.4g}, {y:.4g}]' lies in its middle",
            key="centre",
        )


def _crossing(course: Sequence[Point]) -> Point | None:
    """Find a place where a closed course goes through itself; its pieces are looked through from left to right."""
    count = len(course)
    pieces = [(course[i], course[(i + 1) % count], i) for i in range(count)]
    order = sorted(pieces, key=lambda piece: min(piece[0][0], piece[1][0]))
    going: list[tuple[Point, Point, int]] = []
    for a, b, i in order:
        left = min(a[0], b[0])
        going = [piece for piece in going if max(piece[0][0], piece[1][0]) >= left]
        low, high = min(a[1], b[1]), max(a[1], b[1])
        for c, d, k in going:
            if abs(i - k) in (1, count - 1) or max(c[1], d[1]) < low or min(c[1], d[1]) > high:
                continue
            found = _meeting(a, b, c, d)
            if found is not None:
                return found
        going.append((a, b, i))
    return None


def _meeting(a: Point, b: Point, c: Point, d: Point) -> Point | None:
    ux, uy, vx, vy = b[0] - a[0], b[1] - a[1], d[0] - c[0], d[1] - c[1]
    cross = ux * vy - uy * vx
    if abs(cross) < 1e-15:
        return None
    wx, wy = c[0] - a[0], c[1] - a[1]
    t, s = (wx * vy - wy * vx) / cross, (wx * uy - wy * ux) / cross
    return (a[0] + t * ux, a[1] + t * uy) if 0 <= t <= 1 and 0 <= s <= 1 else None


@lru_cache(maxsize=32)
def smoothed(course: tuple[Point, ...], allowed: float) -> Smooth:
    """Smooth a course as much as its scatter asks for, and no farther than any point of it may be moved (``allowed``). [mm]

    A periodic cubic spline through the points, over the length of the chords, is laid out at even steps of its length; of its Fourier components those of k waves
    round the outline are left as 1 / (1 + (k / limit)^6). A circle is left as it is: it is one wave. The limit is that of the least generalised
    cross-validation (Craven and Wahba, "Smoothing noisy data with spline functions", Numerische Mathematik 31 (1979) 377-403), raised until no point moves too far.
    """
    import numpy as np

    even = _even(np.array(course))
    z = even[:, 0] + 1j * even[:, 1]
    transform = np.fft.fft(z)
    waves = np.abs(np.fft.fftfreq(COUNT, 1 / COUNT))

    def filtered(limit: float) -> NDArray[np.complex128]:
        return np.asarray(np.fft.ifft(transform / (1 + (waves / limit) ** STEEPNESS)))

    count = len(course)
    own = waves < count / 2  # finer waves than the points can tell are the spline's own

    def doubt(limit: float) -> float:
        """Mean square left over, for each thing left free."""
        free = float((1 / (1 + (waves[own] / limit) ** STEEPNESS)).sum()) / count
        left = float((np.abs(filtered(limit) - z) ** 2).mean())
        return left / (1 - free) ** 2 if free < 1 else np.inf

    ladder = np.geomspace(LEAST_WAVES, max(count / 4, 2 * LEAST_WAVES), 60)
    low, high = float(min(ladder, key=doubt)), COUNT / 2
    if np.abs(filtered(low) - z).max() > allowed:
        for _ in range(40):
            limit = math.sqrt(low * high)
            if np.abs(filtered(limit) - z).max() > allowed:
                low = limit
            else:
                high = limit
    else:
        high = low
    found = filtered(high)
    moved = np.abs(found - z)
    worst = int(moved.argmax())
    return Smooth(
        tuple((float(p.real), float(p.imag)) for p in found),
        float(moved[worst]),
        float(np.angle(z[worst])),
        float(moved.mean()),
    )


def _even(course: Floats) -> Floats:
    """Points at even steps along a periodic cubic spline through given ones, over the length of its chords."""
    import numpy as np

    there = np.roll(course, -1, 0)
    h = np.hypot(*(there - course).T)
    before = np.roll(h, 1)
    count = len(course)
    matrix = np.zeros((count, count))
    rows = np.arange(count)
    matrix[rows, rows] = (before + h) / 3
    matrix[rows, (rows + 1) % count] += h / 6
    matrix[rows, (rows - 1) % count] += before / 6
    slope = (there - course) / h[:, None]
    bends = np.linalg.solve(matrix, slope - np.roll(slope, 1, 0))
    ends = np.roll(bends, -1, 0)
    fine = np.linspace(0, 1, 16, endpoint=False)[None, :, None]
    hh = h[:, None, None]
    curve = (
        course[:, None] * (1 - fine)
        + there[:, None] * fine
        + hh**2
        / 6
        * (((1 - fine) ** 3 - (1 - fine)) * bends[:, None] + (fine**3 - fine) * ends[:, None])
    ).reshape(-1, 2)
    closed = np.vstack([curve, curve[:1]])
    run = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(closed, axis=0).T))])
    at = np.arange(COUNT) * run[-1] / COUNT
    return np.stack([np.interp(at, run, closed[:, 0]), np.interp(at, run, closed[:, 1])], 1)
