"""The commands that draw, each once on a quick piece: the file is there, and the exit code tells of the piece."""

from __future__ import annotations

from pathlib import Path

import pytest
from PIL import Image

from tests.command.running import call


@pytest.mark.parametrize(
    ("words", "name", "size"),
    [
        (("render", "--draft", "--seconds", "0.5"), "quick.gif", (480, 270)),
        (("still", "--at", "90", "--size", "640x360"), "quick.png", (640, 360)),
        (("storyboard", "--width", "800"), "quick-storyboard.png", (800, 566)),
        (("compare", "--draft", "--seconds", "0.5"), "quick-compared.gif", (480, 270)),
    ],
)
def test_pictures_are_made(
    words: tuple[str, ...],
    name: str,
    size: tuple[int, int],
    piece: Path,
    capsys: pytest.CaptureFixture[str],
) -> None:
    # the piece as drawn takes no claims; the comparison shows one that isn't met
    assert call(words[0], piece, *words[1:]) == (1 if words[0] == "compare" else 0)
    assert name in capsys.readouterr().out
    with Image.open(name) as image:
        assert image.size == size
    assert sorted(path.name for path in piece.parent.iterdir()) == sorted([name, "quick.yaml"])


def test_a_variant_that_breaks_its_claim_is_drawn_and_ends_with_one(
    piece: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert call("still", piece, "--variant", "wrong", "--size", "320x180", "--quiet") == 1
    assert Path("quick-wrong.png").is_file()
    assert capsys.readouterr().out == ""


def test_a_moment_after_the_end_is_refused(
    piece: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert call("still", piece, "--at", "9 turns") == 2
    assert "the run is over before 9 turns" in capsys.readouterr().err
