import math
import re

import pytest

from animator.problems import SceneError
from animator.world.assembling import assemble
from tests.drawn import at_start, drawn, refusal, scene

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


CAM = "nod: {kind: cam, on: shaft, base radius: 18, programme: [{rise: 10, over: 100}, {dwell: 40}, {fall: 10, over: 100}, {dwell: rest}]}"


def on_cam(
    at="60 right and 22 above shaft",
    arms="{foot: 60 left}",
    tip="{roller diameter: 8}",
    more="",
):
    return (
        CAM + f"\narm: {{kind: lever, at: {at}, arms: {arms}, follows: nod, tip: {tip}{more}}}"
    )


@pytest.mark.parametrize(
    ("at", "arms", "tip", "radius"),
    [
        ("60 right and 22 above shaft", "{foot: 60 left}", "{roller diameter: 8}", 22),
        ("60 left and 18 above shaft", "{foot: 60 right}", "knife", 18),
        ("30 left and 40 below shaft", "{foot: 48 at 75}", "{roller diameter: 8}", 22),
        ("22 right and 70 above shaft", "{foot: 70 down}", "{roller diameter: 8}", 22),
    ],
)
def test_lever_is_turned_onto_its_cam_at_the_start(at, arms, tip, radius):
    foot = at_start(on_cam(at, arms, tip), "arm", "foot")
    assert math.hypot(foot[0] - 100, foot[1] - 60) == pytest.approx(radius, abs=1e-6)


def test_flat_of_a_lever_lies_on_the_base_circle_along_its_arm():
    parts = on_cam("50 right and 24 above shaft", "{foot: 44 left}", "{flat width: 60}")
    parts = parts.replace("10,", "2,")
    pivot, foot = at_start(parts, "arm", "pivot"), at_start(parts, "arm", "foot")
    across = (foot[0] - pivot[0]) * (60 - pivot[1]) - (foot[1] - pivot[1]) * (100 - pivot[0])
    assert abs(across) / 44 == pytest.approx(18, abs=1e-6)


def test_first_arm_rests_on_the_cam_unless_another_is_named():
    arms = "{hand: 60 left, foot: 40 right}"
    assert drawn(on_cam(arms=arms))["arm"].by == "hand"
    assert drawn(on_cam(arms=arms, more=", by: foot"))["arm"].by == "foot"


@pytest.mark.parametrize(
    ("said", "what"),
    [
        ({"more": ", by: fot"}, "'arm': it has no arm 'fot'"),
        (
            {"tip": "{yoke: 40}"},
            "'arm': a yoke's flats stay square to its way, which a swinging arm doesn't",
        ),
        (
            {"more": ", side guides: {at: 70}"},
            "'arm': the side guides stand beyond the end of 'foot'",
        ),
        (
            {"more": ", spring: {preload: 1 N}"},
            "not yet: a spring at the lever's pivot, which turns it ('torque: 20 N mm')",
        ),
    ],
)
def test_lever_that_can_not_ride_is_refused(said, what):
    assert refusal(on_cam(**said))[0] == what


def test_what_belongs_to_a_cam_is_refused_without_one():
    assert refusal(PIECE.format("{hand: 40 left}", ", tip: knife"))[0] == (
        "'arm': 'tip' belongs to a lever that follows a cam"
    )


def test_lever_far_off_its_cam_is_told_where_it_would_stand_right():
    with pytest.raises(SceneError) as caught:
        assemble(scene(on_cam("70 right of shaft", tip="{roller diameter: 14}")))
    (problem,) = caught.value.problems
    assert problem.what == "the roller of 'arm' starts 15 mm inside 'nod'"
    assert problem.write == "'at: 60 right and 25 above shaft'"
    assert at_start(
        on_cam("60 right and 25 above shaft", tip="{roller diameter: 14}"), "arm", "foot"
    ) == (pytest.approx((100, 85), abs=1e-6))


def test_lever_turned_a_little_onto_its_cam_is_said():
    notes = assemble(scene(on_cam("60 right and 28 above shaft"))).assumptions
    assert any(
        re.fullmatch(
            r"arm rests on nod turned \d\.\d degrees anticlockwise from how it is drawn", note
        )
        for note in notes
    )
