"""A lift wanted at the follower in, the exact closed curve that gives it out."""

from __future__ import annotations

import math
from collections.abc import Callable
from functools import cached_property
from typing import TYPE_CHECKING, Any

from animator.geometry import Point
from animator.outlines.circles import (
    POINT_COUNT,
    Circle,
    circles_of,
    hull_points,
    hull_reach,
    swing_reach,
)
from animator.outlines.curves import Curve
from animator.outlines.laws import PI, TURN
from animator.outlines.lifts import Lift, lift_of
from animator.outlines.stances import Stance, Swing, Tip, Way, face

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

CORNER = 0.15  # mm: how round a sharp corner is made; smaller ones throw a landing roller off, larger ones are seen
CORNER_STEP = 0.1  # mm between the points of an outline that has corners


def start_reach(cam: Any, tip: Tip, turned: float, stance: Way) -> float:
    """How far a follower's tip (roller centre, knife edge, flat face) stands from the cam's axis along its slide, or along its arc from the line between pivot and axis [mm].

    Parameters
    ----------
    cam
        The cam part, laid out for this very follower.
    tip
        What touches it.
    turned
        How far its shaft has turned in the running direction. [rad]
    stance
        How the follower stands to it.

    Raises
    ------
    ValueError
        The follower's line passes beside the cam.
    """
    circles = circles_of(cam, stance)
    if circles:
        return _on_circles(circles, tip, stance, turned)
    if cam.drop or cam.traced:
        return outline_of(cam, tip, stance).reach(tip, stance, turned)
    lift = lift_of(cam)
    assert lift is not None  # one of the outlines is always given
    return stance.seat(cam.base_radius, tip) + lift.turned(turned)[0]


def _on_circles(circles: tuple[Circle, ...], tip: Tip, stance: Way, turned: float) -> float:
    if isinstance(stance, Swing):
        return swing_reach(circles, tip, stance, turned)
    return hull_reach(circles, tip, stance, turned)[0]


def smallest_radius(cam: Any) -> float:
    """Smallest radius of a cam about its shaft, on which a lever is seated to lay it out. [mm]"""
    if cam.eccentric:
        return float(cam.eccentric.radius - cam.eccentric.throw)
    if cam.egg:
        return float(min(cam.egg.radius, cam.egg.reach + cam.egg.nose_radius))
    if cam.traced:
        return min(math.hypot(x, y) for x, y in cam.traced.curve)
    return float(cam.base_radius)


class Outline:
    """The shape of a cam in its own frame.

    ``circles`` are given where the outline is made of circles and their tangents (eccentric, egg): contact with a flat is then exact against the
    circles, while a spline's flanks can't be told from the flat. ``curve`` is always there, built when first asked for.
    """

    def __init__(self, circles: tuple[Circle, ...], points: Callable[[], Floats]) -> None:
        self.circles = circles
        self._points = points

    @cached_property
    def curve(self) -> Curve:
        """The outline as a smooth closed curve."""
        return Curve(self._points())

    def polygon(self) -> list[Point]:
        """Corners of the outline for drawing, anticlockwise [mm]."""
        return [(x, y) for x, y in self._points().tolist()]

    def reach(self, tip: Tip, stance: Way, turned: float) -> float:
        """Height above the axis of any tip that rests on the outline, along its slide or its arc, whichever follower it was laid out for [mm].

        Raises
        ------
        ValueError
            The follower's line passes beside the cam.
        """
        if self.circles:
            return _on_circles(self.circles, tip, stance, turned)
        if isinstance(stance, Swing):
            return self._swing_reach(tip, stance, turned)
        import numpy as np

        angle = stance.sense * turned + PI / 2 - stance.direction
        c, s = math.cos(angle), math.sin(angle)
        x0, y0 = self.curve.points.T
        x, y = c * x0 - s * y0 - stance.offset, s * x0 + c * y0
        tops: list[float] = []
        for line in (0.0,) if tip.half_width is None else (-tip.half_width, tip.half_width):
            x1, y1 = np.roll(x, -1) - line, np.roll(y, -1)
            here = x - line
            cut = np.nonzero((here <= 0) != (x1 <= 0))[0]
            tops += (
                (y[cut] + (y1[cut] - y[cut]) * here[cut] / (here[cut] - x1[cut])).tolist()
                if len(cut) and not tip.radius
                else []
            )
        half = tip.half_width if tip.half_width is not None else tip.radius
        under = np.abs(x) < half
        if under.any():
            tops.append(
                float(
                    (
                        y[under]
                        + np.sqrt(
                            np.maximum(tip.radius**2 - x[under] ** 2, 0.0)
                            if tip.half_width is None
                            else 0.0
                        )
                    ).max()
                )
            )
        if not tops or max(tops) <= 0:
            raise ValueError("the follower's line passes beside the cam")
        return max(tops)

    def _swing_reach(self, tip: Tip, stance: Swing, turned: float) -> float:
        """Turn a lever onto the outline from above: the first of its points that a roller's rim, an edge or a face meets."""
        import numpy as np

        angle = stance.sense * turned
        c, s = math.cos(angle), math.sin(angle)
        x0, y0 = self.curve.points.T
        (px, py), arm = stance.pivot, stance.arm
        x, y = c * x0 - s * y0 - px, s * x0 + c * y0 - py
        far = np.hypot(x, y)
        off = stance.side * (np.arctan2(y, x) - math.atan2(-py, -px))
        off = (off + PI) % TURN - PI
        tops: list[float] = []
        if tip.radius:
            cosine = (arm**2 + far**2 - tip.radius**2) / (2 * arm * far)
            near = np.abs(cosine) <= 1
            tops += (off[near] + np.arccos(cosine[near])).tolist()
        half = tip.half_width
        if half is not None:
            tops += off[np.abs(far - arm) <= half].tolist()
        if not tip.radius:
            for edge in (arm,) if half is None else (arm - half, arm + half):
                here, there = far - edge, np.roll(far, -1) - edge
                cut = np.nonzero((here <= 0) != (there <= 0))[0]
                share = here[cut] / (here[cut] - there[cut])
                tops += (off[cut] + share * (np.roll(off, -1)[cut] - off[cut])).tolist()
        if not tops or max(tops) <= 0:
            raise ValueError("the lever's tip passes beside the cam")
        return arm * max(tops)


