"""Every wrong scene here is refused with exactly the report that lies beside it.

``NAME.yaml`` is the scene, ``NAME.txt`` what is said of it. A scene without its ``.txt`` fails, and so does a report
without its scene; ``pytest --accept-reports`` writes the reports anew, to be read before they are kept.
"""

from pathlib import Path

import pytest

from animator.problems import SceneError
from animator.scene import read_all

HERE = Path(__file__).parent
SCENES = sorted(HERE.glob("*.yaml"))


@pytest.mark.parametrize("path", SCENES, ids=lambda path: path.stem)
def test_wrong_scene_gets_its_report(path: Path, request: pytest.FixtureRequest) -> None:
    with pytest.raises(SceneError) as caught:
        read_all(path)
    report = f"{caught.value}\n"
    kept = path.with_suffix(".txt")
    if request.config.getoption("--accept-reports"):
        kept.write_text(report, encoding="utf-8")
    assert report == kept.read_text(encoding="utf-8")


@pytest.mark.parametrize("path", SCENES, ids=lambda path: path.stem)
def test_report_points_at_what_is_there(path: Path) -> None:
    lines = path.read_text(encoding="utf-8").splitlines() or [""]
    with pytest.raises(SceneError) as caught:
        read_all(path)
    places = [problem.place for problem in caught.value.problems]
    assert places == sorted(places), "problems come in file order"
    for place in places:
        assert place.source == lines[place.line - 1]
        assert 1 <= place.column <= place.column + place.length - 1 <= max(1, len(place.source))


def test_every_report_has_its_scene() -> None:
    assert {path.stem for path in HERE.glob("*.txt")} == {path.stem for path in SCENES}
