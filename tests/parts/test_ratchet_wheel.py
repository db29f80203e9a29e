import math

import numpy as np
import pytest

from animator.parts._teeth import Teeth
from tests.drawn import drawn, refusal

WHEEL = "wheel: {kind: ratchet wheel, on: shaft, teeth: 24, radius: 20, turns: anticlockwise}"


def test_pitch_is_a_turn_over_the_teeth():
    wheel = drawn(WHEEL)["wheel"]
    assert wheel.step_angle == pytest.approx(math.radians(15))
    assert wheel.rim().depth == pytest.approx(math.pi * 20 / 24)  # half of what stands between


@pytest.mark.parametrize(
    ("count", "depth", "undercut", "sense"),
    [(24, 3, 0.15, 1), (24, 3, 0.15, -1), (6, 5, 0.1, 1), (8, 4, 0.0, -1), (60, 1, 0.2, 1)],
)
def test_what_a_nose_touches_is_the_outline_itself(count, depth, undercut, sense):
    shapely = pytest.importorskip("shapely.geometry")
    teeth = Teeth(count, 20.0, depth, undercut, sense)
    rim = shapely.Polygon(teeth.outline(200))
    assert rim.is_valid
    random = np.random.default_rng(3)
    for _ in range(300):
        angle, radius = random.uniform(0, math.tau), random.uniform(20 - depth, 21)
        spot = radius * math.cos(angle), radius * math.sin(angle)
        if rim.contains(shapely.Point(spot)):
            continue
        _, face, back = teeth.near(*spot, 0.0)
        near = min(face, back)
        assert near.gap == pytest.approx(rim.exterior.distance(shapely.Point(spot)), abs=2e-3)
        foot = near.px + near.gap * near.nx, near.py + near.gap * near.ny
        assert foot == pytest.approx(spot, abs=1e-9)


def test_a_step_the_free_way_is_one_valley_less():
    teeth = Teeth(24, 20.0, 3.0, 0.1, 1)
    seat = 17.6 * math.cos(-0.05), 17.6 * math.sin(-0.05)
    valley, _, _ = teeth.near(*seat, 0.3)
    turned = -0.05 - teeth.pitch  # the wheel has gone on anticlockwise by a tooth
    after, _, _ = teeth.near(17.6 * math.cos(turned), 17.6 * math.sin(turned), 0.3)
    assert (valley - after) % 24 == 1


def test_teeth_too_fine_to_file_are_refused():
    assert refusal(WHEEL.replace("teeth: 24", "teeth: 200")) == (
        "'wheel': 200 teeth round a radius of 20 mm stand 0.63 mm apart, too fine to file",
        "at most '125'",
    )


def test_an_undercut_through_the_next_tooth_is_refused():
    what, _ = refusal(WHEEL.replace("radius: 20,", "radius: 20, depth: 10, undercut: 40,"))
    assert "runs through the next tooth" in what
