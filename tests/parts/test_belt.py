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


def test_one_wheel_is_no_loop_and_no_wheel_comes_twice():
    for around in ("[a]", "[a, b, a]"):
        assert refusal(PIECE.format(around, "string 2", "tension: 3 N"))[0].endswith(
            "a belt runs round two wheels or more, each said once, in the order in which it comes to them"
        )


def test_only_a_wheel_of_the_belt_presses_on_its_back():
    c = "c: {kind: pulley, at: [150, 150], diameter: 9}\n"
    slip = PIECE.format("[a, b]", "string 2", "tension: 3 N, on its back: [c]") + c
    assert refusal(slip) == (
        "'loop': 'c' presses on the belt, but the belt doesn't run past it",
        "'around: [a, b, c]', at its place in the order",
    )
    crossed = PIECE.format("[a, b, c]", "string 2", "tension: 3 N, crossed: yes") + c
    assert refusal(crossed)[0] == "'loop': a crossed belt runs round two pulleys"


def test_nothing_hangs_on_a_belt():
    assert (
        refusal(
            PIECE.format("[a, b]", "string 2", "tension: 3 N")
            + "w: {kind: weight, on: loop, mass: 9 g}"
        )[0]
        == "'loop' is a belt and has no point that holds anything"
    )
