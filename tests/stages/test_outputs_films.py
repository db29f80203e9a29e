"""Films as files: what is drawn, how often, by whom, and what becomes of it."""

from __future__ import annotations

import math
import os
import re
import subprocess
import sys
import time
import zlib
from collections.abc import Callable
from pathlib import Path
from typing import Any

import av
import numpy as np
import pytest
import skia
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image, ImageSequence

from animator.outputs import _video, ahead, csv, gif, mp4, palette, pdf, png, save
from animator.outputs.saving import check_film, format_for
from animator.pictures.film import Film
from animator.problems import RunError
from tests import pieces
from tests.films import PAPER, Roundabout, names_in, structural_similarity


# ---------------------------------------------------------------- choosing the format
def test_ending_chooses_the_format() -> None:
    assert isinstance(format_for(Path("a.gif")), gif.Gif)
    assert isinstance(format_for(Path("b.c/a.MP4")), mp4.Mp4)
    assert isinstance(format_for(Path("pictures")), png.Folder)


def test_unknown_ending_is_told_with_the_nearest() -> None:
    with pytest.raises(RunError, match=r"a film can't be made as \.mp3; write song\.mp4"):
        format_for(Path("song.mp3"))
    with pytest.raises(
        RunError, match=r"it can be \.apng, \.gif, \.mp4, \.webm, \.webp, or a folder"
    ):
        format_for(Path("film.docx"))


def test_trouble_is_told_before_the_work(tmp_path: Path) -> None:
    with pytest.raises(RunError, match="no folder"):
        check_film(tmp_path / "no" / "film.mp4", 60)
    with pytest.raises(RunError, match="at most 50 pictures a second, not 60; give --fps 50"):
        check_film(tmp_path / "film.gif", 60)


class Told:
    """Keeps what it is told."""

    def __init__(self, told: list[tuple[int, int]]) -> None:
        self.told = told

    def __call__(self, done: int, total: int) -> None:
        self.told.append((done, total))


def test_progress_comes_to_its_end(tmp_path: Path) -> None:
    for name in ("film.gif", "film.mp4", "film"):
        told: list[tuple[int, int]] = []
        save(Roundabout(26, 12), tmp_path / name, progress=Told(told))
        dones, totals = zip(*told, strict=True)
        assert len(set(totals)) == 1
        assert dones == tuple(range(1, totals[0] + 1))


