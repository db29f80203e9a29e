import math

import numpy as np
import pytest

from animator.parts._notches import Notches
from tests.drawn import drawn, refusal
from tests.pieces import run

PIECE = "d: {{kind: detent, on: shaft, radius: 30, {}, spring: {{preload: 2 N}}}}"


def test_first_notch_lies_under_the_nose():
    plate = drawn(PIECE.format("notches: 6, nose: left"))["d"].plate()
    assert plate.nearest_notch(math.pi) == pytest.approx(math.pi)
    assert len(plate.angles) == 6


def test_it_holds_at_its_angles():
    plate = drawn(PIECE.format("holds at: [0, 40], nose: up"))["d"].plate()
    # turned 40 degrees anticlockwise, what stood 40 degrees clockwise of the top is at the top
    assert sorted(plate.angles) == pytest.approx(sorted(math.radians(a) for a in (90, 50)))


def test_nose_rests_on_both_flanks_or_both_corners():
    plate = Notches(30, 3, math.radians(90), (0.0,))
    small, large = 2.0, 12.0
    for nose in (small, large):
        x = plate.seat(nose)
        for side in (1, -1):
            assert plate.near(x, 0.0, side)[0] == pytest.approx(nose)


def test_too_many_notches_run_into_each_other():
    what, write = refusal(PIECE.format("notches: 60, depth: 4"))
    assert "run into each other" in what
    count = int(write.split()[1].strip("'"))
    assert drawn(PIECE.format(f"notches: {count}, depth: 4"))["d"].notches == count


def test_something_presses_the_nose():
    assert (
        "nothing presses the nose"
        in refusal(PIECE.format("notches: 6").replace("preload: 2 N", "rate: 1 N/mm"))[0]
    )


def test_it_holds_an_overhung_weight_in_its_notch_and_lets_a_heavier_one_go():
    ends = []
    for mass in (15, 120):
        motion = run(
            f"""
            dial: {{kind: shaft, at: [100, 100], material: steel 5, bearing: {{friction: 0.1}}}}
            arm: {{kind: wheel, on: dial, radius: 40, mass: 10 g, pins: {{rim: 38 right}}}}
            lump: {{kind: weight, on: arm.rim, mass: {mass} g}}
            click: {{kind: detent, on: dial, radius: 30, notches: 8, depth: 3, nose diameter: 6, spring: {{preload: 0.6 N, rate: 0.1 N/mm}}, friction: 0.1, material: brass 3}}
            """,
            seconds=0.3,
        )
        ends.append(np.degrees(motion.frame("dial")[-1, 2]))
    # 15 g at 38 mm are 5.6 N mm, 120 g 45 N mm; the detent holds about 25
    assert abs(ends[0]) < 3
    assert ends[1] < -20
