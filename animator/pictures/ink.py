"""Paints, paths, light and canvas: the hand in which every picture is drawn.

All measures here are design units: a picture is 720 high, whatever its pixels; a Sheet scales. Light comes from the upper
left, always: shadows fall to the lower right, and so every ink line is heavier on its lower right side.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from contextvars import ContextVar
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from animator.pictures.palette import channels
from animator.problems import RunError

if TYPE_CHECKING:
    from animator.pictures.tape import Tape

try:
    import skia as skia
except ImportError as trouble:  # the wheel needs two libraries of the system
    raise RunError(
        f"the drawing library can't start ({trouble}); on Debian or Ubuntu this mends it: apt-get install libegl1 libgl1"
    ) from trouble

Array = NDArray[np.float64]
Canvas = Any
Path = Any
Paint = Any
Matrix = Any

DESIGN_HEIGHT = 720.0
TOWARDS = (0.55, 0.84)  # where shadows fall, per unit of rise
SHADE = "#1A120B"


# ---------------------------------------------------------------- paints
def colour(name: str, alpha: float = 1.0) -> int:
    """Give skia's number for ``#rrggbb``."""
    return int(skia.Color(*channels(name), round(255 * alpha)))


def fill(name: str, alpha: float = 1.0, **more: Any) -> Paint:
    """Flat ink."""
    return skia.Paint(Color=colour(name, alpha), AntiAlias=True, **more)


def stroke(
    name: str,
    width: float,
    alpha: float = 1.0,
    cap: Any = None,
    dash: Sequence[float] | None = None,
) -> Paint:
    """Give a line of ink; ``dash`` is lengths on and off."""
    made = skia.Paint(
        Color=colour(name, alpha),
        AntiAlias=True,
        Style=skia.Paint.kStroke_Style,
        StrokeWidth=width,
        StrokeCap=skia.Paint.kRound_Cap if cap is None else cap,
        StrokeJoin=skia.Paint.kRound_Join,
    )
    if dash:
        made.setPathEffect(skia.DashPathEffect.Make(list(dash), 0))
    return made


BUTT = skia.Paint.kButt_Cap


def soft(name: str, alpha: float, sigma: float) -> Paint:
    """Give a blurred shade."""
    return fill(name, alpha, MaskFilter=skia.MaskFilter.MakeBlur(skia.kNormal_BlurStyle, sigma))


def shaded(shader: Any, **more: Any) -> Paint:
    """Fill with a shader."""
    return skia.Paint(Shader=shader, AntiAlias=True, **more)


def linear(
    p: Sequence[float],
    q: Sequence[float],
    stops: Sequence[tuple[float, str] | tuple[float, str, float]],
) -> Paint:
    """Shade along a line; ``stops`` are (position, colour) or (position, colour, alpha)."""
    return shaded(
        skia.GradientShader.MakeLinear(
            [skia.Point(*p), skia.Point(*q)],
            [colour(*s[1:]) for s in stops],
            [s[0] for s in stops],
        )
    )


def radial(
    centre: Sequence[float],
    radius: float,
    stops: Sequence[tuple[float, str] | tuple[float, str, float]],
) -> Paint:
    """Shade outwards from a middle."""
    return shaded(
        skia.GradientShader.MakeRadial(
            skia.Point(*centre), radius, [colour(*s[1:]) for s in stops], [s[0] for s in stops]
        )
    )


# ---------------------------------------------------------------- paths
def poly(points: ArrayLike, closed: bool = True) -> Path:
    """Give straight lines through points, (point_count, 2)."""
    path = skia.Path()
    path.addPoly([skia.Point(x, y) for x, y in np.asarray(points, float).tolist()], closed)
    return path


def spline(points: ArrayLike, closed: bool = False, tension: float = 0.5) -> Path:
    """Give a smooth path through the points, the illustrator's French curve."""
    pts = np.asarray(points, float)
    count = len(pts)

    def at(i: int) -> Array:
        return np.asarray(pts[i % count] if closed else pts[min(max(i, 0), count - 1)])

    path = skia.Path()
    path.moveTo(*pts[0].tolist())
    for i in range(count if closed else count - 1):
        a, b, c, d = at(i - 1), at(i), at(i + 1), at(i + 2)
        u, v = b + (c - a) * tension / 3, c - (d - b) * tension / 3
        path.cubicTo(*u.tolist(), *v.tolist(), *c.tolist())
    if closed:
        path.close()
    return path


