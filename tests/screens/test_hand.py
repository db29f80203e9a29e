"""What a hand wants of the handle."""

from __future__ import annotations

import math

import pytest

from animator.screens.hand import NOTCH, REACH, Hand
from animator.screens.pace import Pace


def on_circle(deg: float, radius: float = 50.0) -> tuple[float, float]:
    """A place of the picture round (100, 100), y down."""
    a = math.radians(deg)
    return 100 + radius * math.cos(a), 100 - radius * math.sin(a)


def lead(hand: Hand, degrees: range) -> None:
    hand.take((100, 100), on_circle(degrees[0]), 0.0, 0.0)
    angle = 0.0
    for deg in degrees[1:]:
        hand.lead((100, 100), on_circle(deg), angle, 0.0)
        angle = hand.target  # the handle follows


@pytest.mark.parametrize(("sense", "wanted"), [(1, 720.0), (-1, -720.0)])
def test_dragging_twice_round_anticlockwise_wants_two_turns(sense: int, wanted: float) -> None:
    hand = Hand(10.0, sense)
    lead(hand, range(10, 740, 10))
    assert math.degrees(hand.target) == pytest.approx(wanted, abs=15)
    assert abs(math.degrees(hand.target)) == pytest.approx(720, abs=1e-6)


def test_hand_cannot_lead_a_stuck_handle_farther_than_it_reaches() -> None:
    hand = Hand(10.0)
    hand.take((100, 100), on_circle(0), 1.0, 0.0)
    for deg in range(5, 170, 5):
        hand.lead((100, 100), on_circle(deg), 1.0, 0.0)
    assert hand.target == pytest.approx(1.0 + REACH)
    # a little way back is a little way back, not the whole of what was in vain
    hand.lead((100, 100), on_circle(155), 1.0, 0.0)
    assert hand.target == pytest.approx(1.0 + REACH - math.radians(10))


def test_wheel_lets_go_when_it_is_there_and_gives_up_when_it_is_not() -> None:
    hand = Hand(10.0)
    hand.nudge(2, 0.0, 0.0)
    assert hand.is_on
    assert hand.target == pytest.approx(2 * NOTCH)
    hand.tick(2 * NOTCH, 0.3)
    assert not hand.is_on
    hand.nudge(1, 0.0, 1.0)
    hand.tick(0.0, 1.3)
    assert hand.is_on
    hand.tick(0.0, 2.0)
    assert not hand.is_on


def test_key_leads_no_faster_than_a_hand_can_and_lets_go_when_it_comes_up() -> None:
    hand = Hand(5.0)
    hand.press(-9.0, 0.0)
    assert (hand.is_on, hand.speed) == (True, -5.0)
    hand.release(1.0)
    assert not hand.is_on


def test_moving_without_having_taken_hold_wants_nothing() -> None:
    hand = Hand(5.0)
    hand.lead((100, 100), on_circle(90), 0.0, 0.0)
    assert not hand.is_on
    assert hand.target == 0.0


def test_pace_holds_and_goes_on_where_it_was() -> None:
    now = [0.0]
    pace = Pace(lambda: now[0])
    now[0] = 2.0
    pace.hold(True)
    now[0] = 50.0
    assert pace.at() == 2.0
    pace.hold(False)
    now[0] = 51.0
    assert pace.at() == 3.0
    for _ in range(3):
        pace.slower()
    now[0] = 59.0
    assert pace.at() == pytest.approx(4.0)
    pace.slower()
    assert pace.speed == 1.0
