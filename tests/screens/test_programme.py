"""What is named on the command line, laid out."""

from __future__ import annotations

from pathlib import Path

import pytest

from animator.problems import RunError
from animator.screens.programme import items_of


def touch(folder: Path, *names: str) -> None:
    for name in names:
        (folder / name).write_bytes(b"")


def names(*what: Path) -> list[str]:
    return [item.path.name for item in items_of(what)]


def test_folder_gives_its_films_in_name_order_and_nothing_else(tmp_path: Path) -> None:
    touch(
        tmp_path, "b.mp4", "A.webm", "c.GIF", "d.webp", "e.apng", "notes.txt", "f.yaml", "g.png"
    )
    assert names(tmp_path) == ["A.webm", "b.mp4", "c.GIF", "d.webp", "e.apng"]


def test_list_is_read_from_its_own_folder_and_may_name_what_is_not_there(
    tmp_path: Path,
) -> None:
    (tmp_path / "films").mkdir()
    today = tmp_path / "today.txt"
    today.write_text("# morning\n\nfilms/a.mp4\n  heron.yaml  \n", "utf-8")
    items = items_of([today])
    assert [item.path for item in items] == [tmp_path / "films/a.mp4", tmp_path / "heron.yaml"]
    assert [item.kind for item in items] == ["film", "scene"]


def test_several_are_shown_one_after_the_other(tmp_path: Path) -> None:
    touch(tmp_path, "x.mp4", "y.yaml")
    assert names(tmp_path / "y.yaml", tmp_path / "x.mp4", tmp_path / "y.yaml") == [
        "y.yaml",
        "x.mp4",
        "y.yaml",
    ]


@pytest.mark.parametrize(
    ("name", "data", "said"),
    [
        ("nowhere.mp4", None, "there is no such file or folder"),
        ("empty.txt", b"# nothing\n", "a list without entries; write one path a line"),
        ("list.txt", b"a.mp4\nsong.ogg\n", "list.txt:2: 'song.ogg' is neither a scene"),
        ("film.bin", b"\0\1\2", "neither a scene (.yaml .yml), a film"),
        ("latin.txt", "Märchen.mp4".encode("latin-1"), "neither a scene"),
    ],
)
def test_what_cannot_be_a_programme_is_refused(
    tmp_path: Path, name: str, data: bytes | None, said: str
) -> None:
    if data is not None:
        (tmp_path / name).write_bytes(data)
    with pytest.raises(RunError) as refusal:
        items_of([tmp_path / name])
    assert said in str(refusal.value)


def test_folder_without_films_is_refused(tmp_path: Path) -> None:
    with pytest.raises(RunError, match="no films in this folder"):
        items_of([tmp_path])
