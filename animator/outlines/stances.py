"""What touches a cam and how it stands to it; angles of pressure, radii of curvature, undercut."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any, NamedTuple

from animator.geometry import Point
from animator.outlines.laws import PI, TURN, Rise
from animator.outlines.lifts import Lift

ON_THE_LINE = 1e-6  # rad; an arm drawn straight at the cam's axis has no side of its own


class Tip(NamedTuple):
    """The end of a follower: a roller of ``radius`` [mm] (0: a knife edge), or a flat face reaching ``half_width`` [mm] to both sides.

    ``wall``: half the width of the groove a roller runs in (0: it runs on an edge). ``opening``: from the flat to the one opposite that closes its yoke (0: none).
    """

    radius: float = 0.0
    half_width: float | None = None
    wall: float = 0.0
    opening: float = 0.0


def tip_of(follower: Any) -> Tip:
    """Read what a follower or a friction disc puts against its cam. The disc touches with the flat underside, in the cam's plane."""
    tip = getattr(follower, "tip", None)
    if tip is None:
        radius, aside = follower.diameter / 2, follower.offset
        return Tip(half_width=math.sqrt(max(radius**2 - aside**2, 0.0)))
    if tip.yoke is not None:
        return Tip(half_width=tip.yoke / 2, opening=tip.yoke)
    if tip.flat_width is not None:
        return Tip(half_width=tip.flat_width / 2)
    return Tip(tip.roller_radius)


class Stance(NamedTuple):
    """How a follower in a guide stands to its cam: ``direction`` it slides [rad], ``offset`` of its line [mm, right of the direction], running ``sense``.

    Its way is counted along the slide, from the foot of the perpendicular from the cam's axis.
    """

    direction: float = PI / 2
    offset: float = 0.0
    sense: int = 1

    @property
    def bend(self) -> float:
        """How much its way turns for each millimetre: a slide is straight. [rad/mm]"""
        return 0.0

    def seat(self, base_radius: float, tip: Tip) -> float:
        """How far along its way it sits on a base circle. [mm]"""
        return seat_height(base_radius, tip, self.offset)

    def tip(self, along: float) -> tuple[float, float, float, float]:
        """Place of the tip, seen from the cam's axis [mm], and the way it is lifted there (unit vector)."""
        c, s = math.cos(self.direction), math.sin(self.direction)
        return self.offset * s + along * c, -self.offset * c + along * s, c, s


class Swing(NamedTuple):
    """How a follower on a lever stands to its cam.

    Its way is the arc of the tip, counted from the line between its pivot and the cam's axis [mm of arc]; lifts are along the arc. A flat lies along its arm, so
    its plane goes through the pivot.

    Parameters
    ----------
    direction
        From the cam's axis to the tip at its lowest; the outline is laid out from there. [rad]
    pivot
        Seen from the cam's axis. [mm]
    arm
        From the pivot to the tip. [mm]
    side
        +1: the lever turns anticlockwise when it is lifted; -1: clockwise.
    sense
        +1: the cam runs anticlockwise; -1: clockwise.
    """

    direction: float
    pivot: Point
    arm: float
    side: int = 1
    sense: int = 1

    @property
    def reach(self) -> float:
        """From the pivot to the cam's axis. [mm]"""
        return math.hypot(*self.pivot)

    @property
    def bend(self) -> float:
        """How much its way turns for each millimetre, anticlockwise. [rad/mm]"""
        return self.side / self.arm

    def seat(self, base_radius: float, tip: Tip) -> float:
        """How far along its way it sits on a base circle. [mm]

        Raises
        ------
        ValueError
            It can't touch that circle.
        """
        reach = self.reach
        if tip.half_width is not None:
            if base_radius >= reach:
                raise ValueError("the lever's pivot lies inside the cam")
            return self.arm * math.asin(base_radius / reach)
        centre = base_radius + tip.radius
        cosine = (reach**2 + self.arm**2 - centre**2) / (2 * reach * self.arm)
        if not -1 < cosine < 1:
            raise ValueError("the lever's arm doesn't reach the cam")
        return self.arm * math.acos(cosine)

    def angle(self, along: float) -> float:
        """Which way the arm points, from its pivot. [rad]"""
        x, y = self.pivot
        return math.atan2(-y, -x) + self.side * along / self.arm

    def seen(self, x: float, y: float) -> tuple[float, float]:
        """Where a place lies, seen from the pivot: how far it is turned off the line to the axis, the way the lever lifts [rad], and how far it is [mm]."""
        px, py = self.pivot
        off = math.atan2(y - py, x - px) - math.atan2(-py, -px)
        return self.side * math.remainder(off, TURN), math.hypot(x - px, y - py)

    def tip(self, along: float) -> tuple[float, float, float, float]:
        """Place of the tip, seen from the cam's axis [mm], and the way it is lifted there (unit vector)."""
        angle = self.angle(along)
        c, s = math.cos(angle), math.sin(angle)
        return (
            self.pivot[0] + self.arm * c,
            self.pivot[1] + self.arm * s,
            -self.side * s,
            self.side * c,
        )


