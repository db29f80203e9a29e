"""Films by the command: every format by its ending, within a budget, for a purpose, with sound."""

from __future__ import annotations

import wave
from pathlib import Path

import av
import numpy as np
import pytest
from PIL import Image

from tests.command.running import call


def write_tone(path: Path, seconds: float) -> None:
    """Write a tone as a plain sound file, with Python's own library."""
    t = np.arange(round(seconds * 8000)) / 8000
    with wave.open(str(path), "wb") as file:
        file.setnchannels(1)
        file.setsampwidth(2)
        file.setframerate(8000)
        file.writeframes((9000 * np.sin(2 * np.pi * 500 * t)).astype("<i2").tobytes())


@pytest.mark.parametrize("ending", [".gif", ".webp", ".apng", ".mp4", ".webm"])
def test_ending_chooses_the_format(
    ending: str, piece: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    name = f"quick{ending}"
    assert call("render", piece, "--draft", "--seconds", "0.4", "-o", name) == 0
    assert capsys.readouterr().out == f"{name}\n"
    if ending in (".mp4", ".webm"):
        with av.open(name) as film:
            assert film.metadata["title"] == "A quick piece"
            assert sum(1 for _ in film.decode(video=0)) == 8
            assert not film.streams.audio
    else:
        with Image.open(name) as picture:
            assert (picture.n_frames, picture.size) == (5, (480, 270))  # one round of 0.25 s


@pytest.mark.parametrize("ending", [".webp", ".mp4"])
def test_transparent_backdrop(
    ending: str, piece: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    words = ("--draft", "--seconds", "0.4", "--backdrop", "transparent", "-o", f"quick{ending}")
    assert call("render", piece, *words) == 0
    said = capsys.readouterr().out
    assert ("the piece is laid on paper" in said) == (ending == ".mp4")
    if ending == ".webp":
        with Image.open("quick.webp") as picture:
            alpha = np.array(picture.convert("RGBA"))[..., 3]
        assert (alpha == 0).mean() > 0.2
        assert (alpha == 255).mean() > 0.05


def test_budget_is_met_and_told(piece: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert call("render", piece, "--draft", "--max-size", "9kB") == 0
    said = capsys.readouterr().out
    assert Path("quick.gif").stat().st_size <= 9000
    assert "to stay within 9 kB: " in said


def test_budget_that_cant_be_met_leaves_nothing(
    piece: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert call("render", piece, "--draft", "--max-size", "1kB") == 2
    assert "1 kB can't be met; the smallest this film gets is" in capsys.readouterr().err
    assert not Path("quick.gif").exists()


@pytest.mark.parametrize("word", ["banana", "5 horses", "10", "-3MB"])
def test_odd_budget_is_told(word: str, piece: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert call("render", piece, f"--max-size={word}") == 2
    assert "write for example" in capsys.readouterr().err


def test_square_film(piece: Path, capsys: pytest.CaptureFixture[str]) -> None:
    words = ("--for", "square", "--fps", "5", "--seconds", "0.4", "--draft")
    assert call("render", piece, *words) == 0
    with av.open("quick.mp4") as film:
        assert (film.streams.video[0].width, film.streams.video[0].height) == (1080, 1080)
    assert call("render", piece, "--for", "square", "--seconds", "31") == 2
    assert "lasts at most 30 s" in capsys.readouterr().err


def test_film_for_an_e_mail_has_a_budget(piece: Path) -> None:
    from animator.commands._common import film_ways

    ways = film_ways(None, lambda ending: Path(f"q{ending}"), None, None, None, False, "email")
    assert ways.path == Path("q.gif")
    assert ways.max_bytes is not None
    assert ways.max_bytes * 1.3684 < 7e6  # as it travels: base64 with line breaks


def test_poster_is_a_picture_of_the_film(piece: Path) -> None:
    words = ("--draft", "--seconds", "0.4", "-o", "quick.mp4", "--poster", "quick.png")
    assert call("render", piece, *words) == 0
    with Image.open("quick.png") as picture:
        assert picture.size == (480, 270)


def test_sound_of_the_scene_is_heard(piece: Path, capsys: pytest.CaptureFixture[str]) -> None:
    write_tone(piece.parent / "river.wav", 0.3)
    text = piece.read_text("utf-8")
    piece.write_text(f"{text}\nsound: {{file: river.wav, starts at: 45}}\n", "utf-8")
    assert call("render", piece, "--draft", "--seconds", "1", "-o", "quick.mp4") == 0
    with av.open("quick.mp4") as film:
        heard = np.concatenate([part.to_ndarray()[0] for part in film.decode(audio=0)])
        assert film.duration / 1e6 == pytest.approx(1, abs=0.03)
    assert np.abs(heard[24_000:40_000]).max() > 0.1
    assert call("render", piece, "--draft", "--seconds", "0.4") == 0
    assert "this format knows no sound: the film is silent" in capsys.readouterr().out


def test_broken_sound_is_told_where_the_scene_names_it(
    piece: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (piece.parent / "river.wav").write_bytes(b"no sound at all" * 50)
    piece.write_text(piece.read_text("utf-8") + "\nsound: {file: river.wav}\n", "utf-8")
    assert call("render", piece, "--draft", "-o", "quick.mp4") == 2
    said = capsys.readouterr().err
    assert "quick.yaml:" in said
    assert "river.wav can't be read as sound" in said
    assert not Path("quick.mp4").exists()
