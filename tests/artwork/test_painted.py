"""Painted and photographed sketches: cut out by alpha, or against a plain ground; weighed against Pillow's own counting."""

from __future__ import annotations

import math
import struct
import zlib
from pathlib import Path

import numpy as np
import pytest
from PIL import Image, ImageDraw, ImageFilter

from animator.artwork import files, painted, weighing
from animator.artwork.refusal import Unusable

WIDE, HIGH = 500, 600
EGG = (100, 100, 400, 550)  # left, upper, right, lower
PAINT = (176, 74, 60)


def sketch(hole: tuple[int, int, int, int] | None = None) -> Image.Image:
    """An egg with an eye, drawn four times as fine and made smaller."""
    large = Image.new("RGBA", (4 * WIDE, 4 * HIGH), (0, 0, 0, 0))
    pen = ImageDraw.Draw(large)
    pen.ellipse([4 * v for v in EGG], fill=(*PAINT, 255))
    pen.ellipse((900, 700, 1100, 900), fill=(250, 248, 240, 255))
    if hole:
        pen.ellipse([4 * v for v in hole], fill=(0, 0, 0, 0))
    return large.resize((WIDE, HIGH), Image.Resampling.BOX)


def photographed(found: Image.Image, seed: int = 1) -> Image.Image:
    """Lay a sketch on paper in uneven light, and take it with a noisy lens."""
    y, x = np.mgrid[0:HIGH, 0:WIDE]
    light = (0.97 - 0.18 * x / WIDE - 0.08 * (y / HIGH) ** 2)[..., None]
    rgba = np.array(found).astype(float)
    alpha = rgba[..., 3:] / 255
    seen = (rgba[..., :3] * alpha + np.array([236, 230, 214]) * (1 - alpha)) * light
    seen += np.random.default_rng(seed).normal(0, 2.5, seen.shape)
    return Image.fromarray(seen.clip(0, 255).astype(np.uint8)).filter(
        ImageFilter.GaussianBlur(0.7)
    )


def taken(folder: Path, found: Image.Image, name: str = "it.png", height: float = 45.0, **how):
    found.save(folder / name, **how)
    return files.take(name, folder, None, height, is_mirrored=False)


ELLIPSE = math.pi * 15 * 22.5  # mm^2 at 45 mm high


def test_alpha_is_the_edge(tmp_path: Path):
    spread = weighing.spread(taken(tmp_path, sketch()))
    assert spread.area == pytest.approx(ELLIPSE, rel=0.003)
    assert spread.xx / spread.area == pytest.approx(15**2 / 4, rel=0.005)
    assert spread.yy / spread.area == pytest.approx(22.5**2 / 4, rel=0.005)


def test_hole_in_alpha_is_sawn_out(tmp_path: Path):
    piece = taken(tmp_path, sketch(hole=(200, 300, 300, 400)))
    assert weighing.spread(piece).area == pytest.approx(ELLIPSE - math.pi * 25, rel=0.004)


def test_area_centre_and_inertia_are_those_of_counted_pixels(tmp_path: Path):
    """Pillow's own alpha, pixel by pixel."""
    found = sketch(hole=(300, 200, 380, 320))
    piece = taken(tmp_path, found)
    cover = np.array(found.getchannel("A")) / 255
    left, upper, right, lower = found.getchannel("A").point(lambda a: 255 * (a > 127)).getbbox()
    scale = 45.0 / (lower - upper)
    x = (np.arange(WIDE) + 0.5) * scale
    y = ((HIGH - np.arange(HIGH)) - 0.5)[:, None] * scale
    area = cover.sum()
    mx, my = (cover * x).sum() / area, (cover * y).sum() / area
    spread = weighing.spread(piece)
    assert spread.area == pytest.approx(area * scale**2, rel=0.005)
    assert (spread.x, spread.y) == pytest.approx((mx, my), abs=0.06)
    inertia = (cover * ((x - mx) ** 2 + (y - my) ** 2)).sum() * scale**2
    assert spread.xx + spread.yy == pytest.approx(inertia, rel=0.01)
    assert right - left == pytest.approx(300, abs=1)


@pytest.mark.parametrize("name", ["it.png", "it.jpg"])
def test_figure_is_told_from_plain_paper_in_uneven_light(name: str, tmp_path: Path):
    piece = taken(tmp_path, photographed(sketch()), name)
    assert weighing.spread(piece).area == pytest.approx(ELLIPSE, rel=0.02)
    assert len(piece.cuts[0].courses) == 1, "the pale eye is paint, not a hole"


def test_dark_ground_serves_as_well(tmp_path: Path):
    found = Image.new("RGB", (WIDE, HIGH), (24, 40, 46))
    found.paste(sketch().convert("RGB"), mask=sketch().getchannel("A"))
    assert weighing.spread(taken(tmp_path, found)).area == pytest.approx(ELLIPSE, rel=0.02)


