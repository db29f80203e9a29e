import itertools
import math

import numpy as np
import pytest

from animator.findings.report import Mend
from animator.pictures.film import HOLD, Film, _round_of, still
from animator.pictures.pages import standing
from animator.pictures.pages.bench import BenchPage
from animator.pictures.pages.client import ClientPage
from tests.pictures._runs import demo, finding, jam_of_the_mole, report

SMALL = (480, 270)


def test_a_film_of_a_loop_comes_round():
    film = Film(demo("heron"), size=SMALL, fps=20)
    assert film.look == "client"
    assert film.distinct == round(film.period_s * 20) == 33
    assert film.frame_count % film.distinct == 0
    first = film.frame(0).copy()
    assert not np.array_equal(first, film.frame(film.distinct // 2))
    assert np.array_equal(first, film.frame(film.distinct))
    assert film.frame(0).shape == (270, 480, 4)
    assert (film.frame(0)[..., 3] == 255).all()


def test_last_picture_of_a_loop_meets_its_first():
    film = Film(demo("heron"), size=SMALL, fps=25)
    pictures = [film.frame(i)[..., :3].astype(int).copy() for i in range(film.distinct)]
    steps = [np.abs(a - b).mean() for a, b in itertools.pairwise(pictures)]
    seam = np.abs(pictures[-1] - pictures[0]).mean()
    assert seam <= 1.2 * max(steps)


def test_each_picture_shows_an_equal_step_of_the_motion():
    film = Film(demo("heron"), size=SMALL, fps=30)
    times = [film.moment_of(i)[0] for i in range(film.distinct)]
    assert np.diff(times) == pytest.approx((film.take.stop - film.take.start) / film.distinct)
    assert film.take.speed == 1.0


def test_seconds_asked_for_are_kept():
    assert Film(demo("heron"), size=SMALL, fps=30, seconds=2.5).frame_count == 75


def test_a_jam_plays_to_its_end_and_stands_there_to_be_read():
    motion, said = jam_of_the_mole()
    film = Film(motion, None, said, size=SMALL, fps=20)
    assert film.look == "bench"
    assert (
        film.frame_count
        == film.distinct
        == round((motion.times[-1] - motion.times[0] + HOLD) * 20)
    )
    moved, ended = film.frame(2).copy(), film.frame(film.frame_count - 1).copy()
    assert not np.array_equal(moved, ended)
    assert np.array_equal(ended, film.frame(film.frame_count - 2))


def test_what_merely_waits_is_printed_grey_at_a_jam_and_what_binds_keeps_its_colour():
    motion, said = jam_of_the_mole()
    page = BenchPage(motion, said, (1280, 720), (0.0, float(motion.times[-1])))
    end = float(motion.times[-1])
    page.draw(end, 2.0)
    wall = page.sheet.array[120, 60, :3].astype(int)
    assert np.ptp(wall) < 45
    x, y = page.stand.on_sheet(page.stand.moment(end).point("handle", "knob"))
    knob = page.sheet.array[round(y), round(x) - 5, :3].astype(int)
    assert np.ptp(knob) > 60
    page.draw(0.1, 0.0)
    assert np.ptp(page.sheet.array[120, 60, :3].astype(int)) > 60


def test_a_fast_piece_is_shown_slowly_on_the_bench_and_the_picture_says_so():
    motion = demo("heron", "fast")
    at = float(motion.times[motion.begins]) + 0.1
    said = report(
        finding(
            "float",
            "lifter",
            at,
            at + 0.02,
            220,
            "The follower floats off its cam: 0.5 mm.",
            0.5,
        )
    )
    film = Film(motion, None, said, size=SMALL, fps=30)
    assert film.take.speed == 0.25
    assert isinstance(film.page, BenchPage)
    assert film.page.caption == "Shown at a quarter of its speed."
    assert (
        film.page.glass is not None
    )  # half a millimetre is a pixel: a reading glass lies beside the piece


@pytest.mark.slow
def test_look_is_the_client_s_where_nothing_is_found():
    assert isinstance(Film(demo("baker"), None, report(), size=SMALL).page, ClientPage)


@pytest.mark.slow
@pytest.mark.parametrize("size", [(1280, 720), (720, 720), (540, 960), (854, 480)])
@pytest.mark.parametrize("name", ["heron", "carousel"])
def test_piece_stays_on_the_sheet_at_every_size(name, size):
    page = ClientPage(demo(name, "band" if name == "carousel" else None), size)
    assert page.stand.high > 0
    assert page.stand.foot + 26 < page.sheet.h
    assert page.stand.middle - page.stand.half > 0
    assert page.stand.middle + page.stand.half < page.sheet.w


def test_thrifty_style_keeps_to_few_inks():
    film = Film(demo("heron"), look="client", size=(640, 360), fps=20, style="thrifty")
    colours, counts = np.unique(film.frame(5).reshape(-1, 4)[:, :3], axis=0, return_counts=True)
    assert counts[np.argsort(counts)[-24:]].sum() / counts.sum() > 0.85
    assert len(colours) < 8000  # the rest are steps of antialiasing between them


def test_a_still_is_a_picture_of_its_moment():
    motion = demo("heron")
    a, b = (still(motion, None, t, "client", SMALL).copy() for t in (1.0, 1.5))
    assert a.shape == (270, 480, 4)
    assert not np.array_equal(a, b)
    assert math.isclose(
        float(np.abs(a.astype(int) - still(motion, None, 1.0, "client", SMALL)).max()), 0.0
    )


def test_the_cam_that_would_do_is_dashed_at_a_jam():
    motion, said = jam_of_the_mole()
    jam = said.findings[0]
    larger = jam.model_copy(
        update={
            "mend": (
                Mend(
                    path="hill cam.base radius", value="26", sentence="A base radius of 26 mm."
                ),
            )
        }
    )
    page = BenchPage(motion, report(larger), (1280, 720), (0.0, float(motion.times[-1])))

    class Canvas:
        reach = 0.0

        def drawPath(self, path, paint):
            self.reach = max(self.reach, path.getBounds().height() / page.stand.k)
            self.is_dashed = paint.getPathEffect() is not None

    canvas = Canvas()
    end = page.stand.moment(float(motion.times[-1]))
    standing.remedy(canvas, page.stand, larger, end, 1.0)
    assert canvas.is_dashed
    assert 2 * 26 + 10 < canvas.reach < 2 * (26 + 14)


def test_figures_change_calmly_and_agree_with_the_last_picture_and_where_something_is_found():
    motion = demo("heron", "fast")
    at = float(motion.times[motion.begins]) + 0.15
    said = report(finding("float", "lifter", at, at + 0.02, 220, "It floats.", 0.5))
    film = Film(motion, None, said, size=SMALL, fps=30)
    pictures = [film.moment_of(i)[0] for i in range(film.distinct)]
    ticks = film.page.ticks
    assert set(ticks) <= set(pictures)
    assert ticks[-1] == pictures[-1]
    found = film.page.findings[0].from_s
    assert any(found - 1e-9 <= tick <= found + pictures[1] - pictures[0] for tick in ticks)
    asked = {pictures[0], pictures[-1], next(t for t in pictures if t >= found - 1e-9)}
    free = [tick for tick in ticks if tick not in asked]
    calm = 0.2 * film.take.speed
    assert all(b - a > calm - (pictures[1] - pictures[0]) for a, b in itertools.pairwise(free))


def test_a_shot_too_short_to_be_watched_is_slowed_and_says_so():
    motion = demo("heron", "fast")
    shot = motion.scene.shots["in the air"]
    film = Film(motion, size=SMALL, fps=30, shot=shot)
    assert film.period_s >= 2.5 - 1e-6
    assert "times slower" in film.page.caption


def test_a_card_holds_its_longest_sentence():
    motion = demo("heron")
    words = "The loop loses eight turns in a hundred because its load wheel makes " * 3
    said = report(finding("slip", "lifter", 0.1, 0.2, 40, words, mend=words))
    page = BenchPage(motion, said, (1280, 720), (0.0, 1.0))
    card = page.card
    tall = 1.26 * card.said_size * len(card.said_lines)
    tall += 1.2 * card.mend_size * len(card.mend_lines)
    assert card.high > 80 + tall
    assert card.said.startswith("The")
    assert card.said.endswith(".")


def test_a_chart_of_a_jam_is_scaled_by_what_the_cam_should_do():
    motion, said = jam_of_the_mole()
    page = BenchPage(motion, said, (1280, 720), (0.0, float(motion.times[-1])))
    strip = next(strip for strip, _ in page.instruments.strips if strip.title == "Mole")
    assert strip.h - strip._rows.min() < 0.1 * strip.h


def test_strips_of_a_still_at_the_end_of_the_run_show_the_round_that_was_run():
    motion = demo("heron")
    last = float(motion.times[-1])
    for t in (last, last - 0.2):
        start, stop = _round_of(motion, t)
        assert start < t <= stop <= last + 1e-6