class Groove(Outline):
    """A cam with a groove cut into its face: a roller runs between two walls. ``curve`` is the way of the roller's middle.

    ``half`` is half the groove's width, ``rim`` the radius of the disc it is cut into. [mm]
    """

    def __init__(self, points: Callable[[], Floats], half: float) -> None:
        super().__init__((), points)
        self.half = half

    @property
    def rim(self) -> float:
        """Radius of the disc: as much stuff is left outside the groove as the groove is wide, at its farthest. [mm]"""
        return self.curve.largest_radius + 2.2 * self.half

    def walls(self) -> tuple[list[Point], list[Point]]:
        """Inner and outer wall, anticlockwise. [mm]"""
        step = self.half * self.curve.normals
        points = self.curve.points
        inner, outer = (points - step).tolist(), (points + step).tolist()
        return [(x, y) for x, y in inner], [(x, y) for x, y in outer]

    def polygon(self) -> list[Point]:
        """The disc's rim. [mm]"""
        rim = self.rim
        return [
            (rim * math.cos(TURN * i / 360), rim * math.sin(TURN * i / 360)) for i in range(360)
        ]

    def reach(self, tip: Tip, stance: Way, turned: float) -> float:
        """How far along its way the roller's middle stands when it lies in the middle of the groove. [mm]"""
        return super().reach(Tip(), stance, turned)


def outline_of(cam: Any, tip: Tip, stance: Way) -> Outline:
    """Lay out a cam for the follower that rides on it.

    Parameters
    ----------
    cam
        The cam part.
    tip
        What the follower puts against it.
    stance
        How the follower stands to it; its lift is then exactly the wanted one, also with an offset.
    """
    if cam.groove:
        return Groove(lambda: _middle_of_groove(cam, tip, stance), cam.groove.width / 2)
    circles = circles_of(cam, stance)
    if circles:
        return Outline(circles, lambda: hull_points(circles))
    if cam.traced:
        return Outline((), lambda: _laid_down(cam, stance))
    lift = lift_of(cam)
    assert lift is not None  # one of the outlines is always given
    base = cam.base_radius
    if cam.drop:
        edge = (
            stance if isinstance(stance, Swing) else Stance(stance.direction, 0.0, stance.sense)
        )
        return Outline((), lambda: _round(_layout(lift, base, Tip(), edge)[0]))
    if lift.corners and tip != Tip():
        return Outline((), lambda: _round(_cut_corners(*_layout(lift, base, tip, stance), tip)))
    return Outline((), lambda: _layout(lift, base, tip, stance)[0])


def _middle_of_groove(cam: Any, tip: Tip, stance: Way) -> Floats:
    """Points of the way of a roller's middle round the cam."""
    circles = circles_of(cam, stance)
    if circles:
        return hull_points([Circle(x, y, radius + tip.radius) for x, y, radius in circles])
    lift = lift_of(cam)
    assert lift is not None
    path = _layout(lift, cam.base_radius, tip, stance)[1]
    return _round(path) if lift.corners else path


