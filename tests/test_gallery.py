"""The gallery shows the scenes as they are, all of them, and stays small enough to clone."""

import importlib.util
import re
import shutil
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent
RENDERS = ROOT / "renders"


@pytest.fixture(scope="module")
def gallery():
    spec = importlib.util.spec_from_file_location("gallery", RENDERS / "make.py")
    module = importlib.util.module_from_spec(spec)
    import sys

    sys.modules["gallery"] = module
    spec.loader.exec_module(module)
    return module


def test_no_picture_is_staler_than_its_scene(gallery):
    noted = gallery.noted()
    stale = [
        picture.name
        for picture in [*gallery.PICTURES, *gallery.of_kinds()]
        if noted.get(picture.name) != picture.mark
    ]
    assert not stale, f"run python renders/make.py: {', '.join(stale)}"


def test_every_picture_named_is_there_and_none_besides(gallery):
    named = {picture.name for picture in [*gallery.PICTURES, *gallery.of_kinds()]}
    there = {
        path.relative_to(RENDERS).as_posix()
        for path in RENDERS.rglob("*")
        if path.suffix in {".gif", ".png", ".mp4", ".html"}
    }
    assert named == there


def test_every_piece_has_films_in_both_looks_and_a_storyboard_and_some_a_proposal(gallery):
    for scene in (ROOT / "scenes").glob("*.yaml"):
        of_scene = [p.command for p in gallery.PICTURES if p.scene == scene.stem]
        looks = {
            command[command.index("--look") + 1]
            for command in of_scene
            if command[0] == "render" and "--look" in command
        }
        assert looks == {"client", "bench"}, scene.stem
        assert "storyboard" in {command[0] for command in of_scene}, scene.stem
    assert sum(p.command[0] == "proposal" for p in gallery.PICTURES) >= 2


def test_a_changed_scene_or_drawing_makes_its_picture_stale(gallery, tmp_path, monkeypatch):
    picture = gallery.PICTURES[0]
    before = picture.mark
    shutil.copytree(gallery.SCENES, tmp_path, dirs_exist_ok=True)
    monkeypatch.setattr(gallery, "SCENES", tmp_path)
    assert picture.mark == before
    for file in (f"{picture.scene}.yaml", f"art/{picture.scene}.svg"):
        (tmp_path / file).write_text((tmp_path / file).read_text() + "\n")
        assert picture.mark != before, file
        before = picture.mark


def test_renders_weigh_less_than_15_mb():
    assert sum(path.stat().st_size for path in RENDERS.rglob("*") if path.is_file()) < 15e6


def test_the_film_of_a_single_kind_weighs_at_most_100_kb():
    heavy = [p.name for p in (RENDERS / "kinds").glob("*.gif") if p.stat().st_size > 100_000]
    assert not heavy


def test_every_picture_of_readme_is_there():
    for name in re.findall(r"\]\((renders/[^)]+)\)", (ROOT / "README.md").read_text()):
        assert (ROOT / name).exists(), name
