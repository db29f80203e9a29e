"""What touches a cam and how it stands to it; angles of pressure, radii of curvature, undercut."""

from __future__ import annotations

import math
from typing import Any, NamedTuple

from animator.outlines.laws import PI, Rise
from animator.outlines.lifts import Lift


class Tip(NamedTuple):
    """The end of a follower: a roller of ``radius`` [mm] (0: a knife edge), or a flat face reaching ``half_width`` [mm] to both sides."""

    radius: float = 0.0
    half_width: float | None = None


def tip_of(follower: Any) -> Tip:
    """Read what a follower or a friction disc puts against its cam. The disc touches with the flat underside, in the cam's plane."""
    tip = getattr(follower, "tip", None)
    if tip is None:
        radius, aside = follower.diameter / 2, follower.offset
        return Tip(half_width=math.sqrt(max(radius**2 - aside**2, 0.0)))
    if tip.flat_width is not None:
        return Tip(half_width=tip.flat_width / 2)
    return Tip(tip.roller_radius)


class Stance(NamedTuple):
    """How a follower stands to its cam: ``direction`` it slides [rad], ``offset`` of its line [mm, right of the direction], running ``sense``."""

    direction: float = PI / 2
    offset: float = 0.0
    sense: int = 1


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


def pressure_angle(rise: Rise, height: float, stance: Stance) -> float:
    r"""Angle between a roller's push and its slide, positive while it rises [rad].

    tan(angle) = (s' - sense * offset) / height, height = s + sqrt(Rp^2 - offset^2). Source: Shigley/Uicker, *Theory of
    Machines and Mechanisms*; Norton, *Design of Machinery*, cam chapter (from memory, recomputed).

    Parameters
    ----------
    rise
        Lift and derivatives there.
    height
        Of the roller's centre above the axis, along the slide. [mm]
    stance
        How the follower stands.
    """
    return math.atan2(rise[1] - stance.sense * stance.offset, height)


def pitch_radius(rise: Rise, height: float, stance: Stance) -> float:
    r"""Radius of curvature of the roller centre's path round the cam, positive where it is convex [mm].

    [(Y^2 + w^2)^(3/2)] / [Y^2 + w (2 s' - e) - Y s''], w = s' - e, Y the height, e the offset taken in the running sense; for a radial
    roller this is the form in Norton and Shigley. Derived; recomputed by finite differences.
    """
    _, v, a = rise
    e = stance.sense * stance.offset
    w = v - e
    below = height * height + w * (2 * v - e) - height * a
    return math.inf if abs(below) < 1e-12 else (height * height + w * w) ** 1.5 / below


def flat_radius(rise: Rise, base_radius: float) -> float:
    """Radius of curvature of the outline under a flat face: base + s + s'' [mm]. It must stay above 0 (Norton; Shigley)."""
    return base_radius + rise[0] + rise[2]


def undercut(
    lift: Lift, base_radius: float, tip: Tip, stance: Stance
) -> tuple[float, float] | None:
    """Find where the outline would have to bend more sharply than the tip can feel.

    Returns
    -------
    tuple or None
        Programme angle [rad] and radius of curvature there [mm] at the worst place; None if the outline can be cut. The ends of
        straight steps are corners by intention and don't count here: the outline simply cuts them.
    """
    worst: tuple[float, float] | None = None
    least = 0.0 if tip.half_width is not None else tip.radius
    if tip.half_width is None and not tip.radius:
        return None
    low = 0.0 if tip.half_width is not None else seat_height(base_radius, tip, stance.offset)
    for angle, rise in lift.samples():
        radius = (
            flat_radius(rise, base_radius)
            if tip.half_width is not None
            else pitch_radius(rise, low + rise[0], stance)
        )
        is_bad = radius <= 0 if tip.half_width is not None else 0 < radius < least
        if is_bad and (worst is None or radius < worst[1]):
            worst = (angle, radius)
    return worst


def smallest_base(lift: Lift, tip: Tip, stance: Stance, most: float = 1000.0) -> float | None:
    """Smallest base radius without undercut, by halving; None if not even ``most`` is enough [mm]."""

    def is_bad(base: float) -> bool:
        return (
            base + tip.radius <= abs(stance.offset)
            or undercut(lift, base, tip, stance) is not None
        )

    low, high = 0.0, most
    if is_bad(high):
        return None
    while high - low > 1e-3:
        middle = (low + high) / 2
        low, high = (middle, high) if is_bad(middle) else (low, middle)
    return high
