"""Crude wheels beside an independent reckoning: bars moved by small steps until they no longer overlap (shapely, scipy), reading nothing but their sizes."""

import math

import numpy as np
import pytest
from scipy.optimize import brentq
from shapely import LineString

from tests.pieces import run

COUNTS, REACHES, BOSSES, THICK, APART = (4, 12), (22.0, 24.0), (4.84, 5.28), 1.0, 42.0
PIECE = f"""
mover: {{kind: shaft, at: [50, 55], material: steel 5, bearing: {{friction: 0}}}}
handle: {{kind: handle, on: mover, speed: 12 rpm, strength: 40 N, starts over: 20}}
paddles: {{kind: paddle gear, on: mover, paddles: {COUNTS[0]}, reach: {REACHES[0]:g}, material: card {THICK:g}}}
driven: {{kind: shaft, at: {APART:g} right of mover, material: steel 4, drag torque: 6 N mm, bearing: {{friction: 0}}}}
teeth: {{kind: paddle gear, on: driven, paddles: {COUNTS[1]}, reach: {REACHES[1]:g}, material: card {THICK:g}, meshes with: paddles, friction: 0.1}}
"""


def bar(wheel, angle):
    c, s = math.cos(angle), math.sin(angle)
    far = REACHES[wheel] - THICK / 2
    x = APART * wheel
    return LineString([(x + BOSSES[wheel] * c, BOSSES[wheel] * s), (x + far * c, far * s)])


def clear(paddle, wheel):
    """Least clear way between one paddle and the teeth near it."""
    one = bar(0, paddle)
    near = [wheel + k * math.tau / COUNTS[1] for k in range(COUNTS[1])]
    facing = [each for each in near if math.cos(each) < -0.4]
    return min(one.distance(bar(1, each)) for each in facing) - THICK


def pushed_through(first):
    """Move a paddle past the teeth by small steps; angles of the wheel for those of the paddle, the wheel turned just as far as it must be."""
    angles = np.radians(np.arange(-60, 60, 0.05))
    wheel, course = first, []
    for angle in angles:
        if clear(angle, wheel) < 0:
            step = math.radians(0.4)
            while clear(angle, wheel - step) < 0:
                step *= 2
            wheel -= brentq(
                lambda more, a=angle, w=wheel: clear(a, w - more), 0, step, xtol=1e-7
            )
        course.append(wheel)
    return angles, np.array(course)


@pytest.mark.slow
def test_four_paddles_on_twelve_card_teeth():
    """Each paddle moves one tooth on, and the wheel stands for the rest of the quarter turn; class C."""
    angles, course = pushed_through(math.pi + math.pi / 12)
    # the second paddle finds the teeth as the first one left them, a whole tooth on
    angles, again = pushed_through(course[-1])
    advance = again[0] - again[-1]
    assert advance == pytest.approx(math.tau / 12, rel=1e-3)
    moving = np.ptp(angles[np.flatnonzero(np.diff(again) < -1e-9)]) + math.radians(0.05)
    standing = 1 - moving / (math.tau / COUNTS[0])

    motion = run(PIECE, turns=1.0)
    begins = motion.begins
    wheel, handle = motion.frame("teeth")[:, 2], motion.drive.angle
    assert (wheel[begins] - wheel[-1]) / (handle[-1] - handle[begins]) == pytest.approx(
        1 / 3, abs=2e-3
    )
    speed = -np.gradient(wheel, motion.times)[begins:]
    assert (speed < 0.01).mean() == pytest.approx(standing, abs=0.01)
    # and its way through one push is the same
    quick = np.argmax(speed)
    last = begins + quick + np.flatnonzero(speed[quick:] < 0.01)[0]
    left = handle[last] % (math.tau / 4)
    assert left == pytest.approx(
        angles[np.flatnonzero(np.diff(again) < -1e-9)[-1]] % (math.tau / 4), abs=0.02
    )
