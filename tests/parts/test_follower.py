import math

import pytest

from animator.parts._contract import Slides
from tests.drawn import at_start, drawn, refusal

PIECE = "c: {{kind: cam, on: shaft, base radius: 18, programme: [{{dwell: 90}}, {{rise: 14, over: 90}}, {{fall: 14, over: 90}}, {{dwell: rest}}]}}\nf: {{kind: follower, follows: c, guide: {{at: 60 above shaft}}{}}}"


def test_roller_rests_on_the_base_circle_at_the_start():
    assert at_start(PIECE.format(", tip: {roller diameter: 10}"), "f", "tip") == pytest.approx(
        (100, 60 + 18 + 5), abs=1e-6
    )
    assert at_start(PIECE.format(", tip: knife"), "f", "tip") == pytest.approx(
        (100, 60 + 18), abs=1e-6
    )
    flat = PIECE.format(", tip: {flat width: 40}, length: 90").replace(
        "radius: 18", "radius: 30"
    )
    assert at_start(flat, "f", "top") == pytest.approx((100, 60 + 30 + 90), abs=1e-6)


def test_it_slides_up_through_its_guide_and_follows_its_cam():
    held = drawn(PIECE.format(", offset: 4"))["f"].held()
    assert isinstance(held, Slides)
    assert (math.degrees(held.direction), held.offset, held.follows.part) == (90, 4, "c")


def test_knife_is_the_usual_tip_and_only_one_is_said():
    assert drawn(PIECE.format(""))["f"].tip.kind == "knife"
    assert (
        refusal(PIECE.format(", tip: {roller diameter: 10, flat width: 4}"))[0]
        == "'tip' says two of 'kind', 'roller diameter', 'flat width', 'yoke'"
    )


def test_spring_pushes_with_preload_and_rate():
    spring = drawn(PIECE.format(", spring: {rate: 0.08 N/mm, preload: 1 N}"))["f"].spring
    assert (spring.rate, spring.preload) == (0.08e6, 1e6)
    assert "neither pushes nor grows" in refusal(PIECE.format(", spring: {preload: 0 N}"))[0]


def test_it_follows_a_cam_and_nothing_else():
    assert refusal(PIECE.format("").replace("follows: c", "follows: shaft")) == (
        "'shaft' is a shaft; here belongs a cam",
        "'c'",
    )
