"""Where the faces of parts are, as points: enough to see how near things come to each other."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from itertools import combinations, pairwise
from typing import TYPE_CHECKING, Any

import numpy as np

from animator.geometry import Point
from animator.motion.motion import Floats, Motion
from animator.parts._views import view_of

if TYPE_CHECKING:
    from animator.parts._contract import Part

APART = 3.0  # mm between points along an edge
MOMENTS = 48  # over the counted run
ROUND = 32  # points of a disc


def face_of(part: Part) -> Floats | None:
    """Give points along the edge of what a part shows, in its own frame, (count, 2) [mm]; None for what has no place."""
    if not part.has_places:
        return None
    art: Any = part.artwork
    if art is not None:
        rows = [_walk([art.place(point) for point in outline]) for outline in _outlines(art)]
        return np.concatenate(rows) if rows else None
    radius = getattr(part, "radius", None) or getattr(part, "diameter", 0.0)
    if part.turns_freely and isinstance(radius, float) and not hasattr(part, "arms"):
        radius = radius if hasattr(part, "radius") else radius / 2
        angles = np.linspace(0, math.tau, ROUND, endpoint=False)
        return np.stack([radius * np.cos(angles), radius * np.sin(angles)], 1)
    points = list(part.points().values())
    if len(points) < 2:
        return None
    return np.concatenate([_walk([points[0], point], is_closed=False) for point in points[1:]])


def _outlines(art: Any) -> Iterator[list[Point]]:
    for shape in art.shapes:
        x, y = shape.at
        if shape.cut is not None:
            yield from (_flat(course.segments) for course in shape.cut.courses)
        elif shape.disc is not None:
            r = shape.disc / 2
            yield [
                (x + r * math.cos(a), y + r * math.sin(a))
                for a in (math.tau * i / ROUND for i in range(ROUND))
            ]
        elif shape.block is not None:
            w, h = shape.block[0] / 2, shape.block[1] / 2
            yield [(x - w, y - h), (x + w, y - h), (x + w, y + h), (x - w, y + h)]
        else:
            yield [(px + x, py + y) for px, py in shape.outline]


def _flat(segments: Iterable[tuple[Point, ...]]) -> list[Point]:
    """Give points along straight and curved (Bezier) stretches."""
    found: list[Point] = []
    for ends in segments:
        for t in (0.0,) if len(ends) == 2 else (0.0, 0.25, 0.5, 0.75):
            row = list(ends)
            while len(row) > 1:  # de Casteljau
                row = [
                    (a[0] + (b[0] - a[0]) * t, a[1] + (b[1] - a[1]) * t)
                    for a, b in pairwise(row)
                ]
            found.append(row[0])
        last = ends[-1]
    return [*found, last] if found else found


def _walk(corners: list[Point], is_closed: bool = True) -> Floats:
    ends = [*corners, corners[0]] if is_closed else corners
    rows = []
    for (ax, ay), (bx, by) in pairwise(ends):
        count = max(1, math.ceil(math.hypot(bx - ax, by - ay) / APART))
        t = np.arange(count) / count
        rows.append(np.stack([ax + (bx - ax) * t, ay + (by - ay) * t], 1))
    rows.append(np.array([ends[-1]]))
    return np.concatenate(rows)


def narrowest(
    motion: Motion, least: float, most: float
) -> tuple[str, str, float, float] | None:
    """Find the pair of parts between which a gap closes farthest, without their ever covering one another.

    Parameters
    ----------
    least, most
        A gap counts that opens to ``most`` or more and closes below it, but stays over ``least``: nearer, they touch by design. [mm]

    Returns
    -------
    tuple or None
        Names of both parts, the narrowest gap and the widest. [mm]
    """
    scene = motion.scene
    steps = np.unique(
        np.linspace(motion.begins, len(motion.times) - 1, MOMENTS).round().astype(int)
    )
    faces = {}
    for name, part in scene.parts.items():
        if name in motion.frames and (face := face_of(part)) is not None:
            frame = motion.frame(name)[steps]
            c, s = np.cos(frame[:, 2, None]), np.sin(frame[:, 2, None])
            x, y = face[:, 0], face[:, 1]
            faces[name] = np.stack(
                [frame[:, 0, None] + c * x - s * y, frame[:, 1, None] + s * x + c * y], 2
            )
    found = None
    for first, second in combinations(faces, 2):
        same_body = motion.frames[first][0] == motion.frames[second][0]
        if same_body or view_of(first, scene.parts) != view_of(second, scene.parts):
            continue
        a, b = faces[first], faces[second]
        # boxes first: most pairs never come near
        low = np.maximum(a.min(1), b.min(1)) - np.minimum(a.max(1), b.max(1))
        if np.hypot(*np.maximum(low, 0.0).T).min() > most:
            continue
        gaps = np.array(
            [
                np.sqrt(((p[:, None] - q[None]) ** 2).sum(2).min())
                for p, q in zip(a, b, strict=True)
            ]
        )
        closed, opened = float(gaps.min()), float(gaps.max())
        is_closing = least <= closed < most <= opened
        if is_closing and (found is None or closed < found[2]):
            found = first, second, closed, opened
    return found
