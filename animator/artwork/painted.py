"""A painted or photographed sketch (PNG, JPEG) -> a sheet with one shape: cut out by its alpha or, where there is none, by its outline against a plain ground.

The only module here that loads pixels; it is imported when a scene names such a file.
"""

from __future__ import annotations

import warnings
from functools import lru_cache
from pathlib import Path
from typing import Any

import contourpy
import numpy as np
import shapely
from numpy.typing import NDArray
from PIL import Image, ImageFilter, ImageOps

from animator.artwork.colours import hexed
from animator.artwork.refusal import Unusable
from animator.artwork.sheet import Course, Cut, Picture, Sheet

LARGEST = 60_000_000  # bytes
MOST_PIXELS = (
    50_000_000  # told before a pixel is unpacked; a telephone's camera has 12 to 50 million
)
WORKING = 1400  # px, the longer side that is kept: sharper than a figure is ever shown
SMALLEST = 16  # px
MOST_POINTS = 20_000
PLAIN_SHARE = 0.6
"""Share of the border that must be of one colour (with a soft fall of light) for a ground to be called plain."""
CLEAR = 8.0
"""Colour distance (CIELAB) from the ground that makes a figure; paper and its shading stay below 5."""
SPECK = 0.01
"""Part of the largest piece below which a loose one is dust."""
HOLE = 0.0005
"""The same of holes, by alpha alone: on a ground a pale place inside a figure is paint."""
Pixels = NDArray[np.uint8]
Field = NDArray[np.float64]


def read(path: Path, stamp: tuple[int, int]) -> Sheet:
    """Read a picture and find its outline. It has no size of its own: the scene says how high it is."""
    if stamp[1] > LARGEST:
        raise Unusable(
            f"the file is larger than {LARGEST // 1_000_000} MB", "make the picture smaller"
        )
    found = pixels(path, stamp)
    high, wide = found.shape[:2]
    loops = outline(found)
    inside = found[found[..., 3] > 127][:, :3]
    hue = hexed((np.median(inside, axis=0) / 255).tolist())
    cut = Cut(
        tuple(_course(loop, high) for loop in loops),
        hue,
        is_even_odd=True,
        picture=Picture(path, stamp, (float(wide), float(high))),
    )
    return Sheet(path.name, (cut,), {}, (float(wide), float(high)), False)


def _course(loop: Field, high: int) -> Course:
    points = [(x, high - y) for x, y in loop.tolist()]
    return Course(tuple(zip(points, [*points[1:], points[0]], strict=True)), is_closed=True)


@lru_cache(maxsize=8)
def pixels(path: Path, stamp: tuple[int, int]) -> Pixels:
    """Give a picture as (height, width, 4) red, green, blue and alpha, upright and no larger than is worked with; alpha is 0 outside the figure.

    Colours go on a little beyond the figure's edge, so that no rim of the ground shows beside it.
    """
    whole = _opened(path)
    found = np.array(whole)
    has_alpha = bool((found[..., 3] < 128).mean() > 0.002)
    if not has_alpha:
        found[..., 3] = np.array(_figure_on_ground(found[..., :3]))
    if not (found[..., 3] > 127).any():
        raise Unusable("nothing is painted in it", "take a picture with a figure in it")
    found[..., :3] = _bled(found)
    found.setflags(write=False)
    return found


def _opened(path: Path) -> Image.Image:
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("error")
            with Image.open(path, formats=("PNG", "JPEG")) as opened:
                wide, high = opened.size
                if wide * high > MOST_PIXELS:
                    raise Unusable(
                        f"a picture of {wide} x {high} pixels", "make the picture smaller"
                    )
                if min(wide, high) < SMALLEST:
                    raise Unusable(
                        f"a picture of {wide} x {high} pixels",
                        "take a larger one, 600 pixels high or more",
                    )
                opened.draft(
                    "RGB", (WORKING, WORKING)
                )  # a JPEG is then unpacked at no more than it needs
                opened.load()
                upright = ImageOps.exif_transpose(opened)
    except Unusable:
        raise
    except Image.DecompressionBombError:
        raise Unusable("a picture of too many pixels", "make the picture smaller") from None
    except Exception as error:  # the decoders raise what they like
        raise Unusable(
            f"it can't be read as a picture ({str(error)[:80] or type(error).__name__})",
            "save it anew as PNG or JPEG",
        ) from None
    if upright.mode.startswith("I"):
        upright = upright.convert("I").point(lambda value: value / 257).convert("L")
    plain = upright.convert("RGBA")
    plain.thumbnail((WORKING, WORKING), Image.Resampling.LANCZOS)
    return plain


