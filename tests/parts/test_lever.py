import math

import pytest

from tests.drawn import at_start, drawn, refusal

PIECE = "arm: {{kind: lever, at: 40 above shaft, arms: {}{}}}"


def test_arms_point_the_way_they_are_drawn():
    parts = PIECE.format("{hand: 40 left, wire: 20 at 300}", "")
    assert at_start(parts, "arm", "pivot") == pytest.approx((100, 100))
    assert at_start(parts, "arm", "hand") == pytest.approx((60, 100))
    assert at_start(parts, "arm", "wire") == pytest.approx(
        (110, 100 - 20 * math.sin(math.pi / 3))
    )


def test_free_lever_starts_where_it_is_told():
    parts = PIECE.format("{hand: 40 right}", ", starts at: 30")
    assert at_start(parts, "arm", "hand") == pytest.approx(
        (100 + 40 * math.cos(math.pi / 6), 120)
    )


def test_arm_can_be_cut_longer():
    arm = drawn(PIECE.format("{hand: 40 left}", ""))["arm"]
    assert arm.dimensions() == {"arms.hand": 40}
    assert arm.with_dimension("arms.hand", 42).points()["hand"] == pytest.approx((-42, 0))


def test_bell_crank_is_a_lever():
    assert refusal(
        PIECE.format("{hand: 40 left}", "").replace("kind: lever", "kind: bell crank")
    ) == ("no kind of part is called 'bell crank'", "'lever'")


def test_pivot_is_no_arm():
    assert (
        refusal(PIECE.format("{pivot: 40 left}", ""))[0]
        == "'arm': an arm can't be called 'pivot'"
    )


def test_lever_on_a_cam_comes_later():
    assert (
        refusal(PIECE.format("{hand: 40 left}", ", follows: cam"))[0]
        == "not yet: a lever that follows a cam"
    )
