import pytest

from tests.drawn import at_start, refusal

LEVER = "arm: {kind: lever, at: [40, 40], arms: {end: 30 up}}\n"


def test_pin_stands_on_the_frame_or_rides_on_a_part():
    assert at_start(
        "p: {kind: pin, at: 20 left and 5 below shaft}", "p", "centre"
    ) == pytest.approx((80, 55))
    assert at_start(LEVER + "p: {kind: pin, on: arm.end}", "p", "centre") == pytest.approx(
        (40, 70)
    )


def test_pin_is_somewhere_and_has_a_thickness():
    assert refusal("p: {kind: pin, diameter: 4}")[0] == "'p' says none of 'at', 'on'"
    assert refusal("p: {kind: pin, at: [9, 9], diameter: -3}") == (
        "'diameter': '-3' is too small",
        "more than 0 mm",
    )


def test_misspelt_side_is_mended_in_the_makers_own_words():
    assert refusal("p: {kind: pin, at: 20 over shaft}") == (
        "'at': 'over' is not a side",
        "'20 above shaft'",
    )


def test_parts_do_not_stand_on_one_another_in_a_circle():
    assert (
        refusal("p: {kind: pin, at: 20 left of q}\nq: {kind: pin, at: 20 left of p}")[0]
        == "these stand on one another in a circle: p, q, p"
    )
