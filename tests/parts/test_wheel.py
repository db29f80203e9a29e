import pytest

from tests.drawn import at_start, drawn, refusal


def test_pins_are_points_that_turn_with_the_wheel():
    wheel = "w: {kind: wheel, on: shaft, radius: 60, pins: {hare: 50 up, swan: 40 at 180}}"
    assert at_start(wheel, "w", "hare") == pytest.approx((100, 110))
    assert at_start(wheel, "w", "swan") == pytest.approx((60, 60))
    assert list(drawn(wheel)["w"].points()) == ["centre", "hare", "swan"]


def test_pin_can_be_set_further_out():
    wheel = drawn("w: {kind: wheel, on: shaft, radius: 60, pins: {hare: 50 up}}")["w"]
    assert wheel.with_dimension("pins.hare", 52).points()["hare"] == pytest.approx((0, 52))


def test_bare_wheel_stands_for_its_centre():
    assert (
        drawn("w: {kind: wheel, on: shaft, radius: 60}\nb: {kind: weight, on: w, mass: 9 g}")[
            "b"
        ].on.point
        == "centre"
    )


def test_pin_without_a_direction_is_refused_with_the_makers_own_number():
    assert refusal("w: {kind: wheel, on: shaft, radius: 60, pins: {hare: 50}}") == (
        "'hare': '50' doesn't say which way the arm points",
        "'50 right' or '50 at 30'",
    )