Way = Stance | Swing
"""How a follower moves, in a guide or on a lever."""


def lifting_side(pivot: Point, tip_angle: float) -> int:
    """Which way a lever turns when its cam lifts it: away from the line to the axis, on the side its arm is drawn; on the line itself, upwards."""
    off = math.remainder(tip_angle - math.atan2(-pivot[1], -pivot[0]), TURN)
    if abs(off) < ON_THE_LINE:
        return 1 if math.cos(tip_angle) >= 0 else -1
    return 1 if off > 0 else -1


def swing(
    pivot: Point, tip_angle: float, arm: float, base_radius: float, tip: Tip, sense: int
) -> Swing:
    """Lay out how a lever stands to a cam.

    Parameters
    ----------
    pivot
        Seen from the cam's axis. [mm]
    tip_angle
        Which way the arm is drawn, from the pivot: it rests on that side of the line to the axis. [rad]
    arm
        From the pivot to the tip. [mm]
    base_radius
        The cam's smallest radius. [mm]
    tip
        What touches the cam.
    sense
        Which way the cam runs.

    Raises
    ------
    ValueError
        The arm can't touch a circle of that radius.
    """
    found = Swing(0.0, pivot, arm, lifting_side(pivot, tip_angle), sense)
    x, y, _, _ = found.tip(found.seat(base_radius, tip))
    return found._replace(direction=math.atan2(y, x))


# ---------------------------------------------------------------- angles of pressure, radii of curvature
def seat_height(base_radius: float, tip: Tip, offset: float) -> float:
    """Height of the tip above the axis, along its slide, at lift 0: sqrt((base + roller)^2 - offset^2), a flat face: the base radius [mm]."""
    if tip.half_width is not None:
        return base_radius
    square = (base_radius + tip.radius) ** 2 - offset**2
    if square <= 0:
        raise ValueError(
            f"an offset of {offset:g} mm misses a base of {base_radius + tip.radius:g} mm"
        )
    return math.sqrt(square)


def _rubbing(rise: Rise, along: float, stance: Way) -> tuple[float, float]:
    """How the tip moves over the cam for each radian the cam turns: along its lift, and to the right of it. [mm]"""
    x, y, tx, ty = stance.tip(along)
    return rise[1] - stance.sense * (-y * tx + x * ty), -stance.sense * (-y * ty - x * tx)


def pressure_angle(rise: Rise, height: float, stance: Way) -> float:
    r"""Angle between a roller's push and its way, positive while it rises [rad].

    The push is square to how the roller's centre moves over the cam. In a guide that is tan(angle) = (s' - sense * offset) / height, height = s +
    sqrt(Rp^2 - offset^2). Source: Shigley/Uicker, *Theory of Machines and Mechanisms*; Norton, *Design of Machinery*, cam chapter (from memory, recomputed); on
    a lever derived, recomputed from a numeric envelope.

    Parameters
    ----------
    rise
        Lift and derivatives there.
    height
        Of the roller's centre above the axis, along the slide; on a lever along its arc. [mm]
    stance
        How the follower stands.
    """
    up, right = _rubbing(rise, height, stance)
    return math.atan2(up, stance.sense * right)


def pitch_radius(rise: Rise, height: float, stance: Way) -> float:
    r"""Radius of curvature of the roller centre's path round the cam, positive where it is convex [mm].

    In a guide [(Y^2 + w^2)^(3/2)] / [Y^2 + w (2 s' - e) - Y s''], w = s' - e, Y the height, e the offset taken in the running sense; for a radial
    roller this is the form in Norton and Shigley. Derived, here for any way, as |q'|^3 / (q' x q'') of the path seen from the cam; recomputed by finite differences.
    """
    _, v, a = rise
    x, y, tx, ty = stance.tip(height)
    sense, turn = stance.sense, v * v * stance.bend
    ux, uy = v * tx + sense * y, v * ty - sense * x
    wx = a * tx - turn * ty + 2 * sense * v * ty - x
    wy = a * ty + turn * tx - 2 * sense * v * tx - y
    below = -sense * (ux * wy - uy * wx)
    return math.inf if abs(below) < 1e-12 else (ux * ux + uy * uy) ** 1.5 / below


