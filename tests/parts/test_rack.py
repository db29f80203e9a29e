import math

import numpy as np
import pytest

from tests.drawn import at_start, refusal, scene
from tests.pieces import run

RACK = "rack: {kind: rack, slides: right, guide: {at: below pinion, length: 30}, teeth: 80, meshes with: pinion}"


def test_its_pitch_line_lies_a_pitch_radius_off_the_gear():
    parts = "pinion: {kind: gear, on: shaft, teeth: 18, module: 2}\n" + RACK
    assert at_start(parts, "rack", "middle") == pytest.approx((100, 60 - 18))


def test_coupled_to_its_gear():
    from animator.trains import running_senses

    parts = scene("pinion: {kind: gear, on: shaft, teeth: 18, module: 2}\n" + RACK).parts
    assert running_senses(parts)["rack"] == pytest.approx(18.0)


def test_in_the_mirror_its_teeth_look_the_same_way_up():
    parts = scene(
        "pinion: {kind: gear, on: shaft, teeth: 18, module: 2}\n"
        + RACK
        + "\nother: {like: rack, mirrored about: shaft}"
    ).parts
    assert math.isclose(math.cos(parts["other"].slides), 1)


def test_play_is_never_none():
    assert (
        refusal(
            "pinion: {kind: gear, on: shaft, teeth: 18, module: 2}\n"
            + RACK.replace("teeth: 80", "teeth: 80, play: 0")
        )[0]
        == "'rack': teeth with 0 mm of play bind"
    )


@pytest.mark.slow
def test_slides_by_pitch_radius_times_turning_and_back():
    """Both ways: a crank and rod drive the rack, the rack its gear; in a guide without clearance, what the play takes is all that is lost."""
    motion = run(
        """
        hand: {kind: shaft, at: [30, 60], bearing: {friction: 0}}
        handle: {kind: handle, on: hand, speed: 60 rpm}
        crank: {kind: crank, on: hand, radius: 15, angle: up}
        push: {kind: rod, from: crank.pin, to: rack.middle, length: 70, material: steel 4}
        neck: {kind: shaft, at: [110, 78], bearing: {friction: 0}, drag torque: 3 N mm}
        pinion: {kind: gear, on: neck, teeth: 18, module: 2, friction: 0.1}
        rack: {kind: rack, slides: right, guide: {at: below pinion, length: 30, ideal: yes}, teeth: 14, meshes with: pinion, friction: 0.1}
        """,
        turns=2,
    )
    begin = motion.begins
    way = motion.frame("rack")[begin:, 0]
    turned = motion.frame("neck")[begin:, 2] * 18.0
    assert np.ptp(way) == pytest.approx(30.0, abs=0.01)
    assert np.ptp(turned) == pytest.approx(30.0 - 0.1, abs=0.02)
    assert np.ptp(way - turned) == pytest.approx(0.1, abs=5e-3)
    assert abs(motion.trust.residual_percent) < 0.5
    assert math.isfinite(motion.channels["rack.tooth force"].values.max())
