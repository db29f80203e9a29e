"""Material recipes (wood, ply, brass, wire, rubber, leather, string, paint) and ``Piece``, the way a cut shape is drawn."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from functools import cache
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from animator import materials
from animator.pictures import palette
from animator.pictures.ink import (
    SHADE,
    TOWARDS,
    Canvas,
    Matrix,
    Paint,
    Path,
    box,
    colour,
    disc,
    fill,
    grow,
    linear,
    place,
    poly,
    radial,
    shaded,
    skia,
    soft,
    spline,
    stroke,
)
from animator.pictures.palette import channels, mix

Field = NDArray[np.float64]
SMOOTH = skia.SamplingOptions(skia.FilterMode.kLinear, skia.MipmapMode.kNone)
Detail = tuple[Path, Paint] | Callable[[Canvas], None]


# ---------------------------------------------------------------- textures, made once, tileable
def _noise(w: int, h: int, sx: float, sy: float, seed: int) -> Field:
    """Tileable smooth noise of unit variance, correlated over sx by sy pixels."""
    raw = np.random.default_rng(seed).standard_normal((h, w))
    kx, ky = np.fft.rfftfreq(w)[None], np.fft.fftfreq(h)[:, None]
    field = np.fft.irfft2(
        np.fft.rfft2(raw) * np.exp(-2 * math.pi**2 * ((sx * kx) ** 2 + (sy * ky) ** 2)), (h, w)
    )
    return np.asarray(field / field.std())


def _image(pixels: Any) -> Any:
    return skia.Image.fromarray(
        np.ascontiguousarray(pixels), skia.kRGBA_8888_ColorType, skia.kUnpremul_AlphaType
    )


def _tint(value: Field, dark: str, light: str) -> Any:
    share = np.clip(value, 0, 1)[..., None]
    rgb = np.array(channels(dark)) * (1 - share) + np.array(channels(light)) * share
    return _image(np.dstack([rgb, np.full(value.shape, 255)]).round().astype(np.uint8))


@cache
def _grain(
    seed: int, rings: float, wander: float, fleck: float, w: int = 512, h: int = 256
) -> Field:
    """Wood, 0 dark to 1 light: wavering rings along x, pores as short dark flecks. ``rings`` across the tile: few and faint is birch."""
    y = np.arange(h)[:, None] / h
    wave = y * rings + wander * (
        0.35 * _noise(w, h, 110, 16, seed) + 0.08 * _noise(w, h, 60, 4, seed + 1)
    )
    ring = 0.5 + 0.5 * np.sin(2 * np.pi * wave)
    pores = np.clip(_noise(w, h, 14, 0.7, seed + 2) - 1.2, 0, 2)
    return np.asarray(
        0.62 + 0.30 * (ring**1.6 - 0.5) + 0.10 * _noise(w, h, 70, 2, seed + 3) - fleck * pores
    )


GRAINS: dict[str, tuple[str, str, int, float, float, float, int]] = {
    "birch": ("#C59A62", "#EFD9B1", 3, 5, 1.3, 0.16, 512),
    "beech": ("#B9824F", "#E9BE90", 17, 11, 0.8, 0.34, 512),
    "walnut": ("#4B2F1E", "#94694A", 11, 9, 1.1, 0.30, 512),
    "bench": ("#6B4930", "#A67C57", 23, 7, 1.6, 0.22, 1024),
    "brush": ("#CFCAC4", "#FFFFFF", 31, 3, 1.0, 0.10, 512),
    "card": ("#E0D2B4", "#F2E8D2", 41, 1, 2.5, 0.02, 512),
}
FLAT = {
    "birch": palette.BIRCH,
    "beech": palette.WOODS["beech"][1],
    "walnut": palette.WALNUT,
    "bench": palette.WALNUT,
    "card": palette.WOODS["card"][1],
}


@cache
def _wood_image(kind: str) -> Any:
    dark, light, seed, rings, wander, fleck, w = GRAINS[kind]
    return _tint(_grain(seed, rings, wander, fleck, w), dark, light)


@cache
def _brushed_image(hue: str) -> Any:
    """Poster paint with brush hairs in it: one picture for each colour, so that paper keeps it as one too."""
    dark, light, seed, rings, wander, fleck, w = GRAINS["brush"]
    tones = [
        "#"
        + "".join(
            f"{round(a * b / 255):02X}"
            for a, b in zip(channels(hue), channels(tone), strict=True)
        )
        for tone in (dark, light)
    ]
    return _tint(_grain(seed, rings, wander, fleck, w), tones[0], tones[1])


def _tiled(
    image: Any, scale: float, angle_deg: float = 0.0, dx: float = 0.0, dy: float = 0.0
) -> Any:
    matrix = skia.Matrix()
    matrix.setRotate(angle_deg)
    matrix.preScale(scale, scale)
    matrix.postTranslate(dx, dy)
    return image.makeShader(skia.TileMode.kRepeat, skia.TileMode.kRepeat, SMOOTH, matrix)


@cache
def paper(base: str, strength: float = 1.0) -> Paint:
    """Give printing paper: a little tooth, a little cloud, some fibres."""
    w = h = 512
    value = 0.9 * _noise(w, h, 0.6, 0.6, 5) + 1.0 * _noise(w, h, 40, 40, 6)
    fibre = np.clip(_noise(w, h, 7, 0.6, 7) - 2.6, 0, 1) * 7
    out = np.array(channels(base))[None, None] + strength * (
        value[..., None] * np.array([1.0, 1.05, 1.3]) - fibre[..., None]
    )
    pixels = np.dstack([np.clip(out, 0, 255), np.full((h, w), 255)]).round().astype(np.uint8)
    return shaded(_tiled(_image(pixels), 1.0))


# ---------------------------------------------------------------- what a stuff's name means
LOOKS: dict[str, tuple[str, str]] = {
    "ply": ("ply", "birch"),
    "birch": ("wood", "birch"),
    "lime": ("wood", "birch"),
    "balsa": ("wood", "birch"),
    "beech": ("wood", "beech"),
    "pine": ("wood", "beech"),
    "walnut": ("wood", "walnut"),
    "card": ("wood", "card"),
    "brass": ("metal", "brass"),
    "steel": ("metal", "steel"),
    "rubber": ("soft", "rubber"),
    "leather": ("soft", "leather"),
    "string": ("soft", "string"),
    "felt": ("soft", "felt"),
    "clay": ("soft", "clay"),
}


def family(stuff: str) -> tuple[str, str]:
    """Tell what a stuff looks like: (sort, name), sort one of wood, ply, metal, soft. The material table names the look.

    Examples
    --------
    >>> family("birch ply"), family("spring steel"), family("rubber band")
    (('ply', 'birch'), ('metal', 'steel'), ('soft', 'rubber'))
    """
    known = materials.stuffs().get(stuff)
    return LOOKS.get(known.look if known else stuff, ("wood", "birch"))


class Stuffs:
    """All materials at hand. ``is_plain``: every one is a single flat ink, for GIF and for the printed look."""

    def __init__(self, is_plain: bool = False) -> None:
        self.is_plain = is_plain
        self._made: dict[tuple[Any, ...], Paint] = {}

    def wood(
        self,
        kind: str,
        scale: float = 0.55,
        angle_deg: float = 0.0,
        dx: float = 0.0,
        dy: float = 0.0,
    ) -> Paint:
        """Give a face of wood or ply; the grain lies along x, turned by ``angle_deg``."""
        if self.is_plain:
            return fill(FLAT[kind])
        key = ("wood", kind, scale, angle_deg, dx, dy)
        if key not in self._made:
            self._made[key] = shaded(_tiled(_wood_image(kind), scale, angle_deg, dx, dy))
        return self._made[key]

    def paint(
        self, hue: str, angle_deg: float = 0.0, lift: float = 0.10, scale: float = 0.8
    ) -> Paint:
        """Brushed-on poster paint: the colour, a little lightened, with brush hairs in it."""
        if self.is_plain:
            return fill(hue)
        key = ("paint", hue, angle_deg, lift, scale)
        if key not in self._made:
            self._made[key] = shaded(
                _tiled(_brushed_image(mix(hue, "#FFFFFF", lift)), scale, angle_deg)
            )
        return self._made[key]

    def tones(self, stuff: str) -> tuple[str, str, str]:
        """Light, middle and low tone of a stuff, or of a paint's colour."""
        if stuff.startswith("#"):
            return mix(stuff, "#FFFFFF", 0.55), stuff, mix(stuff, "#000000", 0.45)
        sort, name = family(stuff)
        return (
            palette.METALS
            if sort == "metal"
            else palette.SOFT_STUFFS
            if sort == "soft"
            else palette.WOODS
        )[name]

    def round(self, p: Sequence[float], q: Sequence[float], stuff: str) -> Paint:
        """Rods and tubes: five stops from side to side, the glint a third of the way in."""
        hi, mid, low = self.tones(stuff)
        if self.is_plain:
            return fill(mid)
        return linear(
            p, q, [(0, mid), (0.28, hi), (0.5, mid), (0.85, low), (1, mix(low, mid, 0.5))]
        )

    def turned(self, x: float, y: float, metal: str = "brass") -> Paint:
        """Give a face turned on a lathe: two pairs of bright fans that stand still while the part turns under them."""
        hi, mid, low = palette.METALS[metal]
        if self.is_plain:
            return fill(mid)
        key = ("turned", x, y, metal)
        if key not in self._made:
            pale = mix(mid, hi, 0.35)
            ring = [
                (0, pale),
                (0.10, mid),
                (0.20, mix(mid, low, 0.45)),
                (0.33, mid),
                (0.40, hi),
                (0.46, mid),
                (0.60, pale),
                (0.70, mix(mid, low, 0.55)),
                (0.83, mid),
                (0.90, hi),
                (0.955, mid),
                (1, pale),
            ]
            self._made[key] = shaded(
                skia.GradientShader.MakeSweep(
                    x, y, [colour(c) for _, c in ring], [t for t, _ in ring]
                )
            )
        return self._made[key]

    def sheet(self, bounds: Sequence[float], metal: str = "brass") -> Paint:
        """Sheet metal, satin: one broad band of light from upper left to lower right of (x0, y0, x1, y1)."""
        hi, mid, low = palette.METALS[metal]
        if self.is_plain:
            return fill(mid)
        return linear(
            bounds[:2],
            bounds[2:],
            [
                (0, mix(mid, hi, 0.35)),
                (0.28, mix(mid, hi, 0.85)),
                (0.45, mid),
                (0.8, mix(mid, low, 0.4)),
                (1, mid),
            ],
        )

    def ball(self, x: float, y: float, r: float, hue: str) -> Paint:
        """Give a turned and painted ball."""
        if self.is_plain:
            return fill(hue)
        return radial(
            (x - r * 0.35, y - r * 0.4),
            r * 1.5,
            [
                (0, mix(hue, "#FFFFFF", 0.55)),
                (0.35, mix(hue, "#FFFFFF", 0.1)),
                (1, mix(hue, "#000000", 0.5)),
            ],
        )

    def face(self, stuff: str, path: Path, angle_deg: float = 20.0) -> Paint:
        """Give the fill of a shape cut from a stuff."""
        sort, name = family(stuff)
        b = path.computeTightBounds()
        if sort == "metal":
            return self.sheet((b.left(), b.top(), b.right(), b.bottom()), name)
        if sort == "soft":
            return self.paint(palette.SOFT_STUFFS[name][1], angle_deg, 0.04)
        return self.wood(name, 0.55, angle_deg, b.centerX() + 31, b.centerY() + 17)


