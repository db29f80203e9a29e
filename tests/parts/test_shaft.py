import math

import pytest

from animator.parts._contract import Turns
from tests.drawn import at_start, drawn, refusal


def test_shaft_turns_where_it_stands():
    held = drawn("axle: {kind: shaft, at: 40 right and 12 above shaft}")["axle"].held()
    assert isinstance(held, Turns)
    assert held.at.offset == (40, 12)
    assert held.at.ref.part == "shaft"
    assert at_start(
        "axle: {kind: shaft, at: 40 right and 12 above shaft}", "axle", "centre"
    ) == pytest.approx((140, 72))


def test_stops_are_angles_each_way_from_the_drawing():
    limits = (
        drawn("axle: {kind: shaft, at: [9, 9], stops: {clockwise: 60, anticlockwise: 10}}")[
            "axle"
        ]
        .held()
        .limits
    )
    assert [math.degrees(each) for each in limits] == pytest.approx([-60, 10])
    assert (
        drawn("axle: {kind: shaft, at: [9, 9], stops: {clockwise: 60}}")["axle"]
        .held()
        .limits[1]
        == math.inf
    )


def test_bearing_has_no_play_unless_it_is_given():
    assert drawn("")["shaft"].bearing.play == 0
    assert (
        drawn(
            "axle: {kind: shaft, at: [9, 9], bearing: {play: 0.1, friction: oiled steel on brass}}"
        )["axle"].bearing.friction.high
        < 0.2
    )


def test_drag_torque_is_kept_in_internal_units():
    assert (
        drawn("axle: {kind: shaft, at: [9, 9], drag torque: 30 N mm}")["axle"].drag_torque
        == 30e6
    )


def test_ball_bearing_has_its_own_friction():
    assert (
        "a ball bearing has its own"
        in refusal("axle: {kind: shaft, at: [9, 9], bearing: {ball: yes, friction: 0.1}}")[0]
    )
