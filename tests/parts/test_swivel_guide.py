import math

import pytest

from tests.drawn import at_start, refusal
from tests.parts.test_plate import refusal_in_assembling

PIECE = """
crank: {{kind: crank, on: shaft, radius: 20, angle: up}}
rowlock: {{kind: swivel guide, at: 60 right of shaft{}}}
oar: {{kind: rod, from: crank.pin, through: rowlock, length: {}, holes: {{grip: 10}}}}
"""


def test_rod_passes_through_its_guide_and_turns_it():
    parts = PIECE.format("", 120)
    slant = math.atan2(-20, 60)
    assert at_start(parts, "oar").angle == pytest.approx(slant)
    assert at_start(parts, "rowlock") == pytest.approx((160, 60, slant))
    assert at_start(parts, "oar", "tip") == pytest.approx(
        (100 + 120 * math.cos(slant), 80 + 120 * math.sin(slant))
    )


def test_what_hangs_on_the_rod_goes_along():
    parts = PIECE.format("", 120) + (
        "man: {kind: lever, at: 40 left of shaft, arms: {hand: 50 up}}\n"
        "forearm: {kind: rod, from: man.hand, to: oar.grip, length: 60}\n"
    )
    assert at_start(parts, "forearm", "tip") == pytest.approx(
        at_start(parts, "oar", "grip"), abs=1e-6
    )


def test_a_guide_may_stand_on_a_moving_point():
    parts = PIECE.format("", 120).replace("at: 60 right of shaft", "at: arm.top") + (
        "arm: {kind: lever, at: 60 right of shaft, arms: {top: 30 up}, starts at: -20}\n"
    )
    x, y = at_start(parts, "arm", "top")
    assert at_start(parts, "oar").angle == pytest.approx(math.atan2(y - 80, x - 100))


def test_short_rod_and_near_guide_are_told():
    what, write = refusal_in_assembling(PIECE.format("", 80))
    assert what == "'oar' comes out of 'rowlock' when the handle has turned 90 degrees"
    assert write == "'oar.length: 88' or more"
    what, _ = refusal_in_assembling(PIECE.format(", length: 76", 150))
    assert what == "the eye of 'oar' strikes 'rowlock' when the handle has turned 270 degrees"


def test_ideal_guide_has_neither_play_nor_friction():
    assert refusal(PIECE.format(", ideal: yes, friction: 0.2", 120))[0] == (
        "'rowlock': an ideal guide has no 'friction'"
    )


def test_rowlock_is_a_swivel_guide():
    assert refusal("r: {kind: rowlock}") == (
        "no kind of part is called 'rowlock'",
        "'swivel guide'",
    )
