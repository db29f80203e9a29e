"""The shape a maker saws round some holes: their convex hull, a rim farther out, its corners round."""

import math
from collections.abc import Iterable

from animator.geometry import Point

STEPS = 8  # chords in a quarter circle: within a hundredth of the rim of the round


def hull(points: Iterable[Point]) -> list[Point]:
    """Corners of the convex hull of some points, anticlockwise (Andrew's monotone chain).

    Examples
    --------
    >>> hull([(0, 0), (10, 0), (5, 2), (5, 9)])
    [(0, 0), (10, 0), (5, 9)]
    """
    order = sorted(set(points))
    if len(order) < 3:
        return order

    def half(ordered: Iterable[Point]) -> list[Point]:
        found: list[Point] = []
        for p in ordered:
            while len(found) > 1 and _turn(found[-2], found[-1], p) <= 1e-9:
                found.pop()
            found.append(p)
        return found[:-1]

    return half(order) + half(reversed(order))


def _turn(a: Point, b: Point, c: Point) -> float:
    return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])


def rounded(points: Iterable[Point], rim: float) -> list[Point]:
    """Outline a rim [mm] outside the convex hull of some points, anticlockwise, with round corners.

    Examples
    --------
    >>> outline = rounded([(0, 0), (30, 0)], 5)
    >>> round(min(x for x, _ in outline), 3), round(max(y for _, y in outline), 3)
    (-5.0, 5.0)
    """
    corners = hull(points)
    count = len(corners)
    found: list[Point] = []
    for i, (x, y) in enumerate(corners):
        (ax, ay), (bx, by) = corners[i - 1], corners[(i + 1) % count]
        if count == 1:
            start, turn = 0.0, math.tau
        else:
            start = math.atan2(y - ay, x - ax) - math.pi / 2
            turn = (math.atan2(by - y, bx - x) - math.pi / 2 - start) % math.tau
            turn = turn or math.pi  # the end of a straight one
        steps = max(1, math.ceil(turn / (math.pi / 2) * STEPS))
        found += [
            (
                x + rim * math.cos(start + turn * k / steps),
                y + rim * math.sin(start + turn * k / steps),
            )
            for k in range(steps + 1)
        ]
    return found
