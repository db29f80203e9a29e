"""Shifts, turns and stretches of the plane, as an SVG file writes them: (a, b, c, d, e, f) takes (x, y) to (a x + c y + e, b x + d y + f)."""

from __future__ import annotations

import math
import re

from animator.artwork.numerals import numerals
from animator.artwork.refusal import Unusable
from animator.geometry import Point

Affine = tuple[float, float, float, float, float, float]
SAME: Affine = (1.0, 0.0, 0.0, 1.0, 0.0, 0.0)
_STEP = re.compile(r"\s*,?\s*([A-Za-z]+)\s*\(([^()]*)\)\s*")
_COUNTS = {
    "matrix": (6,),
    "translate": (1, 2),
    "scale": (1, 2),
    "rotate": (1, 3),
    "skewX": (1,),
    "skewY": (1,),
}


def after(outer: Affine, inner: Affine) -> Affine:
    """Give the map that does ``inner`` first."""
    a, b, c, d, e, f = outer
    p, q, r, s, t, u = inner
    return (
        a * p + c * q,
        b * p + d * q,
        a * r + c * s,
        b * r + d * s,
        a * t + c * u + e,
        b * t + d * u + f,
    )


def moved(by: Affine, point: Point) -> Point:
    """Take a point through a map."""
    a, b, c, d, e, f = by
    return a * point[0] + c * point[1] + e, b * point[0] + d * point[1] + f


def stretch(by: Affine) -> float:
    """How much a map enlarges, in the mean of all directions."""
    return math.sqrt(abs(by[0] * by[3] - by[1] * by[2]))


def transform(text: str) -> Affine:
    """Read a ``transform`` attribute.

    Examples
    --------
    >>> transform("translate(10, 4) scale(2)")
    (2.0, 0.0, 0.0, 2.0, 10.0, 4.0)
    """
    out, at = SAME, 0
    text = text.strip()
    if text == "none":
        return out
    while at < len(text):
        found = _STEP.match(text, at)
        if not found or found[1] not in _COUNTS:
            raise Unusable(
                f"a transform that can't be read: '{text[at : at + 40]}'",
                "use translate, scale, rotate, skewX, skewY or matrix, each with plain numbers in brackets",
            )
        values = numerals(found[2])
        if len(values) not in _COUNTS[found[1]]:
            raise Unusable(
                f"'{found[0].strip()}' has {len(values)} numbers",
                f"it takes {' or '.join(map(str, _COUNTS[found[1]]))}",
            )
        out = after(out, _step(found[1], values))
        at = found.end()
    return out


def _step(word: str, v: list[float]) -> Affine:
    if word == "matrix":
        return v[0], v[1], v[2], v[3], v[4], v[5]
    if word == "translate":
        return 1.0, 0.0, 0.0, 1.0, v[0], v[1] if len(v) > 1 else 0.0
    if word == "scale":
        return v[0], 0.0, 0.0, v[1] if len(v) > 1 else v[0], 0.0, 0.0
    if word == "skewX":
        return 1.0, 0.0, math.tan(math.radians(v[0])), 1.0, 0.0, 0.0
    if word == "skewY":
        return 1.0, math.tan(math.radians(v[0])), 0.0, 1.0, 0.0, 0.0
    c, s = math.cos(math.radians(v[0])), math.sin(math.radians(v[0]))
    turn: Affine = (c, s, -s, c, 0.0, 0.0)
    if len(v) == 1:
        return turn
    return after(
        after((1.0, 0.0, 0.0, 1.0, v[1], v[2]), turn), (1.0, 0.0, 0.0, 1.0, -v[1], -v[2])
    )
