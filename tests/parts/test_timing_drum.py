import math

import pytest

from animator.parts._profiles import crossings
from tests.drawn import drawn, refusal

DRUM = "drum: {{kind: timing drum, on: shaft, {}}}"


def test_a_strip_is_half_up_exactly_where_it_is_said_to_begin_and_end():
    drum = drawn(DRUM.format("diameter: 60, tracks: {lamp: [90 to 180, 200 to 220]}"))["drum"]
    found = crossings(drum.profile("lamp"), 0.75)
    assert [way for _, way in found] == [1, -1, 1, -1]
    assert [math.degrees(angle) for angle, _ in found] == pytest.approx([90, 180, 200, 220])


def test_filed_ends_are_no_steeper_than_35_degrees():
    drum = drawn(DRUM.format("diameter: 60, tracks: {lamp: [90 to 180]}"))["drum"]
    profile = drum.profile("lamp")
    steepest = max(abs(profile.at(math.radians(a / 10))[1]) for a in range(3600))
    assert steepest / 30 == pytest.approx(math.tan(math.radians(35)), rel=1e-3)


def test_rings_are_each_smaller_than_the_one_behind():
    drum = drawn(
        DRUM.format("diameter: 60, tracks: {a: [0 to 90], b: [0 to 90], c: [0 to 90]}")
    )
    assert [drum["drum"].radius(name) for name in "abc"] == [30.0, 27.5, 25.0]


def test_strips_that_meet_over_the_turns_end_are_one():
    drum = drawn(DRUM.format("tracks: {night: [300 to 360, 0 to 60]}"))["drum"]
    assert [math.degrees(angle) for angle, _ in drum.profile("night").edges] == pytest.approx(
        [60, 300]
    )


def test_a_track_has_the_name_of_no_point():
    assert "can't be called 'centre'" in refusal(DRUM.format("tracks: {centre: [0 to 90]}"))[0]


def test_a_small_drum_has_no_room_for_many_rings():
    tracks = ", ".join(f"{name}: [0 to 90]" for name in "abcdefgh")
    what, write = refusal(DRUM.format(f"diameter: 30, tracks: {{{tracks}}}"))
    assert "no room for 8 rings" in what
    assert write == "a diameter over 41"
