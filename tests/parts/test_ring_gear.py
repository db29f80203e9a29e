import math

import pytest

from animator.parts._involute import Toothing
from tests.drawn import at_start, drawn


def test_a_gear_inside_stands_nearer_by_the_difference_of_teeth():
    parts = """
    a: {kind: gear, on: shaft, teeth: 18, module: 2, meshes with: ring}
    far: {kind: shaft, at: left of shaft}
    ring: {kind: ring gear, on: far, teeth: 48, module: 2}
    """
    assert at_start(parts, "far").x == pytest.approx(100 - 30)


def test_teeth_point_inwards():
    ring = drawn("ring: {kind: ring gear, at: [80, 80], held: yes, teeth: 48, module: 2}")[
        "ring"
    ]
    teeth = ring.toothing
    assert teeth.tip < teeth.radius < teeth.foot < ring.rim
    assert all(teeth.tip - 1e-9 <= math.hypot(*p) <= teeth.foot + 1e-9 for p in teeth.outline())


def test_tips_of_a_small_ring_end_at_its_base_circle():
    assert Toothing(24, 2.0, 0.1, True).tip == Toothing(24, 2.0, 0.1, True).base
