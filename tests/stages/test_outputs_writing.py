"""Putting files in place: whole or not at all, and one plain sentence when the surroundings refuse."""

from __future__ import annotations

import errno
import os
import subprocess
import sys
from pathlib import Path

import pytest

from animator.outputs import writing
from animator.problems import RunError
from tests.films import names_in

ROOT = Path(__file__).resolve().parent.parent.parent


@pytest.fixture(params=["nameless", "hidden name"])
def _both_ways(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> None:
    if request.param == "hidden name":
        monkeypatch.setattr(writing, "_open_nameless", lambda folder: None)


both_ways = pytest.mark.usefixtures("_both_ways")


@both_ways
def test_nothing_stands_under_the_name_until_it_is_whole(tmp_path: Path) -> None:
    path = tmp_path / "film.gif"
    path.write_bytes(b"old")
    with writing.beside(path) as part:
        part.write_bytes(b"new, half")
        assert path.read_bytes() == b"old"
        part.write_bytes(b"new and whole")
    assert path.read_bytes() == b"new and whole"
    assert names_in(tmp_path) == ["film.gif"]


@both_ways
def test_failure_leaves_the_old_file_and_nothing_else(tmp_path: Path) -> None:
    path = tmp_path / "film.gif"
    path.write_bytes(b"old")
    with pytest.raises(OverflowError), writing.beside(path) as part:
        part.write_bytes(bytes(10) + (300).to_bytes(1))
    assert path.read_bytes() == b"old"
    assert names_in(tmp_path) == ["film.gif"]


@both_ways
def test_new_file_may_be_read_by_those_who_may_read_others(tmp_path: Path) -> None:
    writing.save_bytes(b"x", tmp_path / "ours")
    (tmp_path / "others").write_bytes(b"x")
    assert (tmp_path / "ours").stat().st_mode == (tmp_path / "others").stat().st_mode


@both_ways
def test_missing_folder_is_told(tmp_path: Path) -> None:
    path = tmp_path / "films" / "film.gif"
    for act in (lambda: writing.check_place(path), lambda: writing.save_bytes(b"x", path)):
        with pytest.raises(
            RunError, match=r"there is no folder .*films to write film.gif into: make it first"
        ):
            act()


@both_ways
def test_folder_in_place_of_a_file_is_told(tmp_path: Path) -> None:
    with pytest.raises(RunError, match="is a folder: give a file's name"):
        writing.check_place(tmp_path)
    with pytest.raises(RunError, match="is a folder: give a file's name"):
        writing.save_bytes(b"x", tmp_path)
    assert names_in(tmp_path) == []


@both_ways
@pytest.mark.parametrize(
    ("code", "words"),
    [
        (errno.ENOSPC, "the disk is full: film.gif doesn't fit in"),
        (errno.EDQUOT, "the disk is full"),
        (errno.EROFS, "can't be written to: give another place for film.gif with -o"),
        (errno.EIO, "the disk failed while film.gif was written"),
    ],
)
def test_what_the_disk_says_is_told_in_a_sentence(
    tmp_path: Path, code: int, words: str
) -> None:
    with pytest.raises(RunError, match=words), writing.beside(tmp_path / "film.gif"):
        raise OSError(code, os.strerror(code))
    assert names_in(tmp_path) == []


def test_trouble_with_another_file_is_not_blamed_on_this_one(tmp_path: Path) -> None:
    with pytest.raises(PermissionError), writing.beside(tmp_path / "film.gif"):
        raise PermissionError(errno.EACCES, "no", "/somewhere/else/font.ttf")


def test_long_name_is_told(tmp_path: Path) -> None:
    with pytest.raises(RunError, match="too long"):
        writing.save_bytes(b"x", tmp_path / ("x" * 300))


def test_remnants_of_killed_runs_are_swept_up_and_those_of_living_ones_kept(
    tmp_path: Path,
) -> None:
    dead = subprocess.run(
        [sys.executable, "-c", "import os; print(os.getpid())"],
        capture_output=True,
        text=True,
        check=True,
    )
    killed = tmp_path / f".film.gif.{dead.stdout.strip()}.0.part"
    living = tmp_path / f".film.gif.{os.getppid()}.0.part"
    other = tmp_path / ".film.gif.notes.part"
    for path in (killed, living, other):
        path.write_bytes(b"half")
    writing.save_bytes(b"x", tmp_path / "film.gif")
    assert not killed.exists()
    assert living.exists()
    assert other.exists()


def test_kill_in_the_middle_leaves_nothing(tmp_path: Path) -> None:
    code = (
        "import os, signal\nfrom pathlib import Path\nfrom animator.outputs import writing\n"
        "with writing.beside(Path('film.gif')) as part:\n"
        "    part.write_bytes(b'half')\n"
        "    os.kill(os.getpid(), signal.SIGKILL)\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", code],
        cwd=tmp_path,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
        check=False,
    )
    assert done.returncode == -9
    left = names_in(tmp_path)
    assert "film.gif" not in left
    if writing._open_nameless(tmp_path) is not None:
        assert left == []


# ---------------------------------------------------------------- folders of pictures
def test_folder_is_put_in_place_whole(tmp_path: Path) -> None:
    path = tmp_path / "film"
    for contents in (["0001.png", "0002.png", "0003.png"], ["0001.png"]):
        with writing.folder_beside(path) as part:
            for name in contents:
                (part / name).write_bytes(b"x")
        assert names_in(path) == contents
        assert names_in(tmp_path) == ["film"]


def test_folder_with_other_things_is_left_alone(tmp_path: Path) -> None:
    (tmp_path / "letters.txt").write_text("dear")
    with (
        pytest.raises(RunError, match="holds other things than numbered pictures"),
        writing.folder_beside(tmp_path),
    ):
        pass
    assert names_in(tmp_path) == ["letters.txt"]


def fill_up(path: Path) -> None:
    path.write_bytes(b"x")
    raise OSError(errno.ENOSPC, "full")


def test_half_a_folder_is_not_left(tmp_path: Path) -> None:
    with (
        pytest.raises(RunError, match="the disk is full"),
        writing.folder_beside(tmp_path / "film") as part,
    ):
        fill_up(part / "0001.png")
    assert names_in(tmp_path) == []