def _laid_down(cam: Any, stance: Way) -> Floats:
    """Points of a traced outline, turned by the cam's phase."""
    import numpy as np

    angle = -stance.sense * cam.phase
    c, s = math.cos(angle), math.sin(angle)
    x, y = np.array(cam.traced.curve).T
    return np.stack([c * x - s * y, s * x + c * y], 1)


def roller_profile(
    lift: Lift, base_radius: float, radius: float, stance: Way | None = None
) -> Curve:
    """Outline that gives a roller (or a knife edge, radius 0) exactly the wanted lift, in a guide with or without an offset, or on a lever."""
    return Curve(_layout(lift, base_radius, Tip(radius), stance or Stance())[0])


def flat_profile(lift: Lift, base_radius: float, stance: Way | None = None) -> Curve:
    """Outline that gives a flat face exactly the wanted lift; the face must reach as far aside as the lift's derivative is large."""
    return Curve(_layout(lift, base_radius, Tip(half_width=math.inf), stance or Stance())[0])


def _layout(lift: Lift, base: float, tip: Tip, stance: Way) -> tuple[Floats, Floats, Floats]:
    """Points of the outline, of the tip's path round the cam, and the outward normals there; (count, 2) each, anticlockwise.

    At corners of the lift the normal swings over from one side to the other, so that a roller's or a face's way round them is in it.
    """
    import numpy as np

    direction, sense = stance.direction, stance.sense
    # polar angle psi of the follower's seat in the cam's frame grows anticlockwise; programme angle = sense (direction - psi) - phase
    rows: list[tuple[float, float, float]] = []
    for i in range(POINT_COUNT):
        turned = TURN * i / POINT_COUNT
        rows.append((turned, *lift.at(sense * (direction - turned) - lift.phase)[:2]))
    if tip != Tip():
        for corner in lift.corners:
            psi = (direction - sense * (corner + lift.phase)) % TURN
            before, after = lift.at(corner - 1e-9), lift.at(corner + 1e-9)
            swing = (after[1], before[1]) if sense > 0 else (before[1], after[1])
            rows += [
                (psi + 1e-9 * k, after[0], swing[0] + (swing[1] - swing[0]) * k / 20)
                for k in range(21)
            ]
        rows.sort()
    low = stance.seat(base, tip)
    points, path, normals = [], [], []
    for psi, s, v in rows:
        along, rise = low + s, (s, v, 0.0)
        x, y, tx, ty = stance.tip(along)
        if tip.half_width is not None:
            touch = face(rise, along, stance)
            nx, ny = tx, ty
            px = touch.height * tx + (x * ty - y * tx + touch.aside) * ty
            py = touch.height * ty - (x * ty - y * tx + touch.aside) * tx
            x, y = px, py
        else:
            # square to the tip's way over the cam: along its lift and to the right of it
            up = v - sense * (x * ty - y * tx)
            right = stance.sense * (x * tx + y * ty)
            length = math.hypot(up, right)
            nx = (sense * right * tx - sense * up * ty) / length
            ny = (sense * right * ty + sense * up * tx) / length
            px, py = x - tip.radius * nx, y - tip.radius * ny
        c, s = math.cos(psi - direction), math.sin(psi - direction)
        points.append((c * px - s * py, s * px + c * py))
        path.append((c * x - s * y, s * x + c * y))
        normals.append((c * nx - s * ny, s * nx + c * ny))
    return np.array(points), np.array(path), np.array(normals)


def _cut_corners(points: Floats, path: Floats, normals: Floats, tip: Tip) -> Floats:
    """Take away what the tip itself would cut off elsewhere: the loops that an offset curve makes at an outward corner."""
    import numpy as np

    keep = np.ones(len(points), bool)
    for shift in range(1, len(points) // 3):
        for way in (shift, -shift):
            if tip.half_width is None:
                apart = points - np.roll(path, way, 0)
                keep &= np.hypot(apart[:, 0], apart[:, 1]) >= tip.radius - 1e-7
            else:
                normal = np.roll(normals, way, 0)
                keep &= ((points - np.roll(points, way, 0)) * normal).sum(1) <= 1e-7
    return points[keep]


def _round(points: Floats) -> Floats:
    """Points at even steps along a closed outline, its sharp corners rounded to ``CORNER``."""
    import numpy as np

    closed = np.vstack([points, points[:1]])
    run = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(closed, axis=0).T))])
    count = max(int(run[-1] / CORNER_STEP), 64)
    at = np.arange(count) * run[-1] / count
    even = np.stack([np.interp(at, run, closed[:, 0]), np.interp(at, run, closed[:, 1])], 1)
    wave = np.exp(-0.5 * (TURN * np.fft.rfftfreq(count) * CORNER / (run[-1] / count)) ** 2)[
        :, None
    ]  # a Gaussian, by Fourier
    return np.asarray(np.fft.irfft(np.fft.rfft(even, axis=0) * wave, count, axis=0))
