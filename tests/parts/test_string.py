import math

import pytest

from animator.parts._contract import Spans
from animator.parts._way import Station, Way, tangents
from animator.problems import SceneError
from animator.world.assembling import assemble
from tests.drawn import drawn, refusal, scene

PIECE = """
nail: {kind: pin, at: [60, 160], diameter: 4}
eye: {kind: eyelet, at: [120, 160]}
wing: {kind: lever, at: [160, 100], arms: {tip: 40 left}}
"""


def problems(parts):
    with pytest.raises(SceneError) as caught:
        assemble(scene(parts))
    return [(each.what, each.write) for each in caught.value.problems]


def test_string_knows_what_it_passes_and_how_thick_it_is():
    cord = drawn(
        PIECE
        + "cord: {kind: string, from: nail, by way of: [eye], to: wing.tip, material: string 2}"
    )["cord"]
    assert isinstance(cord.held(), Spans)
    assert [ref.part for ref in cord.by_way_of] == ["eye"]
    assert cord.diameter == 2
    assert cord.axial_stiffness == pytest.approx(800e6 * math.pi)  # E A, E 800 MPa


def test_string_is_cut_to_its_way_and_some_slack_more():
    whole = assemble(scene(PIECE + "cord: {kind: string, from: nail, to: eye, slack: 5}"))
    assert whole.parts["cord"].length == pytest.approx(65)
    assert "cord is cut to 65.00 mm" in whole.assumptions


def test_weight_hangs_straight_below_what_its_string_comes_down_from():
    whole = assemble(
        scene(
            "roll: {kind: pin, at: [60, 160], diameter: 19.2}\nbob: {kind: weight, mass: 9 g, hangs: 70}\n"
            "cord: {kind: string, from: shaft, by way of: [roll], to: bob}"
        )
    )
    assert whole.starts["bob"].place((0, 0)) == pytest.approx(
        (50, 90)
    )  # the shaft is right of it


def test_weight_hangs_as_deep_as_a_given_string_lets_it():
    whole = assemble(
        scene(
            PIECE
            + "bob: {kind: weight, mass: 9 g}\ncord: {kind: string, from: nail, to: bob, length: 55}"
        )
    )
    assert whole.starts["bob"].y == pytest.approx(105)


def test_string_shorter_than_its_way_is_refused():
    assert problems(PIECE + "cord: {kind: string, from: nail, to: eye, length: 52}") == [
        (
            "'cord' is 52 mm long, but its way is 60.00 mm",
            "'cord.length: 60' or 'cord.length: fitted'",
        )
    ]


def test_string_bends_over_pins_eyelets_and_pulleys_only():
    assert refusal(PIECE + "cord: {kind: string, from: nail, by way of: [wing], to: eye}") == (
        "'wing' is a lever; here belongs a pin or an eyelet or a pulley",
        "'nail' or 'eye'",
    )


def test_beech_makes_no_string_and_slack_belongs_to_a_fitted_one():
    assert (
        refusal(PIECE + "cord: {kind: string, from: nail, to: eye, material: beech 3}")[0]
        == "'cord': 'beech' makes no string"
    )
    assert (
        "says its 'length'"
        in (
            refusal(PIECE + "cord: {kind: string, from: nail, to: eye, length: 70, slack: 3}")[
                0
            ]
        )
    )


# ---------------------------------------------------------------- its way
def test_tangents_touch_square_to_the_radius():
    (span,) = tangents([(0, 0, 5, 1), (40, 10, 8, -1)])
    for (x, y), (cx, cy), radius in ((span.start, (0, 0), 5), (span.end, (40, 10), 8)):
        assert math.hypot(x - cx, y - cy) == pytest.approx(radius)
        assert (x - cx) * span.x + (y - cy) * span.y == pytest.approx(0, abs=1e-12)
    assert math.dist(span.start, span.end) == pytest.approx(span.length)


def over_a_roll(radius, at, turns=0):
    stations = [
        Station("a", ""),
        Station("roll", "", radius, turns=turns, guides=True, may_leave=not turns),
        Station("b", ""),
    ]
    return Way(stations, [(0.0, 0.0), at, (100.0, 0.0)], [0.0, 0.0, 0.0])


def test_string_lies_on_the_inner_side_of_its_bend():
    way = over_a_roll(5.0, (50.0, 40.0))
    # over the top: it bends clockwise, and its length is two tangents and the arc between them
    reach = math.hypot(50, 40)
    tangent = math.sqrt(reach**2 - 25)
    bend = 2 * (math.atan2(40, 50) + math.asin(5 / reach))
    assert way.wraps[1] == pytest.approx(bend)
    assert way.length == pytest.approx(2 * tangent + 5 * bend)
    assert way.spans[0].end[1] > 40


def test_each_further_turn_is_longer_by_a_round():
    assert over_a_roll(5.0, (50.0, 40.0), 2).length - over_a_roll(
        5.0, (50.0, 40.0)
    ).length == pytest.approx(2 * math.tau * 5)


def test_string_leaves_a_pin_it_no_longer_bends_over_and_comes_back_to_it():
    way = over_a_roll(2.0, (50.0, 10.0))
    lengths = []
    for height in (10.0, 3.0, -1.9, -2.1, -20.0, -2.1, -1.9, 3.0):
        way.follow([(0.0, 0.0), (50.0, height), (100.0, 0.0)], [0.0, 0.0, 0.0])
        lengths.append(way.length)
        assert (1 in way.on) == (height > -2)
    assert lengths[3:6] == pytest.approx([100] * 3)
    assert lengths[1] == pytest.approx(lengths[-1])
    assert lengths[1] > 100


def test_drum_winds_by_its_radius_and_the_other_way_round_past_its_nail():
    stations = [Station("drum", "", 10.0, winds=1, wound=math.pi), Station("b", "")]
    way = Way(stations, [(0.0, 0.0), (100.0, 10.0)], [0.0, 0.0])
    start = way.length
    assert start == pytest.approx(100 + 10 * math.pi)
    lengths, wound = [], []
    for degrees in range(0, 720, 5):
        way.follow(way.places, [-math.radians(degrees), 0.0])
        lengths.append(way.length)
        wound.append(way.wound[0])
    assert lengths[18] == pytest.approx(start - 10 * math.pi / 2)  # paid out by a quarter
    assert min(wound) < -math.tau  # and wound up again on its other side
    assert lengths[-1] - lengths[-19] == pytest.approx(10 * math.pi / 2)
