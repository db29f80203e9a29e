"""Circles and their common tangents: eccentric and egg, exactly."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import TYPE_CHECKING, Any, NamedTuple

from animator.outlines.laws import PI, TURN, Rise
from animator.outlines.stances import Stance, Swing, Tip, Way

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

POINT_COUNT = (
    1440  # a quarter degree: the follower's acceleration at 120 rpm is then right within 0.1 %
)


class Circle(NamedTuple):
    """A circle in the cam's frame: centre and radius [mm]."""

    x: float
    y: float
    radius: float


def circles_of(cam: Any, stance: Way) -> tuple[Circle, ...]:
    """Circles whose common hull is the outline of an eccentric or an egg; empty for other outlines."""
    away = stance.direction - stance.sense * cam.phase + PI
    c, s = math.cos(away), math.sin(away)
    if cam.eccentric:
        throw = cam.eccentric.throw
        return (Circle(throw * c, throw * s, cam.eccentric.radius),)
    if cam.egg:
        return Circle(0.0, 0.0, cam.egg.radius), Circle(
            cam.egg.reach * c, cam.egg.reach * s, cam.egg.nose_radius
        )
    return ()


def _top_of_hull(circles: Sequence[Circle], x: float, sense: int) -> Rise | None:
    """Highest point of the hull of one or two circles on the upright line at ``x``, with derivatives over the angle turned.

    The circles turn about the origin. Whatever piece is on top (arc or tangent) is followed exactly.
    """
    best: Rise | None = None
    for cx, cy, radius in circles:
        a = cx - x
        if abs(a) > radius:
            continue
        w = math.sqrt(radius * radius - a * a) or 1e-12
        # x' = -sense y, y' = sense x for every point that turns with the cam
        v = sense * (cx + a * cy / w)
        acceleration = -cy + (a * cx - cy * cy) / w - (a * cy) ** 2 / w**3
        if best is None or cy + w > best[0]:
            best = (cy + w, v, acceleration)
    if len(circles) == 2:
        (ax, ay, ar), (bx, by, br) = circles
        reach = math.hypot(bx - ax, by - ay)
        if reach > abs(ar - br):
            to, lean = math.atan2(by - ay, bx - ax), math.acos((ar - br) / reach)
            for angle in (to + lean, to - lean):
                nx, ny = math.cos(angle), math.sin(angle)
                ends = sorted((ax + ar * nx, bx + br * nx))
                if ny > 1e-9 and ends[0] <= x <= ends[1]:
                    top = ax * nx + ay * ny + ar - nx * x
                    if best is None or top / ny > best[0] - 1e-12:
                        # top' = sense ny x, ny' = sense nx, nx' = -sense ny
                        v = sense * (x - top * nx / ny**2)
                        acceleration = (top - x * nx) / ny + 2 * top * nx * nx / ny**3
                        best = (top / ny, v, acceleration)
    return best


def hull_reach(circles: Sequence[Circle], tip: Tip, stance: Stance, turned: float) -> Rise:
    """Height of a tip that rests on an eccentric or an egg, above the axis along its slide, with derivatives over the angle turned.

    Exact: a roller's centre runs on the hull of the same circles made larger by its radius.

    Raises
    ------
    ValueError
        The follower's line passes beside the cam.
    """
    # seen with the follower upright: turn everything by a quarter turn less its direction
    angle = stance.sense * turned + PI / 2 - stance.direction
    c, s = math.cos(angle), math.sin(angle)
    seen = [
        Circle(c * x - s * y, s * x + c * y, radius + tip.radius) for x, y, radius in circles
    ]
    x, half = stance.offset, tip.half_width
    if half is not None:
        highest = max(seen, key=lambda circle: circle.y + circle.radius)
        if abs(highest.x - x) <= half:
            return highest.y + highest.radius, stance.sense * highest.x, -highest.y
        x += math.copysign(half, highest.x - x)
    found = _top_of_hull(seen, x, stance.sense)
    if found is None:
        raise ValueError("the follower's line passes beside the cam")
    return found


