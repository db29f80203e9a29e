from __future__ import annotations

from pathlib import Path

import pypdf
import pytest

from tests.command.running import call


@pytest.mark.slow
def test_the_ending_chooses_page_or_paper(
    piece: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    code = call(
        "proposal", piece, "-o", "quick.html", "--draft", "--alone", "--client", "A & B"
    )
    assert code == 0
    assert capsys.readouterr().out.startswith("quick.html\n")
    text = Path("quick.html").read_text("utf-8")
    assert text.startswith("<!DOCTYPE html>")
    assert "A &amp; B" in text
    assert call("proposal", piece, "-o", "quick.pdf", "--draft", "--quiet") == 0
    pages = pypdf.PdfReader("quick.pdf").pages
    assert "A quick piece" in pages[0].extract_text()
    said = " ".join(page.extract_text() for page in pages)
    assert "Other ways to build it" in said


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("-o", "quick.docx"), "write quick.html"),
        (("--variant", "wrogn"), "did you mean --variant 'wrong'?"),
        (("-o", "nowhere/quick.html"), "there is no folder nowhere"),
    ],
)
def test_what_cannot_be_is_told_before_the_work_begins(
    piece: Path, words: tuple[str, ...], said: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert call("proposal", piece, *words) == 2
    assert said in capsys.readouterr().err


@pytest.mark.slow
def test_a_claim_that_is_not_met_ends_with_one(piece: Path) -> None:
    code = call(
        "proposal", piece, "--variant", "wrong", "-o", "wrong.html", "--draft", "--quiet"
    )
    assert code == 1
    assert "not met" in Path("wrong.html").read_text("utf-8")
