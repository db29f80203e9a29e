import pytest

from tests.drawn import at_start, drawn, refusal
from tests.parts.test_plate import refusal_in_assembling
from tests.pieces import run

PIECE = """
crank: {{kind: crank, on: shaft, radius: 20, angle: up}}
yoke: {{kind: yoke, slides: right, guide: {{at: 60 right of shaft, length: 20}}, slot: {}, length: 110, driver: crank.pin{}}}
"""


def test_its_slot_stands_under_the_pin():
    assert at_start(PIECE.format(44, ""), "yoke", "slot") == pytest.approx((100, 60))
    assert at_start(
        PIECE.format(44, "").replace("angle: up", "angle: 150"), "yoke", "slot"
    ) == (pytest.approx((100 - 20 * 3**0.5 / 2, 60)))


def test_an_upright_yoke_rises_with_the_pin():
    parts = (
        PIECE.format(44, "")
        .replace("slides: right", "slides: up")
        .replace("60 right of", "60 above")
    )
    assert at_start(parts, "yoke", "slot") == pytest.approx((100, 80))


def test_pin_that_leaves_its_slot_is_told():
    assert refusal_in_assembling(PIECE.format(30, "")) == (
        "'crank.pin' leaves the slot of 'yoke'",
        "'yoke.slot: 40' or more",
    )


def test_a_tail_too_short_and_a_back_guide_too_near_are_told():
    tail = ", back guide: {{at: {} left of shaft, length: 16}}, tail: {}"
    assert refusal_in_assembling(PIECE.format(44, tail.format(60, 70)))[0] == (
        "the tail of 'yoke' comes out of its back guide when the handle has turned 270 degrees"
    )
    assert refusal_in_assembling(PIECE.format(44, tail.format(30, 90)))[0] == (
        "the slot of 'yoke' strikes its back guide when the handle has turned 90 degrees"
    )
    assert refusal(PIECE.format(44, ", back guide: {at: 60 left of shaft}"))[0] == (
        "'yoke': nothing goes through the back guide"
    )


def test_scotch_yoke_is_a_yoke():
    assert refusal("y: {kind: scotch yoke}") == (
        "no kind of part is called 'scotch yoke'",
        "'yoke'",
    )
    assert drawn(PIECE.format(44, ""))["yoke"].points()["tip"] == (110, 0)


@pytest.mark.slow
def test_with_real_guides_and_play_it_goes_by_twice_the_crank():
    motion = run(
        """
        shaft: {kind: shaft, at: [100, 60], bearing: {friction: 0.1}}
        handle: {kind: handle, on: shaft, speed: 60 rpm}
        crank: {kind: crank, on: shaft, radius: 20, angle: up}
        yoke: {kind: yoke, slides: right, slot: 44, length: 110, tail: 94, driver: crank.pin, friction: 0.2, guide: {at: 60 right of shaft, length: 18, friction: 0.2}, back guide: {at: 60 left of shaft, length: 18, friction: 0.2}}
        """,
        turns=1.1,
    )
    from animator.findings.measures import read as measure

    # the pin crosses its play of 0.1 at each end
    assert measure(motion, "yoke", "travel").value == pytest.approx(40 - 0.1, abs=0.05)
    assert motion.trust.residual_percent < 0.5
    assert motion.ledger.heat["guide of yoke"][-1] > 0
