"""How much sheet a piece of artwork takes, where it balances and how it resists turning: exact integrals over its outline, holes left out.

What is drawn is sawn from one sheet: where shapes overlap the sheet is counted once, and a line is as wide as it is drawn.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

from animator.artwork.refusal import Unusable
from animator.artwork.sheet import Course, Cut, Line, Piece
from animator.geometry import Point

MOST_CROSSINGS = 100_000
"""Places where an outline may cross itself; a scribble of more can't be sawn."""
PAINTED = 0.9
"""Share of a shape that must lie on others for it to be painted on them."""
_CAPS = {"butt": "flat", "round": "round", "square": "square"}
_TIPPED = ("miter", "miter-clip", "arcs")
Region = Any


@dataclass(frozen=True)
class Spread:
    """A flat shape: its area [mm^2], its centre [mm] and its second moments about that centre [mm^4].

    ``xx`` is the integral of the squared distance to the right or left, ``yy`` up or down, ``xy`` of their product.
    """

    area: float
    x: float
    y: float
    xx: float
    yy: float
    xy: float


@lru_cache(maxsize=256)
def spread(piece: Piece) -> Spread:
    """Integrate over a piece of artwork."""
    return integrated(silhouette(piece))


@lru_cache(maxsize=256)
def silhouette(piece: Piece) -> Region:
    """All that is sawn of a piece, as one region with its holes."""
    import shapely

    return shapely.union_all([region(cut, piece.stray) for cut in piece.cuts])


def region(cut: Cut, stray: float) -> Region:
    """What one shape covers: its face and its line."""
    import shapely

    found = []
    if cut.paint is not None or cut.picture is not None:
        found.append(_face(cut, stray))
    if cut.line is not None:
        for course in cut.courses:
            found.extend(_drawn(course, cut.line, stray))
    return shapely.union_all(found)


def _drawn(course: Course, line: Line, stray: float) -> Iterator[Region]:
    """What a line covers: it broadened to both sides, and the tips of its corners."""
    import shapely

    half = line.width / 2
    points = course.flattened(stray)
    _refuse_scribble([points])
    is_ring = course.is_closed and len(set(points)) > 2
    way = shapely.LinearRing(points) if is_ring else shapely.LineString(points)
    yield way.buffer(
        half,
        quad_segs=max(4, min(64, round((half / stray) ** 0.5))),
        cap_style=_CAPS.get(line.cap, "flat"),
        join_style="round" if line.join == "round" else "bevel",
    )
    if line.join in _TIPPED:
        yield from _tips(points, is_ring, half, line.mitre)


def _tips(points: list[Point], is_ring: bool, half: float, limit: float) -> Iterator[Region]:
    """Tips of a line's sharp corners; one longer than its limit allows stays cut off (SVG 2, 13.5.5)."""
    import shapely

    way = [p for p, after in zip(points, [*points[1:], None], strict=True) if p != after]
    if is_ring and way[0] == way[-1]:
        way.pop()
    corners = range(len(way)) if is_ring else range(1, len(way) - 1)
    for i in corners:
        (ax, ay), (px, py), (bx, by) = way[i - 1], way[i], way[(i + 1) % len(way)]
        u = (px - ax) / math.dist(way[i - 1], way[i]), (py - ay) / math.dist(way[i - 1], way[i])
        after = math.dist(way[i], way[(i + 1) % len(way)])
        v = (bx - px) / after, (by - py) / after
        turn = math.atan2(u[0] * v[1] - u[1] * v[0], u[0] * v[0] + u[1] * v[1])
        slim = math.cos(turn / 2)  # half the line's width as a share of its tip
        if abs(turn) < 0.02 or slim <= 0 or 1 / slim > limit:
            continue
        side = -math.copysign(half, turn)
        first = px - u[1] * side, py + u[0] * side
        last = px - v[1] * side, py + v[0] * side
        mx, my = first[0] + last[0] - 2 * px, first[1] + last[1] - 2 * py
        reach = half / slim / math.hypot(mx, my)
        yield shapely.Polygon([(px, py), first, (px + mx * reach, py + my * reach), last])


def _face(cut: Cut, stray: float) -> Region:
    """What a shape's fill covers, by its rule: faces between its lines, each kept or not by how often the outline goes round it."""
    import numpy as np
    import shapely
    from shapely.ops import polygonize

    rings = [points for course in cut.courses if len(points := course.flattened(stray)) > 2]
    if not rings:
        return shapely.Polygon()
    if len(rings) == 1 and (simple := shapely.Polygon(rings[0])).is_valid:
        return simple
    _refuse_scribble(rings)
    lines = shapely.union_all([shapely.LineString([*ring, ring[0]]) for ring in rings])
    faces = list(polygonize(lines))
    if not faces:
        return shapely.Polygon()
    inside = np.array([(p.x, p.y) for p in shapely.point_on_surface(faces)])
    rounds = sum(_rounds(np.array(ring), inside) for ring in rings)
    keep = rounds % 2 == 1 if cut.is_even_odd else rounds != 0
    return shapely.union_all(
        [face for face, is_kept in zip(faces, keep, strict=True) if is_kept]
    )