def curve(points: ArrayLike, count: int = 60) -> Array:
    """Sample a smooth curve through the points, (count, 2)."""
    pts = np.asarray(points, float)
    if len(pts) < 3:
        return np.linspace(pts[0], pts[-1], count)
    ext = np.vstack([2 * pts[0] - pts[1], pts, 2 * pts[-1] - pts[-2]])
    t = np.linspace(0, len(pts) - 1 - 1e-9, count)
    i = t.astype(int)
    f = (t - i)[:, None]
    a, b, c, d = ext[i], ext[i + 1], ext[i + 2], ext[i + 3]
    return np.asarray(
        0.5
        * (
            2 * b
            + (c - a) * f
            + (2 * a - 5 * b + 4 * c - d) * f**2
            + (3 * b - a - 3 * c + d) * f**3
        )
    )


def ribbon(line: ArrayLike, widths: Sequence[float]) -> Path:
    """Give a band of changing width along a line of points."""
    pts = np.asarray(line, float)
    along = np.gradient(pts, axis=0)
    along /= np.hypot(along[:, 0], along[:, 1])[:, None] + 1e-12
    across = np.stack([-along[:, 1], along[:, 0]], 1)
    w = (
        np.interp(np.linspace(0, 1, len(pts)), np.linspace(0, 1, len(widths)), widths)[:, None]
        / 2
    )
    return poly(np.vstack([pts + across * w, (pts - across * w)[::-1]]))


def grow(path: Path, by: float) -> Path:
    """Give the fat silhouette: drawn under the fill it is the ink line, at half the cost of stroking."""
    out = skia.Path()
    pen = skia.Paint(
        Style=skia.Paint.kStrokeAndFill_Style,
        StrokeWidth=2 * by,
        StrokeJoin=skia.Paint.kRound_Join,
    )
    pen.getFillPath(path, out)
    return out


def disc(x: float, y: float, r: float) -> Path:
    """Give a circle."""
    return skia.Path.Circle(x, y, r)


def oval(x: float, y: float, rx: float, ry: float) -> Path:
    """Give an ellipse about its middle."""
    return skia.Path.Oval(skia.Rect.MakeLTRB(x - rx, y - ry, x + rx, y + ry))


def box(x: float, y: float, w: float, h: float, r: float = 0) -> Path:
    """Give a rectangle, its corners rounded by ``r``."""
    path = skia.Path()
    rect = skia.Rect.MakeXYWH(x, y, w, h)
    if r:
        path.addRoundRect(rect, r, r)
    else:
        path.addRect(rect)
    return path


def arc(
    x: float,
    y: float,
    r: float,
    start_deg: float,
    stop_deg: float,
    count: int = 24,
    ry: float | None = None,
) -> Array:
    """Give points along an arc; angles clockwise from the right, as the picture's y points down."""
    t = np.radians(np.linspace(start_deg, stop_deg, count))
    return np.stack([x + r * np.cos(t), y + (r if ry is None else ry) * np.sin(t)], 1)


def wedge(x: float, y: float, r: float, start_deg: float, sweep_deg: float) -> Path:
    """Give a slice of a disc; clockwise from the right."""
    if abs(sweep_deg) >= 359.99:
        return disc(x, y, r)
    path = skia.Path()
    path.moveTo(x, y)
    path.arcTo(skia.Rect.MakeLTRB(x - r, y - r, x + r, y + r), start_deg, sweep_deg, False)
    path.close()
    return path


def cut(path: Path, *holes: Path) -> Path:
    """Take holes out of a shape."""
    for hole in holes:
        path = skia.Op(path, hole, skia.PathOp.kDifference_PathOp)
    return path


def join(*paths: Path) -> Path:
    """Make one shape of several."""
    out = paths[0]
    for path in paths[1:]:
        out = skia.Op(out, path, skia.PathOp.kUnion_PathOp)
    return out


def common(a: Path, b: Path) -> Path:
    """Give what two shapes share."""
    return skia.Op(a, b, skia.PathOp.kIntersect_PathOp)


def turned(p: Sequence[float], deg: float) -> tuple[float, float]:
    """Turn a point about the origin, clockwise in the picture."""
    a = math.radians(deg)
    return p[0] * math.cos(a) - p[1] * math.sin(a), p[0] * math.sin(a) + p[1] * math.cos(a)


def place(x: float = 0.0, y: float = 0.0, deg: float = 0.0, scale: float = 1.0) -> Matrix:
    """Give a frame of reference: turned clockwise, scaled, then moved."""
    matrix = skia.Matrix()
    matrix.setRotate(deg)
    matrix.preScale(scale, scale)
    matrix.postTranslate(x, y)
    return matrix


