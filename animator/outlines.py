r"""Cam outlines: a lift wanted at the follower in, the exact closed curve that gives it out.

How a cam lies in its own frame
-------------------------------
The cam's own frame is that of its shaft: origin on the axis, angle 0 when the drives are at 0. Three things are counted from there:

* ``sense`` is +1 when the shaft runs anticlockwise, -1 clockwise; ``turned`` [rad] is how far it has turned *in that direction*, so
  the frame stands at the angle ``sense * turned``.
* a follower slides along ``direction`` [rad], away from the axis; its line passes the axis at ``offset`` [mm], positive to the right of
  the direction.
* the *programme angle* is ``turned - phase``: with phase 0 the programme begins under the follower when the handle stands at 0, with
  phase 90 degrees when it has turned 90, whichever way the handle turns and whichever way the follower slides.

So programme angle ``a`` sits in the cam's frame on the ray of polar angle ``direction - sense * (a + phase)``::

         follower (direction up)            handle anticlockwise: the programme is laid out clockwise,
              |                             0 at the top, 90 degrees at the right;
         0 ___|___                          handle clockwise: the mirror image, 90 degrees at the left
          /       \
    270  |    o    |  90
          \_______/
             180

Eccentric and egg begin at their lowest: at programme angle 0 their centre or nose points straight away from the follower. A cam
with two followers is laid out for the first one in the scene; the other feels the same outline later or earlier.

Nothing heavy is imported before a curve is built; laws, lifts and reaches are plain floats.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from functools import cached_property
from typing import TYPE_CHECKING, Any, NamedTuple

from animator import trains
from animator.geometry import Point

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

PI = math.pi
TURN = 2 * PI
POINT_COUNT = (
    1440  # a quarter degree: the follower's acceleration at 120 rpm is then right within 0.1 %
)
CORNER = 0.15  # mm: how round a sharp corner is made; smaller ones throw a landing roller off, larger ones are seen
CORNER_STEP = 0.1  # mm between the points of an outline that has corners

Rise = tuple[float, float, float]
"""Lift and its first and second derivative, over a unit step or over the angle turned."""
Law = Callable[[float], Rise]


# ---------------------------------------------------------------- motion laws
def straight(x: float) -> Rise:
    """Rise evenly: s = x.

    Peaks: velocity 1, acceleration infinite at both ends. Source: VDI 2143 part 1 (1980); Norton, *Cam Design and
    Manufacturing Handbook* ("constant velocity"). From memory, recomputed.

    Examples
    --------
    >>> straight(0.25)
    (0.25, 1.0, 0.0)
    """
    return x, 1.0, 0.0


def parabolic(x: float) -> Rise:
    """Rise with even acceleration, then even deceleration: s = 2 x^2, then 1 - 2 (1 - x)^2.

    Peaks: velocity 2, acceleration 4, jerk infinite at three steps. Source: VDI 2143 part 1; Norton. From memory, recomputed.

    Examples
    --------
    >>> parabolic(0.25)
    (0.125, 1.0, 4.0)
    """
    if x < 0.5:
        return 2 * x * x, 4 * x, 4.0
    return 1 - 2 * (1 - x) ** 2, 4 * (1 - x), -4.0


def harmonic(x: float) -> Rise:
    """Rise as the shadow of a turning pin: s = (1 - cos(pi x)) / 2.

    Peaks: velocity pi/2, acceleration pi^2/2 at both ends. Source: VDI 2143 part 1; Norton. From memory, recomputed.

    Examples
    --------
    >>> harmonic(0.25)[0]
    0.146447
    """
    return (1 - math.cos(PI * x)) / 2, PI / 2 * math.sin(PI * x), PI * PI / 2 * math.cos(PI * x)


def cubic(x: float) -> Rise:
    """Rise by the polynomial s = 3 x^2 - 2 x^3.

    Peaks: velocity 1.5, acceleration 6 at both ends. Derived: the only cubic that starts and ends at rest.

    Examples
    --------
    >>> cubic(0.25)[0]
    0.15625
    """
    return x * x * (3 - 2 * x), 6 * x * (1 - x), 6 - 12 * x


def cycloidal(x: float) -> Rise:
    """Rise as a point of a rolling wheel: s = x - sin(2 pi x) / (2 pi).

    Peaks: velocity 2, acceleration 2 pi at x = 1/4, jerk 4 pi^2. Source: VDI 2143 part 1; Norton. From memory, recomputed.

    Examples
    --------
    >>> cycloidal(0.25)[0]
    0.090845
    """
    return x - math.sin(TURN * x) / TURN, 1 - math.cos(TURN * x), TURN * math.sin(TURN * x)


def polynomial_345(x: float) -> Rise:
    """Rise by the 3-4-5 polynomial: s = 10 x^3 - 15 x^4 + 6 x^5.

    Peaks: velocity 1.875, acceleration 10/sqrt(3), jerk 60 at both ends. Source: VDI 2143 part 1; Norton. From memory, recomputed.

    Examples
    --------
    >>> polynomial_345(0.25)[0]
    0.103516
    """
    y = 1 - x
    return x**3 * (10 + x * (6 * x - 15)), 30 * x * x * y * y, 60 * x * y * (1 - 2 * x)


def polynomial_4567(x: float) -> Rise:
    """Rise by the 4-5-6-7 polynomial: s = 35 x^4 - 84 x^5 + 70 x^6 - 20 x^7.

    Peaks: velocity 2.1875, acceleration 7.5132, jerk 52.5 in the middle and 0 at both ends. Source: Norton, *Cam Design and
    Manufacturing Handbook*, and VDI 2143, both from memory; the coefficients follow from position, velocity, acceleration and jerk at both ends.

    Examples
    --------
    >>> polynomial_4567(0.5)
    (0.5, 2.1875, 0.0)
    """
    y = 1 - x
    return (
        x**4 * (35 + x * (-84 + x * (70 - 20 * x))),
        140 * (x * y) ** 3,
        420 * (x * y) ** 2 * (1 - 2 * x),
    )


def modified_sine(x: float) -> Rise:
    """Rise with an acceleration of a quarter sine up to 1/8, half a cosine up to 7/8, a quarter sine to the end.

    Peaks: velocity 4 pi/(4+pi), acceleration 4 pi^2/(4+pi) at x = 1/8, jerk 16 pi^3/(4+pi) at both ends. Source: VDI 2143
    part 1; Norton. From memory, recomputed.

    Examples
    --------
    >>> modified_sine(0.25)[0]
    0.117178
    """
    k = PI / (4 + PI)
    if x < 0.125 or x > 0.875:
        start = 0.0 if x < 0.5 else 4 / PI
        c, s = math.cos(4 * PI * x), math.sin(4 * PI * x)
        return k * (start + x - s / (4 * PI)), k * (1 - c), 4 * PI * k * s
    a = (4 * PI * x + PI) / 3
    return (
        k * (2 / PI + x - 9 / (4 * PI) * math.sin(a)),
        k * (1 - 3 * math.cos(a)),
        4 * PI * k * math.sin(a),
    )


def modified_trapezoid(x: float) -> Rise:
    """Rise with an acceleration of a quarter sine to 1/8, level to 3/8, half a cosine through 1/2 to 5/8, level to 7/8, quarter sine to the end.

    Peaks: velocity 2, acceleration 8 pi/(2+pi) = 4.8881, jerk 32 pi^2/(2+pi) = 61.43. Source: Norton, *Cam Design and
    Manufacturing Handbook*, and VDI 2143, both from memory; integrated here from the acceleration.

    Examples
    --------
    >>> modified_trapezoid(0.5)
    (0.5, 2.0, 0.0)
    """
    if x > 0.5:
        s, v, a = modified_trapezoid(1 - x)
        return 1 - s, v, -a
    top = 8 * PI / (2 + PI)
    w = 4 * PI
    if x < 0.125:
        return (
            top * (x - math.sin(w * x) / w) / w,
            top * (1 - math.cos(w * x)) / w,
            top * math.sin(w * x),
        )
    s1, v1 = top * (0.125 - 1 / w) / w, top / w
    if x < 0.375:
        u = x - 0.125
        return s1 + v1 * u + top * u * u / 2, v1 + top * u, top
    s2, v2, u = s1 + v1 / 4 + top / 32, v1 + top / 4, x - 0.375
    return (
        s2 + v2 * u + top * (1 - math.cos(w * u)) / w**2,
        v2 + top * math.sin(w * u) / w,
        top * math.cos(w * u),
    )


LAWS: Mapping[str, Law] = {
    "straight": straight,
    "parabolic": parabolic,
    "harmonic": harmonic,
    "cubic": cubic,
    "cycloidal": cycloidal,
    "3-4-5": polynomial_345,
    "4-5-6-7": polynomial_4567,
    "modified sine": modified_sine,
    "modified trapezoid": modified_trapezoid,
}


# ---------------------------------------------------------------- what the follower should do
class Stretch(NamedTuple):
    """A piece of a programme: it begins at angle ``start`` [rad], lasts ``over`` [rad], and goes from height ``low`` by ``rise`` [mm]."""

    start: float
    over: float
    low: float
    rise: float
    law: str


class Lift:
    """How far the follower should stand above its lowest seat, over the cam's angle. Plain floats.

    Parameters
    ----------
    stretches
        The programme, in order, covering a whole turn.
    phase
        How far the shaft turns in the running direction before the programme begins. [rad]
    """

    def __init__(self, stretches: Sequence[Stretch], phase: float = 0.0) -> None:
        self.stretches = tuple(stretches)
        self.phase = phase

    def at(self, angle: float) -> Rise:
        """Lift [mm] and its first two derivatives over the angle [mm/rad, mm/rad^2] at a programme angle [rad]."""
        angle %= TURN
        for stretch in self.stretches:
            if angle < stretch.start + stretch.over:
                break
        start, over, low, rise, law = stretch
        if not rise:
            return low, 0.0, 0.0
        s, v, a = LAWS[law](min(1.0, max(0.0, (angle - start) / over)))
        return low + rise * s, rise * v / over, rise * a / over**2

    def turned(self, turned: float) -> Rise:
        """Lift and derivatives when the shaft has turned so far in its running direction [rad]."""
        return self.at(turned - self.phase)

    @property
    def corners(self) -> list[float]:
        """Programme angles at which the speed jumps (ends of straight steps) [rad]."""
        found = []
        for i, here in enumerate(self.stretches):
            before = self.stretches[i - 1]
            if abs(_slope(before, 1.0) - _slope(here, 0.0)) > 1e-9:
                found.append(here.start)
        return found

    def samples(self) -> list[tuple[float, Rise]]:
        """Programme angles with lift and derivatives, from edge to edge of every moving stretch: both sides of every jump are in it."""
        found: list[tuple[float, Rise]] = []
        for start, over, low, rise, law in self.stretches:
            count = 90 if rise else 1
            for i in range(count + 1):
                s, v, a = LAWS[law](i / count)
                found.append(
                    (
                        start + over * i / count,
                        (low + rise * s, rise * v / over, rise * a / over**2)
                        if rise
                        else (low, 0.0, 0.0),
                    )
                )
        return found


def _slope(stretch: Stretch, x: float) -> float:
    return stretch.rise * LAWS[stretch.law](x)[1] / stretch.over if stretch.rise else 0.0


class PoseLift(Lift):
    """A lift that runs smoothly through given heights: a periodic cubic spline over the programme angle.

    Parameters
    ----------
    heights
        Programme angle [rad] -> lift [mm]; two or more.
    phase
        As in ``Lift``. [rad]
    """

    def __init__(self, heights: Mapping[float, float], phase: float = 0.0) -> None:
        super().__init__((), phase)
        within = {
            round(angle % TURN, 12) % TURN: height for angle, height in heights.items()
        }  # 360 degrees is 0 again
        if len(within) < 2:
            raise ValueError(f"a smooth curve needs two heights or more, not {len(within)}")
        self.angles, self.heights = zip(*sorted(within.items()), strict=True)
        self._bends = _periodic_bends(self.angles, self.heights)

    def at(self, angle: float) -> Rise:
        angle = (angle - self.angles[0]) % TURN + self.angles[0]
        count = len(self.angles)
        i = count - 1
        while self.angles[i] > angle:
            i -= 1
        j = (i + 1) % count
        span = self.angles[j] - self.angles[i] + (TURN if j <= i else 0.0)
        x = angle - self.angles[i]
        low, high, bend, end = self.heights[i], self.heights[j], self._bends[i], self._bends[j]
        slope = (high - low) / span - span * (2 * bend + end) / 6
        jerk = (end - bend) / span
        return (
            low + x * (slope + x * (bend / 2 + x * jerk / 6)),
            slope + x * (bend + x * jerk / 2),
            bend + x * jerk,
        )

    @property
    def corners(self) -> list[float]:
        return []

    def samples(self) -> list[tuple[float, Rise]]:
        return [(TURN * i / 720, self.at(TURN * i / 720)) for i in range(720)]


def _periodic_bends(angles: Sequence[float], heights: Sequence[float]) -> list[float]:
    """Second derivatives at the knots of the periodic cubic spline, by elimination (knots are few)."""
    count = len(angles)
    spans = [(angles[(i + 1) % count] - angles[i]) % TURN for i in range(count)]
    rows = []
    for i in range(count):
        row = [0.0] * (count + 1)
        j, k, before, after = i - 1, (i + 1) % count, spans[i - 1], spans[i]
        row[j % count] += before / 6
        row[i] += (before + after) / 3
        row[k] += after / 6
        row[count] = (heights[k] - heights[i]) / after - (heights[i] - heights[j]) / before
        rows.append(row)
    for i in range(count):
        best = max(range(i, count), key=lambda r: abs(rows[r][i]))
        rows[i], rows[best] = rows[best], rows[i]
        for r in range(i + 1, count):
            factor = rows[r][i] / rows[i][i]
            if factor:
                rows[r] = [a - factor * b for a, b in zip(rows[r], rows[i], strict=True)]
    bends = [0.0] * count
    for i in reversed(range(count)):
        bends[i] = (
            rows[i][count] - sum(rows[i][k] * bends[k] for k in range(i + 1, count))
        ) / rows[i][i]
    return bends


def lift_of(cam: Any) -> Lift | None:
    """Read the wanted lift of a cam part; None for outlines that are drawn, not reckoned from a lift (eccentric, egg).

    A drop's lift is what a knife edge would do on it: an even rise, level to the edge, then the fall.
    """
    if cam.programme:
        stretches: list[Stretch] = []
        angle = low = 0.0
        for rise, over, law in cam.moves():
            if over > 0:
                stretches.append(Stretch(angle, over, low, rise, law))
            angle, low = angle + over, low + rise
        return Lift(stretches, cam.phase)
    if cam.poses:
        return PoseLift(cam.poses, cam.phase)
    if cam.drop:
        up, down = cam.drop.rise_over, cam.drop.fall_over
        level = max(TURN - up - down, 0.0)
        steps = [
            (up, 0.0, cam.drop.lift),
            (level, cam.drop.lift, 0.0),
            (down, cam.drop.lift, -cam.drop.lift),
        ]
        angle, stretches = 0.0, []
        for over, low, rise in steps:
            if over > 1e-9:
                stretches.append(Stretch(angle, over, low, rise, "straight"))
            angle += over
        return Lift(stretches, cam.phase)
    return None


# ---------------------------------------------------------------- what touches the cam
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


# ---------------------------------------------------------------- circles and their tangents (eccentric, egg)
class Circle(NamedTuple):
    """A circle in the cam's frame: centre and radius [mm]."""

    x: float
    y: float
    radius: float


