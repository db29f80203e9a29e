"""A film read ahead of its time: every picture in its place, no seam, no growing."""

from __future__ import annotations

import time
from pathlib import Path

import numpy as np
import pytest

from animator.problems import RunError
from animator.screens.film_reel import MOST_LEFT_OUT, QUEUE, FilmReel
from tests.screens.conftest import COUNT, FPS, SIZE, MakeFilm, number_of, write_mp4

PERIOD = COUNT / FPS


def at(reel: FilmReel, moment: float) -> np.ndarray | None:  # type: ignore[type-arg]
    """Picture of a moment, once it is ready."""
    until = time.monotonic() + 10
    while time.monotonic() < until:
        due = reel.next_at()
        last = reel._ready[-1].due if due is not None else -1.0
        if last > moment + 1e-6 or len(reel._ready) >= QUEUE or reel.trouble is not None:
            break
        time.sleep(0.001)
    return reel.picture(moment)


@pytest.fixture
def reel_of() -> object:
    reels: list[FilmReel] = []

    def make(path: Path, size: tuple[int, int] = SIZE) -> FilmReel:
        reel = FilmReel(path)
        reel.fit(size, 0.0)
        reels.append(reel)
        return reel

    yield make
    for reel in reels:
        reel.close()


@pytest.mark.parametrize("name", ["film.mp4", "film.gif", "film.webp", "film.apng"])
def test_every_picture_comes_in_its_order_over_three_rounds_without_a_gap(
    film: MakeFilm, reel_of: object, name: str
) -> None:
    reel = reel_of(film(name))  # type: ignore[operator]
    assert reel.film_size == SIZE
    shown, dues = [], []
    for _ in range(3 * COUNT):
        moment = reel.next_at()
        while moment is None:
            time.sleep(0.001)
            moment = reel.next_at()
        picture = reel.picture(moment)
        assert picture is not None
        shown.append(number_of(picture))
        dues.append(moment)
    assert shown == [i % COUNT for i in range(3 * COUNT)]
    # also from the last of a round to the first of the next
    assert np.diff(dues) == pytest.approx(1 / FPS, abs=1e-3)
    assert (reel.rounds, reel.dropped) == (2, 0)


def test_picture_is_chosen_by_the_clock_and_what_is_late_left_out(
    film: MakeFilm, reel_of: object
) -> None:
    reel = reel_of(film())  # type: ignore[operator]
    picture = at(reel, 0.0)
    assert picture is not None
    assert number_of(picture) == 0
    assert at(reel, 0.02) is None  # the first still holds
    picture = at(reel, 4.5 / FPS)
    assert picture is not None
    assert number_of(picture) == 4
    assert reel.dropped == 3


def test_slow_reader_shows_some_pictures_late_rather_than_none(
    film: MakeFilm, reel_of: object
) -> None:
    reel = reel_of(film())  # type: ignore[operator]
    shown = 0
    for i in range(60):
        shown += reel.picture(0.9 * i) is not None  # far faster than can be asked for in order
        time.sleep(0.01)
    assert shown >= 60 / (MOST_LEFT_OUT + 1)


def test_film_is_scaled_to_fit_and_keeps_its_shape(film: MakeFilm, reel_of: object) -> None:
    reel = reel_of(film(), (400, 400))  # type: ignore[operator]
    picture = at(reel, 0.0)
    assert picture is not None
    assert picture.shape == (240, 400, 4)
    reel.fit((80, 400), 1.0)
    picture = at(reel, 1.0)
    assert picture is not None
    assert picture.shape == (48, 80, 4)


def test_clear_places_are_seen_on_paper(tmp_path: Path, reel_of: object) -> None:
    from PIL import Image

    half = np.zeros((60, 80, 4), np.uint8)
    half[:, 40:] = (200, 30, 20, 255)
    pictures = [Image.fromarray(half), Image.fromarray(np.roll(half, 3, 1))]
    for name in ("clear.webp", "clear.apng"):
        path = tmp_path / name
        pictures[0].save(
            path,
            "PNG" if name.endswith("apng") else None,
            save_all=True,
            append_images=pictures[1:],
            duration=200,
            **({"lossless": True} if name.endswith("webp") else {}),
        )
        picture = at(reel_of(path, (80, 60)), 0.0)  # type: ignore[operator]
        assert picture is not None
        assert picture[30, 10].tolist() == [244, 234, 213, 255]
        assert picture[30, 70].tolist() == [200, 30, 20, 255]


@pytest.mark.parametrize(
    ("name", "data"),
    [("broken.mp4", b"not a film at all"), ("broken.webp", b"RIFF"), ("empty.gif", b"")],
)
def test_broken_file_is_told_in_one_sentence(tmp_path: Path, name: str, data: bytes) -> None:
    path = tmp_path / name
    path.write_bytes(data)
    with pytest.raises(RunError, match="no film that can be read") as trouble:
        FilmReel(path)
    assert "\n" not in str(trouble.value)


def test_film_cut_short_is_told_or_played_as_far_as_it_goes(
    film: MakeFilm, tmp_path: Path, reel_of: object
) -> None:
    whole = film("film.gif").read_bytes()
    path = tmp_path / "short.gif"
    path.write_bytes(whole[: len(whole) // 2])
    reel = reel_of(path)  # type: ignore[operator]
    seen = set()
    try:
        for i in range(40):
            picture = at(reel, i / FPS)
            if picture is not None:
                seen.add(number_of(picture))
    except RunError as trouble:
        assert "short.gif" in str(trouble)
    else:
        assert 0 < len(seen) < COUNT


def resident() -> float:
    """Memory of this process [MB]."""
    return int(Path("/proc/self/statm").read_text().split()[1]) * 4096 / 1e6


@pytest.mark.slow
@pytest.mark.skipif(not Path("/proc/self/statm").exists(), reason="memory is read from /proc")
def test_memory_stays_flat_over_ten_thousand_rounds_with_pictures_left_out(
    tmp_path: Path,
) -> None:
    path = write_mp4(tmp_path / "tiny.mp4", count=6, size=(64, 48))
    reel = FilmReel(path)
    reel.fit((64, 48), 0.0)
    moment, shown, readings = 0.0, 0, []
    try:
        while reel.rounds < 10_000:
            ready = reel.next_at()
            if ready is None:
                time.sleep(0.0002)
                continue
            moment = ready + 2.5 / FPS  # the clock runs ahead: two of three are left out
            shown += reel.picture(moment) is not None
            if reel.rounds % 500 == 0:
                readings.append(resident())
    finally:
        reel.close()
    assert reel.dropped > shown / 4  # how many depends on how soon the next one is decoded
    settled = readings[len(readings) // 4 :]
    assert max(settled) - min(settled) < 4.0, settled
