import math

import numpy as np
import pytest

from animator.parts.projectile import CupTouch, throw
from tests.drawn import refusal
from tests.pieces import GRAVITY, run

PIECE = "arm: {{kind: lever, at: [150, 90], arms: {{cup: 40 left}}}}\nd: {{kind: projectile, rests in: arm.cup, {}}}"


def test_a_catch_has_no_cup_to_rub_in():
    assert refusal(PIECE.format("released at: 40, friction: 0.3"))[0] == (
        "'d': a catch holds it fast; nothing rubs in a cup"
    )


def test_ball_is_another_word():
    assert (
        refusal(PIECE.format("diameter: 8").replace("projectile", "catapult ball"))[1]
        == "'projectile'"
    )


def test_cup_pushes_from_below_and_from_its_rims():
    touch = CupTouch(5.0, 5.6, math.radians(75))
    gap, nx, ny, px, py = touch.nearest(-0.6, 0.0, 0.0)
    assert gap == pytest.approx(0.0)
    assert (nx, ny) == pytest.approx((1.0, 0.0))
    assert (px, py) == pytest.approx((-5.6, 0.0))
    # outside, its back is met
    gap, nx, *_ = touch.nearest(-20.0, 0.0, 0.0)
    assert gap == pytest.approx(20 - 5.6 - 5)
    assert nx == pytest.approx(-1.0)
    # out in the open only the rims are near
    assert touch.nearest(6.0, 1.0, 0.0)[0] > 0


def test_thrown_upwards_it_comes_down_where_it_was():
    assert throw(2000, math.pi / 2, 0) == pytest.approx(0, abs=1e-9)
    with pytest.raises(ValueError, match="rises"):
        throw(1000, math.radians(30), -100)


LAUNCHER = """
    post: {kind: pin, at: [60, 40], diameter: 3}
    arm: {kind: lever, at: [100, 60], arms: {hook: 20 at 250, cup: 80 at 170}, mass: 6 g, stops: {clockwise: 45, anticlockwise: 5}, bearing: {friction: 0.1}}
    pull: {kind: extension spring, from: post, to: arm.hook, rate: 0.05 N/mm, preload: 0.2 N, free length: 18}
    pea: {kind: projectile, rests in: arm.cup, diameter: 10, mass: 2 g, lands at: 10}
"""


def test_pea_leaves_its_cup_when_the_arm_stops_and_flies_on():
    motion = run(LAUNCHER, seconds=1.0)
    speed, far, down = (
        motion.channels[f"pea.{word}"].values for word in ("launch speed", "range", "landed")
    )
    assert down[-1]
    angle = np.degrees(motion.frame("arm")[:, 2])
    at = int((speed > 0).argmax())
    assert angle[: at + 1].min() == pytest.approx(
        -45, abs=1.5
    )  # the stop, where it is flung off
    # the cup's own speed when it was stopped
    turning = np.gradient(motion.frame("arm")[:, 2], motion.times)
    assert speed[-1] == pytest.approx(80 * np.abs(turning[:at]).max(), rel=0.03)
    # in the air only weight acts
    path = motion.point("pea", "centre")
    flight = slice(at + 3, int((down > 0).argmax()) - 2)
    fall = np.diff(path[flight], 2, axis=0) / 1e-6
    assert fall[:, 1] == pytest.approx(np.full(len(fall), -GRAVITY), rel=1e-3)
    assert fall[:, 0] == pytest.approx(np.zeros(len(fall)), abs=1)
    (predicted,) = motion.scene.parts["pea"].predict(motion)
    assert far[-1] == pytest.approx(predicted.value, rel=2e-3)
    assert path[-1, 1] == pytest.approx(15)
    assert motion.trust.residual_percent < 0.5


def test_weak_spring_leaves_it_in_its_cup():
    motion = run(
        LAUNCHER.replace("0.05 N/mm, preload: 0.2 N", "0.001 N/mm, preload: 0.01 N"),
        seconds=0.3,
    )
    assert not motion.channels["pea.free"].values.any()
