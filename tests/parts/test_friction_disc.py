import pytest

from tests.drawn import at_start, drawn, refusal

PIECE = "egg: {{kind: cam, on: shaft, egg: {{radius: 16, nose radius: 7, reach: 13}}, material: beech 4}}\nice: {{kind: friction disc, follows: egg, offset: {}, diameter: 60, material: birch ply 6, guide: {{at: 42 above shaft}}{}}}"


def test_disc_rests_on_the_round_of_its_egg():
    pose = at_start(PIECE.format(6, ""), "ice")
    assert (pose.x, pose.y) == pytest.approx((100, 60 + 16), abs=1e-6)


def test_its_top_is_a_point_that_others_ride_on():
    parts = (
        PIECE.format(6, "")
        + "\nskater: {kind: figure, on: ice.top, artwork: {shapes: [{disc: 14}]}}"
    )
    assert at_start(parts, "skater").y > at_start(parts, "ice").y


def test_collar_and_rim_are_words_of_its_own():
    ice = drawn(PIECE.format(6, ", rests: 0.5, friction: leather on beech"))["ice"]
    assert ice.rests == 0.5
    assert (ice.friction.low, ice.friction.high) == (0.3, 0.6)


def test_cam_beside_the_disc_is_refused():
    assert refusal(PIECE.format(30, ""))[0] == "'ice': the cam stands beside the disc"


def test_what_assembly_fills_in_can_not_be_said():
    assert refusal(PIECE.format(6, ", top height: 9"))[0] == "'ice' has no 'top height'"
