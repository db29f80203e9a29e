"""What is written for paper, read back by other libraries: pypdf, pdfminer and pypdfium2 for PDF, svgelements and lxml for SVG."""

from __future__ import annotations

import io
import re
import tempfile
from functools import cache
from pathlib import Path

import numpy as np
import pypdf
import pypdfium2
import pytest
import svgelements
from lxml import etree
from pdfminer.high_level import extract_pages
from pdfminer.layout import LTCurve

import animator
from animator.outputs.pdf import page_bytes, pages_bytes
from animator.outputs.svg import Canvas, svg_bytes
from animator.pictures.film import still
from animator.pictures.ink import Sheet, disc, fill, on_tape, skia
from animator.pictures.sheets.paper import paper_of, parse_scale
from animator.pictures.storyboard import RULER, Storyboard
from animator.pictures.vector import Vector, vector_still
from tests.pictures._runs import demo, jam_of_the_mole

MM = 72 / 25.4  # points; PDF 32000-1:2008, 8.3.2.3: a unit of user space is 1/72 inch
# A wheel 200 mm across, by hand. Its rim is the longest thing that can be measured on paper.
WHEEL = """
title: Wheel & shaft
frame: {width: 260, height: 260, lying: yes, material: birch ply 6}
parts:
  axle: {kind: shaft, at: [130, 130], material: steel 8, view: top}
  handle: {kind: handle, on: axle, radius: 60, speed: 30 rpm}
  wheel: {kind: wheel, on: axle, radius: 100, material: birch ply 6}
run: 1 turn
"""


@cache
def wheel():
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "wheel.yaml"
        path.write_text(WHEEL, encoding="utf-8")
        return animator.run(animator.read(path))


@cache
def board() -> Storyboard:
    return Storyboard(demo("heron"), maker="A. Reed", client="The ferry inn", date="3 May 2026")


@cache
def board_file() -> bytes:
    made = board()
    draws = [made.page_drawer(n) for n in range(made.sheet_count)]
    return pages_bytes(draws, *made.page, "The heron at the weir", made.subject)


@cache
def flat(name: str = "heron", look: str = "client", backdrop: str = "bench") -> Vector:
    motion, report = jam_of_the_mole() if name == "mole" else (demo(name), None)
    t = float(motion.times[-1]) if name == "mole" else 1.0
    return vector_still(motion, report, t, look, (1280, 720), True, backdrop)


@cache
def svg_of(name: str = "heron", look: str = "client", backdrop: str = "bench") -> bytes:
    drawn = flat(name, look, backdrop)
    return svg_bytes(
        drawn.draw, drawn.w, drawn.h, drawn.unit, "Heron & <weir>", "It's \x07 true"
    )


def curves_of(data: bytes) -> list[LTCurve]:
    def walk(thing):
        if isinstance(thing, LTCurve):
            yield thing
        elif hasattr(thing, "__iter__"):
            for part in thing:
                yield from walk(part)

    page = next(iter(extract_pages(io.BytesIO(data))))
    return list(walk(page))


@pytest.mark.slow
# ---------------------------------------------------------------- words of a PDF
def test_words_of_a_sheet_can_be_marked_and_copied():
    text = " ".join(pypdf.PdfReader(io.BytesIO(board_file())).pages[0].extract_text().split())
    other = pypdfium2.PdfDocument(board_file())[0].get_textpage().get_text_bounded()
    for words in (text, " ".join(other.split())):
        for said in (
            "The heron at the weir",
            "A. Reed",
            "The ferry inn",
            "3 May 2026",
            "1 of 1",
        ):
            assert said in words
        for moment in board().moments:
            assert moment.caption in words
            angle, when = board().panels.told(moment)
            assert angle in words
            assert when in words
        assert re.search(r"you push, [0-9]\.[0-9] N", words)
        assert "14.0 mm" in words  # the cam's lift, scenes/heron.yaml
    # nothing is there a second time for the sake of a rim or a shadow
    assert text.count("The ferry inn") == 1
    first = board().panels.told(board().moments[1])[0]
    assert len(re.findall(rf"(?<![0-9]){first}", text)) == 1


def test_every_letter_of_a_sheet_comes_with_its_font():
    page = pypdf.PdfReader(io.BytesIO(board_file())).pages[0]
    fonts = [font.get_object() for font in page["/Resources"]["/Font"].values()]
    assert fonts
    for font in fonts:
        assert font["/Subtype"] == "/Type0", "a loose drawing of letters is no font"
        inner = font["/DescendantFonts"][0].get_object()
        assert "/FontFile2" in inner["/FontDescriptor"].get_object()
        assert "/ToUnicode" in font


# ---------------------------------------------------------------- what a PDF says of itself
def test_pdf_tells_title_and_nothing_of_the_machine_or_the_day():
    reader = pypdf.PdfReader(io.BytesIO(board_file()))
    assert dict(reader.metadata) == {
        "/Title": "The heron at the weir",
        "/Subject": board().subject,
        "/Creator": "animator",
        "/Producer": "animator",
    }
    assert len(board_file()) < 2_000_000