def swing_reach(circles: Sequence[Circle], tip: Tip, stance: Swing, turned: float) -> float:
    """How far along its arc a lever's tip rests on an eccentric or an egg [mm].

    Exact: a roller's centre meets the same circles made larger by its radius, and their tangents; a flat's plane goes through the pivot.

    Raises
    ------
    ValueError
        The tip's arc passes beside the cam.
    """
    c, s = math.cos(stance.sense * turned), math.sin(stance.sense * turned)
    seen = [
        Circle(c * x - s * y, s * x + c * y, radius + tip.radius) for x, y, radius in circles
    ]
    found: list[float] = []
    half = tip.half_width
    if half is not None:
        for x, y, radius in seen:
            angle, far = stance.seen(x, y)
            if far > radius and abs(math.sqrt(far**2 - radius**2) - stance.arm) <= half:
                found.append(angle + math.asin(radius / far))
        arms = [stance.arm - half, stance.arm + half]
    else:
        arms = [stance.arm]
    for arm in arms:
        found += _meetings(seen, arm, stance)
    if not found:
        raise ValueError("the lever's tip passes beside the cam")
    return stance.arm * max(found)


def _meetings(seen: Sequence[Circle], arm: float, stance: Swing) -> list[float]:
    """Angles off the line to the axis at which an arc about a lever's pivot meets the hull of circles. [rad]"""
    found = []
    for x, y, radius in seen:
        angle, far = stance.seen(x, y)
        cosine = (arm**2 + far**2 - radius**2) / (2 * arm * far)
        if -1 <= cosine <= 1:
            found.append(angle + math.acos(cosine))
    if len(seen) == 2:
        (ax, ay, ar), (bx, by, br) = seen
        reach = math.hypot(bx - ax, by - ay)
        if reach > abs(ar - br):
            to, lean = math.atan2(by - ay, bx - ax), math.acos((ar - br) / reach)
            for way in (to + lean, to - lean):
                nx, ny = math.cos(way), math.sin(way)
                x0, y0 = ax + ar * nx, ay + ar * ny
                dx, dy = bx + br * nx - x0, by + br * ny - y0
                px, py = x0 - stance.pivot[0], y0 - stance.pivot[1]
                square, along = dx * dx + dy * dy, px * dx + py * dy
                root = along * along - square * (px * px + py * py - arm * arm)
                if root >= 0 and square > 0:
                    for sign in (-1, 1):
                        share = (-along + sign * math.sqrt(root)) / square
                        if 0 <= share <= 1:
                            found.append(stance.seen(x0 + share * dx, y0 + share * dy)[0])
    return found


def hull_points(circles: Sequence[Circle]) -> Floats:
    """Points along the hull of one or two circles, anticlockwise, at even steps."""
    import numpy as np

    if len(circles) == 1:
        angle = TURN * np.arange(POINT_COUNT) / POINT_COUNT
        x, y, radius = circles[0]
        return np.stack([x + radius * np.cos(angle), y + radius * np.sin(angle)], 1)
    (ax, ay, ar), (bx, by, br) = circles
    reach = math.hypot(bx - ax, by - ay)
    to = math.atan2(by - ay, bx - ax)
    if reach <= abs(ar - br):  # one lies inside the other
        return hull_points([max(circles, key=lambda circle: circle.radius)])
    lean = math.acos((ar - br) / reach)
    flank = math.sqrt(reach**2 - (ar - br) ** 2)
    # from the end of the nose, round the base, and back: four pieces of known length
    pieces = [2 * lean * br, flank, (TURN - 2 * lean) * ar, flank]
    starts = np.concatenate([[0.0], np.cumsum(pieces)])
    at = starts[-1] * np.arange(POINT_COUNT) / POINT_COUNT
    out = np.empty((POINT_COUNT, 2))
    for i, run in enumerate(at):
        piece = min(int(np.searchsorted(starts, run, "right")) - 1, 3)
        u = run - starts[piece]
        if piece == 0:
            angle_, (x, y, radius) = to - lean + u / br if br else to, circles[1]
            out[i] = x + radius * math.cos(angle_), y + radius * math.sin(angle_)
        elif piece == 2:
            angle_, (x, y, radius) = to + lean + u / ar, circles[0]
            out[i] = x + radius * math.cos(angle_), y + radius * math.sin(angle_)
        else:
            angle_ = to + lean if piece == 1 else to - lean
            nx, ny, f = math.cos(angle_), math.sin(angle_), u / flank
            first, last = ((bx + br * nx, by + br * ny), (ax + ar * nx, ay + ar * ny))[
                :: 1 if piece == 1 else -1
            ]
            out[i] = first[0] + f * (last[0] - first[0]), first[1] + f * (last[1] - first[1])
    return out
