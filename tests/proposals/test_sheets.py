from __future__ import annotations

import io
from functools import cache
from itertools import pairwise

import pypdf
import pytest

from animator.proposals.sheets import Block, Sheets, words
from tests.proposals._made import checked, proposal


@cache
def printed(paper: str) -> pypdf.PdfReader:
    return pypdf.PdfReader(io.BytesIO(proposal("mole").paper(paper)[0]))


def said(reader: pypdf.PdfReader) -> str:
    return " ".join("".join(page.extract_text() for page in reader.pages).split())


@pytest.mark.parametrize(
    ("paper", "size"),
    [("a4", (210.0, 297.0)), ("letter", (215.9, 279.4))],  # ISO 216; 8 1/2 by 11 inches
)
def test_pages_have_the_size_of_their_paper(paper: str, size: tuple[float, float]) -> None:
    for page in printed(paper).pages:
        got = float(page.mediabox.width) / 72 * 25.4, float(page.mediabox.height) / 72 * 25.4
        assert got == pytest.approx(size, abs=0.2)


@pytest.mark.slow
def test_words_on_paper_are_text_that_can_be_found_and_copied() -> None:
    text = said(printed("a4"))
    for each in (
        "The mole who can't get up",
        "Mathilde Weir",
        "a push three times as strong doesn't free it",
        "What was found",
        "Gaps that close",
        "licensed practice",
    ):
        assert each in text, each


def test_file_says_what_it_is_of() -> None:
    about = printed("a4").metadata
    assert about is not None
    assert about.title == "The mole who can't get up"


@pytest.mark.slow
def test_pages_are_numbered_over_the_whole_file() -> None:
    reader = printed("a4")
    count = len(reader.pages)
    assert f"page 1 of {count}" in said(reader)
    assert f"page {count} of {count}" in said(reader)


def test_nothing_falls_off_a_page_and_no_heading_stands_last() -> None:
    piece = checked("mole")
    sheets = Sheets(piece, proposal("mole").contents, "a4", {})
    many = [block for _ in range(6) for block in sheets._blocks()]
    pages = sheets._flowed(many)
    assert sum(map(len, pages)) == len(many)
    for page in pages:
        assert all(y + block.high <= sheets.h - 20 for y, block in page)
        for (y, block), (below, _) in pairwise(page):
            assert below == pytest.approx(y + block.high)
    for page in pages[:-1]:
        assert not page[-1][1].holds


def test_a_paragraph_is_as_high_as_its_lines() -> None:
    short, long = (words("word " * count, 300) for count in (3, 90))
    assert isinstance(short, Block)
    assert long.high > 5 * short.high
