import numpy as np
import pytest

from animator.trains import running_senses
from tests.drawn import at_start, scene
from tests.pieces import NEWTON_MM, run

CROWN = """
lantern: {kind: gear, on: shaft, teeth: 12, module: 3, along: 10}
upright: {kind: shaft, view: top, at: behind lantern}
crown: {kind: crown wheel, on: upright, teeth: 30, meshes with: lantern, lies: LIES}
"""


def test_stands_behind_its_gear_by_its_own_radius():
    pose = at_start(CROWN.replace("LIES", "above"), "upright")
    assert (pose.x, pose.y) == pytest.approx((100, -10 + 45))


@pytest.mark.parametrize(("lies", "height", "sense"), [("above", 78, -1), ("below", 42, 1)])
def test_height_and_sense_follow_from_the_side(lies, height, sense):
    from animator.world.assembling import assemble

    whole = assemble(scene(CROWN.replace("LIES", lies)))
    assert whole.parts["crown"].along == pytest.approx(height)
    # seen from above, a gear's upper edge that goes left pushes the near side of a wheel behind it clockwise
    assert running_senses(whole.parts)["upright"] == pytest.approx(sense * 12 / 30)


def test_turns_at_the_ratio_and_bears_on_both_shafts():
    upright = "at: behind lantern"
    parts = CROWN.replace("lies: LIES", "lies: above, friction: 0")
    parts = parts.replace(upright, upright + ", bearing: {friction: 0}, drag torque: 20 N mm")
    motion = run(
        "shaft: {kind: shaft, at: [100, 60], bearing: {friction: 0}}\n"
        "handle: {kind: handle, on: shaft, speed: 60 rpm}\n" + parts,
        turns=0.5,
    )
    begin = motion.begins
    driven = motion.drive.angle[-1] - motion.drive.angle[begin]
    turned = motion.frame("upright")[[begin, -1], 2] @ (-1, 1)
    assert turned / driven == pytest.approx(-12 / 30, abs=1e-3)
    push = motion.channels["crown.tooth force"].values[begin:]
    assert np.median(push) == pytest.approx(
        20 * NEWTON_MM / (45 * np.cos(np.radians(20))), rel=0.01
    )
    assert abs(motion.trust.residual_percent) < 0.5
