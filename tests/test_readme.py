"""What README shows is what the program says."""

import re
import textwrap
from pathlib import Path

import pytest

import animator
from animator.problems import SceneError

README = (Path(__file__).resolve().parent.parent / "README.md").read_text(encoding="utf-8")
SCENE = re.search(r"```yaml\n(.*?)```", README, re.DOTALL)[1]
REPORT = textwrap.dedent(re.search(r"((?:    .*\n)+)\n## What a piece is made of", README)[1])


def written(folder: Path, text: str) -> Path:
    path = folder / "heron.yaml"
    path.write_text(text, encoding="utf-8")
    return path


def test_scene_in_readme_keeps_its_own_claims(tmp_path):
    report = animator.examine(animator.run(animator.read(written(tmp_path, SCENE))))
    assert len(report.expectations) == 3
    assert all(claim.met for claim in report.expectations)
    assert not report.findings


def test_report_in_readme_is_word_for_word_the_programs(tmp_path):
    path = written(tmp_path, SCENE.replace("at: 60 above camshaft", "at: 45 above camshaft"))
    with pytest.raises(SceneError) as refused:
        animator.read(path)
    assert str(refused.value).rstrip() == REPORT.rstrip()
