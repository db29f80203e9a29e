import math

import pytest

from animator.units import Range
from tests.drawn import drawn, refusal

PIECE = "axle: {{kind: shaft, at: [9, 9]}}\nhand: {{kind: handle, on: axle, speed: 40 rpm{}}}"


def test_hand_gives_ten_newtons_at_the_knob_unless_told_otherwise():
    hand = drawn(PIECE.format(""))["hand"]
    assert not hand.strength.is_torque
    assert hand.strength.torque(hand.radius) == pytest.approx(10e6 * 40)


def test_strength_may_be_a_torque_and_is_kept_as_one():
    hand = drawn(PIECE.format(", strength: 0.5 N m, radius: 45"))["hand"]
    assert hand.strength.is_torque
    assert hand.strength.torque(45) == 0.5e9


def test_knob_stands_up_unless_told_otherwise():
    assert drawn(PIECE.format(""))["hand"].points()["knob"] == pytest.approx((0, 40))
    assert drawn(PIECE.format(", angle: 180, radius: 30"))["hand"].points()[
        "knob"
    ] == pytest.approx((-30, 0))


def test_speed_may_be_a_range():
    hand = drawn(PIECE.format("").replace("40 rpm", "30 to 60 rpm"))["hand"]
    assert hand.speed == pytest.approx(Range(math.pi, 2 * math.pi))


def test_two_hands_can_not_turn_one_shaft():
    assert (
        refusal("second: {kind: handle, on: shaft, speed: 10 rpm}")[0]
        == "'handle' and 'second' both turn 'shaft'"
    )


def test_handle_goes_on_a_shaft_only():
    assert (
        refusal(
            "w: {kind: wheel, on: shaft, radius: 20}\nhand: {kind: handle, on: w, speed: 40 rpm}"
        )[0]
        == "'w' is a wheel; here belongs a shaft"
    )