def test_pencil_outline_on_white_encloses_its_figure(tmp_path: Path):
    found = Image.new("RGB", (WIDE, HIGH), "white")
    pen = ImageDraw.Draw(found)
    pen.arc(EGG, 1, 360, fill=(60, 56, 52), width=5)  # with a small gap
    assert weighing.spread(taken(tmp_path, found)).area == pytest.approx(ELLIPSE, rel=0.03)


def test_dust_is_left_out_and_loose_pieces_are_kept(tmp_path: Path):
    found = sketch()
    pen = ImageDraw.Draw(found)
    pen.ellipse((20, 20, 26, 26), fill=(0, 0, 0, 255))
    pen.ellipse((420, 20, 480, 80), fill=(*PAINT, 255))
    assert len(taken(tmp_path, found).cuts[0].courses) == 2


def test_colours_run_on_over_the_edge(tmp_path: Path):
    """Nothing of what was outside shows beside the edge: neither black under alpha nor paper."""
    for name, found in (("a.png", sketch()), ("b.png", photographed(sketch()))):
        piece = taken(tmp_path, found, name)
        picture = piece.cuts[0].picture
        pixels = painted.pixels(picture.path, picture.stamp).astype(int)
        edge = (pixels[..., 3] > 100) & (pixels[..., 3] < 250)
        assert edge.sum() > 300
        assert np.abs(pixels[edge][:, :3] - PAINT).max(1).mean() < 45


def test_camera_held_upright_is_turned(tmp_path: Path):
    exif = Image.Exif()
    exif[0x0112] = 6  # EXIF 2.3, 4.6.4: the 0th row is the visual right side
    lying = photographed(sketch()).transpose(Image.Transpose.ROTATE_90)
    piece = taken(tmp_path, lying, "it.jpg", exif=exif)
    left, low, right, high = piece.extent
    assert (right - left) / (high - low) == pytest.approx(300 / 450, rel=0.02)


@pytest.mark.parametrize("mode", ["L", "LA", "P", "RGB", "I;16"])
def test_pictures_of_every_sort_are_read(mode: str, tmp_path: Path):
    grey = Image.new("L", (120, 160), 255)
    ImageDraw.Draw(grey).ellipse((20, 20, 99, 139), fill=70)
    if mode == "I;16":
        found = Image.fromarray(np.array(grey).astype(np.uint16) * 257)
    elif mode == "LA":
        found = Image.merge("LA", (grey, grey.point(lambda v: 255 - v)))
        found.putalpha(grey.point(lambda v: 255 * (v < 128)))
    else:
        found = grey.convert(mode)
    piece = taken(tmp_path, found, height=120)
    assert weighing.spread(piece).area == pytest.approx(math.pi * 40 * 60, rel=0.03)


def header(wide: int, high: int) -> bytes:
    def chunk(name: bytes, data: bytes) -> bytes:
        return (
            struct.pack(">I", len(data))
            + name
            + data
            + struct.pack(">I", zlib.crc32(name + data))
        )

    size = struct.pack(">IIBBBBB", wide, high, 8, 2, 0, 0, 0)
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", size) + chunk(b"IDAT", zlib.compress(bytes(9999))) + chunk(b"IEND", b"")  # fmt: skip


@pytest.mark.parametrize(
    ("raw", "what"),
    [
        (header(60000, 60000), "too many pixels"),
        (header(9000, 9000), "a picture of 9000 x 9000 pixels"),
        (header(4, 4), "a picture of 4 x 4 pixels"),
        (header(400, 400), "can't be read as a picture"),
        (b"", "can't be read as a picture"),
        (b"<svg/>", "can't be read as a picture"),
        (b"\xff\xd8\xff\xe0" + bytes(200), "can't be read as a picture"),
    ],
)
def test_broken_or_huge_picture_is_refused(raw: bytes, what: str, tmp_path: Path):
    (tmp_path / "it.png").write_bytes(raw)
    with pytest.raises(Unusable) as caught:
        files.sheet("it.png", tmp_path)
    assert what in caught.value.what


@pytest.mark.parametrize("sort", ["crowd", "empty", "alpha"])
def test_picture_without_a_figure_is_refused(sort: str, tmp_path: Path):
    noise = np.random.default_rng(2).integers(0, 255, (20, 20, 3), dtype=np.uint8)
    found = {
        "crowd": Image.fromarray(noise).resize((300, 300)),
        "empty": Image.new("RGB", (300, 300), "white"),
        "alpha": Image.new("RGBA", (300, 300), (9, 9, 9, 0)),
    }[sort]
    with pytest.raises(Unusable, match=r"no figure can be told|nothing is painted"):
        taken(tmp_path, found)


def test_picture_says_no_size_of_its_own(tmp_path: Path):
    sketch().save(tmp_path / "it.png", dpi=(300, 300))
    with pytest.raises(Unusable, match="doesn't say how large") as caught:
        files.take("it.png", tmp_path, None, None, is_mirrored=False)
    assert caught.value.write == "'{file: it.png, height: 80 mm}'"