# ---------------------------------------------------------------- cut shapes
class Piece:
    """A shape cut from some stuff. Layers, bottom up: soft shadow, visible thickness (plies), ink silhouette, fill, details.

    Shadow, thickness and the ink's heavier side keep to the light however the part turns, because they are offset in the
    picture and not in the part. A ``still_light`` fill (turned metal) keeps its glints in the picture too.

    Parameters
    ----------
    path, paint
        Outline and fill, in the part's own frame.
    line
        How far the ink stands out round the fill.
    rise
        Height above what lies behind: how far the shadow falls.
    ply
        Visible thickness, drawn as plies along the shadow; 0 for none.
    edge
        The plies, nearest last.
    details
        Paths and paints drawn on the face.
    cast
        What casts the shadow, where it is more than the shape itself (all of a figure at once).
    """

    def __init__(
        self,
        path: Path,
        paint: Paint,
        line: float = 1.25,
        rise: float = 5.0,
        ply: float = 0.0,
        edge: Sequence[str] = (palette.PLY_LIT, palette.PLY_DARK, palette.PLY_LIT),
        details: Sequence[Detail] = (),
        still_light: bool = False,
        cast: Path | None = None,
    ) -> None:
        self.path, self.paint, self.rise, self.ply = path, paint, rise, ply
        self.cast = path if cast is None else cast
        self.fat = grow(path, line) if line else None
        self.edges = [fill(c) for c in edge]
        self.details, self.still_light = list(details), still_light
        self.ink = fill(palette.INK)
        self.shade = soft(SHADE, 0.42, max(1.2, rise * 0.55)) if rise else None
        self.hard = fill("#000000", 0.22)
        self._shader = paint.getShader() if still_light else None

    def shadow(self, c: Canvas, m: Matrix, is_plain: bool = False) -> None:
        """Drop the shadow."""
        if not self.rise:
            return
        c.save()
        c.translate(TOWARDS[0] * self.rise, TOWARDS[1] * self.rise)
        c.concat(m)
        c.drawPath(self.cast, self.hard if is_plain else self.shade)
        c.restore()

    def body(self, c: Canvas, m: Matrix, is_plain: bool = False) -> None:
        """Draw the shape itself."""
        if self.ply:
            dx, dy = TOWARDS[0] * self.ply, TOWARDS[1] * self.ply
            self._at(c, m, dx + 0.5, dy + 0.7, self.fat, self.ink)
            steps = (self.edges[1:2] or self.edges) if is_plain else self.edges
            for i, paint in enumerate(steps):
                k = 1 - i / len(steps)
                self._at(c, m, dx * k, dy * k, self.path, paint)
        if self.fat is not None:
            self._at(c, m, 0 if self.ply else 0.45, 0 if self.ply else 0.65, self.fat, self.ink)
        c.save()
        c.concat(m)
        if self._shader is not None and not is_plain:
            back = skia.Matrix()
            back.setRotate(-math.degrees(math.atan2(m.getSkewY(), m.getScaleX())))
            paint = skia.Paint(self.paint)
            paint.setShader(self._shader.makeWithLocalMatrix(back))
            c.drawPath(self.path, paint)
        else:
            c.drawPath(self.path, self.paint)
        for detail in self.details:
            if callable(detail):
                detail(c)
            else:
                c.drawPath(*detail)
        c.restore()

    def draw(self, c: Canvas, m: Matrix | None = None, is_plain: bool = False) -> None:
        """Draw shadow and shape."""
        m = m if m is not None else skia.Matrix()
        self.shadow(c, m, is_plain)
        self.body(c, m, is_plain)

    @staticmethod
    def _at(c: Canvas, m: Matrix, dx: float, dy: float, path: Path, paint: Paint) -> None:
        c.save()
        c.translate(dx, dy)
        c.concat(m)
        c.drawPath(path, paint)
        c.restore()


