"""Loops: a film joins its beginning where the motion does, and a jump that can't be helped is told."""

from __future__ import annotations

import math

import numpy as np
import pytest

from animator.motion.looping import find_loop, main_angle
from animator.motion.motion import Motion
from tests.pieces import run_demo


@pytest.fixture(scope="module")
def chain() -> Motion:
    return run_demo("carousel", "chain")


@pytest.fixture(scope="module")
def band() -> Motion:
    return run_demo("carousel", "band")


def angle_at(motion: Motion, part: str, t: float) -> float:
    return float(np.interp(t, motion.times, motion.frame(part)[:, 2]))


def test_a_chain_drive_comes_round_after_five_turns_for_two(chain: Motion) -> None:
    loop = find_loop(chain, 30)
    assert loop.is_closed
    assert loop.turns == 5  # of the handle, for two of the carousel: 12 teeth on 30
    assert loop.period_s == pytest.approx(5.0, abs=1e-3)
    assert loop.seam_deg < 0.2


def test_a_slipping_band_does_not_close_and_says_by_how_much(band: Motion) -> None:
    loop = find_loop(band, 30)
    assert not loop.is_closed
    assert loop.seam_part in ("spindle", "carousel", "load wheel")
    turned = math.degrees(
        angle_at(band, "carousel", loop.start_s + loop.period_s)
        - angle_at(band, "carousel", loop.start_s)
    )
    assert loop.seam_deg == pytest.approx(abs((turned + 180) % 360 - 180), abs=0.1)


def test_no_other_whole_turns_join_better(band: Motion) -> None:
    loop = find_loop(band, 30)
    handle, carousel = main_angle(band), band.frame("carousel")[:, 2]
    marks = [
        int(np.searchsorted(handle, handle[band.begins] + 2 * np.pi * turn))
        for turn in range(11)
    ]
    marks = [mark for mark in marks if mark < len(handle)]
    jumps = [
        abs((math.degrees(carousel[b] - carousel[a]) + 180) % 360 - 180)
        for i, a in enumerate(marks)
        for b in marks[i + 1 :]
    ]
    assert len(jumps) > 40
    assert loop.seam_deg <= min(jumps) + 1.0  # a sample is a third of a degree of the handle


@pytest.mark.parametrize("fps", [25.0, 30.0, 60.0, 50.0])
def test_the_period_is_a_whole_number_of_pictures(chain: Motion, fps: float) -> None:
    loop = find_loop(chain, fps)
    assert loop.frame_count == round(5 * fps)
    assert loop.time_of(0) == loop.start_s
    assert loop.time_of(loop.frame_count) == pytest.approx(loop.start_s + loop.period_s)


def test_the_handle_itself_never_jumps(band: Motion) -> None:
    loop = find_loop(band, 30)
    turned = angle_at(band, "drive shaft", loop.start_s + loop.period_s) - angle_at(
        band, "drive shaft", loop.start_s
    )
    assert math.degrees(abs((turned + np.pi) % (2 * np.pi) - np.pi)) < 0.05


def test_a_piece_that_stands_is_shown_whole() -> None:
    motion = run_demo("mole")
    loop = find_loop(motion, 30)
    assert not loop.is_closed
    assert loop.turns == 0
    assert loop.start_s == 0.0
    assert loop.period_s == pytest.approx(motion.times[-1])


def test_no_film_at_no_pictures_a_second(chain: Motion) -> None:
    with pytest.raises(ValueError, match="0 pictures a second"):
        find_loop(chain, 0)
