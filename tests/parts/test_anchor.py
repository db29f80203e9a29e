import math
from itertools import pairwise

import pytest

from animator.parts._escape import Escapement
from animator.world.assembling import assemble
from tests.drawn import refusal, scene

PARTS = """
wheel: {kind: escape wheel, on: shaft, teeth: 30, radius: 40, turns: clockwise}
anchor: {kind: anchor, at: above shaft, lets: wheel, arms: {bob: 90 down}, starts at: 6}
"""


def test_it_stands_where_its_pallets_touch_the_circle_of_the_points():
    pose = assemble(scene(PARTS)).starts["anchor"]
    assert pose.y - 60 == pytest.approx(40 / math.cos(math.radians(45)))  # 7.5 of 30 teeth


@pytest.mark.parametrize(
    ("teeth", "spans", "recoil"), [(30, 7.5, 0), (15, 3.5, 0), (20, 4.5, 0), (30, 7.5, 15)]
)
def test_one_tooth_goes_with_each_whole_swing(teeth, spans, recoil):
    """Swung to and fro slowly with the wheel always pressed on, by geometry alone."""
    layout = Escapement(
        teeth, 36.0, spans, math.radians(5), math.radians(2), math.tau / teeth / 10, math.radians(recoil)
    )  # fmt: skip

    def gap(wheel, anchor):
        up = math.pi / 2 - wheel
        return layout.near(
            layout.distance * math.cos(up), layout.distance * math.sin(up), up + anchor
        ).gap

    wheel, fine, count = 0.3, 2e-4, 160
    turned = []
    for i in range(2 * count + 1):
        anchor = math.radians(6) * math.cos(math.tau * i / count)
        while gap(wheel, anchor) < 0:
            wheel += fine
        while gap(wheel - fine, anchor) >= 0:
            wheel -= fine
        turned.append(wheel)
    assert turned[count] - turned[2 * count] == pytest.approx(layout.pitch, abs=2 * fine)
    back = max(b - a for a, b in pairwise(turned))
    assert back > fine if recoil else back <= 1e-12


def test_pallets_that_span_whole_teeth_are_refused():
    assert refusal(PARTS.replace("lets: wheel,", "lets: wheel, spans: 7,")) == (
        "'anchor': pallets that span 7 teeth let both go at once",
        "'6.5' or '7.5'",
    )