# ---------------------------------------------------------------- long things: wire, string, rubber, coils
def wire(
    c: Canvas,
    points: ArrayLike,
    width: float,
    stuff: str = "steel",
    shadow: float = 4.0,
    is_plain: bool = False,
    is_smooth: bool = False,
) -> None:
    """Bent wire, rubber or string: ink, body, then a thin glint shifted towards the light."""
    path = spline(points) if is_smooth else poly(points, False)
    sort, name = family(stuff)
    hi, mid, low = (
        palette.METALS
        if sort == "metal"
        else palette.SOFT_STUFFS
        if sort == "soft"
        else palette.WOODS
    )[name]
    if shadow and not is_plain:
        long_shadow(c, path, width + 0.5, shadow)
    c.drawPath(path, stroke(palette.INK, width + 2.0))
    c.drawPath(path, stroke(mid if is_plain or sort == "soft" else mix(low, mid, 0.55), width))
    if not is_plain:
        c.save()
        c.translate(-width * 0.16, -width * 0.2)
        c.drawPath(path, stroke(hi, width * (0.28 if sort == "soft" else 0.34), 0.85))
        c.restore()


def long_shadow(c: Canvas, path: Path, width: float, rise: float) -> None:
    """Drop the soft shadow of a line."""
    c.save()
    c.translate(TOWARDS[0] * rise, TOWARDS[1] * rise)
    shade = stroke(SHADE, width, 0.38)
    shade.setMaskFilter(skia.MaskFilter.MakeBlur(skia.kNormal_BlurStyle, max(1.0, rise * 0.5)))
    c.drawPath(path, shade)
    c.restore()


