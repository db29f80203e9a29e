"""Motion laws: how a unit rise is spread over a unit of angle, with the peak factors of each."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping

PI = math.pi
TURN = 2 * PI

Rise = tuple[float, float, float]
"""Lift and its first and second derivative, over a unit step or over the angle turned."""
Law = Callable[[float], Rise]


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
