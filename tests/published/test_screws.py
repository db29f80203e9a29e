"""A screw through the whole program against a textbook's: SW-01 (Sarkar, ch. 3, illustration 6, p. 106), its 25 kN as 25 N."""

import math

import pytest

from tests.pieces import run

JACK = """
screw shaft: {{kind: shaft, view: top, at: [85, 30], material: steel 1, bearing: {{friction: 0}}}}
handle: {{kind: handle, on: screw shaft, speed: 60 rpm, strength: 100 N, turns: {turns}, starts over: 20}}
screw: {{kind: screw, on: screw shaft, drives: lift, diameter: 50, pitch: 12.5, friction: 0.13}}
lift: {{kind: slider, slides: up, guide: {{at: [85, 90], length: 24, ideal: yes}}, length: 140, material: steel 8, mass: {mass} g}}
"""
MASS = 25e6 / 9806.65  # g; weighs 25 N


def torque(turns):
    motion = run(JACK.format(turns=turns, mass=f"{MASS:.6f}"), turns=0.2)
    assert motion.trust.residual_percent < 0.01
    return motion.drive.torque[motion.begins :].mean() / 1e6


def test_torque_to_raise_and_to_lower():
    """W r tan(a + phi) up, W r tan(phi - a) down, tan a = p / (pi d), tan phi = mu; classes A and C. Measured: 132.356, 31.192 N mm, ratio 4.2433."""
    lead, rho = math.atan(12.5 / (math.pi * 50)), math.atan(0.13)
    raising, lowering = (25 * 25 * math.tan(rho + way * lead) for way in (1, -1))
    assert (raising, lowering) == pytest.approx((132.36, 31.19), abs=5e-3)
    assert raising / lowering == pytest.approx(4.243, abs=5e-4)
    got = torque("clockwise"), torque("anticlockwise")
    assert got == pytest.approx((raising, lowering), rel=1e-4)
