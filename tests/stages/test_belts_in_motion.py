"""Belts round more than two pulleys, run through the whole program."""

import math

import pytest

from animator.parts._belt_round import senses, tangent
from tests.pieces import NEWTON, run

THREE = """
    a: {{kind: shaft, at: [50, 50], bearing: {{ball: yes}}}}
    handle: {{kind: handle, on: a, speed: 60 rpm}}
    first: {{kind: pulley, on: a, diameter: 40}}
    b: {{kind: shaft, at: [170, 50], bearing: {{ball: yes}}, drag torque: {drag} N mm}}
    second: {{kind: pulley, on: b, diameter: 60}}
    third: {{kind: pulley, at: {at}, diameter: 20}}
    belt: {{kind: belt, around: [first, second, third], {more}made of: {stuff}, tension: {tension} N, friction: 0.4}}
"""


def test_the_straight_of_a_belt_touches_both_wheels():
    span = tangent((0.0, 0.0), 20.0, (100.0, 0.0), 10.0)
    assert span.length == pytest.approx(math.sqrt(100**2 - 10**2))  # any text on belt drives
    crossed = tangent((0.0, 0.0), 20.0, (100.0, 0.0), -10.0)
    assert crossed.length == pytest.approx(math.sqrt(100**2 - 30**2))
    assert tangent((0.0, 0.0), 20.0, (5.0, 0.0), 10.0) is None


def test_a_wheel_on_the_belts_back_turns_the_other_way():
    # BELT-13: crossed or pressed from outside reverses, inside doesn't (any text)
    assert senses([(0, 0), (100, 0), (50, 60)]) == [1, 1, 1]
    assert senses([(0, 0), (100, 0), (50, 60)], {2}) == [1, 1, -1]
    for more, way in (("", 1), ("on its back: [third], ", -1)):
        at = "[110, 120]" if way > 0 else "[110, 80]"
        motion = run(
            THREE.format(drag=2, at=at, more=more, stuff="round leather 3", tension=3),
            turns=1,
        )
        turned = motion.frame("third")[-1, 2] - motion.frame("third")[0, 2]
        assert math.copysign(1, turned) == way
        assert abs(motion.trust.residual_percent) < 0.05


def test_three_wheels_share_one_belt_at_the_ratio_of_their_sizes():
    motion = run(
        THREE.format(drag=2, at="[110, 120]", more="", stuff="round leather 3", tension=3),
        turns=2,
    )
    first = motion.drive.angle[-1] - motion.drive.angle[motion.begins]
    for name, diameter in (("second", 60), ("third", 20)):
        angle = motion.frame(name)[:, 2]
        assert (angle[-1] - angle[motion.begins]) * diameter == pytest.approx(
            first * 40, rel=3e-3
        )


@pytest.mark.slow
def test_a_wheel_on_its_back_gives_the_belt_more_grip():
    """The pressing wheel adds wrap on its neighbours (BELT-13), so the same belt holds a load at which it slips without."""

    def lost(more: str, at: str) -> float:
        parts = THREE.format(drag=56, at=at, more=more, stuff="round leather 3", tension=2)
        slip = run(parts, turns=3).slips["belt"]
        return 1 - slip.got[-1] / slip.due[-1]

    bare = lost("", "[110, 120]")
    pressed = lost("on its back: [third], ", "[110, 84]")
    assert pressed < 0.02
    assert bare > 0.5


def test_the_pull_of_a_slipping_belt_is_the_capstans():
    motion = run(
        THREE.format(drag=120, at="[110, 120]", more="", stuff="rubber band 3", tension=1.5),
        turns=3,
    )
    tight = motion.channels["belt.tension"].values[-1]
    slack = motion.channels["belt.slack tension"].values[-1]
    centres = [(50, 50), (170, 50), (110, 120)]
    spans = [
        tangent(centres[i], radius, centres[(i + 1) % 3], follows)
        for i, (radius, follows) in enumerate(((20, 30), (30, 10), (10, 20)))
    ]
    wraps = [(spans[i].way - spans[i - 1].way) % math.tau for i in range(3)]
    # Euler 1769, Eytelwein 1832: T1 / T2 = e^(mu phi); here over the driver, which slips first
    assert tight / slack == pytest.approx(math.exp(0.4 * wraps[0]), rel=0.01)
    assert slack > 0.05 * NEWTON
