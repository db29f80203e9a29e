import math

import numpy as np
import pytest

from tests.drawn import drawn, refusal
from tests.pieces import NEWTON_MM, run

PIECE = "arm: {{kind: lever, at: [150, 90], arms: {{end: 40 right}}}}\ns: {{kind: torsion spring, on: arm, {}}}"


def test_rate_of_its_wire():
    # E d^4 / (64 D n) for each radian (EN 13906-3): 206 GPa, wire 1, mean 9, 5 coils
    spring = drawn(PIECE.format("wire: 1, coil diameter: 10, coils: 5"))["s"]
    assert spring.stiffness() / 1e6 == pytest.approx(206_000 / (64 * 9 * 5))


def test_bending_of_its_wire():
    # 32 M / (pi d^3) times (4C^2 - C - 1) / (4C (C - 1)), borne to 0.78 of 2211 MPa (Shigley, torsion springs, music wire of 1 mm)
    spring = drawn(PIECE.format("wire: 1, coil diameter: 10, coils: 5"))["s"]
    inner = (4 * 81 - 9 - 1) / (4 * 9 * 8)
    assert spring.strained(50e6) == pytest.approx(32 * 50 / math.pi * inner / (0.78 * 2211))


def test_a_preload_pushes_a_way():
    assert refusal(PIECE.format("rate: 0.1 N mm/deg, preload torque: 3 N mm")) == (
        "'s': a preload torque pushes one way",
        "'pushes: clockwise' or 'pushes: anticlockwise' beside it",
    )


def test_one_leg_leaning_pushes_and_never_pulls():
    motion = run(
        """
        arm: {kind: lever, at: [100, 100], arms: {end: 50 right}, mass: 20 g, bearing: {friction: 0}, stops: {anticlockwise: 60, clockwise: 60}}
        spring: {kind: torsion spring, on: arm, rate: 0.6 N mm/deg, preload torque: 12 N mm, pushes: anticlockwise}
        """,
        seconds=0.5,
    )
    angle = np.degrees(motion.frame("arm")[:, 2])
    torque = motion.channels["spring.torque"].values / NEWTON_MM
    # recorded beside the angle it was reckoned from
    assert torque[1:] == pytest.approx(np.maximum(12 - 0.6 * angle[1:], 0), abs=0.3)
    assert angle.max() > 20  # where it lets go
    assert torque.min() == 0.0
    assert motion.trust.residual_percent < 0.5


def test_both_legs_fast_it_brings_back_and_swings_in_its_own_time():
    # a bar of 20 g and 50 mm about its end: I = m l^2 / 3; lying flat, so that no weight helps
    motion = run(
        """
        arm: {kind: lever, at: [100, 100], view: top, arms: {end: 50 right}, mass: 20 g, inertia: 4166.67 g mm2, bearing: {friction: 0}}
        spring: {kind: torsion spring, on: arm, rate: 0.5 N mm/deg}
        flick: {kind: extension spring, from: nail, to: arm.end, rate: 0.01 N/mm, free length: 35}
        nail: {kind: pin, at: [150, 135.5], view: top}
        """,
        seconds=1.0,
    )
    angle = motion.frame("arm")[:, 2]
    mid = angle - angle.mean()
    crossings = np.flatnonzero(np.diff(np.sign(mid)) > 0)
    period = np.diff(motion.times[crossings]).mean()
    stiffness = 0.5e6 / math.radians(1)
    about_pivot = 20 * 50**2 / 3
    assert period == pytest.approx(
        math.tau * math.sqrt(about_pivot / (stiffness + 0.01e6 * 2500)), rel=5e-3
    )


def test_between_two_moving_parts_each_feels_the_other():
    motion = run(
        """
        first: {kind: lever, at: [60, 100], view: top, arms: {end: 30 right}, mass: 10 g, bearing: {friction: 0}, starts at: 0}
        second: {kind: lever, at: [60, 100], view: top, arms: {end: 30 left}, mass: 10 g, bearing: {friction: 0}}
        spring: {kind: torsion spring, on: second, against: first, rate: 0.2 N mm/deg, preload torque: 4 N mm, pushes: clockwise}
        """,
        seconds=0.05,
    )
    turned = motion.frame("first")[-1, 2], motion.frame("second")[-1, 2]
    assert turned[1] < -0.1
    assert turned[0] == pytest.approx(-turned[1], rel=1e-3)