def circles_of(cam: Any, stance: Stance) -> tuple[Circle, ...]:
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


def start_reach(cam: Any, tip: Tip, turned: float, stance: Stance) -> float:
    """How far a follower's tip (roller centre, knife edge, flat face) stands from the cam's axis along its slide [mm].

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
        return hull_reach(circles, tip, stance, turned)[0]
    if cam.drop:
        return outline_of(cam, tip, stance).reach(tip, stance, turned)
    lift = lift_of(cam)
    assert lift is not None  # one of the outlines is always given
    return seat_height(cam.base_radius, tip, stance.offset) + lift.turned(turned)[0]


# ---------------------------------------------------------------- the closed curve
class Curve:
    """A smooth closed outline, anticlockwise, as a periodic cubic spline over evenly numbered points.

    Parameters
    ----------
    points
        (count, 2), anticlockwise, the first not repeated. [mm]

    Notes
    -----
    The parameter runs from 0 to ``count``. Evaluation is plain floats: it is called at every step of a run.
    """

    def __init__(self, points: Floats | Sequence[Point]) -> None:
        import numpy as np

        here = np.ascontiguousarray(points, float)
        self.points = here
        self.count = len(here)
        # second derivatives of the even periodic spline: m[i-1] + 4 m[i] + m[i+1] = 6 (p[i-1] - 2 p[i] + p[i+1]), solved by Fourier
        wave = 2 * np.cos(2 * np.pi * np.fft.rfftfreq(self.count))[:, None]
        bends = np.fft.irfft(
            np.fft.rfft(here, axis=0) * (6 * (wave - 2) / (wave + 4)), self.count, axis=0
        )
        there, ends = np.roll(here, -1, 0), np.roll(bends, -1, 0)
        slopes = there - here - (2 * bends + ends) / 6
        pieces = np.stack([(ends - bends) / 6, bends / 2, slopes, here], 1)  # (count, 4, 2)
        self._pieces: list[tuple[float, ...]] = [
            tuple(row) for row in pieces.transpose(0, 2, 1).reshape(self.count, 8).tolist()
        ]
        length = np.hypot(slopes[:, 0], slopes[:, 1])[:, None]
        self.normals = np.stack([slopes[:, 1], -slopes[:, 0]], 1) / length
        self.largest_radius = float(np.hypot(here[:, 0], here[:, 1]).max())

    def evaluate(self, s: float) -> tuple[float, float, float, float, float, float]:
        """Point, first and second derivative over the parameter: x, y, x', y', x'', y''."""
        s %= self.count
        k = min(int(s), self.count - 1)
        u = s - k
        a3, a2, a1, a0, b3, b2, b1, b0 = self._pieces[k]
        return (
            ((a3 * u + a2) * u + a1) * u + a0,
            ((b3 * u + b2) * u + b1) * u + b0,
            (3 * a3 * u + 2 * a2) * u + a1,
            (3 * b3 * u + 2 * b2) * u + b1,
            6 * a3 * u + 2 * a2,
            6 * b3 * u + 2 * b2,
        )

    def closest(
        self, x: float, y: float, s: float
    ) -> tuple[float, float, float, float, float, float, float]:
        """Find the foot of the perpendicular from a point, by Newton's method from parameter ``s``.

        Returns
        -------
        tuple
            Parameter, signed distance of the point (> 0 outside) [mm], outward unit normal (x, y), foot (x, y) [mm], curvature
            (> 0 convex) [1/mm].
        """
        for _ in range(8):
            px, py, tx, ty, ax, ay = self.evaluate(s)
            dx, dy = px - x, py - y
            square = tx * tx + ty * ty
            slope = square + dx * ax + dy * ay
            if (
                slope <= 0.05 * square
            ):  # near or beyond the centre of curvature: a plain downhill step
                slope = square
            step = max(-3.0, min(3.0, -(dx * tx + dy * ty) / slope))
            s += step
            if -1e-7 < step < 1e-7:
                break
        length = math.sqrt(square)
        nx, ny = ty / length, -tx / length
        return (
            s % self.count,
            (x - px) * nx + (y - py) * ny,
            nx,
            ny,
            px,
            py,
            (tx * ay - ty * ax) / length**3,
        )

    def near_all(self, x: float, y: float) -> list[tuple[float, float]]:
        """All places where the distance from a point is least nearby, nearest first: (parameter, distance [mm]).

        Only those that face the point: the far side of the cam is no contact.
        """
        import numpy as np

        dx, dy = x - self.points[:, 0], y - self.points[:, 1]
        square = dx * dx + dy * dy
        least = np.nonzero((square <= np.roll(square, 1)) & (square < np.roll(square, -1)))[0]
        faces = dx[least] * self.normals[least, 0] + dy[least] * self.normals[least, 1] > -0.5
        least = least[faces]
        order = least[np.argsort(square[least], kind="stable")]
        return [(float(i), float(math.sqrt(square[i]))) for i in order]

    def support_global(self, x: float, y: float) -> float:
        """Parameter of the numbered point that lies farthest in a direction."""
        import numpy as np

        return float(np.argmax(self.points[:, 0] * x + self.points[:, 1] * y))

    def support(self, x: float, y: float, s: float) -> tuple[float, float, float]:
        """Find the place that lies farthest in a direction, by Newton's method from ``s``: parameter, x, y [mm]."""
        for _ in range(8):
            px, py, tx, ty, ax, ay = self.evaluate(s)
            slope = ax * x + ay * y
            if slope > -1e-9:
                slope = -max(1e-9, abs(slope))
            step = max(-3.0, min(3.0, -(tx * x + ty * y) / slope))
            s += step
            if -1e-7 < step < 1e-7:
                break
        return s % self.count, px, py


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

    def reach(self, tip: Tip, stance: Stance, turned: float) -> float:
        """Height above the axis of any tip that rests on the outline, along its slide, whichever follower it was laid out for [mm].

        Raises
        ------
        ValueError
            The follower's line passes beside the cam.
        """
        if self.circles:
            return hull_reach(self.circles, tip, stance, turned)[0]
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


