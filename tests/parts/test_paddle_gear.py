"""Paddle gears: what a scene says of them, how they are set, and how they push: by fits and starts, and sometimes not at all."""

import math

import numpy as np
import pytest

from animator.findings.examining import examine
from animator.parts._spokes import Spokes, pairs
from animator.world.assembling import assemble
from tests.drawn import drawn, refusal, scene
from tests.pieces import read, run

PAIR = """
mover: {{kind: shaft, at: [50, 55], material: steel 5, bearing: {{friction: 0}}}}
handle: {{kind: handle, on: mover, speed: 28 rpm}}
paddles: {{kind: paddle gear, on: mover, paddles: 4, reach: 22, material: card 1}}
driven: {{kind: shaft, at: {apart} right of mover, material: steel 4, drag torque: {drag} N mm, bearing: {{friction: 0}}}}
teeth: {{kind: paddle gear, on: driven, paddles: 12, reach: 24, material: card 1, meshes with: paddles, friction: 0.25}}
"""
THICK = """
mover: {kind: shaft, at: [48, 64], material: steel 5, bearing: {friction: 0.1}}
handle: {kind: handle, on: mover, radius: 32, speed: 28 rpm}
paddles: {kind: paddle gear, on: mover, paddles: 4, reach: 30, material: birch ply 7}
driven: {kind: shaft, at: 54 right of mover, material: steel 4, bearing: {friction: 0.1}, drag torque: 3 N mm}
teeth: {kind: paddle gear, on: driven, paddles: 12, reach: 33, material: birch ply 6, meshes with: paddles, friction: 0.28}
"""


def pair(apart=42, drag=0.4):
    return PAIR.format(apart=apart, drag=drag)


def test_a_paddle_is_as_thick_as_its_card():
    part = drawn("p: {kind: paddle gear, on: shaft, paddles: 4, reach: 28, material: card 2}")[
        "p"
    ]
    assert (part.spokes.count, part.spokes.tip, part.spokes.half) == (4, 28, 1)


def test_paddles_leave_gaps():
    what, write = refusal(
        "p: {kind: paddle gear, on: shaft, paddles: 60, reach: 20, material: card 3}"
    )
    assert what == "'p': 60 paddles 3 mm thick leave no gaps at a reach of 20"
    assert "'paddles: 10'" in write


def test_a_side_without_a_distance_lets_a_third_of_a_tooth_overlap():
    whole = assemble(
        scene("""
    a: {kind: paddle gear, on: shaft, paddles: 4, reach: 22, material: card 1}
    far: {kind: shaft, at: right of shaft}
    b: {kind: paddle gear, on: far, paddles: 12, reach: 24, material: card 1, meshes with: a}
    """)
    )
    apart = whole.starts["far"].x - whole.starts["shaft"].x
    assert apart == pytest.approx(46 - math.tau * 24 / 12 / 3, abs=0.01)


def test_teeth_start_clear_of_the_paddles():
    whole = assemble(read(pair()))
    near = pairs(whole.parts["paddles"].spokes, whole.parts["teeth"].spokes, 42, 0, 0)
    assert near[0][1] > 4


@pytest.mark.parametrize("lean", [0.12, 0.3, 0.5])
def test_gap_of_two_bars_is_the_least_between_all_their_points(lean):
    first, second = Spokes(1, 4, 20, 1.0, 0.05), Spokes(1, 4, 22, 1.5, math.pi - lean)
    ((_, gap, nx, ny, px, py),) = pairs(first, second, 36, 3, 0)
    t = np.linspace(0, 1, 2001)[:, None]
    one = (4 + 16 * t) * [math.cos(0.05), math.sin(0.05)]
    two = [36, 3] + (4 + 18 * t) * [math.cos(math.pi - lean), math.sin(math.pi - lean)]
    apart = min(np.hypot(*(two - point).T).min() for point in one[::4])
    assert gap == pytest.approx(apart - 2.5, abs=1e-2)
    assert math.hypot(nx, ny) == pytest.approx(1)
    assert np.hypot(*(one - [px, py]).T).min() == pytest.approx(1.0, abs=1e-3)


@pytest.mark.slow
def test_mean_ratio_is_by_counting_and_it_stands_between_pushes():
    motion = run(pair(), turns=1.0)
    turned, handle = motion.frame("teeth")[:, 2], motion.drive.angle
    went = (turned[-1] - turned[motion.begins]) / (handle[-1] - handle[motion.begins])
    assert went == pytest.approx(-4 / 12, abs=2e-3)
    (found,) = motion.scene.parts["teeth"].predict(motion)
    assert found.measure == "teeth.turns"
    assert found.value == pytest.approx(-math.tau * went, rel=5e-3)
    speed = np.gradient(turned, motion.times)[motion.begins :]
    assert 0.5 < (np.abs(speed) < 0.02).mean() < 0.7  # a trial rig of bars stood for 60 %
    assert motion.trust.residual_percent < 0.01


@pytest.mark.slow
def test_without_a_brake_it_runs_on():
    def standing(motion):
        turned = motion.frame("teeth")[:, 2]
        return (np.abs(np.gradient(turned, motion.times)[motion.begins :]) < 0.02).mean()

    assert standing(run(pair(drag=0.01), turns=2.0)) < 0.9 * standing(run(pair(), turns=2.0))


@pytest.mark.slow
def test_thick_ends_at_too_short_a_distance_catch_and_no_push_frees_them():
    motion = run(THICK, turns=0.8)
    assert motion.end == "stalled"
    (jam,) = [each for each in examine(motion, mend=()).findings if each.code == "jam"]
    assert jam.part == "teeth"
    assert "catches on paddles" in jam.sentence
    assert "a push three times as strong doesn't free it" in jam.sentence


def test_a_load_too_heavy_is_no_jam():
    motion = run(pair(drag=2000), turns=0.6)
    codes = [each.code for each in examine(motion, mend=()).findings]
    assert "stall" in codes
    assert "jam" not in codes
