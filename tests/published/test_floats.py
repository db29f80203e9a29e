"""When a follower leaves its cam, from contact forces alone. Tolerance 1 % of the speed: nothing at 0.99, contact lost at 1.01."""

import math

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from tests.pieces import GRAVITY, run

ECCENTRIC = "eccentric: {radius: 25, throw: 10}"
PROGRAMME = (
    "base radius: 40, programme: [{dwell: 60}, {rise: 20, over: 90, law: cycloidal}, {dwell: 40}, "
    "{fall: 20, over: 150, law: 3-4-5}, {dwell: rest}]"
)
FLAT, ROLLER = "{flat width: 60}", "{roller diameter: 20}"
SPRING = ", spring: {rate: 200 N/m, preload: 1 N}"
LOST = 1e-3  # mm; in touch the solver keeps the face within 0.3 micrometres


def lift(rpm, cam, tip, spring=""):
    motion = run(
        f"""
        camshaft: {{kind: shaft, at: [100, 80], material: steel 6, bearing: {{friction: 0}}}}
        handle: {{kind: handle, on: camshaft, speed: {rpm:.3f} rpm, strength: 50 N m, starts over: 720}}
        disc: {{kind: cam, on: camshaft, {cam}, material: birch ply 6}}
        lifter: {{kind: follower, follows: disc, tip: {tip}, length: 110, material: steel 5, mass: 50 g, guide: {{at: 100 above camshaft, ideal: yes}}{spring}}}
        """,
        turns=2,
    )
    contact = motion.contacts["lifter"]
    return contact.gap[motion.begins :].max(), contact.normal[motion.begins :].min()


# CAM-22 (force balance; "jump" in Norton and Shigley): 50 g, 10 mm, 200 N/m, 1 N, upright, spring down
#   m w^2 e = P + 2 k e + m g
# CAM-23 (derived): w^2 |s''| = g; eccentric with a flat face, and cycloidal 20 mm in 90 degrees
CASES = {
    "sprung": (
        1000.7,
        ECCENTRIC,
        FLAT,
        SPRING,
        (1 + 2 * 200 * 0.01 + 0.05 * 9.81) / (0.05 * 0.01),
    ),
    "by weight": (299.1, ECCENTRIC, FLAT, "", 9.81 / 0.01),
    "by weight on a programme": (
        132.5,
        PROGRAMME,
        ROLLER,
        "",
        9.81 / (2 * math.pi * 0.02 / (math.pi / 2) ** 2),
    ),
}


@pytest.mark.parametrize("case", CASES)
def test_follower_leaves_its_cam_at_the_published_speed(case):
    rpm, cam, tip, spring, square = CASES[case]
    assert math.sqrt(square) * 30 / math.pi == pytest.approx(
        rpm, abs=0.06
    )  # the printed value, recomputed
    gap, least = lift(0.99 * rpm, cam, tip, spring)
    assert gap < LOST
    assert least > 0
    gap, least = lift(1.01 * rpm, cam, tip, spring)
    assert gap > LOST
    assert least == 0


def test_follower_flies_as_high_as_a_thrown_stone_and_comes_down_without_a_bounce():
    # derived: free flight from where the face can no longer keep up, to where the cam catches it again
    rpm = 1.02 * 299.1
    speed = rpm * math.pi / 30
    leaves = math.acos(-GRAVITY / (10 * speed**2)) / speed  # after the lowest; s = e (1 - cos)

    def flight(t, state):
        return [state[1], -GRAVITY]

    start = [10 * (1 - math.cos(speed * leaves)), 10 * speed * math.sin(speed * leaves)]
    found = solve_ivp(flight, (leaves, leaves + 0.1), start, max_step=1e-4, rtol=1e-10)
    exact = (found.y[0] - 10 * (1 - np.cos(speed * found.t)))[found.t < leaves + 0.04].max()
    gap, _ = lift(rpm, ECCENTRIC, FLAT)
    assert gap == pytest.approx(exact, rel=0.05)  # 0.07 mm; a sample is 1.8 degrees long
