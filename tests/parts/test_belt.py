import math

import pytest

from tests.drawn import drawn, refusal

PIECE = """
spindle: {{kind: shaft, at: 110 right of shaft}}
a: {{kind: pulley, on: shaft, diameter: 24}}
b: {{kind: pulley, on: spindle, diameter: 60}}
loop: {{kind: belt, around: {}, made of: {}, {}}}
"""


def test_belt_knows_its_wheels_and_its_stiffness():
    loop = drawn(PIECE.format("[a, b]", "rubber band 3", "stretched: 12 %"))["loop"]
    assert [wheel.part for wheel in loop.around] == ["a", "b"]
    assert loop.stretched == 0.12
    assert loop.axial_stiffness == pytest.approx(1.5e6 * math.pi * 9 / 4)  # E A, E 1.5 MPa


def test_stretch_or_tension_but_not_both():
    assert drawn(PIECE.format("[a, b]", "string 2", "tension: 3 N"))["loop"].tension == 3e6
    assert (
        refusal(PIECE.format("[a, b]", "string 2", "tension: 3 N, stretched: 2 %"))[0]
        == "'loop' says two of 'stretched', 'tension'"
    )


def test_beech_makes_no_belt():
    assert (
        refusal(PIECE.format("[a, b]", "beech 3", "stretched: 2 %"))[0]
        == "'loop': 'beech' makes no belt"
    )


def test_three_wheels_come_later_and_one_is_no_loop():
    assert (
        refusal(PIECE.format("[a, b, c]", "string 2", "tension: 3 N"))[0]
        == "not yet: more than two wheels in one loop"
    )
    assert refusal(PIECE.format("[a]", "string 2", "tension: 3 N"))[0].endswith(
        "a loop runs round two wheels"
    )


def test_nothing_hangs_on_a_belt():
    assert (
        refusal(
            PIECE.format("[a, b]", "string 2", "tension: 3 N")
            + "w: {kind: weight, on: loop, mass: 9 g}"
        )[0]
        == "'loop' is a belt and has no point that holds anything"
    )
