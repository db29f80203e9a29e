"""Sheets and stills for paper, made as a maker makes them."""

from __future__ import annotations

import io
from pathlib import Path

import pypdf
import pytest
from lxml import etree
from PIL import Image

from tests.command.running import call


def test_a_still_comes_as_pixels_or_as_lines(
    piece: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    for name in ("a.png", "a.svg", "a.pdf"):
        assert call("still", piece, "--at", "90", "--size", "640x360", "-o", name) == 0
    with Image.open("a.png") as picture:
        assert picture.size == (640, 360)
    root = etree.fromstring(Path("a.svg").read_bytes())
    assert root.findtext("{*}title") == "A quick piece"
    assert "quick.yaml, scale 1 : " in root.findtext("{*}desc")
    width, height = (float(root.get(key).removesuffix("mm")) for key in ("width", "height"))
    assert width / height == pytest.approx(640 / 360, rel=1e-3)
    page = pypdf.PdfReader("a.pdf").pages[0]
    assert float(page.mediabox.width) / 72 * 25.4 == pytest.approx(width, abs=0.25)
    capsys.readouterr()


def test_scale_is_the_size_on_paper(piece: Path) -> None:
    wide = []
    for scale in ("1:1", "1:2"):
        assert call("still", piece, "--scale", scale, "-q", "-o", "a.svg") == 0
        root = etree.fromstring(Path("a.svg").read_bytes())
        wide.append(float(root.get("width").removesuffix("mm")))
    assert wide[0] == pytest.approx(2 * wide[1], rel=1e-6)


@pytest.mark.slow
def test_title_block_takes_the_scenes_words_and_the_lines_before_them(piece: Path) -> None:
    text = piece.read_text(encoding="utf-8")
    piece.write_text(
        text + "maker: A. Reed\nclient: The ferry inn\ndate: 2026-05-03\n", "utf-8"
    )
    words = ("storyboard", piece, "-q", "-o", "a.pdf")
    assert call(*words) == 0
    page = pypdf.PdfReader("a.pdf").pages[0].extract_text()
    assert "A. Reed" in page
    assert "The ferry inn" in page
    assert "2026-05-03" in page
    assert call(*words, "--maker", "B. Sedge", "--client", "") == 0
    page = pypdf.PdfReader("a.pdf").pages[0].extract_text()
    assert "B. Sedge" in page
    assert "A. Reed" not in page
    assert "Client" not in page


@pytest.mark.slow
def test_sheets_have_pages_in_pdf_and_numbers_in_png(piece: Path) -> None:
    stills = ", ".join(str(10 * n) for n in range(24))
    text = piece.read_text(encoding="utf-8")
    piece.write_text(
        text + f"shots:\n  turn: {{from: 0, to: 240, stills: [{stills}]}}\n", "utf-8"
    )
    assert call("storyboard", piece, "-q", "--paper", "letter", "-o", "a.pdf") == 0
    pages = pypdf.PdfReader(io.BytesIO(Path("a.pdf").read_bytes())).pages
    assert len(pages) > 1
    assert f"Sheet 2 of {len(pages)}" in " ".join(pages[1].extract_text().split())
    assert {(round(page.mediabox.width), round(page.mediabox.height)) for page in pages} == {
        (792, 612)
    }
    assert (
        call("storyboard", piece, "-q", "--paper", "letter", "--dpi", "40", "-o", "a.png") == 0
    )
    made = sorted(path.name for path in Path().glob("a-*.png"))
    assert made == [f"a-{n + 1}.png" for n in range(len(pages))]
    with Image.open("a-1.png") as picture:
        assert picture.size == (440, 340)


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("storyboard", "--scale", "20:1"), "doesn't fit on A4; the most is --scale"),
        (("storyboard", "--scale", "half"), "'half' is no scale; write for example 1:2"),
        (("storyboard", "--dpi", "1200", "--paper", "a3"), "the most is --dpi"),
        (("storyboard", "--dpi", "90", "--width", "900"), "leave one out"),
        (("still", "--at", "first jam of wedge"), "no part is called 'wedge'"),
        (("still", "--at", "first jam"), "jam"),
        (("still", "-o", "a.gif"), "write a.png"),
    ],
)
def test_what_paper_cant_do_is_told(
    words: tuple[str, ...], said: str, piece: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert call(words[0], piece, *words[1:]) == 2
    assert said in capsys.readouterr().err
    assert [path.name for path in piece.parent.iterdir()] == [piece.name]
