import math

import pytest

from tests.drawn import at_start, drawn, refusal, scene

PAIR = """
a: {kind: gear, on: shaft, teeth: 12, module: 2}
other: {kind: shaft, at: right of shaft}
b: {kind: gear, on: other, teeth: 36, module: 2, meshes with: a, pins: {pin: 12 up}}
"""


def test_stands_where_the_teeth_say():
    assert at_start(PAIR, "other").x == pytest.approx(100 + 48)
    assert at_start(PAIR, "b", "pin") == pytest.approx((148, 72))


def test_play_is_never_none():
    assert refusal("a: {kind: gear, on: shaft, teeth: 12, module: 2, play: 0}") == (
        "'a': teeth with 0 mm of play bind",
        "'play: 0.04' or more",
    )


def test_meshes_with_one_or_with_several():
    parts = drawn(
        PAIR + "c: {kind: gear, at: [200, 200], teeth: 20, module: 2, meshes with: [a, b]}"
    )
    assert [ref.part for ref in parts["b"].meshes_with] == ["a"]
    assert [ref.part for ref in parts["c"].meshes_with] == ["a", "b"]


def test_what_is_held_has_its_own_place():
    assert refusal("a: {kind: gear, on: shaft, teeth: 12, module: 2, held: yes}") == (
        "'a': what is on 'shaft' turns with it",
        "'at:' a place instead of 'on', or 'held: no'",
    )


def test_others_turn_the_other_way_at_the_ratio_of_teeth():
    from animator.trains import running_senses

    senses = running_senses(scene(PAIR).parts)
    assert senses["other"] == pytest.approx(-1 / 3)


def test_a_planet_s_ratios_are_willis_s():
    from animator.trains import running_senses

    parts = scene(
        """
        ring: {kind: ring gear, at: shaft, held: yes, teeth: 72, module: 1.5}
        carrier: {kind: lever, at: shaft, arms: {red: 36 up}}
        sun: {kind: gear, on: shaft, teeth: 24, module: 1.5}
        planet: {kind: gear, at: carrier.red, teeth: 24, module: 1.5, meshes with: [sun, ring]}
        """
    ).parts
    senses = running_senses(parts)
    assert senses["carrier"] == pytest.approx(1 / 4)
    assert senses["planet"] == pytest.approx(1 / 4 * (1 - 72 / 24))
    assert math.isclose(senses["shaft"], 1)


def test_pin_named_centre():
    assert (
        refusal("a: {kind: gear, on: shaft, teeth: 12, module: 2, pins: {centre: 3 up}}")[0]
        == "'a': a pin can't be called 'centre'"
    )
