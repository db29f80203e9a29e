"""Artwork files against other readers: skia's own SVG module draws them, Pillow's counted pixels weigh them, svgelements tells where outlines run."""

from __future__ import annotations

import io
import math
import re
from pathlib import Path

import numpy as np
import pytest
import skia
import svgelements

from animator.artwork import files, svg, weighing
from animator.parts._fields import Artwork
from animator.parts._solid import artwork, spread_across
from animator.pictures.cutouts import as_drawn
from animator.pictures.ink import Canvas

HEAD = '<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" width="100mm" height="80mm" viewBox="0 0 100 80">'
DRAWINGS = {
    "path": '<path d="M10 40 C 20 0 60 0 70 40 S 90 70 60 70 Q 40 80 30 60 T 10 40 Z" fill="#446688"/>',
    "relative": '<path d="m20 20 h30 v10 l-8 12 c-3 4 -9 5 -14 1 q-5 -4 -8 -23 z m5 4 h6 v6 h-6 z" fill="#446688"/>',
    "arcs": '<path d="M20 40 a25 15 -20 1 1 40 8 A 9 9 0 0 1 30 60 a4,4,0,01-10-20z" fill="#aa3300"/>',
    "small arcs": '<path d="M20 40 A 3 5 30 0 1 60 50 A 3 5 30 0 1 20 40 Z" fill="#aa3300"/>',
    "shapes": '<rect x="5" y="5" width="30" height="20" rx="6" ry="3" fill="#123456"/><circle cx="60" cy="20" r="14" fill="#654321"/>'
    '<ellipse cx="30" cy="55" rx="22" ry="9" fill="#00aa55"/><polygon points="60,45 90,50 80,75 65,70" fill="#cc9900"/>',
    "even odd": '<path fill-rule="evenodd" d="M50 5 L70 70 L10 28 L90 28 L30 70 Z" fill="#446688"/>',
    "nonzero": '<path d="M50 5 L70 70 L10 28 L90 28 L30 70 Z" fill="#446688"/>',
    "hole": '<path d="M10 10 H80 V70 H10 Z M30 30 V50 H60 V30 Z" fill="#446688"/>',
    "transforms": '<g transform="translate(40 30) rotate(25)"><g transform="scale(1.4 .6) skewX(20)"><rect x="-12" y="-10" width="26" height="30" fill="#446688"/></g>'
    '<rect transform="matrix(.5 .2 -.3 .7 10 4) rotate(30 5 5)" width="30" height="12" fill="#ff8800"/></g>',
    "lines": '<path d="M10 60 L40 15 L60 60 L62 58" fill="none" stroke="#223344" stroke-width="7"/>'
    '<polyline points="70,10 90,30 70,50 90,70" fill="none" stroke="#993311" stroke-width="5" stroke-linejoin="round" stroke-linecap="round"/>',
    "blunt corners": '<path d="M10 60 L40 15 L20 60 L60 60 L32 50" fill="none" stroke="#223344" stroke-width="5"/>',
    "square ends": '<path d="M20 20 H50 M30 60 C 50 20 60 80 80 40" fill="none" stroke="#223344" stroke-width="6" stroke-linecap="square" stroke-linejoin="bevel"/>',
    "closed line": '<rect x="20" y="20" width="40" height="30" fill="#eeddaa" stroke="#884422" stroke-width="8"/>',
    "use": '<defs><g id="leaf"><path d="M0 0 Q10 -12 20 0 Q10 12 0 0Z" fill="#338844"/></g></defs>'
    '<use xlink:href="#leaf" x="20" y="20"/><use xlink:href="#leaf" transform="translate(60 50) rotate(-40) scale(1.5)"/>',
    "dark outline": '<path d="M20 60 L50 10 L80 60 Z" fill="#cc2222" stroke="#000000" stroke-width="1"/>',
    "opacity": '<rect x="10" y="10" width="60" height="50" fill="#cc2222"/><circle cx="60" cy="40" r="24" fill="#2222cc" fill-opacity=".4"/>',
    "style": '<g fill="#cc2222" stroke="#112233" stroke-width="3"><rect x="10" y="10" width="30" height="50"/><rect x="50" y="10" width="30" height="50" style="fill:#22cc22;stroke:none"/></g>',
}  # fmt: skip
SCALE = 20  # px a mm