@pytest.mark.slow
def test_pdf_and_svg_repeat_to_the_byte():
    made = board()
    again = pages_bytes(
        [made.page_drawer(0)], *made.page, "The heron at the weir", made.subject
    )
    assert again == board_file()
    drawn = flat()
    same = svg_bytes(
        drawn.draw, drawn.w, drawn.h, drawn.unit, "Heron & <weir>", "It's \x07 true"
    )
    assert same == svg_of()


@pytest.mark.parametrize("name", ["a4", "a3", "letter"])
def test_pages_are_as_large_as_their_paper(name):
    for portrait in (False, True):
        sheet = paper_of(name, portrait)
        data = pages_bytes([lambda c: None, lambda c: None], sheet.width, sheet.height)
        reader = pypdf.PdfReader(io.BytesIO(data))
        assert len(reader.pages) == 2
        for page in reader.pages:  # whole points, on the library's own grid of 0.24
            assert float(page.mediabox.width) / MM == pytest.approx(sheet.width, abs=0.25)
            assert float(page.mediabox.height) / MM == pytest.approx(sheet.height, abs=0.25)


# ---------------------------------------------------------------- true to scale
def widths_of_rounds(data: bytes) -> list[float]:
    """Widths of everything on a page that is as high as it is wide. [mm]"""
    return [
        curve.width / MM
        for curve in curves_of(data)
        if curve.width > 20 and abs(curve.width - curve.height) < 0.02 * curve.width
    ]


@pytest.mark.parametrize(
    ("paper", "portrait", "scale"),
    [
        ("a3", True, "1:1.5"),
        ("a3", False, "1:2"),
        ("a4", True, "1:2"),
        ("letter", False, "1:3"),
    ],
)
def test_a_wheel_of_200_mm_is_as_large_on_a_sheet_as_the_scale_says(paper, portrait, scale):
    made = Storyboard(wheel(), paper=paper_of(paper, portrait), scale=parse_scale(scale))
    data = page_bytes(made.draw_page, *made.page)
    wanted = 200 * parse_scale(scale)
    nearest = min(widths_of_rounds(data), key=lambda width: abs(width - wanted))
    assert nearest == pytest.approx(wanted, abs=0.1 * parse_scale(scale))


@pytest.mark.slow
def test_control_line_is_as_long_as_it_says():
    lines = [curve.width / MM for curve in curves_of(board_file()) if curve.height < 1]
    assert min(abs(length - RULER) for length in lines) < 0.02


@pytest.mark.parametrize("scale", [1.0, 0.5, 0.4])
def test_a_wheel_of_200_mm_is_true_in_a_still_as_pdf_and_as_svg(scale):
    motion = wheel()
    drawn = vector_still(motion, None, 0.5, "client", (1280, 720), True, scale=scale)
    data = page_bytes(drawn.draw_page, *drawn.size)
    found = min(widths_of_rounds(data), key=lambda width: abs(width - 200 * scale))
    assert found == pytest.approx(200 * scale, abs=0.1)
    text = svg_bytes(drawn.draw, drawn.w, drawn.h, drawn.unit)
    # read at 96 dots an inch, the reader's own pixel (CSS Values and Units 3, 5.2: 1 in = 96 px)
    picture = svgelements.SVG.parse(io.BytesIO(text), reify=True, ppi=96)
    boxes = [
        shape.bbox() for shape in picture.elements() if isinstance(shape, svgelements.Shape)
    ]
    rounds = [
        (x1 - x0) / 96 * 25.4
        for x0, y0, x1, y1 in filter(None, boxes)
        if x1 - x0 > 20 and abs((x1 - x0) - (y1 - y0)) < 0.02 * (x1 - x0)
    ]
    found = min(rounds, key=lambda width: abs(width - 200 * scale))
    assert found == pytest.approx(200 * scale, abs=0.1)


def test_png_of_a_still_carries_the_scale_in_its_dots_an_inch(tmp_path, monkeypatch):
    from PIL import Image

    from animator.cli import _run

    monkeypatch.chdir(tmp_path)
    (tmp_path / "wheel.yaml").write_text(WHEEL, encoding="utf-8")
    words = ["still", "wheel.yaml", "--at", "90", "--scale", "1:2", "--size", "1280x720", "-q"]
    assert _run([*words, "--look", "client", "-o", "wheel.png"]) == 0
    drawn = vector_still(wheel(), None, 0.5, "client", (1280, 720), True, scale=0.5)
    with Image.open(tmp_path / "wheel.png") as picture:
        wide = picture.size[0] / picture.info["dpi"][0] * 25.4
    assert wide == pytest.approx(drawn.size[0], abs=0.1 * drawn.size[0] / 200)


