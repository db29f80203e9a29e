import math

import pytest

from tests.drawn import at_start, drawn, refusal


def test_pin_stands_at_radius_and_angle():
    assert at_start(
        "crank: {kind: crank, on: shaft, radius: 20, angle: 30}", "crank", "pin"
    ) == pytest.approx((100 + 20 * math.cos(math.pi / 6), 70))


def test_crank_on_a_crank_pin_turns_about_that_pin():
    parts = "a: {kind: crank, on: shaft, radius: 20, angle: up}\nb: {kind: crank, on: a.pin, radius: 5, angle: right}"
    assert at_start(parts, "b", "pin") == pytest.approx((105, 80))


def test_radius_closes_loops():
    crank = drawn("crank: {kind: crank, on: shaft, radius: 20, angle: 30}")["crank"]
    assert crank.dimensions() == {"radius": 20}
    assert crank.with_dimension("radius", 25).points()["pin"] == pytest.approx(
        (25 * math.cos(math.pi / 6), 12.5)
    )


def test_crank_goes_on_what_turns():
    assert refusal(
        "ram: {kind: slider, slides: up, guide: {at: [9, 9]}}\nc: {kind: crank, on: ram, radius: 5}"
    ) == ("'ram' is a slider; here belongs a turning part", "'shaft'")
