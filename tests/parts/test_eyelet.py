import pytest

from tests.drawn import at_start, drawn, refusal

LEVER = "arm: {kind: lever, at: [40, 40], arms: {end: 30 up}}\n"


def test_eyelet_stands_on_the_frame_or_rides_on_a_part():
    assert at_start("e: {kind: eyelet, at: 60 above shaft}", "e", "centre") == pytest.approx(
        (100, 120)
    )
    assert at_start(LEVER + "e: {kind: eyelet, on: arm.end}", "e", "centre") == pytest.approx(
        (40, 70)
    )


def test_string_bends_in_the_middle_of_an_eyelet():
    assert drawn("e: {kind: eyelet, at: [9, 9], diameter: 6}")["e"].string_radius(0.4) == 0


def test_eyelet_is_somewhere():
    assert refusal("e: {kind: eyelet, diameter: 4}")[0] == "'e' says none of 'at', 'on'"
    assert (
        refusal("e: {kind: eyelet, at: [9, 9], on: shaft}")[0] == "'e' says two of 'at', 'on'"
    )
