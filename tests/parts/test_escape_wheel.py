import math

import pytest

from animator.parts._solid import plate
from tests.drawn import drawn, refusal

WHEEL = "wheel: {kind: escape wheel, on: shaft, teeth: 30, radius: 40, turns: clockwise}"


def test_points_lie_on_the_radius_a_pitch_apart():
    wheel = drawn(WHEEL)["wheel"]
    points = [p for p in wheel.outline() if math.hypot(*p) > 39.99]
    assert len(points) == 60  # two corners to each point
    assert wheel.step_angle == pytest.approx(math.radians(12))
    assert plate(wheel.outline(), 1.0).centre == pytest.approx((0, 0), abs=1e-9)


def test_points_too_near_for_a_pallet_are_refused():
    assert refusal(WHEEL.replace("teeth: 30", "teeth: 120"))[1] == "at most '83'"