# ---------------------------------------------------------------- SVG
def test_svg_is_valid_xml_of_real_size():
    root = etree.fromstring(svg_of(), etree.XMLParser(resolve_entities=False))
    drawn = flat()
    assert root.tag == "{http://www.w3.org/2000/svg}svg"
    assert float(root.get("width").removesuffix("mm")) == pytest.approx(drawn.size[0], abs=1e-3)
    assert float(root.get("height").removesuffix("mm")) == pytest.approx(
        drawn.size[1], abs=1e-3
    )
    x, y, w, h = map(float, root.get("viewBox").split())
    assert (x, y, w, h) == pytest.approx((0, 0, drawn.w, drawn.h), abs=0.01)
    assert root.findtext("{*}title") == "Heron & <weir>"
    assert root.findtext("{*}desc") == "It's  true"  # XML 1.0, 2.2: no control letters


@pytest.mark.parametrize(
    ("name", "look", "backdrop"),
    [
        ("heron", "client", "bench"),
        ("heron", "bench", "bench"),
        ("heron", "client", "evening"),
        ("mole", "bench", "bench"),
    ],
)
def test_svg_refers_to_nothing_that_is_not_there(name, look, backdrop):
    text = svg_of(name, look, backdrop).decode()
    assert len(text) < 1_500_000
    root = etree.fromstring(text.encode())
    names = [node.get("id") for node in root.iter() if node.get("id")]
    assert len(names) == len(set(names))
    for named in re.findall(r"url\(#([^)]+)\)|href=\"#([^\"]+)\"", text):
        assert (named[0] or named[1]) in names
    # nothing from elsewhere, nothing that runs, nothing soft that a reader may lose, no letters that need a font
    tags = {etree.QName(node).localname for node in root.iter()}
    assert not tags & {"image", "script", "filter", "text", "foreignObject", "a", "style"}
    assert "http" not in re.sub(r'xmlns(:xlink)?="[^"]*"', "", text)


def test_layers_become_groups_and_mixed_inks():
    grey = skia.ColorFilters.Matrix([*([0.3, 0.3, 0.3, 0, 0] * 3), 0, 0, 0, 1, 0])
    with on_tape():
        sheet = Sheet(100, 50, 1.0)
    c = sheet.canvas
    c.drawPath(disc(10, 10, 5), fill("#FF0000"))
    c.save()
    c.translate(20, 0)
    c.clipPath(disc(10, 10, 9))
    c.saveLayerAlpha(None, 128)
    c.drawPath(disc(10, 10, 5), fill("#00FF00"))
    c.restore()
    c.drawPath(disc(12, 10, 5), fill("#0000FF"))
    c.restore()
    c.saveLayer(None, skia.Paint(ColorFilter=grey))
    c.drawPath(disc(80, 10, 5), fill("#FF8000"))
    c.restore()
    assert sheet.tape is not None
    assert sheet.tape.has_filters
    text = svg_bytes(lambda canvas: sheet.tape.play(canvas, True), 100, 50, 1.0).decode()
    root = etree.fromstring(text.encode())
    (group,) = [node for node in root.iter("{*}g") if node.get("opacity")]
    assert float(group.get("opacity")) == pytest.approx(128 / 255, abs=0.01)
    inside = [node.get("fill") for node in group.iter() if node.get("fill")]
    assert inside == ["lime"] or inside == ["#00FF00"]
    # 0.3 (255 + 128) = 115 = 0x73
    assert "#737373" in text.upper()
    assert "FF8000" not in text.upper()
    # what comes after the layer stands where it stood before, inside the same clip
    assert text.count("clip-path=") >= 2


def test_layer_whose_colours_are_not_mixed_is_refused_in_svg():
    with pytest.raises(ValueError, match="mix its inks"):
        Canvas(10, 10).saveLayer(
            None, skia.Paint(ColorFilter=skia.ColorFilters.Matrix([0.5] * 20))
        )


# ---------------------------------------------------------------- the same picture
def pixels_of(data: bytes, scale: float) -> np.ndarray:
    page = pypdfium2.PdfDocument(data)[0]
    return np.asarray(page.render(scale=scale).to_pil().convert("RGB"), np.int16)


@pytest.mark.slow
def test_page_rendered_by_another_library_is_the_picture():
    made = board()
    got = pixels_of(board_file(), 1280 / 842)
    want = made.sheet(got.shape[1]).array[..., :3].astype(np.int16)
    h = min(len(got), len(want))
    apart = np.abs(got[:h] - want[:h]).max(2)
    # edges are smoothed differently by the two; areas are alike
    assert np.median(apart) <= 4
    assert (apart > 60).mean() < 0.02


def test_still_as_lines_is_the_still_as_pixels():
    motion, _ = demo("heron"), None
    want = still(motion, None, 1.0, "client", (1280, 720), "thrifty")[..., :3].astype(np.int16)
    drawn = flat()
    got = pixels_of(page_bytes(drawn.draw_page, *drawn.size), 1280 / (drawn.size[0] * MM))
    h, w = min(len(got), len(want)), min(got.shape[1], want.shape[1])
    apart = np.abs(got[:h, :w] - want[:h, :w]).max(2)
    assert np.median(apart) <= 1
    assert (apart > 60).mean() < 0.02