# ---------------------------------------------------------------- figure and ground
def _figure_on_ground(rgb: Pixels) -> Image.Image:
    """Find the figure on a plain ground: what is clearly of another colour, with all that it encloses."""
    lab = _lab(rgb)
    high, wide = lab.shape[:2]
    y, x = np.mgrid[0:high, 0:wide].astype(float)
    x, y = x / wide - 0.5, y / high - 0.5
    rim = max(2, round(0.015 * min(high, wide)))
    at_border = np.zeros((high, wide), bool)
    at_border[:rim], at_border[-rim:], at_border[:, :rim], at_border[:, -rim:] = (True,) * 4
    terms = np.stack([np.ones_like(x), x, y, x * x, x * y, y * y], -1)
    rows, colours = terms[at_border], lab[at_border]
    keep = np.linalg.norm(colours - np.median(colours, axis=0), axis=1) < 25
    spread = 1.0
    for _ in range(4):
        if keep.mean() < PLAIN_SHARE:
            break
        fit, *_ = np.linalg.lstsq(rows[keep], colours[keep], rcond=None)
        off = np.linalg.norm(colours - rows @ fit, axis=1)
        spread = max(float(np.median(off[keep])), 0.5)
        keep = off < max(4 * spread, 3.0)
    if keep.mean() < PLAIN_SHARE or spread > 6:
        raise Unusable(
            "no figure can be told from the ground: it has no alpha, and its border isn't plain",
            "photograph the figure on a plain sheet with room all round, or cut it out with alpha",
        )
    away = np.linalg.norm(lab - terms @ fit, axis=2)
    mask = Image.fromarray(((away > max(CLEAR, 5 * spread)) * 255).astype(np.uint8))
    reach = (
        2 * max(1, round(0.004 * max(high, wide))) + 1
    )  # small gaps in a drawn line are closed
    mask = mask.filter(ImageFilter.MedianFilter(3))
    mask = mask.filter(ImageFilter.MaxFilter(reach)).filter(ImageFilter.MinFilter(reach))
    # all that can't be reached from the border belongs to the figure
    loops = [loop for loop, is_hole in _loops(np.array(mask)) if not is_hole]
    if not loops:
        raise Unusable("nothing is painted in it", "take a picture with a figure in it")
    return _filled(loops, (wide, high))


def _filled(loops: list[Field], size: tuple[int, int]) -> Image.Image:
    """Paint the inside of some outlines, four times as fine and then softened, so that the edge keeps its place."""
    from PIL import ImageDraw

    fine = 2
    large = Image.new("L", (size[0] * fine, size[1] * fine))
    pen = ImageDraw.Draw(large)
    for loop in loops:
        # a pixel's middle is at .5, and Pillow fills the pixels its corners name
        pen.polygon([(x * fine - 0.5, y * fine - 0.5) for x, y in loop.tolist()], fill=255)
    return large.resize(size, Image.Resampling.BOX)


def _lab(rgb: Pixels) -> Field:
    """CIELAB of sRGB, D65 (IEC 61966-2-1; CIE 15)."""
    value = rgb / 255.0
    light = np.where(value <= 0.04045, value / 12.92, ((value + 0.055) / 1.055) ** 2.4)
    matrix = np.array(
        [
            [0.4124564, 0.3575761, 0.1804375],
            [0.2126729, 0.7151522, 0.0721750],
            [0.0193339, 0.1191920, 0.9503041],
        ]
    )
    xyz = light @ (matrix / matrix.sum(1, keepdims=True)).T
    f = np.where(xyz > 216 / 24389, np.cbrt(xyz), (24389 / 27 * xyz + 16) / 116)
    return np.stack(
        [116 * f[..., 1] - 16, 500 * (f[..., 0] - f[..., 1]), 200 * (f[..., 1] - f[..., 2])], -1
    )


