"""Folders, disks and libraries that are in the way: one clear sentence, exit code 2, no traceback, no file."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.command.running import SCENES, run
from tests.films import names_in


def refuse(folder: Path, *words: str | Path, first_on_path: tuple[Path, ...] = ()) -> str:
    """Run the program; it must refuse in one sentence, which is given back."""
    done = run(folder, *words, first_on_path=first_on_path)
    assert done.returncode == 2, done.stderr
    assert "Traceback" not in done.stderr
    sentence = " ".join(done.stderr.split())
    assert sentence.count("Error") == 0
    assert 20 < len(sentence) < 400
    return sentence


def render(path: str | Path) -> tuple[str | Path, ...]:
    return "render", SCENES / "baker.yaml", "--draft", "--quiet", "-o", path


@pytest.fixture
def closed_folder(tmp_path: Path) -> Iterator[Path]:
    """A folder in which nobody may write. Nothing is closed to root but what the system keeps for itself."""
    if os.name == "posix" and os.geteuid() == 0:
        if not Path("/sys/kernel").is_dir():
            pytest.skip("root may write everywhere here")
        yield Path("/sys/kernel")
        return
    folder = tmp_path / "closed"
    folder.mkdir(mode=0o555)
    yield folder
    folder.chmod(0o755)


@pytest.mark.slow
@pytest.mark.parametrize("name", ["film.gif", "film.mp4"])
def test_closed_folder(closed_folder: Path, name: str, tmp_path: Path) -> None:
    sentence = refuse(tmp_path, *render(closed_folder / name))
    assert (
        f"the folder {closed_folder} can't be written to: give another place for {name} with -o"
        in sentence
    )


@pytest.mark.slow
def test_missing_folder(tmp_path: Path) -> None:
    sentence = refuse(tmp_path, *render("films/baker.gif"))
    assert "there is no folder films to write baker.gif into: make it first" in sentence
    assert names_in(tmp_path) == []


@pytest.mark.slow
def test_closed_folder_is_told_before_the_work(closed_folder: Path, tmp_path: Path) -> None:
    # A scene that can't be read is reported first, so a sentence on the folder alone means that the scene was fine.
    for words in (("trace", SCENES / "baker.yaml"), ("storyboard", SCENES / "baker.yaml")):
        sentence = refuse(
            tmp_path,
            *words,
            "-o",
            closed_folder / ("a.csv" if words[0] == "trace" else "a.png"),
        )
        assert "can't be written to" in sentence


@pytest.fixture
def small_disk(tmp_path: Path) -> Iterator[Path]:
    """A disk of 24 kB."""
    folder = tmp_path / "small"
    folder.mkdir()
    if sys.platform != "linux" or shutil.which("mount") is None:
        pytest.skip("a small disk is made with Linux's mount")
    made = subprocess.run(
        ["mount", "-t", "tmpfs", "-o", "size=24k", "tmpfs", folder],
        capture_output=True,
        text=True,
        check=False,
    )
    if made.returncode:
        pytest.skip(f"no small disk may be made here: {made.stderr.strip()}")
    yield folder
    subprocess.run(["umount", folder], check=True)


@pytest.mark.slow
@pytest.mark.parametrize("name", ["film.gif", "film.mp4", "pictures"])
def test_full_disk(small_disk: Path, name: str, tmp_path: Path) -> None:
    old = small_disk / "old.txt"
    old.write_text("old")
    sentence = refuse(tmp_path, *render(small_disk / name))
    assert f"the disk is full: {name} doesn't fit in {small_disk}; make room there" in sentence
    assert names_in(small_disk) == ["old.txt"]


def pretend(folder: Path, module: str, text: str) -> tuple[Path]:
    """Put a module in front of the real one, as a broken installation looks to Python."""
    folder.mkdir(exist_ok=True)
    (folder / f"{module}.py").write_text(text, "utf-8")
    return (folder,)


@pytest.mark.slow
def test_missing_library_of_skia(tmp_path: Path) -> None:
    words = "libEGL.so.1: cannot open shared object file: No such file or directory"
    broken = pretend(tmp_path / "broken", "skia", f"raise ImportError({words!r})")
    sentence = refuse(tmp_path, *render("film.gif"), first_on_path=broken)
    assert "libEGL.so.1" in sentence
    assert "apt-get install libegl1 libgl1" in sentence
    assert names_in(tmp_path) == ["broken"]


@pytest.mark.slow
@pytest.mark.parametrize(
    ("text", "words"),
    [
        (
            "raise ImportError('libavcodec.so.62: cannot open shared object file')",
            "MP4 needs the package av, which can't start",
        ),
        ("codecs_available = {'mpeg4', 'gif'}", "this installation of av has no H.264 encoder"),
    ],
)
def test_missing_encoder(text: str, words: str, tmp_path: Path) -> None:
    broken = pretend(tmp_path / "broken", "av", text)
    sentence = refuse(tmp_path, *render("film.mp4"), first_on_path=broken)
    assert words in sentence
    assert "pip install" in sentence
    assert names_in(tmp_path) == ["broken"]


@pytest.mark.slow
def test_gif_needs_no_encoder(tmp_path: Path) -> None:
    broken = pretend(tmp_path / "broken", "av", "raise ImportError('no')")
    done = run(tmp_path, *render("film.gif"), first_on_path=broken)
    assert done.returncode in (0, 1), done.stderr
    assert (tmp_path / "film.gif").is_file()
