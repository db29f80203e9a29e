import numpy as np
import pytest

from animator.pictures.comparison import Comparison
from animator.pictures.readings import count
from tests.pictures._runs import demo, jam_of_the_mole


def test_turns_got_and_due_are_the_recorded_ones():
    # ten turns of the handle owe the carousel four of its own: 24 mm drive 60 mm
    for variant, got in (
        ("band", 3.67),
        ("spring belt", 3.92),
        ("chain", 4.0),
        ("overloaded", 0.0),
    ):
        tally = count(demo("carousel", variant, 10.0))
        assert tally.due[-1] == pytest.approx(4.0, abs=0.001)
        assert tally.got[-1] == pytest.approx(got, abs=0.02)


def test_words_under_each_variant_say_what_was_lost():
    film = Comparison(
        [
            (v, demo("carousel", v, 10.0), None)
            for v in ("band", "spring belt", "chain", "overloaded")
        ],
        (640, 360),
    )
    said = [film._words(column, column.at(film.stop)) for column in film.columns]
    assert said == [
        ("slip", "slip", "8 turns in 100 lost"),
        ("slip", "slip", "2 turns in 100 lost"),
        ("contact", "in step", "nothing lost"),
        ("slip", "slip", "all turns lost"),
    ]


def test_all_variants_share_one_clock_and_one_scale():
    motions = [("as drawn", *jam_of_the_mole()), ("fixed", demo("mole", "fixed"), None)]
    film = Comparison(motions, (640, 360), fps=20)
    assert len({column.stand.k for column in film.columns}) == 1
    assert film.stop == max(float(m.times[-1]) for _, m, _ in motions)
    assert film.frame_count == film.distinct
    # the one that jams has stopped; what is due to it goes on
    stuck, free = film.columns
    assert stuck.due(film.stop, film.most_due) == pytest.approx(
        free.due(film.stop, film.most_due), abs=0.02
    )
    assert stuck.tally.got[-1] < 0.2
    assert film._words(stuck, stuck.at(film.stop)) == ("jam", "jam", "stuck at 44°")
    assert film._words(free, free.at(film.stop)) == (
        "contact",
        "in order",
        "mole rises 14.0\N{NO-BREAK SPACE}mm",
    )


def test_comparison_draws_every_picture():
    film = Comparison(
        [
            ("band", demo("carousel", "band", 10.0), None),
            ("chain", demo("carousel", "chain", 10.0), None),
        ],
        (640, 360),
        fps=10,
        style="thrifty",
    )
    first, last = film.frame(0).copy(), film.frame(film.frame_count - 1)
    assert first.shape == (360, 640, 4)
    assert not np.array_equal(first, last)


def test_nothing_to_compare_is_refused():
    with pytest.raises(ValueError, match="nothing to compare"):
        Comparison([])