def _rounds(ring: Any, points: Any) -> Any:
    """How often a closed outline goes round each of some points: crossings of a ray to the right, upwards less downwards."""
    import numpy as np

    ends = np.roll(ring, -1, 0)
    out = np.zeros(len(points), int)
    for i, (x, y) in enumerate(points):
        up = (ring[:, 1] <= y) & (ends[:, 1] > y)
        down = (ring[:, 1] > y) & (ends[:, 1] <= y)
        side = (ends[:, 0] - ring[:, 0]) * (y - ring[:, 1]) - (x - ring[:, 0]) * (
            ends[:, 1] - ring[:, 1]
        )
        out[i] = np.count_nonzero(up & (side > 0)) - np.count_nonzero(down & (side < 0))
    return out


def _refuse_scribble(rings: list[list[tuple[float, float]]]) -> None:
    """Refuse an outline that crosses itself so often that parting it at its crossings would never end."""
    import numpy as np
    import shapely

    ends = np.array(
        [(a, b) for ring in rings for a, b in zip(ring, [*ring[1:], ring[0]], strict=True)]
    )
    if len(ends) < 400:
        return
    lines = shapely.linestrings(ends)
    tree = shapely.STRtree(lines)
    found = 0
    for i in range(0, len(lines), 200):
        found += len(tree.query(lines[i : i + 200], predicate="intersects")[0])
        if found > 2 * MOST_CROSSINGS + 3 * len(lines):
            raise Unusable("an outline that crosses itself without end", "draw a plain outline")


def integrated(found: Region) -> Spread:
    """Integrate over a region: sums over the triangles between each edge and the origin (Green's theorem), exact for straight edges."""
    import numpy as np

    sums = np.zeros(6)
    x0, y0 = found.centroid.coords[0] if not found.is_empty else (0.0, 0.0)
    for ring, sign in _rings(found):
        p = np.asarray(ring.coords)[:, :2] - (x0, y0)
        (ax, ay), (bx, by) = p[:-1].T, p[1:].T
        cross = ax * by - bx * ay
        whole = np.array(
            [
                cross.sum() / 2,
                ((ax + bx) * cross).sum() / 6,
                ((ay + by) * cross).sum() / 6,
                (cross * (ax * ax + ax * bx + bx * bx)).sum() / 12,
                (cross * (ay * ay + ay * by + by * by)).sum() / 12,
                (cross * (2 * ax * ay + ax * by + bx * ay + 2 * bx * by)).sum() / 24,
            ]
        )
        sums += sign * whole * (1 if whole[0] >= 0 else -1)
    area, x, y, xx, yy, xy = sums.tolist()
    if area <= 0:
        return Spread(0.0, x0, y0, 0.0, 0.0, 0.0)
    x, y = x / area, y / area
    return Spread(area, x0 + x, y0 + y, xx - area * x * x, yy - area * y * y, xy - area * x * y)


def _rings(found: Region) -> Iterator[tuple[Any, int]]:
    for part in getattr(found, "geoms", [found]):
        if part.geom_type == "Polygon" and not part.is_empty:
            yield part.exterior, 1
            yield from ((hole, -1) for hole in part.interiors)
        elif part.geom_type in ("MultiPolygon", "GeometryCollection"):
            yield from _rings(part)


@lru_cache(maxsize=256)
def layers(piece: Piece) -> tuple[int | None, ...]:
    """Tell of each shape whether it is sawn by itself (None) or painted, and then on which (the place of the nearest sawn one under it).

    What lies on the shapes before it, but for a sliver, is painted on them.
    """
    import shapely

    sawn: list[tuple[int, Region]] = []
    out: list[int | None] = []
    for i, cut in enumerate(piece.cuts):
        own = region(cut, piece.stray)
        under = [(at, other) for at, other in sawn if _meet(own, other)]
        on = under[-1][0] if under else None
        if under and own.area > 0:
            hidden = own.intersection(shapely.union_all([other for _, other in under])).area
            on = on if hidden > PAINTED * own.area else None
        if on is None:
            sawn.append((i, own))
        out.append(on)
    return tuple(out)


def _meet(one: Region, other: Region) -> bool:
    a, b = one.bounds, other.bounds
    return bool(
        a[0] <= b[2]
        and b[0] <= a[2]
        and a[1] <= b[3]
        and b[1] <= a[3]
        and one.intersects(other)
    )
