import numpy as np
import pytest

from animator.pictures.comparison import Comparison
from animator.pictures.readings import count
from tests.pictures._runs import demo, jam_of_the_mole


@pytest.mark.slow
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


@pytest.mark.slow
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


@pytest.mark.slow
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


@pytest.mark.slow
def test_a_verdict_says_nothing_before_anything_is_known():
    film = Comparison([(v, demo("mole", v), None) for v in ("as drawn", "fixed")], (640, 360))
    for column in film.columns:
        assert film._words(column, film.start)[1] == "starting"
    stuck = film._words(film.columns[0], film.stop)
    assert stuck[2].endswith("44°")


@pytest.mark.slow
def test_a_run_that_repeats_goes_on_after_its_end():
    film = Comparison([("one", demo("heron"), None), ("fast", demo("heron", "fast"), None)])
    fast = film.columns[1]
    last = float(fast.motion.times[-1])
    assert last < film.stop
    (a, first), (b, _) = fast.shown(last + 0.1), fast.shown(last + 0.2)
    assert first >= 1
    assert b - a == pytest.approx(0.1)
    assert fast.reading(fast.tally.got, last + 0.4) == pytest.approx(
        float(fast.tally.got[-1]) + 1.0, abs=0.02
    )


@pytest.mark.slow
def test_spins_are_counted_where_a_figure_spins():
    film = Comparison([("one", demo("skater"), None)])
    column = film.columns[0]
    assert column.word == "spin"
    spin = column.motion.channels["ice.spin"].values
    spun = abs(spin[-1] - spin[column.motion.begins]) / (2 * np.pi)
    assert column.tally.got[-1] == pytest.approx(spun)