def whole(drawing: str) -> str:
    return f"{HEAD}{drawing}</svg>"


def drawn_by_skia(text: str) -> np.ndarray:
    surface = skia.Surface(100 * SCALE, 80 * SCALE)
    dom = skia.SVGDOM.MakeFromStream(skia.MemoryStream(text.encode()))
    dom.setContainerSize(skia.Size(100 * SCALE, 80 * SCALE))
    surface.getCanvas().clear(skia.ColorWHITE)
    # its page is in px of 96 an inch, whatever the container
    surface.getCanvas().save()
    dom.render(surface.getCanvas())
    surface.getCanvas().restore()
    return surface.toarray()[..., :3].astype(int)


def drawn_here(art: Artwork) -> np.ndarray:
    surface = skia.Surface(100 * SCALE, 80 * SCALE)
    canvas: Canvas = surface.getCanvas()
    canvas.clear(skia.ColorWHITE)
    canvas.translate(0, 80 * SCALE)
    as_drawn(art, SCALE, False)(canvas)
    return surface.toarray()[..., :3].astype(int)


def taken(folder: Path, text: str, **more: str) -> Artwork:
    (folder / "it.svg").write_text(text, "utf-8")
    said = {"file": "it.svg", "hung by": ["0", "0"], **more}
    return Artwork.model_validate(said, context={"folder": folder})


@pytest.mark.parametrize("name", DRAWINGS)
def test_drawing_looks_as_another_reader_draws_it(name: str, tmp_path: Path) -> None:
    text = whole(DRAWINGS[name])
    theirs = drawn_by_skia(
        text.replace('width="100mm" height="80mm"', 'width="100%" height="100%"')
    )
    ours = drawn_here(taken(tmp_path, text))
    assert (theirs < 200).any(), "the other reader drew nothing"
    # edges differ by rounding: both fill with the same library, but from other numbers
    assert (np.abs(theirs - ours).max(-1) > 60).mean() < 0.0005


@pytest.mark.parametrize("name", [name for name in DRAWINGS if name != "opacity"])
def test_area_centre_and_inertia_are_those_of_counted_pixels(name: str, tmp_path: Path) -> None:
    black = re.sub("#[0-9a-f]{6}|#[0-9a-f]{3}", "#000000", whole(DRAWINGS[name]))
    art = taken(tmp_path, black)
    spread = weighing.spread(art.cut)
    cover = 1 - drawn_here(art)[..., 0] / 255  # grey edges count as much as they are dark
    x = (np.arange(cover.shape[1]) + 0.5) / SCALE
    y = 80 - (np.arange(cover.shape[0])[:, None] + 0.5) / SCALE
    area = cover.sum()
    mx, my = (cover * x).sum() / area, (cover * y).sum() / area
    assert spread.area == pytest.approx(area / SCALE**2, rel=0.003)
    assert (spread.x, spread.y) == pytest.approx((mx, my), abs=0.02)
    xx, yy = (cover * (x - mx) ** 2).sum() / area, (cover * (y - my) ** 2).sum() / area
    assert spread.xx / spread.area == pytest.approx(xx, rel=0.003)
    assert spread.yy / spread.area == pytest.approx(yy, rel=0.003)
    xy = (cover * (x - mx) * (y - my)).sum() / area
    assert spread.xy / spread.area == pytest.approx(xy, abs=0.003 * max(xx, yy))


