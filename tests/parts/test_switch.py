import math

import pytest

from animator.parts._profiles import crossings
from animator.world.assembling import assemble
from tests.drawn import drawn, refusal, scene

DRUM = "drum: {{kind: timing drum, on: shaft, diameter: 60, tracks: {{lamp: [90 to 180]}}}}\nmine: {{kind: switch, rides on: drum.lamp{}}}"
CAM = "cam: {kind: cam, on: shaft, base radius: 20, programme: [{dwell: 60}, {rise: 4, over: 90}, {dwell: 60}, {fall: 4, over: 90}, {dwell: rest}]}\n"


def levels_and_angles(parts):
    whole = assemble(scene(parts))
    switch = whole.parts["mine"]
    profile = switch.profile(whole)
    closes, opens = switch.levels(profile)
    return closes, opens, crossings(profile, closes), crossings(profile, opens)


def test_on_and_off_differ_by_the_differential():
    _, _, rising, falling = levels_and_angles(DRUM.format(", differential: 2"))
    on = next(math.degrees(angle) for angle, way in rising if way > 0)
    off = next(math.degrees(angle) for angle, way in falling if way < 0)
    assert on == pytest.approx(90)
    assert off == pytest.approx(182)


def test_a_differential_may_be_a_length_of_the_levers_way():
    closes, opens, _, falling = levels_and_angles(DRUM.format(", differential: 0.3 mm"))
    assert (closes, opens) == pytest.approx((0.75, 0.45))
    off = next(angle for angle, way in falling if way < 0)
    # CAM-25: off lags by the differential over the slope of the strip's end, here half a cosine
    lag = (
        math.asin(0.3 / 0.75) / math.pi * math.pi * 1.5 / (2 * math.tan(math.radians(35)) * 30)
    )
    assert off - math.pi == pytest.approx(lag, rel=1e-6)


def test_on_a_cam_it_closes_at_half_the_lift_wherever_it_stands():
    for side in ("up", "left", "200"):
        closes, _, rising, _ = levels_and_angles(
            CAM + f"mine: {{kind: switch, rides on: cam, angle: {side}}}"
        )
        assert closes == pytest.approx(2.0, abs=0.01)
        # a cycloidal rise is half done in its middle; the cam is laid out for the switch's roller
        assert math.degrees(rising[0][0]) == pytest.approx(60 + 45, abs=0.1)


def test_a_lift_that_is_too_high_is_told_in_the_cams_own_numbers():
    with pytest.raises(Exception, match="lifts its roller by 4 mm; it closes at 6"):
        levels_and_angles(CAM + "mine: {kind: switch, rides on: cam, closes at: 6}")


def test_a_switch_rides_on_a_drum_or_a_cam():
    assert refusal("mine: {kind: switch, rides on: handle}")[0].endswith(
        "here belongs a timing drum or a cam"
    )


def test_half_a_length_below_nothing_is_no_differential():
    assert refusal(DRUM.format(", differential: -1"))[0].endswith("less than nothing")


def test_a_cams_switch_starts_as_the_cam_stands():
    parts = assemble(scene(CAM + "mine: {kind: switch, rides on: cam}")).parts
    assert drawn(CAM)["cam"].base_radius == parts["mine"].base(parts) == 20
