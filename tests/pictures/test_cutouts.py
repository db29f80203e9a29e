"""Artwork of a file in the house's hand, and left as it was drawn."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
import skia
from PIL import Image, ImageDraw

from animator.artwork import weighing
from animator.parts._fields import Artwork
from animator.pictures import cutouts, palette, shapes
from animator.pictures.stuff import Stuffs

NS = 'xmlns="http://www.w3.org/2000/svg"'
K = 4.0  # design units a mm
BIRD = (
    '<path id="body" d="M10 40 C10 15 60 15 70 40 C60 65 20 65 10 40Z" fill="#64798a"/>'
    '<path id="wing" d="M30 35 C40 25 55 30 60 40 C50 48 38 46 30 35Z" fill="#a3b1bc"/>'
    '<path id="feather" d="M35 37 L55 40" fill="none" stroke="#3f5060" stroke-width="1"/>'
    '<path id="shade" d="M15 42 C30 62 50 60 65 42 C50 52 30 52 15 42Z" fill="#000000" opacity=".3"/>'
    '<path id="leg" d="M40 55 V75" fill="none" stroke="#dda03c" stroke-width="3"/>'
)


def taken(folder: Path, drawing: str = BIRD, name: str = "it.svg", **more: str) -> Artwork:
    if drawing:
        page = f'<svg {NS} width="80mm" height="80mm" viewBox="0 0 80 80">{drawing}</svg>'
        (folder / name).write_text(page)
    said = {"file": name, "hung by": ["0", "0"], **more}
    return Artwork.model_validate(said, context={"folder": folder})


def drawn(art: Artwork, is_plain: bool = False, only: str = "draw") -> np.ndarray:
    surface = skia.Surface(320, 320)
    c = surface.getCanvas()
    c.clear(skia.ColorWHITE)
    c.translate(0, 320)
    for piece in cutouts.pieces(art, K, Stuffs(is_plain), None, 3.0, 1.0):
        getattr(piece, only)(c, skia.Matrix(), is_plain)
    return surface.toarray(colorType=skia.kRGBA_8888_ColorType)[..., :3].astype(int)


def at(picture: np.ndarray, x: float, y: float) -> np.ndarray:
    """Mean colour of a square of 5 px about a place of the file, y down."""
    i, j = round(y * K), round(x * K)
    return picture[i - 2 : i + 3, j - 2 : j + 3].reshape(-1, 3).mean(0)


def test_what_lies_on_other_shapes_is_painted_on_them_and_the_rest_is_sawn(tmp_path):
    art = taken(tmp_path)
    assert weighing.layers(art.cut) == (None, 0, 0, 0, None)
    body, leg = cutouts.cut_outs(art, K, Stuffs(), None)
    assert (body.hue, leg.hue) == ("#64798A", "#DDA03C")
    assert len(body.details) == 4  # wing and its line, feather, shade: shade has no line
    assert leg.path.computeTightBounds().width() == pytest.approx(3 * K, abs=0.1)


def test_paint_over_two_pieces_lies_on_the_nearer(tmp_path):
    art = taken(
        tmp_path,
        '<rect x="10" y="10" width="30" height="30"/><rect x="35" y="10" width="30" height="30"/><rect x="30" y="20" width="10" height="5" fill="red"/>',
    )
    assert weighing.layers(art.cut) == (None, None, 1)


def test_file_comes_out_in_the_house_manner(tmp_path):
    picture = drawn(taken(tmp_path))
    ink = np.array(palette.channels(palette.INK))
    top = picture[: round(30 * K), round(40 * K)]
    assert (np.abs(top - ink).max(1) < 30).any(), "an ink line stands round it"
    flat = picture[round(36 * K) : round(40 * K), round(12 * K) : round(28 * K)].reshape(-1, 3)
    assert flat.std(0).max() > 1, "brush hairs"
    assert np.abs(flat.mean(0) - palette.channels("#64798A")).max() < 25
    below = drawn(taken(tmp_path), only="shadow")
    assert below.min() < 200, "a soft shadow falls"
    assert len(np.unique(below)) > 20, "and has no edge"


def test_figure_has_one_shadow(tmp_path):
    shadows = [
        piece.rise > 0 for piece in cutouts.pieces(taken(tmp_path), K, Stuffs(), None, 3.0, 1.0)
    ]
    assert shadows == [True, False]


def test_thrifty_figure_has_few_colours(tmp_path):
    whole = drawn(taken(tmp_path), is_plain=True, only="body")
    _, counts = np.unique(whole.reshape(-1, 3), axis=0, return_counts=True)
    assert counts[np.argsort(counts)[-8:]].sum() / counts.sum() > 0.93
    assert np.abs(at(whole, 20, 38) - palette.channels("#64798A")).max() < 2


def test_as_drawn_keeps_the_files_own_colours_and_lines(tmp_path):
    picture = drawn(taken(tmp_path, finish="as drawn"))
    assert at(picture, 20, 40) == pytest.approx(palette.channels("#64798A"), abs=0.5)
    assert at(picture, 50, 34) == pytest.approx(palette.channels("#A3B1BC"), abs=0.5)
    assert at(picture, 40, 68) == pytest.approx(palette.channels("#DDA03C"), abs=0.5)
    shaded = [0.7 * v for v in palette.channels("#64798A")]
    assert at(picture, 40, 53) == pytest.approx(shaded, abs=2)
    assert drawn(taken(tmp_path, finish="as drawn"), only="shadow").min() < 200


def test_dark_outline_gives_way_to_the_house_line_and_a_coloured_one_stays(tmp_path):
    rim = '<rect x="20" y="20" width="30" height="30" fill="#c25b4a" stroke="{}" stroke-width="{}"/>'
    (black,) = cutouts.cut_outs(taken(tmp_path, rim.format("#000", "1")), K, Stuffs(), None)
    assert not black.details
    assert black.path.computeTightBounds().width() == pytest.approx(31 * K, abs=0.1)
    (white,) = cutouts.cut_outs(taken(tmp_path, rim.format("#fff", "1")), K, Stuffs(), None)
    assert len(white.details) == 1
    (wide,) = cutouts.cut_outs(taken(tmp_path, rim.format("#000", "4")), K, Stuffs(), None)
    assert len(wide.details) == 1


def test_thin_paint_lets_the_wood_through(tmp_path):
    (row,) = cutouts.cut_outs(
        taken(tmp_path, '<circle cx="40" cy="40" r="20" fill="#000" opacity=".5"/>'), K, Stuffs(), None
    )  # fmt: skip
    assert row.hue == palette.mix(palette.BIRCH, "#000000", 0.5)


def painted(folder: Path) -> None:
    found = Image.new("RGBA", (160, 160), (0, 0, 0, 0))
    pen = ImageDraw.Draw(found)
    pen.rectangle((20, 20, 139, 139), fill=(200, 40, 40, 255))
    pen.rectangle((80, 20, 139, 79), fill=(40, 40, 200, 255))
    found.save(folder / "it.png")


@pytest.mark.parametrize("finish", ["house", "as drawn"])
def test_picture_lies_where_its_file_has_it(finish, tmp_path):
    """Right upper quarter blue; 60 mm high, its sheet's corner at the part's point: 1 px is 0.5 mm."""
    painted(tmp_path)
    art = taken(tmp_path, "", "it.png", height="60", finish=finish)
    picture = drawn(art)
    assert at(picture, 55, 80 - 60) == pytest.approx((40, 40, 200), abs=4)
    assert at(picture, 25, 80 - 60) == pytest.approx((200, 40, 40), abs=4)
    assert at(picture, 55, 80 - 20) == pytest.approx((200, 40, 40), abs=4)
    outside = at(picture, 4, 80 - 76)
    assert outside == pytest.approx((255, 255, 255), abs=1)


def test_mirrored_picture_shows_its_other_side(tmp_path):
    painted(tmp_path)
    art = taken(tmp_path, "", "it.png", height="60", mirrored="yes", **{"hung by": ["80", "0"]})
    picture = drawn(art)
    assert at(picture, 25, 80 - 60) == pytest.approx((40, 40, 200), abs=4)
    assert at(picture, 55, 80 - 60) == pytest.approx((200, 40, 40), abs=4)


def test_thrifty_picture_has_few_colours(tmp_path):
    found = Image.linear_gradient("L").resize((200, 200)).convert("RGBA")
    found.paste((0, 0, 0, 0), (0, 0, 200, 20))
    found.save(tmp_path / "it.png")
    art = taken(tmp_path, "", "it.png", height="40")
    inside = drawn(art, is_plain=True, only="body")[180:300, 40:130].reshape(-1, 3)
    _, counts = np.unique(inside, axis=0, return_counts=True)
    assert np.sort(counts)[-cutouts.FLAT_COLOURS :].sum() > 0.9 * len(inside)


def test_hatch_is_cut_to_its_shape_and_even():
    ring = skia.Path()
    ring.addCircle(50, 50, 40)
    ring.addCircle(50, 50, 15)
    ring.setFillType(skia.PathFillType.kEvenOdd)
    lines = shapes.hatched(ring, 4.0, 30)
    ends = np.array([(p.x(), p.y()) for p in lines.getPoints(lines.countPoints())])
    radii = np.hypot(*(ends - 50).T)
    assert (np.abs(radii - 40) < 0.3).sum() + (np.abs(radii - 15) < 0.3).sum() == len(ends)
    begin, end = ends[::2], ends[1::2]
    slopes = np.degrees(np.arctan2(*(end - begin).T[::-1]))
    assert slopes == pytest.approx(30, abs=1e-3)
    across = begin @ (-np.sin(np.radians(30)), np.cos(np.radians(30)))
    assert across / 4.0 == pytest.approx(np.round(across / 4.0), abs=1e-3)
    # the lines' length times their gap is the area they shade, pi (40^2 - 15^2)
    assert np.hypot(*(end - begin).T).sum() * 4 == pytest.approx(np.pi * 1375, rel=0.01)
