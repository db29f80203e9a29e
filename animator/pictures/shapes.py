"""Outlines as a fretsaw and an engraver make them, and the house's measures of drawing."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import TYPE_CHECKING

import numpy as np

from animator.geometry import Point
from animator.pictures import palette
from animator.pictures.ink import (
    BUTT,
    TOWARDS,
    Array,
    Canvas,
    Paint,
    Path,
    cut,
    disc,
    poly,
    skia,
    stroke,
)
from animator.pictures.stuff import Detail

if TYPE_CHECKING:
    from animator.artwork.sheet import Cut, Line
    from animator.parts._fields import Shape

NATURAL = (
    2.2  # design units a millimetre at which the look's thicknesses and shadows were tuned
)
CORNER = math.radians(
    52
)  # a bend sharper than this is a corner; a gentler one is a point on a curve, as a fretsaw goes
PENCIL = "#6C5A48"
UNSAID_SIZE = 4.0  # mm; thickness of what the scene doesn't say
CAPS = {
    "butt": skia.Paint.kButt_Cap,
    "round": skia.Paint.kRound_Cap,
    "square": skia.Paint.kSquare_Cap,
}
JOINS = {
    "miter": skia.Paint.kMiter_Join,
    "round": skia.Paint.kRound_Join,
    "bevel": skia.Paint.kBevel_Join,
}
FLAT = 0.25  # how much a level circle is foreshortened: we look down a little


def sawn(points: Array) -> Path:
    """Give a closed outline as a fretsaw cuts it: sharp where it turns sharply, smooth through the points where it bends gently."""
    pts = np.asarray(points, float)
    count = len(pts)
    ahead, back = np.roll(pts, -1, 0) - pts, pts - np.roll(pts, 1, 0)
    cross, dot = back[:, 0] * ahead[:, 1] - back[:, 1] * ahead[:, 0], (back * ahead).sum(1)
    is_corner = np.abs(np.arctan2(cross, dot)) > CORNER
    # the direction through a gentle point halves its bend, weighted to the shorter side
    la, lb = np.hypot(*ahead.T)[:, None] + 1e-9, np.hypot(*back.T)[:, None] + 1e-9
    through = ahead / la * lb + back / lb * la
    through /= np.hypot(*through.T)[:, None] + 1e-9
    path = skia.Path()
    path.moveTo(*pts[0].tolist())
    for i in range(count):
        j = (i + 1) % count
        reach = float(la[i, 0]) / 3
        u = pts[i] + (ahead[i] / la[i] if is_corner[i] else through[i]) * reach
        v = pts[j] - (ahead[i] / la[i] if is_corner[j] else through[j]) * reach
        path.cubicTo(*u.tolist(), *v.tolist(), *pts[j].tolist())
    path.close()
    return path


def cut_path(cut: Cut, at: Callable[[Point], Point], k: float) -> Path:
    """Path along the edge of one shape of an artwork file, in design units."""
    path = skia.Path()
    if cut.is_even_odd:
        path.setFillType(skia.PathFillType.kEvenOdd)
    for course in cut.courses:
        for i, segment in enumerate(course.segments):
            (x, y), *rest = [at(point) for point in segment]
            if not i:
                path.moveTo(x * k, -y * k)
            values = [value for px, py in rest for value in (px * k, -py * k)]
            (path.lineTo if len(rest) == 1 else path.cubicTo)(*values)
        if course.is_closed:
            path.close()
    return path


def line_paint(line: Line, k: float) -> Paint:
    """Paint of a line of an artwork file."""
    made = stroke(line.paint, line.width * k, line.alpha, cap=CAPS.get(line.cap, CAPS["butt"]))
    made.setStrokeJoin(JOINS.get(line.join, JOINS["miter"]))
    made.setStrokeMiter(line.mitre)
    if line.dashes:
        made.setPathEffect(skia.DashPathEffect.Make([each * k for each in line.dashes], 0))
    return made


def widened(path: Path, paint: Paint) -> Path:
    """Give the outline of a line: what a saw would follow."""
    out = skia.Path()
    paint.getFillPath(path, out)
    return out


def shape_path(shape: Shape, at: Callable[[Point], Point], k: float) -> Path:
    """Path of one shape of a figure, in design units."""
    if shape.cut is not None:
        return cut_path(shape.cut, at, k)
    x, y = shape.at
    if shape.disc is not None:
        px, py = at((x, y))
        return disc(px * k, -py * k, shape.disc / 2 * k)
    if shape.block is not None:
        w, h = shape.block[0] / 2, shape.block[1] / 2
        corners = np.array(
            [at((x + sx * w, y + sy * h)) for sx, sy in ((-1, -1), (1, -1), (1, 1), (-1, 1))]
        ) * (k, -k)
        effect = skia.CornerPathEffect.Make(min(1.6 * k, min(w, h) * k * 0.5))
        out, record = skia.Path(), skia.StrokeRec(skia.StrokeRec.kFill_InitStyle)
        return (
            out
            if effect.filterPath(out, poly(corners), record, skia.Rect.MakeEmpty())
            else poly(corners)
        )
    outline = np.array([at((px + x, py + y)) for px, py in shape.outline or ()]) * (k, -k)
    return sawn(outline)


def lies_on(path: Path, larger: Path) -> bool:
    """True if most of a shape lies on a larger one: then it is painted on it, not sawn."""
    inside = skia.Op(path, larger, skia.PathOp.kIntersect_PathOp)
    if inside is None or inside.isEmpty():
        return False
    return area(path) < 0.6 * area(larger) and area(inside) > 0.9 * area(path)


def area(path: Path) -> float:
    """Area of a path, by its sampled outline. [square units]"""
    total = 0.0
    measure = skia.PathMeasure(path, True)
    while True:
        length = measure.getLength()
        if length > 0:
            points = [measure.getPosTan(length * i / 64)[0] for i in range(64)]
            x, y = np.array([(p.x(), p.y()) for p in points]).T
            total += 0.5 * abs(float((x * np.roll(y, -1) - y * np.roll(x, -1)).sum()))
        if not measure.nextContour():
            return total


def engraving(path: Path, hue: str) -> list[Detail]:
    """Give engraver's shading along the lower right of a shape: hatch in a crescent away from the light."""
    bounds = path.computeTightBounds()
    reach = min(bounds.width(), bounds.height()) * 0.24
    lit = skia.Path(path)
    lit.offset(-TOWARDS[0] * reach, -TOWARDS[1] * reach)
    dark = palette.mix(hue, palette.INK, 0.65)
    return [(hatched(cut(path, lit), 3.6, 58), stroke(dark, 0.8, 0.5, cap=BUTT))]