class Coil:
    """A spring with its true number of turns, its ends ground flat (compression) or hooked (extension).

    Drawn in its own frame along +x from 0 to the length it has now: far halves first, then what runs inside it, then the near halves.
    """

    def __init__(self, radius: float, turns: int, gauge: float, hooked: bool = False) -> None:
        self.radius, self.turns, self.gauge, self.hooked = radius, max(2, turns), gauge, hooked
        self._ink, self._body = (
            stroke(palette.INK, gauge + 1.7),
            stroke(palette.METALS["steel"][1], gauge),
        )
        self._far = stroke(
            mix(palette.METALS["steel"][2], palette.METALS["steel"][1], 0.4), gauge
        )
        self._glint = stroke(palette.METALS["steel"][0], gauge * 0.4)

    def lines(self, length: float) -> tuple[Path, Path]:
        """Far and near halves for a length."""
        hook = self.radius * 1.2 if self.hooked else 0.0
        start, stop = hook, max(length - hook, hook + 1.0)
        pitch = (stop - start) / self.turns
        far, near = skia.Path(), skia.Path()
        r = self.radius
        for i in range(self.turns):
            x = start + i * pitch
            near.moveTo(x, -r)
            near.lineTo(x + pitch * 0.5, r)
            far.moveTo(x + pitch * 0.5, r)
            far.lineTo(x + pitch, -r)
        if self.hooked:
            near.moveTo(0, 0), near.quadTo(start * 0.4, -r * 0.2, start, -r)
            near.moveTo(length, 0), near.quadTo(length - hook * 0.4, -r * 0.2, stop, -r)
        else:
            for x in (0.0, length):
                near.moveTo(x, -r)
                near.lineTo(x, r)
        return far, near

    def draw(
        self, c: Canvas, m: Matrix, length: float, half: str, is_plain: bool = False
    ) -> None:
        """Draw the ``far`` or the ``near`` half."""
        far, near = self.lines(length)
        far.transform(m), near.transform(m)
        if half == "far":
            if not is_plain:
                long_shadow(c, near, self.gauge + 1, 7)
            c.drawPath(far, self._ink)
            c.drawPath(far, self._far)
            return
        c.drawPath(near, self._ink)
        c.drawPath(near, self._body)
        if not is_plain:
            c.save()
            c.translate(-0.3, -0.55)
            c.drawPath(near, self._glint)
            c.restore()