# ---------------------------------------------------------------- drawing ahead
@pytest.mark.parametrize("cores", [1, 2, 3])
def test_pictures_come_in_the_order_asked_for(
    cores: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(
        os, "sched_getaffinity", lambda process: set(range(cores)), raising=False
    )
    film = Roundabout(40)
    order = [*range(40), 3, 3, 17]
    with ahead.drawn(film, order, lambda pixels: pixels[..., 0], (96, 160)) as pictures:
        for index, picture in zip(order, pictures, strict=True):
            assert np.array_equal(picture, film.frame(index)[..., 0])


@pytest.mark.slow
@pytest.mark.parametrize("ending", [".gif", ".apng", ".webp", ".mp4", ".webm"])
def test_films_are_the_same_bytes_however_many_draw_them(
    ending: str, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    """Pictures of a real piece, marks and all: none depends on which was drawn before it by the same helper."""
    motion = pieces.run_demo("carousel", "band", turns=1.0)
    made = []
    for cores in (1, 2, 3):
        monkeypatch.setattr(
            os, "sched_getaffinity", lambda process, n=cores: set(range(n)), raising=False
        )
        film = Film(motion, look="bench", size=(192, 108), fps=25.0, seconds=0.5)
        save(film, tmp_path / f"film{ending}")
        made.append((tmp_path / f"film{ending}").read_bytes())
    assert made[0] == made[1] == made[2]


@pytest.mark.slow
@pytest.mark.parametrize("ending", [".gif", ".apng", ".webp", ".mp4", ".webm"])
def test_films_four_times_as_large_as_a_television_picture(ending: str, tmp_path: Path) -> None:
    motion = pieces.run_demo("mole", None, turns=1.0)
    film = Film(motion, look="client", size=(3840, 2160), fps=25.0, seconds=0.12)
    saved = save(film, tmp_path / f"film{ending}", draft=True)
    assert saved.size == (3840, 2160)
    with av.open(str(tmp_path / f"film{ending}")) as opened:
        pictures = list(opened.decode(video=0)) if ending in (".mp4", ".webm") else []
    if pictures:
        assert len(pictures) == 3
        shown = pictures[0].to_ndarray(format="rgb24")
    else:
        with Image.open(tmp_path / f"film{ending}") as picture:
            assert picture.n_frames == 3
            shown = np.array(picture.convert("RGB"))
    assert structural_similarity(shown[::2, ::2], film.frame(0)[::2, ::2]) > 0.93


def test_few_pictures_are_drawn_without_helpers() -> None:
    film = Roundabout(ahead.FEWEST - 1)
    with ahead.drawn(film, range(film.frame_count), np.asarray, (96, 160, 4)) as pictures:
        assert len(list(pictures)) == film.frame_count
    assert film.calls == list(range(film.frame_count))


class Broken(Roundabout):
    def __init__(self, how: str) -> None:
        super().__init__(60)
        self.how = how

    def frame(self, index: int) -> Any:
        if index == 20:
            if self.how == "raises":
                raise LookupError("no such colour")
            os._exit(7)
        return super().frame(index)


@pytest.mark.parametrize("name", ["film.gif", "film.mp4", "film"])
def test_trouble_in_drawing_comes_through_and_leaves_no_file(name: str, tmp_path: Path) -> None:
    with pytest.raises(LookupError, match="no such colour"):
        save(Broken("raises"), tmp_path / name)
    assert names_in(tmp_path) == []


@pytest.mark.skipif(
    sys.platform != "linux" or len(os.sched_getaffinity(0)) < 2, reason="no helpers here"
)
def test_death_of_a_helper_is_told(tmp_path: Path) -> None:
    with pytest.raises(
        RunError, match=r"drawing stopped in the middle \(a helper ended with code 7\)"
    ):
        save(Broken("dies"), tmp_path / "film.mp4")
    assert names_in(tmp_path) == []


@pytest.mark.skipif(
    sys.platform != "linux" or len(os.sched_getaffinity(0)) < 2, reason="no helpers here"
)
def test_helpers_end_when_the_program_is_killed(tmp_path: Path) -> None:
    code = (
        "import os, time\nfrom pathlib import Path\nfrom animator.outputs import save\nfrom tests.films import Roundabout\n"
        "class Slow(Roundabout):\n"
        "    def frame(self, index):\n"
        "        Path(str(os.getpid()) + '.pid').touch()\n"
        "        time.sleep(0.02)\n"
        "        return super().frame(index)\n"
        "save(Slow(500), 'film.mp4')\n"
    )
    root = Path(__file__).resolve().parent.parent.parent
    environment = {**os.environ, "PYTHONPATH": str(root)}
    with subprocess.Popen(
        [sys.executable, "-c", code], cwd=tmp_path, env=environment
    ) as process:
        wait_until(lambda: len(list(tmp_path.glob("*.pid"))) >= 2)
        process.kill()
    helpers = [int(path.stem) for path in tmp_path.glob("*.pid")]
    assert process.pid not in helpers
    wait_until(lambda: not any(map(is_running, helpers)))
    assert "film.mp4" not in names_in(tmp_path)


def wait_until(is_so: Callable[[], bool], seconds: float = 20.0) -> None:
    end = time.monotonic() + seconds
    while not is_so():
        assert time.monotonic() < end, "waited in vain"
        time.sleep(0.02)


def is_running(process: int) -> bool:
    try:
        state = Path(f"/proc/{process}/stat").read_text().rpartition(")")[2].split()[0]
    except (FileNotFoundError, ProcessLookupError):
        return False
    return state not in "ZX"  # ended, and only waiting to be counted


# ---------------------------------------------------------------- MP4
@given(st.integers(1, 2000), st.integers(1, 700))
def test_plan_shows_every_picture_in_its_place(count: int, distinct: int) -> None:
    plan = _video.plan_repeats(count, distinct)
    stretch = [index % distinct for index in range(plan.segment)]
    assert stretch * plan.repeats + stretch[: plan.tail] == [
        index % distinct for index in range(count)
    ]
    # A stretch is long enough that key pictures stay rare.
    assert plan.repeats == 1 or plan.segment > _video.KEY_INTERVAL / 2
    assert plan.segment <= max(distinct, _video.KEY_INTERVAL)


def test_each_picture_of_a_loop_is_drawn_once(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(os, "sched_getaffinity", lambda process: {0}, raising=False)
    film = Roundabout(100, 15)
    save(film, tmp_path / "film.mp4")
    assert film.calls == list(range(15))


def test_loop_too_large_to_keep_is_drawn_again(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    save(Roundabout(100, 15), tmp_path / "kept.mp4")
    monkeypatch.setattr(_video, "CACHE_BYTES", 4 * 160 * 96 * 3 // 2)
    save(Roundabout(100, 15), tmp_path / "drawn.mp4")
    assert (tmp_path / "kept.mp4").read_bytes() == (tmp_path / "drawn.mp4").read_bytes()


def test_draft_is_larger_or_coarser_but_whole(tmp_path: Path) -> None:
    save(Roundabout(50), tmp_path / "draft.mp4", draft=True)
    with av.open(str(tmp_path / "draft.mp4")) as film:
        assert sum(1 for _ in film.decode(video=0)) == 50


def test_part_of_a_round_is_a_film(tmp_path: Path) -> None:
    for name in ("film.gif", "film.mp4", "film"):
        save(Roundabout(12, 30), tmp_path / name)
    assert len(pictures_of(tmp_path / "film.gif")) == 12
    assert len(names_in(tmp_path / "film")) == 12
    with av.open(str(tmp_path / "film.mp4")) as film:
        assert sum(1 for _ in film.decode(video=0)) == 12


@pytest.mark.parametrize("count", [1, 2, 9])
def test_short_films_are_films(count: int, tmp_path: Path) -> None:
    save(Roundabout(count), tmp_path / "film.mp4")
    save(Roundabout(count), tmp_path / "film.gif")
    with av.open(str(tmp_path / "film.mp4")) as film:
        assert sum(1 for _ in film.decode(video=0)) == count
    with Image.open(tmp_path / "film.gif") as pictures:
        assert pictures.n_frames == count


def test_film_larger_than_the_encoder_takes_is_told(tmp_path: Path) -> None:
    film = Roundabout(1)
    film.size = (20000, 100)
    with pytest.raises(
        RunError, match="holds up to 16384 px a side, and 20000 × 100 were asked for"
    ):
        save(film, tmp_path / "film.mp4")
    assert names_in(tmp_path) == []


def test_missing_encoder_is_one_sentence(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(mp4, "ENCODER", "libnone")
    with pytest.raises(RunError, match=r"no H\.264 encoder \(libnone\): pip install"):
        save(Roundabout(9), tmp_path / "film.mp4")
    assert names_in(tmp_path) == []


# ---------------------------------------------------------------- GIF
def pictures_of(path: Path) -> list[Any]:
    with Image.open(path) as film:
        return [np.array(picture.convert("RGB")) for picture in ImageSequence.Iterator(film)]


class Ghosts(Roundabout):
    """A faint disc, whose edge lies within what may stay off while it moves, goes by and leaves."""

    def frame(self, index: int) -> Any:
        picture = self.plate.copy()
        if index < 20:
            inside = np.hypot(self.x - 6 * index, self.y - 60) < 10
            picture[inside, :3] = np.array(PAPER) - 9
        return picture


def test_nothing_faint_stays_behind_where_a_part_has_passed(tmp_path: Path) -> None:
    film = Ghosts(30)
    save(film, tmp_path / "film.gif")
    last = pictures_of(tmp_path / "film.gif")[-1]
    assert np.abs(last.astype(int) - film.frame(29)[..., :3]).max() <= gif.RESTING + 2


def test_film_too_long_to_keep_is_drawn_twice_and_comes_out_the_same(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    save(Roundabout(40), tmp_path / "kept.gif")
    for most in (0, 100_000):
        monkeypatch.setattr(gif, "KEPT_BYTES", most)
        save(Roundabout(40), tmp_path / "drawn.gif")
        assert (tmp_path / "kept.gif").read_bytes() == (tmp_path / "drawn.gif").read_bytes()


def test_still_film_costs_almost_nothing(tmp_path: Path) -> None:
    class Still(Roundabout):
        def frame(self, index: int) -> Any:
            return self.plate

    save(Still(1), tmp_path / "one.gif")
    save(Still(50), tmp_path / "fifty.gif")
    one, fifty = ((tmp_path / name).stat().st_size for name in ("one.gif", "fifty.gif"))
    assert (fifty - one) / 49 < 30
    assert len(pictures_of(tmp_path / "fifty.gif")) == 50


def test_few_colours_make_a_small_palette() -> None:
    histogram, sums = np.zeros(palette.CELL_COUNT, np.int64), np.zeros((palette.CELL_COUNT, 4))
    colours = np.array([[[*PAPER, 255], [10, 20, 30, 255], [200, 30, 40, 255]]], np.uint8)
    histogram[palette.cells_of(colours.view(np.uint32)).ravel()] = (100_000, 3000, 5)
    chosen = palette.choose_palette(histogram, sums)
    assert len(chosen.colours) == 3
    for colour in colours[0, :, :3]:
        assert np.abs(chosen.colours.astype(int) - colour).max(1).min() <= 2


def test_small_red_knob_keeps_its_red_beside_much_paper() -> None:
    generator = np.random.default_rng(1)
    picture = np.full((400, 400, 4), 255, np.uint8)
    picture[..., :3] = generator.normal(PAPER, 9, (400, 400, 3)).clip(0, 255)
    picture[:6, :6, :3] = (196, 62, 48)
    histogram = np.bincount(
        palette.cells_of(picture.view(np.uint32)).ravel(), minlength=palette.CELL_COUNT
    )
    chosen = palette.choose_palette(histogram, np.zeros((palette.CELL_COUNT, 4)))
    assert np.abs(chosen.colours.astype(int) - (196, 62, 48)).max(1).min() <= 3


# ---------------------------------------------------------------- pictures, pages, tables
def test_folder_holds_every_picture_of_the_film(tmp_path: Path) -> None:
    film = Roundabout(26, 12)
    save(film, tmp_path / "film")
    names = names_in(tmp_path / "film")
    assert names == [f"{number:04}.png" for number in range(1, 27)]
    for index in (0, 11, 12, 25):
        with Image.open(tmp_path / "film" / names[index]) as picture:
            assert np.array_equal(np.array(picture), film.frame(index % 12)[..., :3])


def test_picture_says_what_to_print_it_at(tmp_path: Path) -> None:
    (tmp_path / "a.png").write_bytes(
        png.picture_bytes(Roundabout(1).frame(0), dots_per_inch=300)
    )
    with Image.open(tmp_path / "a.png") as picture:
        assert picture.mode == "RGB"
        assert picture.info["dpi"] == pytest.approx((300, 300), abs=0.1)


def test_table_leaves_empty_what_is_not_known() -> None:
    table = csv.table_bytes(
        {"time [s]": [0, 0.5], "loop.slip [%]": [float("nan"), 9.1], "is, it": [True, False]}
    )
    assert table == b'time [s],loop.slip [%],"is, it"\n0,,1\n0.5,9.1,0\n'


def test_uneven_columns_are_refused() -> None:
    with pytest.raises(ValueError, match="shorter"):
        csv.table_bytes({"a": [1, 2], "b": [1]})


def test_page_is_true_to_scale() -> None:
    page = pdf.page_bytes(
        lambda canvas: canvas.drawRect(skia.Rect(10, 20, 110, 220), skia.Paint()), 210, 297
    )
    box = re.search(rb"/MediaBox ?\[([^\]]*)\]", page)
    assert box is not None
    # A4 is 595.28 by 841.89 points of 1/72 inch.
    assert [float(number) for number in box[1].split()] == pytest.approx(
        [0, 0, 595.28, 841.89], abs=0.5
    )
    found = re.search(rb"stream\r?\n(x.*?)\r?\nendstream", page, re.DOTALL)
    assert found is not None
    drawing = zlib.decompress(found[1])
    assert b"10 20 100 200 re" in drawing
    scales = re.findall(rb"(?m)^([\d.]+) 0 0 -?[\d.]+ \S+ \S+ cm$", drawing)
    assert math.prod(map(float, scales)) == pytest.approx(72 / 25.4, rel=1e-5)


def test_films_look_as_drawn(tmp_path: Path) -> None:
    film = Roundabout(30)
    save(film, tmp_path / "film.mp4")
    with av.open(str(tmp_path / "film.mp4")) as opened:
        for index, picture in enumerate(opened.decode(video=0)):
            assert (
                structural_similarity(picture.to_ndarray(format="rgb24"), film.frame(index))
                > 0.95
            )
