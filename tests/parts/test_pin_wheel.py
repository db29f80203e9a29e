"""Pin wheels: in one plane with pins and paddles, and round a corner."""

import math

import numpy as np
import pytest

from animator.geometry import Pose
from animator.parts._right_angles import corner, passing
from animator.parts._spokes import Spokes
from animator.world.assembling import assemble
from tests.drawn import refusal, scene
from tests.pieces import read, run

PLANE = """
mover: {kind: shaft, at: [50, 55], material: steel 5, bearing: {friction: 0.1}}
handle: {kind: handle, on: mover, speed: 40 rpm}
pins: {kind: pin wheel, on: mover, pins: 10, radius: 20, pin diameter: 4, material: birch ply 4}
driven: {kind: shaft, at: right of mover, material: steel 4, drag torque: 2 N mm, bearing: {friction: 0.1}}
lantern: {kind: pin wheel, on: driven, pins: 14, radius: 28, pin diameter: 4, material: birch ply 4, meshes with: pins, friction: 0.3}
"""
CORNER = """
pit shaft: {kind: shaft, view: front, at: [85, 48], material: steel 5, bearing: {friction: 0.1}}
handle: {kind: handle, on: pit shaft, speed: 35 rpm}
pit: {kind: pin wheel, on: pit shaft, pins: 8, radius: 18, pin diameter: 5, along: -67, material: birch ply 6}
stone shaft: {kind: shaft, view: top, at: [85, 20], drag torque: 4 N mm, material: steel 5, bearing: {friction: 0.1}}
stone: {kind: pin wheel, on: stone shaft, pins: 16, radius: 36, pin diameter: 5, along: 77, material: birch ply 6, meshes with: pit}
"""


def gained(motion, part):
    turned = motion.frame(part)[:, 2]
    handle = motion.drive.angle
    return (turned[-1] - turned[motion.begins]) / (handle[-1] - handle[motion.begins])


def test_pin_circles_touch_where_no_distance_is_said():
    whole = assemble(read(PLANE))
    assert whole.starts["driven"].x - whole.starts["mover"].x == 48


def test_pins_leave_gaps():
    what, write = refusal(
        "w: {kind: pin wheel, on: shaft, pins: 24, radius: 20, pin diameter: 6}"
    )
    assert what == "'w': 24 pins of 6 mm leave no gaps on a circle of radius 20"
    assert "such as '2.5'" in write
    assert "'radius: 46'" in write


def test_pins_on_pins_turn_on_the_whole_as_they_are_counted():
    motion = run(PLANE, turns=0.4)  # four pins come round
    assert gained(motion, "lantern") == pytest.approx(-10 / 14, abs=3e-3)
    assert motion.trust.residual_percent < 0.05


@pytest.mark.slow
def test_pins_turn_a_corner_the_right_way():
    # seen from the front the pit wheel turns anticlockwise: its uppermost pin, before which the stone wheel's nearest pin stands, goes to the left;
    # the stone wheel reaches back to it, so seen from above it goes anticlockwise
    motion = run(CORNER, turns=0.5)
    assert gained(motion, "stone") == pytest.approx(8 / 16, abs=5e-3)
    assert motion.trust.residual_percent < 0.05


def test_round_ends_of_pins_that_lie_across():
    whole = assemble(read(CORNER))
    meets = corner("pit", "stone", whole.parts, whole.starts["pit"], whole.starts["stone"])
    assert (meets.short, meets.other_short) == (11, 11)
    assert meets.line == pytest.approx(math.pi / 2)
    assert meets.other_line == pytest.approx(math.pi / 2)
    first, second = Spokes(1, 18, 18, 2.5), Spokes(1, 36, 36, 2.5)
    for a, b in ((0.3, 0.1), (-0.2, 0.05), (0.5, -0.1)):
        (found,) = passing(first, second, meets, meets.line + a, meets.other_line + b)
        # a bar along each axis, as points of the room: across, up, back from the pit's middle
        t = np.linspace(0, 1, 801)[:, None]
        pit = [meets.way * 18 * math.sin(a), 18 * math.cos(a), 0] + t * [0, 0, -10.5]
        pit[:, 2] += (
            47 - 3
        )  # its disc stands 47 behind the stone's axis, its pins towards the viewer
        stone = [meets.other_way * 36 * math.sin(b), 29 - 3, 36 * math.cos(b)] - t * [
            0,
            10.5,
            0,
        ]
        tips = pit[pit[:, 2] >= 47 - 3 - 10 + 2.5], stone[stone[:, 1] >= 29 - 3 - 10 + 2.5]
        apart = min(np.linalg.norm(tips[1] - point, axis=1).min() for point in tips[0])
        assert found.gap == pytest.approx(apart - 5, abs=0.02)


def test_a_corner_needs_axes_that_meet():
    from animator.problems import SceneError

    with pytest.raises(SceneError, match="pass 20 mm beside each other"):
        assemble(read(CORNER.replace("at: [85, 20]", "at: [105, 20]")))


def test_first_pose_is_plain():
    assert assemble(
        scene("w: {kind: pin wheel, on: shaft, pins: 12, radius: 20, pin diameter: 3}")
    ).starts["w"] == Pose(100, 60, 0)
