"""The picture that stands for a piece: its figures at the end of their way, not in full swing."""

from __future__ import annotations

import numpy as np
import pytest

from animator.motion.looping import find_loop
from animator.pictures.film import Film
from animator.pictures.poster import poster_number, poster_time
from animator.pictures.readings import actors
from tests.pictures._runs import demo, finding, report


@pytest.mark.parametrize("name", ["heron", "mole"])
def test_poster_shows_the_figure_up_and_slow(name: str) -> None:
    motion = demo(name)
    at = int(np.searchsorted(motion.times, poster_time(motion) - 1e-9))
    actor = actors(motion)[0]
    seen = actor.values[motion.begins :]
    assert actor.values[at] > seen.min() + 0.8 * np.ptp(seen)
    speed = np.abs(np.gradient(actor.values, motion.times))
    assert speed[at - 5 : at + 6].mean() < 0.2 * speed[motion.begins :].max()


def test_poster_lies_in_what_the_film_shows() -> None:
    motion = demo("heron")
    loop = find_loop(motion)
    at = poster_time(motion)
    assert loop.start_s <= at < loop.start_s + loop.period_s
    film = Film(motion, size=(160, 90), fps=25.0, look="client")
    shown = film.moment_of(poster_number(film, motion))[0]
    assert shown == pytest.approx(at, abs=0.51 / 25 * film.take.speed)


def test_piece_that_stands_is_shown_standing() -> None:
    jammed = report(finding("jam", "lifter", 1.0, 2.0, 90, "It jams."))
    motion = demo("heron")
    assert poster_time(motion, jammed) == motion.times[-1]