def screw(
    c: Canvas,
    x: float,
    y: float,
    r: float,
    stuffs: Stuffs,
    deg: float = 25.0,
    metal: str = "brass",
) -> None:
    """Draw a slotted screw head, the slot darker than its face."""
    slot = (box(-r, -r * 0.14, 2 * r, r * 0.28), fill(palette.METALS[metal][2]))
    Piece(
        disc(0, 0, r), stuffs.turned(0, 0, metal), 0.9, 1.6, details=[slot], still_light=True
    ).draw(c, place(x, y, deg), stuffs.is_plain)


def ply_edge(
    c: Canvas,
    rect: Sequence[float],
    is_level: bool,
    layer_count: int,
    stuffs: Stuffs,
    seed: int = 0,
    wood: str = "birch",
) -> None:
    """Plywood seen on its edge: long light plies, short dark end-grain plies between, each a little uneven.

    ``rect`` is (x, y, width, height); solid wood shows end grain instead.
    """
    x, y, w, h = rect
    light, dark = palette.PLY_LIT, palette.PLY_DARK
    if wood != "birch":
        hi, mid, low = palette.WOODS[wood]
        light, dark = mix(hi, mid, 0.5), mix(mid, low, 0.45)
    c.drawPath(box(x, y, w, h), fill(light))
    step = (h if is_level else w) / layer_count
    rng = np.random.default_rng(seed)
    for i in range(layer_count):
        q = (x, y + i * step, w, step) if is_level else (x + i * step, y, step, h)
        if i % 2:
            c.drawPath(box(*q), fill(dark if stuffs.is_plain else mix(dark, light, 0.18)))
            if stuffs.is_plain:
                continue
            ticks = skia.Path()
            for t in rng.uniform(0, 1, int((w if is_level else h) / 3.2)).tolist():
                a, b = (x + t * w, q[1] + 0.6) if is_level else (q[0] + 0.6, y + t * h)
                ticks.moveTo(a, b)
                ticks.lineTo(*((a, b + step - 1.2) if is_level else (a + step - 1.2, b)))
            c.drawPath(ticks, stroke(mix(dark, "#000000", 0.3), 0.7, 0.5))
        elif not stuffs.is_plain:
            for _ in range(3):
                t, u = rng.uniform(0.15, 0.85), rng.uniform(0, 0.7)
                line = skia.Path()
                if is_level:
                    (
                        line.moveTo(x + u * w, q[1] + t * step),
                        line.lineTo(x + min(1, u + 0.3) * w, q[1] + t * step),
                    )
                else:
                    (
                        line.moveTo(q[0] + t * step, y + u * h),
                        line.lineTo(q[0] + t * step, y + min(1, u + 0.3) * h),
                    )
                c.drawPath(line, stroke(mix(dark, light, 0.35), 0.7, 0.5))
