import math
import textwrap

import pytest

from animator.problems import SceneError
from animator.scene import read
from animator.world.assembling import assemble
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


SWITCHED = """
axle: {{kind: shaft, at: [9, 9]}}
drum: {{kind: timing drum, on: axle, tracks: {{home: [8 to 348]}}}}
home: {{kind: switch, rides on: drum.home}}
coin: {{kind: coin slot}}
motor: {{kind: motor, on: axle, speed: 6 rpm, stall torque: 1 kg cm, runs while: {}}}
"""


def test_a_switched_motor_has_its_current_at_once():
    assert drawn(SWITCHED.format("coin or home"))["motor"].starts_over == 0
    gently = drawn(SWITCHED.format("coin or home, starts over: 45"))["motor"]
    assert gently.starts_over == pytest.approx(math.pi / 4)


@pytest.mark.parametrize(
    ("signal", "is_started"),
    [
        ("coin or home", True),
        ("coin and not home", True),
        ("not home", True),
        ("home", False),
        ("coin and home", False),
    ],
)
def test_a_motor_that_only_itself_could_start_is_refused(signal, is_started):
    parts = (
        SWITCHED.format(signal).replace("motor:", "own motor:")
        + "lamp: {kind: lamp, lit while: home, at: [9, 40]}"
    )
    text = "title: Trial\nparts:\n" + textwrap.indent(parts.strip(), "  ")
    whole = read("piece.yaml", text=text)
    if is_started:
        assemble(whole)
        return
    with pytest.raises(SceneError, match="never starts"):
        assemble(whole)


def test_a_motor_may_wait_for_what_another_one_turns():
    parts = (
        SWITCHED.format("coin or home")
        + """
other axle: {kind: shaft, at: [90, 9]}
other motor: {kind: motor, on: other axle, speed: 6 rpm, stall torque: 1 kg cm, runs while: home}
"""
    )
    assemble(
        read("piece.yaml", text="title: Trial\nparts:\n" + textwrap.indent(parts.strip(), "  "))
    )