def _bled(found: Pixels) -> Pixels:
    """Let the figure's colours run out over its edge: each pixel outside takes those of the nearest inside."""
    solid = np.array(
        Image.fromarray(((found[..., 3] > 200) * 255).astype(np.uint8)).filter(
            ImageFilter.MinFilter(3)
        )
    )
    if not solid.any():
        return found[..., :3]
    out, known = found[..., :3].copy(), solid > 0
    for radius in (1, 2, 4):
        weight = np.array(_blurred(known.astype(np.uint8) * 255, radius)).astype(float)
        mixed = np.stack(
            [np.array(_blurred(out[..., i] * known, radius)).astype(float) for i in range(3)],
            -1,
        )
        fresh = ~known & (weight > 8)
        out[fresh] = np.clip(mixed[fresh] * 255 / weight[fresh][:, None], 0, 255).astype(
            np.uint8
        )
        known |= fresh
    return out


def _blurred(plane: Any, radius: int) -> Image.Image:
    return Image.fromarray(plane.astype(np.uint8)).filter(ImageFilter.BoxBlur(radius))


# ---------------------------------------------------------------- outlines
def outline(found: Pixels) -> list[Field]:
    """Give the loops round a figure, holes too, in pixels from the upper left corner, x then y."""
    rows = _loops(found[..., 3])
    largest = max(
        (shapely.Polygon(loop).area for loop, is_hole in rows if not is_hole), default=0
    )
    if largest < SMALLEST:
        raise Unusable("nothing is painted in it", "take a picture with a figure in it")
    kept = [
        loop
        for loop, is_hole in rows
        if shapely.Polygon(loop).area > largest * (HOLE if is_hole else SPECK)
    ]
    if sum(map(len, kept)) > MOST_POINTS:
        raise Unusable("its outline is too ragged to be sawn", "cut the figure out cleanly")
    return kept


def _loops(cover: Pixels) -> list[tuple[Field, bool]]:
    """Level line at half cover: (points, whether it is the edge of a hole)."""
    high, wide = cover.shape
    padded = np.zeros((high + 2, wide + 2))
    padded[1:-1, 1:-1] = np.array(_smoothed(cover), float)
    lines = contourpy.contour_generator(z=padded, name="serial").lines(127.5)
    out = []
    for line in lines:
        points = (
            np.asarray(line, float)[:-1] - 0.5
        )  # a pixel's middle is at .5, and one was padded
        if len(points) < 4:
            continue
        ring = shapely.LinearRing(points).simplify(0.25)
        points = np.asarray(ring.coords)[:-1]
        if len(points) < 3 or shapely.Polygon(points).area < 2:
            continue
        # contourpy goes round with the higher side on its left; y runs down here, so a figure's edge encloses a negative area
        x, y = points.T
        turn = float((x * np.roll(y, -1) - np.roll(x, -1) * y).sum())
        out.append((points, turn < 0))
    if out and sum(map(len, (loop for loop, _ in out))) > 50 * MOST_POINTS:
        raise Unusable("its outline is too ragged to be sawn", "cut the figure out cleanly")
    return out


def _smoothed(cover: Pixels) -> Image.Image:
    return Image.fromarray(np.ascontiguousarray(cover)).filter(ImageFilter.GaussianBlur(0.7))


def flat(picture: Picture, count: int) -> Pixels:
    """Give a picture in a few flat colours, for what is printed thriftily."""
    found = pixels(picture.path, picture.stamp)
    plain = Image.fromarray(found[..., :3]).filter(ImageFilter.MedianFilter(5))
    few = plain.quantize(count, dither=Image.Dither.NONE).convert("RGB")
    return np.dstack([np.array(few), found[..., 3]])
