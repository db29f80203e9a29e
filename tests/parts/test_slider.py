import math

import pytest

from animator.parts._contract import Slides
from tests.drawn import at_start, drawn, refusal


def test_free_slider_stands_with_its_middle_in_its_guide():
    parts = "ram: {kind: slider, slides: right, length: 60, guide: {at: [200, 60]}}"
    assert at_start(parts, "ram", "pin") == pytest.approx((170, 60))
    assert at_start(parts, "ram", "tip") == pytest.approx((230, 60))


def test_tip_lies_in_the_direction_it_slides():
    parts = "ram: {kind: slider, slides: down, length: 60, guide: {at: [200, 90]}}"
    assert at_start(parts, "ram", "tip") == pytest.approx((200, 60))


def test_start_may_be_given_along_its_way():
    parts = (
        "ram: {kind: slider, slides: right, length: 60, starts at: -5, guide: {at: [200, 60]}}"
    )
    assert at_start(parts, "ram", "pin") == pytest.approx((165, 60))


def test_ideal_guide_has_neither_play_nor_friction():
    ram = drawn("ram: {kind: slider, slides: 30, guide: {at: [200, 60], ideal: yes}}")["ram"]
    assert ram.guide.ideal
    assert isinstance(ram.held(), Slides)
    assert math.degrees(ram.held().direction) == pytest.approx(30)
    assert (
        "an ideal guide has no 'friction'"
        in refusal(
            "ram: {kind: slider, slides: up, guide: {at: [9, 9], ideal: yes, friction: 0.2}}"
        )[0]
    )


def test_friction_of_a_guide_may_be_a_pair_of_the_table():
    friction = drawn(
        "ram: {kind: slider, slides: up, guide: {at: [9, 9], friction: waxed birch on birch}}"
    )["ram"].guide.friction
    assert (friction.low, friction.high, friction.text) == (0.04, 0.2, "waxed birch on birch")
