import math

import numpy as np
import pytest

from tests.drawn import drawn, refusal
from tests.pieces import run

LEVEL = """
level: {kind: shaft, view: side, at: [20, 60], bearing: {friction: 0}}
handle: {kind: handle, on: level, speed: 60 rpm}
first: {kind: universal joint, on: level, along: 180, bend: 35, leans: up, length: 80, friction: 0, bearing: {friction: 0}}
second: {kind: universal joint, on: first, bend: 35, leans: down, phase: PHASE, friction: 0, bearing: {friction: 0}}
disc: {kind: wheel, on: second, radius: 20}
"""


def test_a_bend_that_locks_is_refused():
    said = refusal("joint: {kind: universal joint, on: shaft, bend: 85}")
    assert said[0] == "'joint': bent by 85 degrees it hardly turns; at 90 it locks"
    assert refusal("joint: {kind: universal joint, on: shaft, bend: 0}")[0] == (
        "'joint': a bend of nought needs no joint"
    )


def test_half_turns_agree_and_between_them_it_leads_and_lags():
    joint = drawn("joint: {kind: universal joint, on: shaft, bend: 40}")["joint"]
    for quarter in range(-8, 9):
        assert joint.out(quarter * math.pi / 2) == pytest.approx(quarter * math.pi / 2)
    assert joint.out(0.4) > 0.4
    assert joint.out(math.pi / 2 + 0.4) < math.pi / 2 + 0.4


@pytest.mark.parametrize(
    ("phase", "swing"), [(90, 1.0), (0, 1 / math.cos(math.radians(35)) ** 2)]
)
def test_two_joints_run_evenly_if_their_forks_are_in_line(phase, swing):
    motion = run(LEVEL.replace("PHASE", str(phase)), turns=0.75)
    begin = motion.begins
    inward, outward = (motion.frame(name)[begin:, 2] for name in ("level", "second"))
    ratio = np.gradient(outward) / np.gradient(inward)
    assert ratio.max() == pytest.approx(swing, rel=2e-4)
    assert abs(motion.trust.residual_percent) < 0.5
