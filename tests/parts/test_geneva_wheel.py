import math
from itertools import pairwise

import pytest

from animator.parts._maltese import Maltese, distance_for, reach_for
from animator.world.assembling import assemble
from animator.world.linkage import Linkage
from tests.drawn import refusal, scene

GENEVA = """
crank: {kind: crank, on: shaft, radius: fitted, angle: left}
second: {kind: shaft, at: 80 right of shaft}
cross: {kind: geneva wheel, on: second, slots: 6, driver: crank.pin, pin diameter: 4}
"""


def test_a_fitted_crank_lets_its_pin_run_in_along_the_slot():
    parts = assemble(scene(GENEVA)).parts
    assert parts["crank"].radius == pytest.approx(40)


def test_a_shaft_beside_it_is_set_where_the_crank_asks():
    text = GENEVA.replace("fitted", "30").replace("80 right", "right")
    assert assemble(scene(text)).starts["second"].x == pytest.approx(100 + 60)


@pytest.mark.parametrize("slots", range(3, 13))
def test_disc_and_wheel_clear_each_other_all_round(slots):
    geometry, affinity = (
        pytest.importorskip("shapely.geometry"),
        pytest.importorskip("shapely.affinity"),
    )
    shape = Maltese(slots, 80.0, reach_for(slots, 80.0), 2.0, 0.05)
    assert shape.lock > 0
    wheel, disc = geometry.Polygon(shape.outline()), geometry.Polygon(shape.disc_outline())
    assert wheel.is_valid
    assert disc.is_valid
    for i in range(24):
        crank = -math.pi + math.tau * i / 24 + 0.01
        turned = math.pi - shape.step / 2
        if abs(crank) <= shape.half_turn:
            turned = math.pi - shape.slot_angle(crank)
        there = affinity.translate(
            affinity.rotate(wheel, turned, (0, 0), use_radians=True), 80.0, 0.0
        )
        here = affinity.rotate(disc, crank, (0, 0), use_radians=True)
        assert there.intersection(here).area < 0.6  # mm2; a sliver where the lock takes over


def test_the_drawing_board_follows_the_pin_and_counts_on():
    linkage = Linkage(assemble(scene(GENEVA)).parts)
    linkage.start()
    seen = []
    linkage.go_round(lambda turned: seen.append(linkage.pose("cross").angle))
    assert seen[-1] - seen[0] == pytest.approx(-math.tau / 6)
    assert max(abs(a - b) for a, b in pairwise(seen)) < math.radians(6)


def test_two_slots_are_refused():
    assert refusal(GENEVA.replace("slots: 6", "slots: 2")) == (
        "'slots': a Geneva wheel with two slots can't be turned: its pin would have to pass through the wheel's own middle",
        "'3', or up to '12'",
    )


def test_distance_and_crank_are_each_others_inverse():
    assert distance_for(5, reach_for(5, 70.0)) == pytest.approx(70)
