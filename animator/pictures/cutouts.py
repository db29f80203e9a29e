"""A figure's artwork as cut-outs: what is sawn from a sheet, each with what is painted on it, in the house's hand or as the file has it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from functools import lru_cache
from typing import TYPE_CHECKING, Any

import numpy as np

from animator.artwork import painted
from animator.artwork.refusal import Unusable
from animator.pictures import palette
from animator.pictures.ink import Canvas, Paint, Path, fill, join, shaded, skia, stroke
from animator.pictures.shapes import (
    cut_path,
    engraving,
    lies_on,
    line_paint,
    shape_path,
    widened,
)
from animator.pictures.stuff import Detail, Piece, Stuffs

if TYPE_CHECKING:
    from animator.artwork.sheet import Cut, Picture
    from animator.parts._fields import Artwork

OUTLINE = 1.2
"""mm; a dark line round a filled shape that is no wider than this is its outline, which the house draws in its own way."""
DARK = 0.12
"""How light such a line may be. [relative luminance]"""
VEIL = 0.9
"""What covers less than this is shade or light laid over a shape, and gets no line of its own."""
FLAT_COLOURS = 12
"""How many a photographed sketch comes down to where pictures are thrifty."""
FINELY = skia.SamplingOptions(skia.FilterMode.kLinear, skia.MipmapMode.kLinear)
THINNEST = 0.8  # design units; an engraved line


@dataclass
class CutOut:
    """One shape sawn from a sheet, its colour, what is painted on it, and the picture on its face, if it has one."""

    path: Path
    hue: str
    details: list[Detail] = field(default_factory=list)
    face: Paint | None = None


def cut_outs(
    art: Artwork, k: float, stuffs: Stuffs, paint: str | None, *, is_bold: bool = True
) -> list[CutOut]:
    """Cut a figure out, the farthest shape first.

    Parameters
    ----------
    art
        What is drawn.
    k
        Design units a millimetre.
    stuffs
        Materials.
    paint
        Colour of what says none.
    is_bold
        Whether painted shapes get brush hairs and the full line.
    """
    if art.cut is not None:
        return _from_file(art, k, stuffs, is_bold)
    out: list[CutOut] = []
    for shape in art.shapes:
        path = shape_path(shape, art.place, k)
        hue = palette.paint(shape.paint or paint)
        under = next((row for row in reversed(out) if lies_on(path, row.path)), None)
        if under is None:
            out.append(CutOut(path, hue))
        else:
            _paint_on(under, path, hue, 1.0, stuffs, is_bold)
    return out


def _paint_on(
    under: CutOut, path: Path, hue: str, alpha: float, stuffs: Stuffs, is_bold: bool
) -> None:
    """Paint a shape on a cut-out: brushed where it is large enough, with an engraved line round it."""
    is_fine = not is_bold or path.computeTightBounds().height() < 9 or alpha < VEIL
    under.details.append((path, fill(hue, alpha) if is_fine else stuffs.paint(hue, 15, 0.04)))
    if alpha >= VEIL:
        under.details.append((path, stroke(palette.INK, 0.8 if is_fine else 1.0, 0.9)))


def _from_file(art: Artwork, k: float, stuffs: Stuffs, is_bold: bool) -> list[CutOut]:
    from animator.artwork.weighing import layers

    assert art.cut is not None
    rows: dict[int, CutOut] = {}
    try:
        painted_on = layers(art.cut)
    except Unusable as wrong:
        raise art.refusal(wrong) from None
    for i, (cut, on) in enumerate(zip(art.cut.cuts, painted_on, strict=True)):
        edge = cut_path(cut, art.place, k)
        if on is None:
            row = _sawn(cut, edge, k)
            if cut.picture is not None:
                row.face = _photograph(cut.picture, art, k, stuffs.is_plain)
            rows[i] = row
        else:
            row = rows[on]
            if cut.paint is not None:
                _paint_on(row, edge, cut.paint, cut.alpha, stuffs, is_bold)
        if (
            cut.line is not None
            and (on is not None or cut.paint is not None)
            and not _is_outline(cut)
        ):
            pen = line_paint(cut.line, k)
            pen.setStrokeWidth(max(pen.getStrokeWidth(), THINNEST))
            row.details.append((edge, pen))
    return list(rows.values())


def _sawn(cut: Cut, edge: Path, k: float) -> CutOut:
    """Saw a shape out: its face with its outline, or a line as a bent rod. What covers little lets the wood through."""
    if cut.line is not None and (cut.paint is None or _is_outline(cut)):
        wide = widened(edge, line_paint(cut.line, k))
        path = wide if cut.paint is None else join(edge, wide)
    else:
        path = edge
    hue = cut.paint or (cut.line.paint if cut.line is not None else palette.INK)
    alpha = cut.alpha if cut.paint is not None else 1.0
    return CutOut(path, palette.mix(palette.BIRCH, hue, alpha))


def _is_outline(cut: Cut) -> bool:
    return (
        cut.line is not None
        and cut.paint is not None
        and cut.line.width <= OUTLINE
        and palette.luminance(cut.line.paint) < DARK
    )


def pieces(
    art: Artwork, k: float, stuffs: Stuffs, paint: str | None, thickness: float, size: float
) -> list[Piece]:
    """Give what is drawn of a figure, with one shadow for all of it: blurred ones are the dearest thing on a picture.

    Parameters
    ----------
    art, k, stuffs, paint
        As in ``cut_outs``.
    thickness
        Of the sheet. [mm]
    size
        How large thicknesses and shadows are.
    """
    rows = cut_outs(art, k, stuffs, paint)
    whole = join(*(row.path for row in rows))
    if art.finish == "as drawn":
        drawn = as_drawn(art, k, stuffs.is_plain)
        return [Piece(whole, fill("#000000", 0.0), 0, 6 * size, details=[drawn])]
    out = []
    for i, row in enumerate(rows):
        bounds = row.path.computeTightBounds()
        lean = 90 if bounds.height() > 1.4 * bounds.width() else 20 + 11 * (i % 3)
        shade = (
            engraving(row.path, row.hue)
            if row.face is None and min(bounds.width(), bounds.height()) > 22
            else []
        )
        out.append(
            Piece(
                row.path,
                row.face or stuffs.paint(row.hue, lean),
                1.4 if bounds.height() > 40 else 1.2,
                0 if i else 6 * size,
                max(min(thickness * 0.7, 3.2) * size, 1.6),
                details=[*shade, *row.details],
                cast=whole,
            )
        )
    return out


def _photograph(picture: Picture, art: Artwork, k: float, is_plain: bool) -> Paint:
    """Give the fill that lays a picture where its file has it; thriftily, in a few flat colours."""
    image = _flat_image(picture) if is_plain else _image(picture)
    (x0, y0), (x1, y1), (x2, y2) = (
        art.place(corner)
        for corner in (
            (0.0, picture.size[1]),
            picture.size,
            (0.0, 0.0),
        )  # upper left, upper right, lower left
    )
    wide, high = image.width(), image.height()
    matrix = skia.Matrix.MakeAll(
        (x1 - x0) * k / wide, (x2 - x0) * k / high, x0 * k,
        -(y1 - y0) * k / wide, -(y2 - y0) * k / high, -y0 * k,
        0, 0, 1,
    )  # fmt: skip
    edge = skia.TileMode.kClamp
    return shaded(image.makeShader(edge, edge, FINELY, matrix))


@lru_cache(maxsize=16)
def _image(picture: Picture) -> Any:
    """Picture with its colours going on beyond its edge: the path cuts it out."""
    found = painted.pixels(picture.path, picture.stamp).copy()
    found[..., 3] = 255
    return skia.Image.fromarray(found, skia.kRGBA_8888_ColorType).withDefaultMipmaps()


@lru_cache(maxsize=16)
def _flat_image(picture: Picture) -> Any:
    found = painted.flat(picture, FLAT_COLOURS)
    found[..., 3] = 255
    return skia.Image.fromarray(np.ascontiguousarray(found), skia.kRGBA_8888_ColorType)


def as_drawn(art: Artwork, k: float, is_plain: bool) -> Callable[[Canvas], None]:
    """Draw a figure exactly as its file has it: flat colours and its own lines."""
    marks: list[tuple[Path, Paint]] = []
    for shape in art.shapes:
        edge = shape_path(shape, art.place, k)
        if shape.cut is None:
            marks.append((edge, fill(palette.paint(shape.paint))))
            continue
        if shape.cut.picture is not None:
            marks.append((edge, _photograph(shape.cut.picture, art, k, is_plain)))
        elif shape.cut.paint is not None:
            marks.append((edge, fill(shape.cut.paint, shape.cut.alpha)))
        if shape.cut.line is not None:
            marks.append((edge, line_paint(shape.cut.line, k)))

    def draw(c: Canvas) -> None:
        for path, pen in marks:
            c.drawPath(path, pen)

    return draw