def outline_of(cam: Any, tip: Tip, stance: Stance) -> Outline:
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
    circles = circles_of(cam, stance)
    if circles:
        return Outline(circles, lambda: _hull_points(circles))
    lift = lift_of(cam)
    assert lift is not None  # one of the outlines is always given
    base = cam.base_radius
    if cam.drop:
        return Outline(
            (),
            lambda: _round(
                _layout(lift, base, Tip(), Stance(stance.direction, 0.0, stance.sense))[0]
            ),
        )
    if lift.corners and tip != Tip():
        return Outline((), lambda: _round(_cut_corners(*_layout(lift, base, tip, stance), tip)))
    return Outline((), lambda: _layout(lift, base, tip, stance)[0])


def roller_profile(
    lift: Lift, base_radius: float, radius: float, stance: Stance | None = None
) -> Curve:
    """Outline that gives a roller (or a knife edge, radius 0) exactly the wanted lift, with or without an offset."""
    return Curve(_layout(lift, base_radius, Tip(radius), stance or Stance())[0])


def flat_profile(lift: Lift, base_radius: float, stance: Stance | None = None) -> Curve:
    """Outline that gives a flat face exactly the wanted lift; the face must reach as far aside as the lift's derivative is large."""
    return Curve(_layout(lift, base_radius, Tip(half_width=math.inf), stance or Stance())[0])


