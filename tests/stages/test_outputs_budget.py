"""A film within so many bytes: never more, and what it cost is told."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import numpy as np
import pytest
from PIL import Image

from animator.commands._common import Bytes
from animator.outputs import _fitting, save
from animator.outputs._contract import FORMATS, Rung, Ways
from animator.outputs._fitting import Reduced, byte_count
from animator.outputs.gif import Gif
from animator.problems import RunError
from tests.films import Ghostly, Roundabout, names_in

ENDINGS = (".gif", ".mp4", ".webm", ".webp", ".apng", "")
FAST = (".gif", ".mp4")
EACH = [
    pytest.param(ending, marks=() if ending in FAST else pytest.mark.slow) for ending in ENDINGS
]
SIZE = (256, 240)


class Speckled(Roundabout):
    """The disc on a plate of grain, which costs bytes in every format."""

    def __init__(self, count: int = 32, size: tuple[int, int] = SIZE, fps: float = 25) -> None:
        super().__init__(count, size=size, fps=fps)
        generator = np.random.default_rng(5)
        height, width = size[1], size[0]
        grain = generator.integers(-9, 9, (height, width, 1))
        self.plate[..., :3] = np.clip(self.plate[..., :3] + grain, 0, 255)


@pytest.mark.slow
@pytest.mark.parametrize("ending", EACH)
@pytest.mark.parametrize("share", [0.6, 0.35])
def test_budget_is_met_and_what_it_cost_is_told(
    ending: str, share: float, tmp_path: Path
) -> None:
    most = round(save(Speckled(), tmp_path / f"film{ending}").byte_count * share)
    path = tmp_path / f"film{ending}"
    saved = save(Speckled(), path, max_bytes=most)
    assert byte_count(path) == saved.byte_count <= most
    assert saved.byte_count > most * 0.25  # not far more was given up than needed
    (said,) = saved.remarks
    assert said.startswith("to stay within ")
    if saved.size != SIZE:
        assert "{} × {} instead of 256 × 240".format(*saved.size) in said
        assert saved.size[0] / saved.size[1] == pytest.approx(16 / 15, rel=0.02)
    assert names_in(tmp_path) == [path.name]


@pytest.mark.parametrize("ending", EACH)
def test_what_fits_is_left_as_it_is(ending: str, tmp_path: Path) -> None:
    film = Roundabout(30, 10)
    plain = save(film, tmp_path / f"plain{ending}")
    saved = save(film, tmp_path / f"film{ending}", max_bytes=round(plain.byte_count * 1.1))
    assert saved == plain
    if ending:
        first, second = (tmp_path / f"{name}{ending}" for name in ("plain", "film"))
        assert first.read_bytes() == second.read_bytes()


@pytest.mark.slow
@pytest.mark.parametrize("ending", EACH)
def test_budget_that_cant_be_met_is_refused_with_the_smallest(
    ending: str, tmp_path: Path
) -> None:
    with pytest.raises(
        RunError, match=r"2 kB can't be met; the smallest this film gets"
    ) as told:
        save(Speckled(), tmp_path / f"film{ending}", max_bytes=2000)
    assert names_in(tmp_path) == []
    # what is told as the smallest can be had
    least = Bytes().convert(
        str(told.value).split("--max-size ")[1].split(",")[0].removesuffix(" or more"),
        None,
        None,
    )
    assert save(Speckled(), tmp_path / f"film{ending}", max_bytes=least).byte_count <= least


@pytest.mark.slow
def test_film_is_drawn_anew_where_it_can_be(tmp_path: Path) -> None:
    asked: list[tuple[tuple[int, int], float]] = []

    def again(size: tuple[int, int], fps: float) -> Any:
        asked.append((size, fps))
        return Speckled(round(32 * fps / 25), size, fps)

    full = save(Speckled(), tmp_path / "full.gif").byte_count
    saved = save(Speckled(), tmp_path / "film.gif", max_bytes=full // 3, again=again)
    assert (saved.size, saved.fps) in asked
    with Image.open(tmp_path / "film.gif") as film:
        assert film.size == saved.size
        assert film.n_frames == round(32 * saved.fps / 25)


def test_estimates_come_from_a_part_of_the_pictures(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(
        "animator.outputs.ahead.FEWEST", 10**9
    )  # in this process, to be counted
    film = Roundabout(180)
    fitting = _fitting.Fitting(Gif(), film, Ways(25.0), 10**6, None, "film.gif")
    estimate = fitting._estimate(0)
    assert len(set(film.calls)) < 180 / 2
    true = save(Roundabout(180), tmp_path / "film.gif").byte_count
    assert estimate == pytest.approx(true, rel=0.1)


@pytest.mark.slow
def test_too_low_an_estimate_is_put_right(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    full = save(Speckled(), tmp_path / "full.gif").byte_count
    true = _fitting.Fitting._part_by_part
    monkeypatch.setattr(
        _fitting.Fitting, "_part_by_part", lambda self, film, ways: true(self, film, ways) / 3
    )
    saved = save(Speckled(), tmp_path / "film.gif", max_bytes=full // 3)
    assert saved.byte_count <= full // 3


def test_ladders_go_down() -> None:
    for kind in FORMATS.values():
        assert kind.ladder[0] == Rung()
        for before, after in zip(kind.ladder, kind.ladder[1:], strict=False):
            assert after.share <= before.share
            assert after.top_rate <= before.top_rate
            assert 0 <= before.quality <= after.quality < len(kind.qualities)


def test_smaller_pictures_keep_what_is_transparent() -> None:
    reduced = Reduced(Ghostly(20), (80, 48), 0.5)
    assert (reduced.frame_count, reduced.distinct, reduced.fps) == (10, 10, 12.5)
    picture = reduced.frame(0)
    assert picture.shape == (48, 80, 4)
    half = (picture[..., 3] > 20) & (picture[..., 3] < 255)
    assert half.any()
    # no dark rim from the black that stands under what is transparent
    assert np.abs(picture[half, :3].astype(int) - (198, 158, 74)).max() < 12
