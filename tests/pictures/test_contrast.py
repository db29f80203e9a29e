import numpy as np
import pytest

from animator.pictures import contrast, lettering
from animator.pictures.backdrops import NAMES
from animator.pictures.comparison import Comparison
from animator.pictures.film import Film
from animator.pictures.ink import Sheet, fill
from animator.pictures.pages.client import ClientPage
from animator.pictures.palette import BACK_BOARDS, MARKS
from animator.pictures.palette import contrast as ratio
from tests.pictures._runs import demo, jam_of_the_mole, report


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


@pytest.mark.slow
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


# ---------------------------------------------------------------- words, on finished pictures
def read_all(make, index, ground="#FFFFFF"):
    """Draw a picture of a film while listening, and give the words on it that can't be read."""
    with lettering.listening() as kept:
        film = make()
    i = index(film)
    with lettering.listening() as words:
        picture = film.frame(i)
    # a piece that stands is drawn anew as a whole: what lay there before is covered
    stands = film.motion.end in ("jammed", "stalled") and i == film.frame_count - 1
    words += [] if stands and film.look == "bench" else kept
    assert len(words) >= 1
    return contrast.unreadable(contrast.laid_on(picture, ground), words)


def test_words_that_can_t_be_read_are_found():
    sheet = Sheet(300, 60, 1.0)
    sheet.canvas.clear(0xFFF4EAD5)
    with lettering.listening() as words:
        lettering.letter(sheet.canvas, "pale words", 20, 40, "label", 28, fill("#A8977E"))
        lettering.letter(sheet.canvas, "ink", 180, 40, "label", 28, fill("#2A211B"))
    weak = contrast.unreadable(sheet.array, words)
    assert [text for text, _ in weak] == ["pale words"]
    assert weak[0][1] == pytest.approx(ratio("#A8977E", "#F4EAD5"), abs=0.15)


def test_bold_letters_that_fill_their_box_are_measured_against_what_lies_round_it():
    sheet = Sheet(300, 90, 1.0)
    sheet.canvas.clear(0xFF80583A)
    with lettering.listening() as words:
        lettering.letter(sheet.canvas, "MMM", 20, 70, "title", 60, fill("#FBF5E8"))
    got = contrast.words_contrast(sheet.array, words[0].box_px)
    assert got == pytest.approx(ratio("#FBF5E8", "#80583A"), abs=0.2)


FAST = [("heron", "client", "evening"), ("skater", "bench", "bench")]


@pytest.mark.slow
@pytest.mark.parametrize(("name", "look", "backdrop"), FAST)
def test_every_word_on_a_picture_can_be_read(name, look, backdrop):
    def make():
        return Film(demo(name), look=look, size=(1280, 720), backdrop=backdrop, scale_bar=True)

    assert read_all(make, lambda film: film.distinct // 3) == []


DEMOS = [
    ("heron", None),
    ("heron", "fast"),
    ("baker", None),
    ("skater", None),
    ("smith", None),
    ("carousel", "band"),
    ("mole", None),
]
SHEETS = [(1280, 720), (1280, 1280), (720, 1280)]


@pytest.mark.slow
@pytest.mark.parametrize("style", ["rich", "thrifty"])
@pytest.mark.parametrize("backdrop", NAMES)
@pytest.mark.parametrize("look", ["client", "bench"])
@pytest.mark.parametrize(("name", "variant"), DEMOS)
def test_every_word_of_every_demo_can_be_read_on_every_backdrop(
    name, variant, look, backdrop, style
):
    motion, said = jam_of_the_mole() if name == "mole" else (demo(name, variant), report())
    for size in SHEETS if style == "rich" else SHEETS[:1]:

        def make(size=size):
            return Film(
                motion,
                None,
                said,
                look=look,
                size=size,
                style=style,
                backdrop=backdrop,
                scale_bar=True,
            )

        for index in (lambda film: film.distinct // 8, lambda film: film.frame_count - 1):
            assert read_all(make, index) == []


@pytest.mark.slow
def test_every_word_of_a_comparison_can_be_read():
    with lettering.listening() as words:
        film = Comparison(
            [(v, demo("carousel", v, 10.0), None) for v in ("band", "chain")], (1280, 720)
        )
        picture = film.draw(film.stop)
    assert contrast.unreadable(picture, words) == []


# ---------------------------------------------------------------- flashing
def pictures_of(film, most, ground=None):
    for i in range(min(film.frame_count, most)):
        picture = film.frame(i)
        yield picture.copy() if ground is None else contrast.laid_on(picture, ground)


def test_a_short_film_doesn_t_flash():
    film = Film(demo("carousel", "band"), look="client", size=(320, 180), fps=20)
    assert contrast.flashing(pictures_of(film, 40), 20, step=3).is_safe


@pytest.mark.slow
@pytest.mark.parametrize("backdrop", ["bench", "evening"])
@pytest.mark.parametrize("look", ["client", "bench"])
@pytest.mark.parametrize(("name", "variant"), DEMOS)
def test_no_film_of_a_demo_flashes(name, variant, look, backdrop):
    motion, said = jam_of_the_mole() if name == "mole" else (demo(name, variant), report())
    film = Film(motion, None, said, look=look, size=(640, 360), fps=30, backdrop=backdrop)
    assert contrast.flashing(pictures_of(film, 90), 30).is_safe


@pytest.mark.slow
@pytest.mark.parametrize("ground", ["#FFFFFF", "#000000"])
@pytest.mark.parametrize(("name", "variant"), DEMOS)
def test_no_clear_film_flashes_on_whatever_it_is_laid(name, variant, ground):
    motion, said = jam_of_the_mole() if name == "mole" else (demo(name, variant), report())
    film = Film(motion, None, said, size=(480, 270), fps=30, backdrop="transparent")
    assert contrast.flashing(pictures_of(film, 75, ground), 30).is_safe


@pytest.mark.slow
def test_no_film_of_a_jam_flashes_or_turns_red():
    motion, said = jam_of_the_mole()
    film = Film(motion, None, said, size=(640, 360), fps=30)
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