def _layout(lift: Lift, base: float, tip: Tip, stance: Stance) -> tuple[Floats, Floats, Floats]:
    """Points of the outline, of the tip's path round the cam, and the outward normals there; (count, 2) each, anticlockwise.

    At corners of the lift the normal swings over from one side to the other, so that a roller's or a face's way round them is in it.
    """
    import numpy as np

    direction, offset, sense = stance
    # polar angle psi of the follower's line in the cam's frame grows anticlockwise; programme angle = sense (direction - psi) - phase
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
    psi, s, v = np.array(rows).T
    along = np.stack([np.cos(psi), np.sin(psi)], 1)
    aside = np.stack([np.sin(psi), -np.cos(psi)], 1)  # to the right of the follower's direction
    if tip.half_width is not None:
        points = (base + s)[:, None] * along + (sense * v)[:, None] * aside
        return points, points, along
    height = seat_height(base, tip, offset) + s
    path = offset * aside + height[:, None] * along
    normals = height[:, None] * along - (sense * v - offset)[:, None] * aside
    normals /= np.hypot(normals[:, 0], normals[:, 1])[:, None]
    return path - tip.radius * normals, path, normals


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


def _hull_points(circles: Sequence[Circle]) -> Floats:
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
        return _hull_points([max(circles, key=lambda circle: circle.radius)])
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


# ---------------------------------------------------------------- cams of a scene
def first_follower(parts: Mapping[str, Any], cam: str) -> str | None:
    """Name of the follower a cam is laid out for: the first in the scene that follows it."""
    for name, part in parts.items():
        follows = getattr(part, "follows", None)
        if follows is not None and follows.part == cam:
            return name
    return None


def stance_in(scene: Any, follower: str) -> Stance:
    """How a follower of an assembled scene stands to its cam."""
    held = scene.parts[follower].held()
    axis, foot = scene.starts[held.follows.part], scene.starts[follower]
    aside = (foot.x - axis.x) * math.sin(held.direction) - (foot.y - axis.y) * math.cos(
        held.direction
    )
    return Stance(held.direction, aside, trains.sense_of(scene.parts, held.follows.part))


def outline_in(scene: Any, cam: str) -> Outline:
    """Lay out a cam of an assembled scene for its first follower (or for a knife edge above it if it has none)."""
    follower = first_follower(scene.parts, cam)
    if follower is None:
        return outline_of(
            scene.parts[cam], Tip(), Stance(sense=trains.sense_of(scene.parts, cam))
        )
    return outline_of(
        scene.parts[cam], tip_of(scene.parts[follower]), stance_in(scene, follower)
    )