def hatched(path: Path, gap: float, deg: float) -> Path:
    """Give even lines across a shape, already cut to it: drawn at every picture they cost a third of a clip."""
    loops = [loop for loop in contours(path, 0.8) if len(loop) > 2]
    out = skia.Path()
    if not loops:
        return out
    c, s = math.cos(math.radians(deg)), math.sin(math.radians(deg))
    turn = np.array([[c, -s], [s, c]])
    a = np.vstack(loops) @ turn
    b = np.vstack([np.roll(loop, -1, 0) for loop in loops]) @ turn
    first = math.ceil(a[:, 1].min() / gap)
    for i in range(first, math.floor(a[:, 1].max() / gap) + 1):
        y = i * gap
        crosses = (a[:, 1] <= y) != (b[:, 1] <= y)
        p, q = a[crosses], b[crosses]
        xs = np.sort(p[:, 0] + (y - p[:, 1]) / (q[:, 1] - p[:, 1]) * (q[:, 0] - p[:, 0]))
        for left, right in zip(xs[::2].tolist(), xs[1::2].tolist(), strict=False):
            if right - left > 0.6:
                out.moveTo(c * left - s * y, s * left + c * y)
                out.lineTo(c * right - s * y, s * right + c * y)
    return out


def contours(path: Path, step: float) -> list[Array]:
    """Give points along each contour of a path, about ``step`` apart."""
    out = []
    measure = skia.PathMeasure(path, True)
    while True:
        length = measure.getLength()
        count = min(max(round(length / step), 3), 2000)
        points = [measure.getPosTan(length * i / count)[0] for i in range(count)]
        if length > 0:
            out.append(np.array([(p.x(), p.y()) for p in points]))
        if not measure.nextContour():
            return out


def torn_edge(path: Path) -> Detail:
    """Give the white, fibrous edge of torn card: a ragged light rim just inside the outline, always the same for one shape."""
    fibre = skia.DiscretePathEffect.Make(2.6, 1.3, 7)
    broad = stroke("#FFFDF6", 4.6)
    broad.setPathEffect(fibre)
    faint = stroke("#FFFDF6", 9.0, 0.45)
    faint.setPathEffect(skia.DiscretePathEffect.Make(3.4, 2.0, 11))

    def draw(c: Canvas) -> None:
        c.save()
        c.clipPath(path, skia.ClipOp.kIntersect, True)
        c.drawPath(path, faint)
        c.drawPath(path, broad)
        c.restore()

    return draw


def stitching(path: Path, inset: float) -> Detail:
    """Give a saddler's seam: stitches along a shape, so far in from its edge."""
    rim = skia.Path()
    skia.Paint(Style=skia.Paint.kStroke_Style, StrokeWidth=2 * inset).getFillPath(path, rim)
    return cut(path, rim), stroke("#D2A878", 1.3, dash=(4, 4))


def squeezed(angle: float) -> float:
    """How wide a flat figure looks that has turned about its upright; never thinner than its own edge."""
    turn = math.cos(angle)
    return math.copysign(max(0.26, abs(turn)), turn)
