import numpy as np
import pytest

from animator.trains import running_senses
from tests.drawn import scene
from tests.pieces import NEWTON_MM, run

CORNER = """
level: {kind: shaft, view: side, at: [20, 40], bearing: {friction: 0}}
handle: {kind: handle, on: level, speed: 60 rpm}
upright: {kind: shaft, view: top, at: [84, 20], bearing: {friction: 0}, drag torque: 15 N mm}
small: {kind: bevel gear, on: level, teeth: 20, module: 2, friction: 0}
large: {kind: bevel gear, on: upright, teeth: 30, module: 2, meshes with: small, friction: 0}
"""


def test_cones_meet_where_their_shafts_do():
    from animator.world.assembling import assemble

    whole = assemble(scene(CORNER.replace("handle:", "hand:").replace("level", "low")))
    # the shafts meet at 84 along the level one and 40 up the other; each stands the other's radius away
    assert whole.parts["small"].along == pytest.approx(84 + 30)
    assert whole.parts["large"].along == pytest.approx(40 + 20)


def test_sense_follows_from_the_places():
    senses = running_senses(scene(CORNER.replace("handle:", "hand:")).parts)
    # the level shaft's right end turns anticlockwise seen from the right: its top goes forward, and takes the right side of the upper cone with it
    assert abs(senses["upright"] / senses["level"]) == pytest.approx(2 / 3)


def test_turns_at_the_ratio():
    motion = run(CORNER, turns=0.5)
    begin = motion.begins
    driven = motion.drive.angle[-1] - motion.drive.angle[begin]
    turned = motion.frame("upright")[[begin, -1], 2] @ (-1, 1)
    due = running_senses(motion.scene.parts)["upright"]
    assert turned / driven == pytest.approx(due, abs=1e-3)
    push = motion.channels["large.tooth force"].values[begin:]
    assert np.median(push) == pytest.approx(
        15 * NEWTON_MM / (30 * np.cos(np.radians(20))), rel=0.01
    )
    assert abs(motion.trust.residual_percent) < 0.5


@pytest.mark.parametrize("back", [100, 60])
def test_works_wherever_the_axes_stand_in_their_planes(back):
    """Front and side shafts whose places are the same two numbers stand at one place of the engine's plane, but not in the room."""
    motion = run(
        f"""
        front: {{kind: shaft, at: [100, 60], bearing: {{friction: 0}}}}
        handle: {{kind: handle, on: front, radius: 28, speed: 60 rpm}}
        level: {{kind: shaft, view: side, at: [{back}, 60], bearing: {{friction: 0}}, drag torque: 15 N mm}}
        small: {{kind: bevel gear, on: front, teeth: 20, module: 2, friction: 0.2}}
        large: {{kind: bevel gear, on: level, teeth: 30, module: 2, meshes with: small, friction: 0.2}}
        """,
        turns=0.4,
    )
    begin = motion.begins
    driven = motion.drive.angle[-1] - motion.drive.angle[begin]
    turned = motion.frame("level")[[begin, -1], 2] @ (-1, 1)
    assert abs(turned / driven) == pytest.approx(2 / 3, abs=1e-3)
    lost = motion.ledger.heat["teeth of large"]
    share = (lost[-1] - lost[begin]) / (
        motion.ledger.work_in["handle"][-1] - motion.ledger.work_in["handle"][begin]
    )
    assert 0.02 < share < 0.06  # a pair of 24 and 54 unrolled teeth at 0.2 loses 3 to 4 %
    assert abs(motion.trust.residual_percent) < 0.5
