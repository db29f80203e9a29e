"""Pieces that can't be put together, and what is said of them, word for word."""

import re
from pathlib import Path

import pytest

from animator.problems import SceneError
from animator.scene import read, read_all
from animator.world.assembling import assemble

SCENES = sorted((Path(__file__).parent / "geometry").glob("*.yaml"))


def report(path):
    (scene,) = read_all(path).values()
    with pytest.raises(SceneError) as caught:
        assemble(scene)
    return caught.value


@pytest.mark.parametrize("path", SCENES, ids=lambda path: path.stem)
def test_report_is_the_one_kept(path, request):
    said, kept = f"{report(path)}\n", path.with_suffix(".txt")
    if request.config.getoption("--accept-reports"):
        kept.write_text(said, encoding="utf-8")
    assert said == kept.read_text(encoding="utf-8")


@pytest.mark.parametrize("path", SCENES, ids=lambda path: path.stem)
def test_every_problem_has_a_place_inside_the_file(path):
    lines = path.read_text().splitlines()
    for problem in report(path).problems:
        assert lines[problem.place.line - 1] == problem.place.source
        assert 1 <= problem.place.column <= len(problem.place.source)
        assert problem.what
        assert problem.write


def changes(advice):
    """What the first piece of advice says to write: path -> text."""
    first = advice.partition(" or '")[0]
    return dict(re.findall(r"'?([^':]+\.[^':]+): ([^']+)'?", first.replace("' and '", "'\n'")))


@pytest.mark.parametrize(
    "path",
    [
        path
        for path in SCENES
        if re.search(r"write '[^']+\.[^']+:", path.with_suffix(".txt").read_text())
    ],
    ids=lambda path: path.stem,
)
def test_advice_mends_what_it_is_given_for(path):
    first = report(path).problems[0]
    mended = read(path, changes=changes(first.write))
    try:
        assemble(mended)
    except SceneError as error:
        assert first.what not in [problem.what for problem in error.problems]
        assert first.place.line not in [problem.place.line for problem in error.problems]