class Face(NamedTuple):
    """A flat face on its cam: distance of its plane from the axis, how far to the right of the tip it touches, radius of the outline there. [mm]"""

    height: float
    aside: float
    radius: float


def face(rise: Rise, along: float, stance: Way) -> Face:
    r"""Touch a cam with a flat face.

    With the support h of the face's plane and the angle t it has turned through against the cam, the touch lies dh/dt aside and the outline's radius is h +
    d2h/dt2 (support function of a curve). In a guide that is s' aside and base + s + s'' (Norton; Shigley); it must stay above 0.
    """
    _, v, a = rise
    x, y, tx, ty = stance.tip(along)
    bend = stance.bend
    # h = tip . way; along an arc the way turns, and the tip goes along its way
    height = x * tx + y * ty
    slope = 1.0 + bend * (-x * ty + y * tx) if bend else 1.0
    curve = -bend * bend * height if bend else 0.0
    turn, turned_more = bend * v - stance.sense, bend * a
    h1 = slope * v
    h2 = slope * a + curve * v * v
    if abs(turn) < 1e-9:
        return Face(height, math.inf, -math.inf)
    aside = -h1 / turn - (x * ty - y * tx)
    return Face(height, aside, height + (h2 * turn - h1 * turned_more) / turn**3)


def flat_radius(rise: Rise, base_radius: float) -> float:
    """Radius of curvature of the outline under a flat face in a guide: base + s + s'' [mm]. It must stay above 0 (Norton; Shigley)."""
    return base_radius + rise[0] + rise[2]


def undercut(
    lift: Lift, base_radius: float, tip: Tip, stance: Way
) -> tuple[float, float] | None:
    """Find where the outline would have to bend more sharply than the tip can feel.

    Returns
    -------
    tuple or None
        Programme angle [rad] and radius of curvature there [mm] at the worst place; None if the outline can be cut. The ends of
        straight steps are corners by intention and don't count here: the outline simply cuts them. In a groove the hollow bends count too (below 0): there the
        outer wall would fold.
    """
    worst: tuple[float, float] | None = None
    is_flat = tip.half_width is not None
    if not is_flat and not tip.radius:
        return None
    low = stance.seat(base_radius, tip)
    for angle, rise in lift.samples():
        along = low + rise[0]
        radius = (
            face(rise, along, stance).radius if is_flat else pitch_radius(rise, along, stance)
        )
        if is_flat:
            is_bad, is_worse = radius <= 0, worst is None or radius < worst[1]
        else:
            is_bad = 0 < radius < max(tip.radius, tip.wall) or -tip.wall < radius < 0
            is_worse = worst is None or abs(radius) < abs(worst[1])
        if is_bad and is_worse:
            worst = (angle, radius)
    return worst


def steepest(lift: Lift, base_radius: float, tip: Tip, stance: Way) -> tuple[float, float]:
    """Find where a roller is pushed most askew: programme angle and pressure angle, by its size. [rad]

    Ends of straight steps are left out: the tip cuts them. A flat pushes square to its face and is never pushed askew.
    """
    if tip.half_width is not None:
        return 0.0, 0.0
    low = stance.seat(base_radius, tip)
    return max(
        (
            (angle, pressure_angle(rise, low + rise[0], stance))
            for angle, rise in lift.samples()
        ),
        key=lambda found: abs(found[1]),
    )


def smallest_base(
    lift: Lift,
    tip: Tip,
    stance: Way,
    most: float = 1000.0,
    steepest_allowed: float = math.inf,
) -> float | None:
    """Smallest base radius without undercut, and with no pressure angle above a limit [rad], by halving; None if there is none up to ``most`` [mm]."""

    def is_bad(base: float) -> bool:
        try:
            return undercut(lift, base, tip, stance) is not None or (
                steepest_allowed < math.inf
                and abs(steepest(lift, base, tip, stance)[1]) > steepest_allowed
            )
        except ValueError:  # it doesn't reach
            return True

    low, high = 0.0, most
    if isinstance(stance, Swing):
        # on a lever a larger cam soon meets the pivot: look for the first that works
        return _first_base(is_bad, min(most, stance.reach + stance.arm))
    if is_bad(high):
        return None
    while high - low > 1e-3:
        middle = (low + high) / 2
        low, high = (middle, high) if is_bad(middle) else (low, middle)
    return high


def _first_base(is_bad: Callable[[float], bool], most: float) -> float | None:
    steps = 120
    low = 0.0
    for i in range(1, steps + 1):
        high = most * i / steps
        if not is_bad(high):
            while high - low > 1e-3:
                middle = (low + high) / 2
                low, high = (middle, high) if is_bad(middle) else (low, middle)
            return high
        low = high
    return None
