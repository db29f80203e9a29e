import numpy as np
import pytest

from animator.pictures import contrast
from animator.pictures.comparison import Comparison
from animator.pictures.film import Film
from animator.pictures.pages.client import ClientPage
from animator.pictures.palette import BACK_BOARDS, MARKS
from animator.pictures.palette import contrast as ratio
from tests.pictures._runs import demo, jam_of_the_mole


def test_contrast_ratio_is_that_of_the_guideline():
    # WCAG 2.2: black on white 21; the well-known grey that just fails, and pure red
    assert ratio("#000000", "#FFFFFF") == pytest.approx(21.0)
    assert ratio("#777777", "#FFFFFF") == pytest.approx(4.478, abs=0.001)
    assert ratio("#FF0000", "#FFFFFF") == pytest.approx(3.998, abs=0.001)


@pytest.mark.parametrize("pair", contrast.WORDS_ON, ids=lambda pair: pair[0])
def test_words_can_be_read_on_their_ground(pair):
    assert ratio(pair[1], pair[2]) >= contrast.TEXT_LEAST


def test_every_mark_has_a_colour_of_its_own():
    assert len(set(MARKS.values())) == len(MARKS)


def test_paint_of_things_stands_out_on_every_back_board():
    for board in BACK_BOARDS.values():
        for hue in ("#DDBD8B", "#C99B41", "#C25B4A"):  # birch, brass, rose
            assert ratio(hue, board) > 1.9


def test_words_on_a_finished_picture_can_be_read():
    page = ClientPage(demo("heron"), (1280, 720))
    page.draw(1.0, 0.0)
    for box in (
        (74, 120, 380, 290),
        (74, 290, 380, 360),
        (74, 370, 380, 420),
    ):  # title, sentence, length of a turn
        assert contrast.words_contrast(page.sheet.array, box) >= contrast.TEXT_LEAST


def flicker(rate_hz: float, low: int, high: int, share: float = 1.0) -> list[np.ndarray]:
    out = []
    for i in range(60):
        picture = np.full((120, 120, 4), 128, np.uint8)
        picture[: int(120 * share)] = high if int(i / 60 * rate_hz * 2) % 2 else low
        out.append(picture)
    return out


def test_counting_flashes_knows_a_flash():
    assert contrast.flashing(flicker(5, 0, 255), 60).general >= 4
    assert contrast.flashing(flicker(2, 0, 255), 60).general <= 2
    assert (
        contrast.flashing(flicker(5, 0, 255, 0.02), 60, step=1).general == 0
    )  # too small to matter
    assert contrast.flashing(flicker(5, 240, 255), 60).general == 0  # both light


def test_counting_flashes_knows_a_red_flash():
    red, grey = (
        np.full((60, 60, 4), (230, 10, 10, 255), np.uint8),
        np.full((60, 60, 4), (90, 90, 90, 255), np.uint8),
    )
    assert contrast.flashing([red if i // 6 % 2 else grey for i in range(60)], 60).red >= 4


@pytest.mark.slow
@pytest.mark.parametrize(
    ("name", "variant"),
    [
        ("heron", None),
        ("heron", "fast"),
        ("baker", None),
        ("skater", None),
        ("carousel", "band"),
    ],
)
def test_no_film_of_a_demo_flashes(name, variant):
    film = Film(demo(name, variant), look="client", size=(640, 360), fps=30)
    frames = (film.frame(i).copy() for i in range(min(film.frame_count, 90)))
    assert contrast.flashing(frames, 30).is_safe


@pytest.mark.slow
def test_no_film_of_a_jam_flashes_or_turns_red():
    motion, report = jam_of_the_mole()
    film = Film(motion, None, report, size=(640, 360), fps=30)
    frames = [film.frame(i).copy() for i in range(film.frame_count)]
    assert contrast.flashing(frames, 30).is_safe
    rgb = frames[-1][..., :3].astype(float)
    assert (rgb[..., 0] / rgb.sum(-1).clip(1) >= 0.8).mean() < 0.1


@pytest.mark.slow
def test_comparison_of_the_carousel_doesn_t_flash():
    film = Comparison(
        [(v, demo("carousel", v, 10.0), None) for v in ("band", "spring belt", "chain")],
        (640, 360),
        fps=30,
    )
    frames = (film.frame(i).copy() for i in range(75))
    assert contrast.flashing(frames, 30).is_safe