@pytest.mark.parametrize(
    "name", ["path", "relative", "arcs", "small arcs", "shapes", "transforms", "use"]
)
def test_outline_runs_where_another_reader_puts_it(name: str) -> None:
    text = whole(DRAWINGS[name])
    theirs = [
        shape
        for shape in svgelements.SVG.parse(io.StringIO(text), ppi=25.4).elements()
        if isinstance(shape, svgelements.Shape)
    ]
    ours = svg.read(text.encode(), "it.svg").cuts
    drawn = [shape for shape in theirs if shape.values.get("tag") != "defs"]
    assert len(drawn) == len(ours)
    for shape, cut in zip(drawn, ours, strict=True):
        left, high, right, low = shape.bbox()
        box = svg.extent([cut], 1e-4)
        assert box == pytest.approx((left, 80 - low, right, 80 - high), abs=0.02)


# ---------------------------------------------------------------- closed forms
def weighed(folder: Path, drawing: str, **more: str):
    return artwork(taken(folder, whole(drawing), **more), 1.0)


def test_ring_weighs_what_the_handbook_says(tmp_path: Path) -> None:
    """Polar second moment of a ring, pi (R^4 - r^4) / 2 (any handbook of mechanics)."""
    ring = weighed(
        tmp_path,
        '<path fill-rule="evenodd" d="M10 40a30 30 0 0 0 60 0a30 30 0 0 0-60 0z M30 40a10 10 0 0 0 20 0a10 10 0 0 0-20 0z"/>',
    )
    assert ring.mass == pytest.approx(math.pi * (30**2 - 10**2), rel=1e-4)
    assert ring.centre == pytest.approx((40, 40), abs=1e-3)
    assert ring.inertia == pytest.approx(math.pi / 2 * (30**4 - 10**4), rel=3e-4)


def test_square_under_its_own_shade_weighs_one_square(tmp_path: Path) -> None:
    square = '<rect x="10" y="10" width="20" height="20" fill="{}"/>'
    once = weighed(tmp_path, square.format("red"))
    twice = weighed(tmp_path, square.format("red") + square.format("blue"))
    assert once.mass == twice.mass == pytest.approx(400)
    assert twice.inertia == pytest.approx(400 * (20**2 + 20**2) / 12)


def test_wire_drawn_as_a_line_weighs_its_length_by_its_width(tmp_path: Path) -> None:
    wire = weighed(
        tmp_path, '<path d="M10 10 H60" fill="none" stroke="black" stroke-width="2"/>'
    )
    assert wire.mass == pytest.approx(100)
    assert wire.inertia == pytest.approx(100 * (50**2 + 2**2) / 12)


def test_height_scales_inertia_by_the_fourth_power(tmp_path: Path) -> None:
    box = '<rect x="10" y="10" width="20" height="20"/>'
    assert weighed(tmp_path, box, height="40").inertia == pytest.approx(
        16 * weighed(tmp_path, box).inertia
    )


def test_spread_about_the_upright_is_that_of_the_turned_drawing(tmp_path: Path) -> None:
    """A plate w by h on its middle has w^2 / 12 about the upright; laid on its side h^2 / 12."""
    plate = whole('<rect x="30" y="10" width="12" height="40"/>')
    for turned, size in (("0", 12), ("90", 40)):
        art = taken(tmp_path, plate, turned=turned, **{"hung by": ["36", "50"]})
        assert spread_across(art) == pytest.approx(size**2 / 12)


def test_mirrored_drawing_balances_on_the_other_side(tmp_path: Path) -> None:
    wedge = '<path d="M10 10 H50 L10 60 Z"/>'
    here, there = (weighed(tmp_path, wedge, mirrored=said) for said in ("no", "yes"))
    assert there.centre == pytest.approx((-here.centre[0], here.centre[1]))
    assert there.inertia == pytest.approx(here.inertia)


def test_files_are_read_once_and_again_when_changed(tmp_path: Path) -> None:
    (tmp_path / "it.svg").write_text(whole('<rect width="5" height="5"/>'), "utf-8")
    first = files.sheet("it.svg", tmp_path)
    assert files.sheet("it.svg", tmp_path) is first
    (tmp_path / "it.svg").write_text(whole('<rect width="55" height="5"/>'), "utf-8")
    assert files.sheet("it.svg", tmp_path) is not first
