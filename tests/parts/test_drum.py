import math

import pytest

from animator.parts._way import stations
from tests.drawn import drawn, refusal
from tests.parts.test_string import problems

HOIST = """
drum: {{kind: drum, on: shaft, diameter: 20, winds: {}}}
hoist: {{kind: string, from: drum, to: bob, material: linen thread 1}}
bob: {{kind: weight, mass: 20 g, hangs: 50}}
"""


def test_middle_of_the_string_counts_on_a_drum():
    parts = drawn(HOIST.format("anticlockwise"))
    drum = stations(parts["hoist"], parts)[0]
    assert drum.radius == pytest.approx(10.5)
    assert drum.winds == 1


def test_drum_says_how_much_is_wound_on_it():
    parts = drawn(HOIST.format("clockwise, wound angle: 450"))
    assert parts["drum"].wound_angle == pytest.approx(math.radians(450))


def test_drum_that_never_turns_the_way_it_winds_is_refused():
    assert problems(HOIST.format("clockwise")) == [
        (
            "'drum' has nothing wound on it to pay out to 'hoist': it winds clockwise, but turns anticlockwise",
            "'drum.winds: anticlockwise', or 'drum.wound angle: 720' for two turns to pay out",
        )
    ]


def test_drum_sits_on_something_that_turns_and_says_which_way_it_winds():
    assert refusal(
        "nail: {kind: pin, at: [9, 9]}\nd: {kind: drum, on: nail, diameter: 9, winds: clockwise}"
    )[0].startswith("'nail' is a pin; here belongs")
    assert refusal("d: {kind: drum, on: shaft, diameter: 9}")[0] == "'d' doesn't say 'winds'"
