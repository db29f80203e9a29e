import math

import pytest

from tests.drawn import drawn, refusal

PIECE = "axle: {{kind: shaft, at: [9, 9]}}\nmotor: {{kind: motor, on: axle, speed: 130 rpm, stall torque: {}{}}}"


def test_motor_keeps_its_line_in_internal_units():
    motor = drawn(PIECE.format("7.4 kg cm", ""))["motor"]
    assert motor.speed == pytest.approx(130 * math.tau / 60)
    assert motor.stall_torque == pytest.approx(7.4 * 98.0665e6)  # 1 kg cm is 98.0665 N mm
    assert motor.sense == 1


def test_motor_may_turn_clockwise_and_hold():
    motor = drawn(PIECE.format("1 kg cm", ", turns: clockwise, holds: yes"))["motor"]
    assert (motor.sense, motor.holds) == (-1, True)


def test_motor_without_torque_turns_nothing():
    assert "too small" in refusal(PIECE.format("0 N m", ""))[0]


def test_switched_motor_comes_later():
    assert refusal(PIECE.format("1 kg cm", ", runs while: home switch"))[0].startswith(
        "not yet: a motor that runs while"
    )