def hatch(
    c: Canvas, path: Path, gap: float = 5.0, deg: float = -38.0, paint: Paint | None = None
) -> None:
    """Engraver's shading: even lines across a shape."""
    bounds = path.computeTightBounds()
    r = math.hypot(bounds.width(), bounds.height()) / 2 + gap
    lines = skia.Path()
    for k in np.arange(-r, r, gap).tolist():
        lines.moveTo(-r, k)
        lines.lineTo(r, k)
    c.save()
    c.clipPath(path, skia.ClipOp.kIntersect, True)
    c.translate(bounds.centerX(), bounds.centerY())
    c.rotate(deg)
    c.drawPath(lines, paint or stroke("#2A211B", 0.9, 0.45))
    c.restore()


# ---------------------------------------------------------------- canvas
_is_taped: ContextVar[bool] = ContextVar("is_taped", default=False)


@contextmanager
def on_tape() -> Iterator[None]:
    """Sheets made inside note what is drawn instead of making pixels of it, for paper: their canvas is a ``Tape``."""
    before = _is_taped.set(True)
    try:
        yield
    finally:
        _is_taped.reset(before)


class Sheet:
    """A picture: an RGBA array with a canvas on it.

    Parameters
    ----------
    width_px, height_px
        Size. [px]
    unit
        Pixels a design unit; default: the height is 720 units.

    Attributes
    ----------
    array : numpy.ndarray
        (height, width, 4), uint8, the picture as it stands; drawn over by the next one.
    w, h : float
        Size in design units.
    """

    def __init__(self, width_px: int, height_px: int, unit: float | None = None) -> None:
        self.unit = unit or height_px / DESIGN_HEIGHT
        self.w, self.h = width_px / self.unit, height_px / self.unit
        self._base: NDArray[np.uint8] | None = None
        self.tape: Tape | None = None
        if _is_taped.get():
            from animator.pictures.tape import Tape

            self.array = np.zeros((1, 1, 4), np.uint8)
            self.canvas: Any = Tape(self.w, self.h)  # in design units
            self.tape = self.canvas
            return
        self.array = np.zeros((height_px, width_px, 4), np.uint8)
        # unpremultiplied on purpose: measured twice as fast as an opaque or premultiplied surface
        self.surface = skia.Surface(
            self.array, skia.kRGBA_8888_ColorType, skia.kUnpremul_AlphaType
        )
        self.canvas = self.surface.getCanvas()
        self.canvas.scale(self.unit, self.unit)

    def clear(self) -> None:
        """Begin again from nothing, clear all over."""
        self.array[:] = 0
        if self.tape is not None:
            self.tape.rewind(whole=True)

    def keep(self) -> None:
        """Keep what is drawn so far as the layer that never moves."""
        self._base = self.array.copy()
        if self.tape is not None:
            self.tape.keep()

    def fresh(self) -> None:
        """Begin again from the layer that never moves."""
        if self._base is not None:
            np.copyto(self.array, self._base)
            if self.tape is not None:
                self.tape.rewind()


class Layer:
    """Something drawn once on a clear sheet, cut to its ink, to be laid over moving parts.

    Drawn as it comes onto a canvas that isn't made of pixels (PDF, SVG).
    """

    def __init__(
        self, width: float, height: float, unit: float, draw: Callable[[Canvas], None]
    ) -> None:
        self._draw, self._is_taped = draw, _is_taped.get()
        self._image: Any = None
        if self._is_taped:
            return
        pixels = np.zeros((math.ceil(height * unit), math.ceil(width * unit), 4), np.uint8)
        surface = skia.Surface(pixels, skia.kRGBA_8888_ColorType, skia.kPremul_AlphaType)
        c = surface.getCanvas()
        c.scale(unit, unit)
        draw(c)
        rows, columns = (
            np.nonzero(pixels[..., 3].any(1))[0],
            np.nonzero(pixels[..., 3].any(0))[0],
        )
        if len(rows):
            self._x, self._y = int(columns[0]), int(rows[0])
            inked = np.ascontiguousarray(
                pixels[rows[0] : rows[-1] + 1, columns[0] : columns[-1] + 1]
            )
            self._image = skia.Image.fromarray(
                inked, skia.kRGBA_8888_ColorType, skia.kPremul_AlphaType
            )

    def lay(self, c: Canvas) -> None:
        """Lay it over what is there, pixel on pixel."""
        if self._is_taped:
            c.save()
            c.resetMatrix()
            self._draw(c)
            c.restore()
            return
        if self._image is None:
            return
        c.save()
        c.resetMatrix()
        c.drawImage(self._image, self._x, self._y)
        c.restore()
